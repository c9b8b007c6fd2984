"""While the job is out: who has what, and what a move must bring."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from kitprep.definitions.kit import Item, Receiver, Transmitter
from kitprep.definitions.plan import Scene
from kitprep.ledger.events import JobState
from kitprep.planning.packing import find_units
from kitprep.planning.reasons import called
from kitprep.planning.results import Link, PackLine, WorkedDay
from kitprep.walks.naming import UNITS
from kitprep.walks.visits import goings
from kitprep.walks.wrap import wrap_view


@dataclass(frozen=True, slots=True)
class Holding:
    """A thing handed out: how many, to whom, and since when (UTC, ISO 8601)."""

    line: PackLine
    holder: str
    qty: int
    since: str


def holdings(day: WorkedDay, job: JobState) -> tuple[Holding, ...]:
    """Everything handed out, by holder, then in packing order."""
    found = [
        Holding(line, hold.holder, hold.qty, hold.since)
        for line in on_the_job(day, job)
        for hold in job.item(line.key).held
    ]
    return tuple(sorted(found, key=lambda holding: holding.holder.casefold()))


def says_handed(day: WorkedDay, job: JobState, key: str, holder: str) -> str:
    """What is to be known when a thing is handed over: from whom it comes, and for whom a pack is
    planned where it goes to another source; empty where there is nothing."""
    says = []
    line_state = job.item(key)
    if line_state.packed == 1 and line_state.holder not in (None, holder):
        says.append(f"{key} was with {line_state.holder}")
    names = {s.id: {s.id.casefold(), called(s).casefold()} for s in day.plan.sources}
    planned = dict.fromkeys(link.source for link in day.links if link.transmitter == key)
    goes_to = next((source for source, said in names.items() if holder.casefold() in said), None)
    if planned and goes_to is not None and goes_to not in planned:
        for_whom = ", ".join(called(s) for s in day.plan.sources if s.id in planned)
        says.append(f"{key} is planned for {for_whom} and goes to {holder}: two would be swapped")
    return "; ".join(says)


def on_the_job(day: WorkedDay, job: JobState) -> tuple[PackLine, ...]:
    """The list, and after it what went out and is on the list no more, such as a unit swapped."""
    went_out = {item.line.key: item.line for item in wrap_view(day, job).items}
    for line in day.packing:
        went_out.pop(line.key, None)
    return (*day.packing, *went_out.values())


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A thing that must come along: how many of it, what it does at this place, what was seen in.

    ``qty`` is what was packed, or what is planned while nothing is packed; 0 where this was not.
    ``seen`` are those counted in where they were not all of them.
    """

    key: str
    name: str
    qty: int
    where: Literal["worn", "rigged", "on a destination", "plugged in", "handed out", "laid out"]
    with_whom: str
    aboard: bool
    counted: bool
    seen: int = 0


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
        return all(line.aboard for line in self.to_come)

    @property
    def to_come(self) -> tuple[MoveLine, ...]:
        """What is there to come along."""
        return tuple(line for line in self.lines if line.qty)


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
        if receivers & set(load.units) and here & set(load.scenes):
            doing[f"supply:{load.id}"] = ("plugged in", ", ".join(load.units))
    for holding in holdings(day, job):
        doing.setdefault(holding.line.key, ("handed out", job.item(holding.line.key).holder or ""))
    for item in day.kit.items:
        if whom := _laid_out(day, item, links):
            doing.setdefault(f"item:{item.model}", ("laid out", whom))
    return doing


def _laid_out(day: WorkedDay, item: Item, links: Sequence[Link]) -> str:
    """With what an item stands about where these links are; empty where it does not.

    It does where it goes along with a unit in use here, is counted by what stands apart from worn
    packs, or is said to be laid out at a place.
    """
    models = find_units(day.kit)
    tags = dict.fromkeys(tag for x in links for tag in (x.transmitter, x.receiver))
    units = {tag: models[tag][0] for tag in tags}
    along = [
        tag
        for tag, model in units.items()
        if isinstance(model, Transmitter | Receiver) and item.model in model.travels_with
    ]
    if along:
        return ", ".join(along)
    if item.per in ("plug-on", "handheld", "boom-pack"):
        return ", ".join(t for t, m in units.items() if getattr(m, "form", None) == item.per)
    if item.per == "destination":
        return ", ".join(dict.fromkeys(link.destination for link in links))
    if item.per == "stereo-link":
        return ", ".join(dict.fromkeys(x.source for x in links if x.mode == "stereo"))
    if item.per == "listener":
        return "listeners" if links and day.plan.listeners else ""
    return "here" if item.laid_out and links else ""


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
    packing_has_begun = any(item.packed for item in job.items.values())
    for line in on_the_job(day, job):
        if line.key in doing:
            state = job.item(line.key)
            times = sum(at == place and line.key in there for at, there in left)
            aboard = state.seen_in.count(place) >= times
            at, seen = state.part_in or ("", 0)
            where, with_whom = doing[line.key]
            yield MoveLine(
                line.key,
                line.name,
                state.packed if packing_has_begun else line.qty,
                where,  # type: ignore[arg-type]
                with_whom,
                aboard,
                line.kind not in UNITS,
                seen if at == place and not aboard else 0,
            )


def _needs(day: WorkedDay, scenes: Sequence[Scene]) -> tuple[str, ...]:
    """What has to be at the next place before its first scene."""
    here = {scene.number for scene in scenes}
    receivers = {link.receiver for link in day.links if link.scene in here}
    mains = {supply.id for supply in day.kit.supplies if supply.mains}
    needs = [
        f"mains for {', '.join(load.units)}, on a circuit that a licensed person gives you"
        for load in day.supplies
        if load.id in mains and receivers & set(load.units) and here & set(load.scenes)
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
