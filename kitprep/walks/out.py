"""While the job is out: who has what, which cells are due, what sleeps, what a move must bring."""

from dataclasses import dataclass
from typing import Literal

from kitprep.definitions.kit import Transmitter
from kitprep.definitions.plan import Scene
from kitprep.ledger.events import JobState
from kitprep.planning.packing import find_units
from kitprep.planning.results import PackLine, PlannedChange, WorkedDay

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
    for line in day.packing:
        state = job.item(line.key)
        if state.holder is not None:
            found.append(Holding(line, state.holder, state.holder_since or ""))
    return tuple(sorted(found, key=lambda holding: holding.holder.casefold()))


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
        made = len(job.item(feed.unit).cells_changed)
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
    scenes = [needs.scene for needs in day.scenes]
    found = []
    for place in dict.fromkeys(scene.place for scene in scenes if scene.place):
        here = [scene for scene in scenes if scene.place == place]
        last = max(here, key=lambda scene: scene.end)
        users = {s for scene in here for s in scene.sources}
        after = [s for s in scenes if s.start >= last.end and s.place and s.place != place]
        coming = next((scene for scene in after if users & set(scene.sources)), None)
        if coming is not None:
            found.append(Move(last, coming, _leaving(day, job, place), _needs(day, coming)))
    return tuple(sorted(found, key=lambda move: move.leaving.end))


def _leaving(day: WorkedDay, job: JobState, place: str) -> tuple[MoveLine, ...]:
    """Everything in use at a place, once each, in packing order."""
    here = {needs.scene.number for needs in day.scenes if needs.scene.place == place}
    links = [link for link in day.links if link.scene in here]
    models = find_units(day.kit)
    doing: dict[str, tuple[str, str]] = {}
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
    return tuple(
        MoveLine(
            line.key,
            line.name,
            doing[line.key][0],  # type: ignore[arg-type]
            doing[line.key][1],
            job.item(line.key).place == place,
        )
        for line in day.packing
        if line.key in doing
    )


def _needs(day: WorkedDay, coming: Scene) -> tuple[str, ...]:
    """What has to be at the next place before its first scene."""
    here = {n.scene.number for n in day.scenes if n.scene.place == coming.place}
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
