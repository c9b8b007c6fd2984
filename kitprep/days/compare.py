"""Two worked-out days side by side: what joins the bag, what leaves it, who wears what now.

What the plans say in words (names, notes) is not compared; what has to be carried and worn is. Of
cells that are used up the first day's spares alone are in the bag for the later one.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from kitprep.planning.difference import Change, Plugged, Worn, bag, plugged, worn
from kitprep.planning.held import used_up
from kitprep.planning.results import WorkedDay
from kitprep.reports.whatif import change_json


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
    over = _left_over(before) if before.plan.day < after.plan.day else before
    return Comparison(
        _name(before),
        _name(after),
        tuple(bag(over, after, by=after)),
        tuple(bag(over, after, by=over)),
        tuple(worn(before, after)),
        tuple(plugged(before, after)),
        after.ready,
    )


def _left_over(day: WorkedDay) -> WorkedDay:
    """The day with its bag as it is in the evening: without the cells that it has used up."""
    spent = used_up(day.kit)
    planned = {f"cells:{cells.cell}": cells.planned for cells in day.cells}
    lines = [
        replace(line, qty=line.qty - planned[line.key]) if line.key in spent else line
        for line in day.packing
    ]
    return replace(day, packing=tuple(lines))


def _name(day: WorkedDay) -> str:
    title = f", {day.plan.title}" if day.plan.title else ""
    return f"{day.plan.day.isoformat()}{title}"


def compare_json(found: Comparison) -> dict[str, Any]:
    """The comparison for a program."""
    return {
        "before": found.before,
        "after": found.after,
        "alike": found.alike,
        "ready": found.ready,
        "add": [change_json(change) for change in found.to_add],
        "leave": [change_json(change) for change in found.to_leave],
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
    case = f"  ({change.in_case})" if change.in_case else ""
    if {change.before, change.after} == {0, 1} and ":" not in change.key:
        return f"  {change.key:<12} {change.name}{case}"
    counts = f"{abs(change.more)} × "
    return f"  {counts:<12} {change.name}, {change.before} to {change.after}{case}"


def _pairs(changes: list[tuple[str, str | None, str | None]], none: str) -> list[str]:
    """Names in one column, as wide as the widest, and from what to what."""
    wide = max((len(name) for name, _, _ in changes), default=0)
    return [f"  {name:<{wide}}  {one or none} to {other or none}" for name, one, other in changes]
