"""While the job is out: who has what, which cells are due, what sleeps, what a move must bring."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from kitprep.definitions.kit import Transmitter
from kitprep.definitions.plan import Scene
from kitprep.ledger.events import JobState
from kitprep.planning.packing import find_units
from kitprep.planning.results import PackLine, PlannedChange, WorkedDay
from kitprep.walks.visits import goings
from kitprep.walks.wrap import wrap_view

DUE_SOON = 30
"""Minutes before a change's latest moment in which it counts as due."""

Due = Literal["overdue", "due", "later", "none left"]


@dataclass(frozen=True, slots=True)
class Holding:
    """A thing handed out: to whom, and since when (UTC, ISO 8601)."""

    line: PackLine
    holder: str
    since: str


def holdings(day: WorkedDay, job: JobState) -> tuple[Holding, ...]:
    """Everything handed out, by holder, then in packing order."""
    found = []
    for line in on_the_job(day, job):
        state = job.item(line.key)
        if state.holder is not None:
            found.append(Holding(line, state.holder, state.holder_since or ""))
    return tuple(sorted(found, key=lambda holding: holding.holder.casefold()))


def on_the_job(day: WorkedDay, job: JobState) -> tuple[PackLine, ...]:
    """The list, and after it what went out and is on the list no more, such as a unit swapped."""
    went_out = {item.line.key: item.line for item in wrap_view(day, job).items}
    for line in day.packing:
        went_out.pop(line.key, None)
    return (*day.packing, *went_out.values())


@dataclass(frozen=True, slots=True)
class CellLine:
    """A unit's cells against the schedule: changes made, and the next that is planned."""

    unit: str
    cell: str
    made: int
    planned: int
    next: PlannedChange | None
    due: Due


def cell_round(day: WorkedDay, job: JobState, minute: int) -> tuple[CellLine, ...]:
    """Every unit on cells at a minute of the day, the most pressing first.

    The first change made stands for the first one planned, and so on; one made early puts nothing
    else off, for the schedule was reckoned with the latest moments.
    """
    lines = []
    for feed in day.feeds:
        state = job.item(feed.unit)
        made = state.changes_before + len(state.cells_changed)
        coming = feed.changes[made] if made < len(feed.changes) else None
        lines.append(
            CellLine(feed.unit, feed.cell, made, len(feed.changes), coming, _due(coming, minute))
        )
    order: tuple[Due, ...] = ("overdue", "due", "later", "none left")
    return tuple(
        sorted(lines, key=lambda line: (order.index(line.due), line.next.by if line.next else 0))
    )


def _due(change: PlannedChange | None, minute: int) -> Due:
    if change is None:
        return "none left"
    if minute > change.by:
        return "overdue"
    return "due" if minute >= change.by - DUE_SOON else "later"


@dataclass(frozen=True, slots=True)
class Sleep:
    """Packs that are out, by whether they were last put to sleep or woken: two counts."""

    asleep: tuple[str, ...]
    awake: tuple[str, ...]


def sleeping(day: WorkedDay, job: JobState) -> Sleep:
    """The packs of the day's links: put to sleep, and awake."""
    packs = dict.fromkeys(link.transmitter for link in day.links)
    asleep = tuple(tag for tag in packs if job.item(tag).asleep)
    return Sleep(asleep, tuple(tag for tag in packs if tag not in asleep))


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A thing that must come along: what it does at this place, and whether it has been seen in."""

    key: str
    name: str
    where: Literal["worn", "rigged", "on a destination", "plugged in", "handed out"]
    with_whom: str
    aboard: bool


@dataclass(frozen=True, slots=True)
class Move:
    """A company move: from the last scene at one place to the first at the next."""

    leaving: Scene
    coming: Scene
    lines: tuple[MoveLine, ...]
    needs: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether everything has been seen in."""
        return all(line.aboard for line in self.lines)


def moves(day: WorkedDay, job: JobState) -> tuple[Move, ...]:
    """The day's company moves: wherever a source or a destination goes on to another place."""
    found = []
    left: dict[int, tuple[str, Doing]] = {}
    for going in goings(day.plan):
        place, doing = going.leaving.place, _doing(day, job, going.before)
        left.setdefault(going.visit, (place, doing))
        lines = tuple(_leaving(day, job, place, doing, tuple(left.values())))
        found.append(Move(going.leaving, going.coming, lines, _needs(day, going.there)))
    return tuple(sorted(found, key=lambda move: move.leaving.end))


Doing = dict[str, tuple[str, str]]
"""What each thing that is in use does, and for whom."""


def _doing(day: WorkedDay, job: JobState, scenes: Sequence[Scene]) -> Doing:
    """Everything in use in these scenes, and what is handed out."""
    here = {scene.number for scene in scenes}
    links = [link for link in day.links if link.scene in here]
    models = find_units(day.kit)
    doing: Doing = {}
    for link in links:
        model = models[link.transmitter][0]
        worn = isinstance(model, Transmitter) and model.form in ("bodypack", "boom-pack")
        doing[link.transmitter] = ("worn" if worn else "rigged", link.source)
        if link.adapter is not None:
            doing[link.adapter] = ("rigged", f"on {link.transmitter}")
        doing[link.receiver] = ("on a destination", link.destination)
    receivers = {link.receiver for link in links}
    for load in day.supplies:
        if receivers & set(load.units):
            doing[f"supply:{load.id}"] = ("plugged in", ", ".join(load.units))
    for holding in holdings(day, job):
        doing.setdefault(holding.line.key, ("handed out", holding.holder))
    return doing


def _leaving(
    day: WorkedDay,
    job: JobState,
    place: str,
    doing: Doing,
    left: Sequence[tuple[str, Doing]],
) -> Iterator[MoveLine]:
    """Everything that is in use, once each, in packing order.

    It is aboard once it was seen in as often as the place has been left with it, this time too.
    """
    for line in on_the_job(day, job):
        if line.key in doing:
            times = sum(at == place and line.key in there for at, there in left)
            aboard = job.item(line.key).seen_in.count(place) >= times
            where, with_whom = doing[line.key]
            yield MoveLine(line.key, line.name, where, with_whom, aboard)  # type: ignore[arg-type]


def _needs(day: WorkedDay, scenes: Sequence[Scene]) -> tuple[str, ...]:
    """What has to be at the next place before its first scene."""
    here = {scene.number for scene in scenes}
    receivers = {link.receiver for link in day.links if link.scene in here}
    mains = {supply.id for supply in day.kit.supplies if supply.mains}
    needs = [
        f"mains for {', '.join(load.units)}, on a circuit that a licensed person gives you"
        for load in day.supplies
        if load.id in mains and receivers & set(load.units)
    ]
    inputs = {
        (link.destination, n) for link in day.links if link.scene in here for n in link.inputs
    }
    needs += [
        f"{sum(1 for at, _ in inputs if at == d.id)} inputs at {d.name or d.id}"
        for d in day.plan.destinations
        if any(at == d.id for at, _ in inputs)
    ]
    return tuple(needs)
