"""Two worked-out days side by side: what is served, short, hired, packed, worn and changed
otherwise.

What the plans say in words (names, notes) is not compared; what has to be carried and worn is.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from kitprep.planning.hire import hired_as
from kitprep.planning.results import Hire, Link, Route, Shortfall, Unserved, WorkedDay
from kitprep.planning.supplies import called


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the bag that differs; the numbers are of the earlier and of the later day.

    ``in_case`` is what people call its case.
    """

    key: str
    name: str
    case: str | None
    in_case: str
    before: int
    after: int

    @property
    def more(self) -> int:
        """How many more the later day packs; below 0, how many fewer."""
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Worn:
    """What a source has on each of the two days; None where it is in neither scene nor plan."""

    source: str
    name: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Plugged:
    """Where a source comes in at a destination on each of the two days."""

    source: str
    name: str
    destination: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Fed:
    """When a unit gets fresh cells, or a supply a fresh pack, on each of the two days.

    ``name`` is what people call it, ``what`` goes in.
    """

    unit: str
    name: str
    what: str
    before: tuple["Fresh", ...]
    after: tuple["Fresh", ...]


@dataclass(frozen=True, slots=True)
class Fresh:
    """Fresh cells or a fresh pack by a minute: before a scene, or within one that outlasts it."""

    by: int
    scene: str
    mid_scene: bool


@dataclass(frozen=True, slots=True)
class Difference:
    """From a day to the day that it would be.

    ``served`` and ``unserved`` are links that were not so before; ``dropped`` those that nobody
    wants any more. Hire lists are of the one day and of the other, ``called`` is what people call
    their models; ``ready`` is the other's. ``silent`` are sources that the other day alone has, and
    has in no scene.
    """

    served: tuple[Route, ...]
    unserved: tuple[Unserved, ...]
    dropped: tuple[Route, ...]
    newly_short: tuple[Shortfall, ...]
    no_longer_short: tuple[Shortfall, ...]
    hire_before: tuple[Hire, ...]
    hire_after: tuple[Hire, ...]
    to_add: tuple[Change, ...]
    to_leave: tuple[Change, ...]
    worn: tuple[Worn, ...]
    plugged: tuple[Plugged, ...]
    fed: tuple[Fed, ...]
    called: dict[str, str]
    silent: tuple[str, ...]
    ready: bool

    @property
    def nothing(self) -> bool:
        """Whether it makes no difference at all."""
        changed = (self.served, self.unserved, self.dropped, self.newly_short, self.no_longer_short)
        packed = (self.to_add, self.to_leave, self.worn, self.plugged, self.fed, self.silent)
        return not any((*changed, *packed)) and self.hire_before == self.hire_after


def difference(before: WorkedDay, after: WorkedDay) -> Difference:
    """What becomes of a day; scene by scene, then in packing order and in the order of sources."""
    was_served, is_served = _served(before), _served(after)
    was_unserved = {_route(unserved) for unserved in _unserved(before)}
    wanted = {*is_served, *(_route(unserved) for unserved in _unserved(after))}
    was_wanted = [*was_served, *(_route(u) for u in _unserved(before))]
    was_short, is_short = set(before.shortfalls), set(after.shortfalls)
    return Difference(
        tuple(route for route in is_served if route not in was_served),
        tuple(u for u in _unserved(after) if _route(u) not in was_unserved),
        tuple(route for route in was_wanted if route not in wanted),
        tuple(short for short in after.shortfalls if short not in was_short),
        tuple(short for short in before.shortfalls if short not in is_short),
        before.hire,
        after.hire,
        tuple(bag(before, after, by=after)),
        tuple(bag(before, after, by=before)),
        tuple(worn(before, after)),
        tuple(plugged(before, after)),
        tuple(_fed(before, after)),
        {h.model: hired_as(after.kit, h.model) for h in (*before.hire, *after.hire)},
        tuple(_silent(before, after)),
        after.ready,
    )


def _fed(before: WorkedDay, after: WorkedDay) -> Iterator[Fed]:
    """Changes of cells and of packs that move, come or go, by unit."""
    one, other = _changes(before), _changes(after)
    names = {supply.id: called(supply) for supply in after.kit.supplies}
    for unit, what in dict.fromkeys((*other, *one)):
        was, will_be = one.get((unit, what), ()), other.get((unit, what), ())
        if was != will_be:
            yield Fed(unit, names.get(unit, unit), what, was, will_be)


def _changes(day: WorkedDay) -> dict[tuple[str, str], tuple[Fresh, ...]]:
    found: dict[tuple[str, str], tuple[Fresh, ...]] = {}
    swaps = [swap for load in day.supplies for swap in load.swaps]
    fresh = [(c.unit, c.cell, Fresh(c.by, c.before, c.mid_scene)) for c in day.changes]
    fresh += [(s.supply, "pack", Fresh(s.by, s.before, s.mid_scene)) for s in swaps]
    for unit, what, when in fresh:
        found[unit, what] = (*found.get((unit, what), ()), when)
    return found


def _silent(before: WorkedDay, after: WorkedDay) -> Iterator[str]:
    """Sources that are new and in no scene: nobody would hear them."""
    known = {source.id for source in before.plan.sources}
    heard = {source for needs in after.scenes for source in needs.scene.sources}
    for source in after.plan.sources:
        if source.id not in known | heard:
            yield source.name or source.id


def _served(day: WorkedDay) -> dict[Route, None]:
    """Served links, in order."""
    return {_route(link): None for link in day.links}


def _unserved(day: WorkedDay) -> list[Unserved]:
    return [unserved for needs in day.scenes for unserved in needs.unserved]


def _route(link: Link | Unserved) -> Route:
    return Route(link.scene, link.source, link.destination)


def bag(before: WorkedDay, after: WorkedDay, by: WorkedDay) -> Iterator[Change]:
    """The lines of which the day ``by`` packs more than the other."""
    one, other = ({line.key: line.qty for line in day.packing} for day in (before, after))
    cases = {case.id: case.name for case in by.kit.cases}
    for line in by.packing:
        in_case = cases.get(line.case or "", "")
        numbers = (one.get(line.key, 0), other.get(line.key, 0))
        change = Change(line.key, line.name, line.case, in_case, *numbers)
        if change.more > 0 if by is after else change.more < 0:
            yield change


def _names(*days: WorkedDay) -> dict[str, str]:
    """Every source of both days, the later day's first, with what people call it."""
    found: dict[str, str] = {}
    for day in reversed(days):
        for source in day.plan.sources:
            found.setdefault(source.id, source.name or source.id)
    return found


def worn(before: WorkedDay, after: WorkedDay) -> Iterator[Worn]:
    """What is worn otherwise, in the order of the sources."""
    one, other = _packs(before), _packs(after)
    for source, name in _names(before, after).items():
        if one.get(source) != other.get(source):
            yield Worn(source, name, one.get(source), other.get(source))


def _packs(day: WorkedDay) -> dict[str, str]:
    return {
        link.source: link.transmitter + (f" with {link.adapter}" if link.adapter else "")
        for link in day.links
    }


def plugged(before: WorkedDay, after: WorkedDay) -> Iterator[Plugged]:
    """What comes in elsewhere, in the order of the sources."""
    one, other = _inputs(before), _inputs(after)
    names = _names(before, after)
    order = {source: n for n, source in enumerate(names)}
    for source, destination in sorted({*one, *other}, key=lambda key: (order[key[0]], key[1])):
        key = (source, destination)
        if one.get(key) != other.get(key):
            yield Plugged(source, names[source], destination, one.get(key), other.get(key))


def _inputs(day: WorkedDay) -> dict[tuple[str, str], str]:
    return {(link.source, link.destination): _at(link) for link in day.links}


def _at(link: Link) -> str:
    return "+".join(map(str, link.inputs))
