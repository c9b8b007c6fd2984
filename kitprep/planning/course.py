"""One program of the choice, solved order by order, and the plans named on the way.

The counts give a bound that no plan can beat; a plan is measured on its tags. Where naming cannot
keep what the counts promised, the course ends, for what comes after would rest on it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kitprep.planning.board import Board, Split
from kitprep.planning.naming import (
    Selection,
    name_units,
    read_choice,
    values_of,
    with_cheapest_runs,
)
from kitprep.planning.orders import ORDERS, Measure, measure
from kitprep.planning.parts import Part, in_parts, whole
from kitprep.planning.solver import Budget, Goal, Solver, Terms, Values

CHANGES = ORDERS.index("changes")

Ordered = Iterable[tuple[str, list[Goal]]]
"""What to minimise, by order."""
Named = tuple[Measure, Selection]


@dataclass(frozen=True, slots=True)
class Course:
    """What was named on the way, and the bounds proven.

    ``cut_short``: the solver had no more time. Without bounds no plan is as good as was asked.
    """

    named: tuple[Named, ...]
    bounds: Measure
    cut_short: bool


def by_orders(
    board: Board,
    ordered: Ordered,
    known: Measure,
    met: int,
    plan: Selection | None,
    solver: Solver,
    budget: Budget,
    *,
    onward: bool = False,
) -> Course:
    """Best order by order, as far as the time goes and naming keeps what the counts promise.

    ``known`` are the bounds of a coarser split: they hold here too, as far as they are met. So many
    of them as ``met`` are met by ``plan`` already, and are asked for rather than sought again.
    ``onward``: to the last of ORDERS though naming keeps none, for their bounds.
    """
    orders = iter(ordered)
    parts = _asked(board, orders, known[:met], plan)
    bounds, named = list(known[:met]), list[Named]()
    for order, goals in orders:
        if order == "links" and -sum(bounds[0]) == len(board.wants):
            continue
        if order not in ORDERS and onward:
            break
        before = whole(parts)
        least = _least(order, tuple(bounds), known) if len(parts) == 1 else 0
        proven = True
        for part in parts:
            proven = part.meet(goals, least, solver, budget) and proven
        values = whole(parts)
        if values is None and not proven:
            return Course((), (), cut_short=not budget.left)
        if proven and order in ORDERS:
            bounds.append(tuple(sum(part.worth(goal.terms) for part in parts) for goal in goals))
        if values is None:
            continue
        if not named or values != before or order == "changes":
            named.append(_name(board, order, values, solver, budget))
        if not proven:
            return Course(tuple(named), tuple(bounds), cut_short=True)
        kept = named[-1][0][: len(bounds)] == tuple(bounds)
        # Where the changes are not kept, those of the least weight may be.
        if not (kept or onward or order == "changes") or (known and bounds[0] != known[0]):
            break
        if beyond(board.split, tuple(bounds)):
            break  # what comes after may be no bound either
    return Course(tuple(named), tuple(bounds), cut_short=False)


def beyond(split: Split, bounds: Measure) -> bool:
    """Whether the changes are more than the split's runs tell all of: then they are no bound."""
    if not split.in_runs or len(bounds) <= CHANGES:
        return False
    return bounds[CHANGES][0] > split.promised + split.excess


def _asked(
    board: Board,
    orders: Iterator[tuple[str, list[Goal]]],
    bounds: Measure,
    plan: Selection | None,
) -> list[Part]:
    """The program in parts, asked for what a plan meets already: of each what the plan has there.

    No part can have less of it, or all together would have less than the bound.
    """
    program, apart = board.program, list[Terms]()
    here = values_of(board, plan) if plan else {}
    for bound, (order, goals) in zip(bounds, orders, strict=False):
        if order == "served" and board.split.all_served:
            continue
        for goal, figure in zip(goals, bound, strict=True):
            told = goal.terms.keys() <= here.keys()
            if told and sum(c * here[v] for v, c in goal.terms.items()) == figure:
                apart.append(goal.terms)
            else:
                program.at_most(goal.terms, figure)
    parts = in_parts(program)
    for part in parts:
        for terms in apart:
            part.at_most(terms, here)
    return parts


def _name(board: Board, order: str, values: Values, solver: Solver, budget: Budget) -> Named:
    """The values as a plan with tags; once cells count, on the runs that spare most changes."""
    choice = read_choice(board, values)
    selection = name_units(board.brief, choice)
    if selection.unsettled_packs and order not in ORDERS[:CHANGES]:
        unsettled = selection.unsettled_packs
        choice = with_cheapest_runs(board.brief, choice, unsettled, solver, budget)
        selection = name_units(board.brief, choice)
    return measure(board.brief, selection), selection


def _least(order: str, bounds: Measure, known: Measure) -> int:
    """What an order can be at the least, as far as known where the orders before it are met."""
    place = len(bounds)
    if order in ORDERS[1:] and place < len(known) and bounds == known[:place]:
        return known[place][0]
    return 0
