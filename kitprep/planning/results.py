"""The worked-out day: what every rule answers, as frozen values.

Scenes go by their numbers, sources and destinations by their ids, units by their tags; minutes
count from the day's midnight.
"""

from dataclasses import dataclass
from typing import Literal

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan, Scene
from kitprep.planning.cells import Stretch

Kind = Literal["link", "input", "cable", "cell", "supply", "card", "item", "weight"]


@dataclass(frozen=True, slots=True)
class Link:
    """A served link with its whole chain. ``module`` and ``inputs`` count from 1."""

    scene: str
    source: str
    destination: str
    mode: Literal["mono", "stereo"]
    transmitter: str
    adapter: str | None
    receiver: str
    module: int
    outputs: int
    inputs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Unserved:
    """A wanted link that nothing serves, and why."""

    scene: str
    source: str
    destination: str
    reason: str


@dataclass(frozen=True, slots=True)
class SceneNeeds:
    """What a scene asks for (links by mode, output channels, packs) and what it gets.

    ``phantom`` counts points of phantom power, one a channel: P48 on two channels is two, each of
    them up to 10 mA (IEC 61938).
    """

    scene: Scene
    mono: int
    stereo: int
    outputs: int
    packs: int
    links: tuple[Link, ...]
    unserved: tuple[Unserved, ...]
    phantom: int = 0


@dataclass(frozen=True, slots=True)
class Peak:
    """Three different numbers of the day: packs carried, links wanted, modules wanted at once."""

    packs: int
    links: int
    modules: int


@dataclass(frozen=True, slots=True)
class Hire:
    """So many more units of a model, and the scenes that need them."""

    model: str
    qty: int
    scenes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Counted:
    """Something taken by number: to carry, held, and missing (never below 0)."""

    name: str
    carry: int
    have: int
    short: int


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells of one type, all figures in cells; ``planned`` has the sets that start the day.

    ``at_least``: some device's set lasts nobody knows how long, and its changes are not in.
    """

    cell: str
    planned: int
    spare: int
    carry: int
    have: int
    short: int
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class UnitCells:
    """How one unit is fed today: its set, when it is on, and the planned changes.

    ``known`` is whether anybody can say how long its set lasts; where not, no change is planned.
    ``course`` is its day as the changes were reckoned with. ``part`` is the part of a split unit
    that it is with; spare sets are not shared between them.
    """

    unit: str
    cell: str
    count: int
    on: int
    off: int
    changes: tuple["PlannedChange", ...]
    known: bool = True
    course: tuple[Stretch, ...] = ()
    part: int = 0


@dataclass(frozen=True, slots=True)
class PlannedChange:
    """A change of a unit's set: before a scene, by a minute at the latest.

    ``mid_scene``: the scene outlasts a fresh set, which is dead at ``by``.
    """

    unit: str
    cell: str
    before: str
    by: int
    mid_scene: bool


@dataclass(frozen=True, slots=True)
class PlannedSwap:
    """A fresh pack on a supply: before a scene, by a minute at the latest.

    ``units`` are the receivers that it switches off. ``mid_scene``: the scene outlasts a pack,
    which is empty at ``by``.
    """

    supply: str
    before: str
    by: int
    mid_scene: bool
    units: tuple[str, ...]

    @property
    def costs(self) -> str:
        """ "RX01, RX11 go off and start again, so their lines are asked again"."""
        if len(self.units) == 1:
            return f"{self.units[0]} goes off and starts again, so its lines are asked again"
        return f"{', '.join(self.units)} go off and start again, so their lines are asked again"


@dataclass(frozen=True, slots=True)
class PackCourse:
    """A supply's packs for receivers that are together: where, and their day as it was reckoned.

    A stretch's ``drain`` is the share of a full pack that a minute takes. No stretches where nobody
    knows what a pack holds or what hangs on it draws.
    """

    destinations: tuple[str, ...]
    units: tuple[str, ...]
    packs: int
    course: tuple[Stretch, ...] = ()
    swaps: tuple[PlannedSwap, ...] = ()


@dataclass(frozen=True, slots=True)
class SupplyLoad:
    """What a supply carries today; ``packs`` and ``have`` are 0 and 0 for mains.

    ``hours_per_pack`` is with all of them on, None for mains, and where it is not known; ``packs``
    and ``load_w`` are then ``at_least``. ``courses`` has one entry, or one for each part of a split
    unit. ``scenes`` are those in which something hangs on it.
    """

    id: str
    load_w: float
    hours_per_pack: float | None
    packs: int
    have: int
    short: int
    outlets: int
    units: tuple[str, ...]
    on: int
    off: int
    mains: bool = False
    at_least: bool = False
    courses: tuple[PackCourse, ...] = ()
    scenes: tuple[str, ...] = ()

    @property
    def swaps(self) -> tuple[PlannedSwap, ...]:
        """All planned swaps of packs, in the order of the clock."""
        swaps = [swap for course in self.courses for swap in course.swaps]
        return tuple(sorted(swaps, key=lambda swap: swap.by))


@dataclass(frozen=True, slots=True)
class VersionRead:
    """The version that a unit showed, and when (UTC, ISO 8601)."""

    unit: str
    version: str
    at: str


@dataclass(frozen=True, slots=True)
class Firmware:
    """Units in use whose firmware is not the wanted one for their image; ``read`` is what those of
    them showed that were looked at."""

    image: str
    want: str
    units: tuple[str, ...]
    read: tuple[VersionRead, ...] = ()


@dataclass(frozen=True, slots=True)
class Charging:
    """What is charged overnight: rounds on the bays, hours, against the turnaround.

    ``hours`` is None where no charger takes it. ``at_least``: there may be more to charge.
    ``beside``: what shares its chargers; bays and rounds are then of all of them together.
    """

    name: str
    qty: int
    bays: int
    rounds: int
    hours: float | None
    turnaround_h: float
    at_least: bool = False
    beside: tuple[str, ...] = ()

    @property
    def in_time(self) -> bool:
        """Whether it is charged by call, as far as is known."""
        return self.hours is not None and self.hours <= self.turnaround_h


@dataclass(frozen=True, slots=True)
class Route:
    """A link by its scene, source and destination."""

    scene: str
    source: str
    destination: str


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that mends something, tried on the whole day.

    ``powers`` are receivers that it gives power to, ``new_short`` is what it brings about by
    itself, ``still_short`` what it leaves as it was.
    """

    kind: str
    what: str
    serves: tuple[Route, ...]
    loses: tuple[Route, ...]
    new_short: tuple["Shortfall", ...]
    still_short: tuple["Shortfall", ...]
    powers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SinglePoint:
    """A carried unit whose loss nothing held can cover, with what would go unserved."""

    unit: str
    scenes: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shortfall:
    """Something missing, in one sentence; ``scene`` is None for the whole day.

    ``of`` is the key of the packing line that is too few, where more of it would mend it.
    """

    kind: Kind
    scene: str | None
    what: str
    of: str | None = None


@dataclass(frozen=True, slots=True)
class PackLine:
    """One line of the packing list: a tagged unit, or a number of alike things.

    ``key`` names the line in the ledger: the tag, or kind and model. ``held`` is how many the kit
    has; ``weight_g`` is that of the whole line, None where the kit leaves it out.
    """

    key: str
    kind: Literal["transmitter", "receiver", "adapter", "cable", "cells", "cards", "supply", "item"]
    model: str
    name: str
    qty: int
    held: int
    case: str | None
    why: str
    weight_g: float | None
    checks: tuple[str, ...]
    serial: str | None = None
    owner: str = "own"


@dataclass(frozen=True, slots=True)
class CaseLoad:
    """A case as packed: known weight with the case itself, limit, and what has no weight."""

    case: str | None
    name: str
    weight_g: float
    limit_g: float | None
    unknown: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotCounted:
    """A thing of the kit that a day does not count on, and why.

    ``qty`` is how many of what goes by number, None of a unit; ``name`` is what the kit calls what
    goes by number, empty of a unit; ``job`` is the job that says so, empty where the kit's file
    does.
    """

    key: str
    what: str
    job: str = ""
    note: str = ""
    qty: int | None = None
    name: str = ""

    @property
    def sentence(self) -> str:
        """ "RX11: not seen, foxes-a/2027-03-14 (left on the quay?)"."""
        return f"{self.name or self.key}: {self._why}"

    @property
    def to_clear(self) -> str:
        """The same with the key, for whoever has to type it."""
        name = f"{self.name} ({self.key})" if self.name and self.job else self.name or self.key
        return f"{name}: {self._why}"

    @property
    def _why(self) -> str:
        where = f", {self.job}" if self.job else ""
        return self.what + where + (f" ({self.note})" if self.note else "")


@dataclass(frozen=True)
class WorkedDay:
    """Everything that the rules answer for one day.

    ``kit`` is the kit as far as it can be counted on: what ``not_counted`` has by number is off it.
    ``unfed`` are receivers that run on nothing in some of their scenes.
    ``kept``: what has failed since it was chosen is replaced, and nothing else was chosen anew.
    """

    kit: Kit
    plan: Plan
    proven: tuple[str, ...]
    scenes: tuple[SceneNeeds, ...]
    peak: Peak
    stands: dict[str, str]
    hire: tuple[Hire, ...]
    cables: tuple[Counted, ...]
    cells: tuple[Cells, ...]
    feeds: tuple[UnitCells, ...]
    supplies: tuple[SupplyLoad, ...]
    cards: tuple[Counted, ...]
    firmware: tuple[Firmware, ...]
    packing: tuple[PackLine, ...]
    cases: tuple[CaseLoad, ...]
    shortfalls: tuple[Shortfall, ...]
    notices: tuple[str, ...]
    single_points: tuple[SinglePoint, ...] = ()
    spares: tuple[str, ...] = ()
    charging: tuple[Charging, ...] = ()
    unknown: tuple[str, ...] = ()
    not_counted: tuple[NotCounted, ...] = ()
    kept: bool = False
    unfed: tuple[str, ...] = ()

    @property
    def ready(self) -> bool:
        """Whether nothing is short."""
        return not self.shortfalls

    @property
    def changes(self) -> tuple[PlannedChange, ...]:
        """All planned changes of cells, in the order of the clock."""
        changes = [change for feed in self.feeds for change in feed.changes]
        return tuple(sorted(changes, key=lambda c: (c.by, c.unit)))

    @property
    def links(self) -> tuple[Link, ...]:
        """All served links, scene by scene."""
        return tuple(link for needs in self.scenes for link in needs.links)
