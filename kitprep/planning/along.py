"""R11: what spares that were taken need beside themselves: leads, cells, packs and items.

A spare covers a failure only with what it is plugged and fed by. So the day is worked out once for
each unit in use that may fail, from what is carried alone; of everything that goes by number the
list has the most that the day or any one of those days takes. A failure that loses a link even so
is a single point, and asks for nothing. What no number mends (no outlet for the spare, a set that
dies in a scene) is a notice. Without spares nothing is added: nobody has asked to be covered.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from kitprep.planning.brief import Brief
from kitprep.planning.case_weights import case_loads
from kitprep.planning.failure import MOST_LINKS, carried_on
from kitprep.planning.packing import in_packing_order, unit_names
from kitprep.planning.results import PackLine, Shortfall, WorkedDay
from kitprep.planning.solver import Budget
from kitprep.planning.unknown import unknown

Failed = tuple[str, WorkedDay]
"""A tag, and the day without it, from what else is carried."""

WorkOut = Callable[[frozenset[str], float], WorkedDay]
"""The day without some tags, given so many seconds."""


def with_what_spares_need(
    day: WorkedDay, question: Brief, work_out: WorkOut, seconds: float
) -> WorkedDay:
    """The day with the most of everything on its list, whichever unit in use fails."""
    if len(day.links) > MOST_LINKS:
        return _untold(day, f"more than {MOST_LINKS} links")
    budget = Budget.of(seconds)
    packed = {line.key for line in day.packing}
    wanted = set(_routes(day))
    failed: list[Failed] = []
    for loss in carried_on(day, question).losses:
        tag = loss.tags[-1]
        after = work_out(unit_names(day.kit) - (packed - {tag}), budget.left)
        if not budget.left:
            return _untold(day, f"not done in {seconds:.0f} s")
        if wanted <= set(_routes(after)):
            failed.append((tag, after))
    return _raised(day, failed)


def _untold(day: WorkedDay, why: str) -> WorkedDay:
    notice = f"{why}: what spares need beside themselves is not worked out"
    return replace(day, notices=(*day.notices, notice))


def _routes(day: WorkedDay) -> Iterator[tuple[str, str, str]]:
    for link in day.links:
        yield link.scene, link.source, link.destination


def _raised(day: WorkedDay, failed: Sequence[Failed]) -> WorkedDay:
    lines = {line.key: line for line in day.packing}
    raised: dict[str, list[Shortfall]] = {}
    for tag, after in failed:
        for line in after.packing:
            qty = lines[line.key].qty if line.key in lines else 0
            if line.qty > qty:
                lines[line.key] = _more(lines.get(line.key), line, tag)
                raised[line.key] = [s for s in after.shortfalls if s.of == line.key]
    packing = in_packing_order(lines.values(), day.kit)
    cases, overweight = case_loads(packing, day.kit)
    kept = [s for s in day.shortfalls if s.of not in raised and s.kind != "weight"]
    more = [short for shorts in raised.values() for short in shorts]
    after = _counted(replace(day, packing=packing, cases=cases), lines, failed)
    left_out = unknown(
        day.kit, day.plan, day.firmware, day.feeds, after.supplies, after.cells, cases
    )
    return replace(
        after,
        shortfalls=(*kept, *more, *overweight),
        notices=(*day.notices, *_left_short(day, failed)),
        unknown=tuple(left_out),
    )


def _more(before: PackLine | None, line: PackLine, tag: str) -> PackLine:
    """A line as the day without a unit has it, with why there is more of it."""
    if before is None:
        return replace(line, why=f"{line.why}, should {tag} fail")
    more = f"{line.qty - before.qty} more should {tag} fail"
    return replace(line, why=f"{before.why}; {more}")


def _counted(day: WorkedDay, lines: dict[str, PackLine], failed: Sequence[Failed]) -> WorkedDay:
    """The figures of cables, cells, cards and packs as the list has them."""

    def carry(key: str) -> int:
        return lines[key].qty if key in lines else 0

    every = [day, *(after for _, after in failed)]
    cables = {line.name: line for one in reversed(every) for line in one.cables}
    cells = {line.cell: line for one in reversed(every) for line in one.cells}
    cards = {line.name: line for one in reversed(every) for line in one.cards}
    supplies = {load.id: load for one in reversed(every) for load in one.supplies}
    own = {line.cell: line.planned for line in day.cells}
    short = {
        line.cell: max(c.short for one in every for c in one.cells if c.cell == line.cell)
        for line in cells.values()
    }
    return replace(
        day,
        cables=tuple(
            replace(c, carry=(n := carry(f"cable:{c.name}")), short=max(n - c.have, 0))
            for c in sorted(cables.values(), key=lambda c: _place(day, c.name))
        ),
        cells=tuple(
            replace(
                c,
                planned=own.get(c.cell, 0),
                spare=(n := carry(f"cells:{c.cell}")) - own.get(c.cell, 0),
                carry=n,
                short=short[c.cell],
            )
            for _, c in sorted(cells.items())
        ),
        cards=tuple(
            replace(c, carry=(n := carry(f"cards:{c.name}")), short=max(c.short, n - c.have))
            for _, c in sorted(cards.items())
        ),
        supplies=tuple(
            load
            if load.mains
            else replace(load, packs=(n := carry(f"supply:{load.id}")), short=max(n - load.have, 0))
            for supply in day.kit.supplies
            if (load := supplies.get(supply.id)) is not None
        ),
    )


def _place(day: WorkedDay, cable: str) -> int:
    return [own.model for own in day.kit.cables].index(cable)


def _left_short(day: WorkedDay, failed: Sequence[Failed]) -> Iterator[str]:
    """What a failure leaves short that more of something would not mend, each said once."""
    known = {short.what for short in day.shortfalls}
    for tag, after in failed:
        for short in after.shortfalls:
            if short.of is None and short.kind != "weight" and short.what not in known:
                known.add(short.what)
                yield f"should {tag} fail, the spares serve its links, but {short.what}"
