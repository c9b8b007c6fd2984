"""Two worked-out days side by side: what joins the bag, what leaves it, who wears what now.

What the plans say in words (names, notes) is not compared; what has to be carried and worn is.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kitprep.planning.results import Link, WorkedDay


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the bag that differs; the numbers are of the earlier and of the later day."""

    key: str
    name: str
    case: str | None
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
class Comparison:
    """From the one day to the other."""

    before: str
    after: str
    to_add: tuple[Change, ...]
    to_leave: tuple[Change, ...]
    worn: tuple[Worn, ...]
    plugged: tuple[Plugged, ...]
    ready: bool

    @property
    def alike(self) -> bool:
        """Whether the same bag is worn by the same people on the same inputs."""
        return not (self.to_add or self.to_leave or self.worn or self.plugged)


def compare(before: WorkedDay, after: WorkedDay) -> Comparison:
    """What is different on the later day, in packing order and in the order of the sources."""
    return Comparison(
        _name(before),
        _name(after),
        tuple(_bag(before, after, by=after)),
        tuple(_bag(before, after, by=before)),
        tuple(_worn(before, after)),
        tuple(_plugged(before, after)),
        after.ready,
    )


def _name(day: WorkedDay) -> str:
    title = f", {day.plan.title}" if day.plan.title else ""
    return f"{day.plan.day.isoformat()}{title}"


def _bag(before: WorkedDay, after: WorkedDay, by: WorkedDay) -> Iterator[Change]:
    """The lines of which the day ``by`` packs more than the other."""
    one, other = ({line.key: line.qty for line in day.packing} for day in (before, after))
    for line in by.packing:
        change = Change(
            line.key, line.name, line.case, one.get(line.key, 0), other.get(line.key, 0)
        )
        if change.more > 0 if by is after else change.more < 0:
            yield change


def _names(*days: WorkedDay) -> dict[str, str]:
    """Every source of both days, the later day's first, with what people call it."""
    found: dict[str, str] = {}
    for day in reversed(days):
        for source in day.plan.sources:
            found.setdefault(source.id, source.name or source.id)
    return found


def _worn(before: WorkedDay, after: WorkedDay) -> Iterator[Worn]:
    one, other = _packs(before), _packs(after)
    for source, name in _names(before, after).items():
        if one.get(source) != other.get(source):
            yield Worn(source, name, one.get(source), other.get(source))


def _packs(day: WorkedDay) -> dict[str, str]:
    return {
        link.source: link.transmitter + (f" with {link.adapter}" if link.adapter else "")
        for link in day.links
    }


def _plugged(before: WorkedDay, after: WorkedDay) -> Iterator[Plugged]:
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


def compare_json(found: Comparison) -> dict[str, Any]:
    """The comparison for a program."""
    return {
        "before": found.before,
        "after": found.after,
        "alike": found.alike,
        "ready": found.ready,
        "add": [_change_json(change) for change in found.to_add],
        "leave": [_change_json(change) for change in found.to_leave],
        "worn": [{"source": w.source, "before": w.before, "after": w.after} for w in found.worn],
        "inputs": [
            {
                "source": p.source,
                "destination": p.destination,
                "before": p.before,
                "after": p.after,
            }
            for p in found.plugged
        ],
    }


def _change_json(change: Change) -> dict[str, Any]:
    return {
        "key": change.key,
        "name": change.name,
        "case": change.case,
        "before": change.before,
        "after": change.after,
    }


def compare_text(found: Comparison) -> str:
    """The comparison for a person with the bag open."""
    return "\n".join(_lines(found)) + "\n"


def _lines(found: Comparison) -> Iterator[str]:
    yield f"From {found.before}"
    yield f"to   {found.after}"
    if found.alike:
        yield "The same bag, on the same people, into the same inputs."
    yield from _section("ADD TO THE BAG", [_bag_line(change) for change in found.to_add])
    yield from _section("LEAVE OUT", [_bag_line(change) for change in found.to_leave])
    worn = [(w.name, w.before, w.after) for w in found.worn]
    yield from _section("WHO WEARS WHAT", _pairs(worn, "nothing"))
    plugged = [(f"{p.name}, {p.destination}", p.before, p.after) for p in found.plugged]
    yield from _section("INPUTS", _pairs(plugged, "none"))
    if not found.ready:
        yield ""
        yield "The later day is short of something; kitprep needs says of what."


def _section(heading: str, lines: list[str]) -> Iterator[str]:
    if lines:
        yield ""
        yield heading
        yield from lines


def _bag_line(change: Change) -> str:
    case = f"  ({change.case})" if change.case else ""
    if {change.before, change.after} == {0, 1} and ":" not in change.key:
        return f"  {change.key:<12} {change.name}{case}"
    counts = f"{abs(change.more)} × "
    return f"  {counts:<12} {change.name}, {change.before} to {change.after}{case}"


def _pairs(changes: list[tuple[str, str | None, str | None]], none: str) -> list[str]:
    """Names in one column, as wide as the widest, and from what to what."""
    wide = max((len(name) for name, _, _ in changes), default=0)
    return [f"  {name:<{wide}}  {one or none} to {other or none}" for name, one, other in changes]
