"""R4: which chain serves which link, one order after the other, each proven before the next.

The choice is made over counts of identical units and named afterwards. Where naming cannot keep
what the counts promised, those parts are told apart and the choice is made again. The counts give a
bound that no plan can beat; an order is proven of the named plan where it meets the bound.

First comes only what is served; then plans in which no source changes its module, which are quickly
told; and only where these serve less, all plans. A round asks for what a plan already met and seeks
the rest.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from kitprep.planning.board import Board, Split
from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Selection, name_units, read_choice, with_cheapest_runs
from kitprep.planning.orders import ORDERS, Measure, class_weights, measure
from kitprep.planning.program import lay_out, lay_service, most_served
from kitprep.planning.runs import runs_within
from kitprep.planning.seats import by_source, seats_apart
from kitprep.planning.solver import (
    LARGEST_COEFFICIENT,
    Budget,
    Goal,
    Program,
    Solver,
    Terms,
    in_order,
    keeps,
    total,
)

MOST_SEATS = 6_000
"""Seats of a spot's links up to which its modules are told apart: more were never finished."""

CHANGES = ORDERS.index("changes")


@dataclass(frozen=True, slots=True)
class Chosen:
    """A selection, and which of R4's orders are proven best for it."""

    selection: Selection
    proven: tuple[str, ...]


Named = tuple[Measure, Selection]
Values = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Course:
    """One program solved: what was named on the way, and the bounds proven.

    ``cut_short``: the solver had no more time. Without bounds no plan is as good as was asked.
    """

    named: tuple[Named, ...]
    bounds: Measure
    cut_short: bool


def choose(brief: Brief, solver: Solver, seconds: float) -> Chosen:
    """The best selection, by R4's orders, within a time by the wall clock."""
    budget = Budget.of(seconds)
    service = lay_service(brief, Program())
    course = _by_orders(service, [("served", most_served(service))], (), 0, solver, budget)
    found = list(course.named)
    known = course.bounds
    proven = _proven(known, found[-1][0])
    split = Split(all_served=bool(known) and -sum(known[0]) == len(brief.wants))
    while budget.left and not course.cut_short:
        worth, _ = min(found, key=_measured)
        met = len(_proven(known, worth))
        if met == 1 and not split.all_served:
            met = 0  # which links to leave out is sought again far sooner than asked for
        board = lay_out(brief, split)
        course = _by_orders(board, _goals(board), known, met, solver, budget)
        found += course.named
        worth, _ = min(found, key=_measured)
        if _untold(brief, split, course.bounds, known):
            finer = replace(split, still=False, names=1 if split.still else 1 + worth[1][0])
            known = known[:1]
        elif course.named:
            known = course.bounds
            finer = split if course.cut_short else _finer(brief, split, known, worth, found[-1])
        else:
            finer = split
        proven = max(proven, _proven(known, worth), key=len)
        if finer == split and not course.cut_short:
            break
        split = finer
    else:
        # Out of time with tags still to settle: all orders are proven only of what is the same
        # plan on every machine.
        proven = tuple(order for order in proven if order != ORDERS[-1])
    # Of equals the last: it alone is of the lowest tags.
    return Chosen(min(reversed(found), key=_measured)[1], proven)


def _measured(named: Named) -> Measure:
    return named[0]


def _untold(brief: Brief, split: Split, bounds: Measure, known: Measure) -> bool:
    """Whether a plan that the split cannot tell may be better: then its bounds are none."""
    if not split.still and not any(by_source(brief, split, spot) for spot in split.apart):
        return False
    return bounds[:1] != known[:1] or (len(bounds) > 1 and bounds[1][0] >= split.names)


def _proven(bounds: Measure, worth: Measure) -> tuple[str, ...]:
    """The orders, up to the first that has no bound or does not meet it."""
    kept = []
    for order, bound, figure in zip(ORDERS, bounds, worth, strict=False):
        if bound != figure:
            break
        kept.append(order)
    return tuple(kept)


def _finer(brief: Brief, split: Split, known: Measure, worth: Measure, last: Named) -> Split:
    """The split that also tells apart what stood in naming's way at the first order not kept."""
    figures, named = last
    kept = _proven(known, figures)
    order = next((order for order in ORDERS if order not in kept), None)
    if order == "modules":
        few = {s for s in named.unsettled_spots if seats_apart(brief, split, s) <= MOST_SEATS}
        return replace(split, apart=split.apart | few)
    if order == "changes" and len(known) > CHANGES:
        # No run of a plan as good as the best has more excess than that has over the bound.
        excess = max(split.excess, worth[CHANGES][0] - known[CHANGES][0])
        told = frozenset(
            place
            for place in split.in_runs | named.unsettled_packs
            if runs_within(brief, place, brief.takers[place], excess) is not None
        )
        return replace(split, in_runs=told, excess=excess if told else 0)
    return split


def _by_orders(
    board: Board,
    ordered: Iterable[tuple[str, list[Goal]]],
    known: Measure,
    met: int,
    solver: Solver,
    budget: Budget,
) -> _Course:
    """Best order by order, as far as the time goes and naming keeps what the counts promise.

    ``known`` are the bounds of a coarser split: they hold here too, as far as they are met. So many
    of them as ``met`` are met by a plan already, and are asked for rather than sought again.
    """
    program, orders = board.program, iter(ordered)
    for bound, (_, goals) in zip(known[:met], orders, strict=False):
        for goal, figure in zip(goals, bound, strict=True):
            program.at_most(goal.terms, figure)
    bounds, named, values = list(known[:met]), list[Named](), _nothing(program)
    for order, goals in orders:
        if order == "links" and -sum(bounds[0]) == len(board.brief.wants):
            continue
        before, least = values, _least(order, tuple(bounds), known)
        values, proven = _meet(program, goals, least, values, solver, budget)
        if values is None and not proven:
            return _Course((), (), cut_short=not budget.left)
        if proven and order in ORDERS:
            bounds.append(tuple(total(goal.terms, values) if values else 0 for goal in goals))
        if values is None:
            continue
        if not named or values != before or order == "changes":
            named.append(_name(board, order, values, solver, budget))
        if not proven:
            return _Course(tuple(named), tuple(bounds), cut_short=True)
        kept = named[-1][0][: len(bounds)] == tuple(bounds)
        # Where the changes are not kept, those of the least weight may be.
        if not (kept or order == "changes") or (known and bounds[0] != known[0]):
            break
    return _Course(tuple(named), tuple(bounds), cut_short=False)


def _nothing(program: Program) -> Values | None:
    """The values of a plan that serves nothing, where that may be."""
    nothing = (0,) * len(program.upper)
    return nothing if keeps(program, nothing) else None


def _meet(
    program: Program,
    goals: list[Goal],
    least: int,
    values: Values | None,
    solver: Solver,
    budget: Budget,
) -> tuple[Values | None, bool]:
    """Values best for an order, which then stays met, and whether that is proven.

    No values where none were needed yet, or none exist or were found in time. Where time runs out,
    the better of the best found and the values so far.
    """
    if least:
        program.at_least(goals[0].terms, least)
    for objective in in_order(goals):
        if values is not None and _settled(objective, values, least):
            program.at_most(objective, total(objective, values))
            continue
        if values is None and not any(objective.values()):
            continue
        answer = solver(program, objective, budget.left)
        if answer is None:
            return values, False
        if not answer.proven:
            so_far = values or answer.values
            better = total(objective, answer.values) < total(objective, so_far)
            return answer.values if better else so_far, False
        values = answer.values
        program.at_most(objective, total(objective, values))
    return values, True


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


def _settled(objective: Terms, values: Values, least: int) -> bool:
    """Whether nothing can be lower than these values."""
    return all(c >= 0 for c in objective.values()) and total(objective, values) <= least


def _goals(board: Board) -> Iterator[tuple[str, list[Goal]]]:
    """R4's orders, as what to minimise."""
    yield "served", most_served(board)
    yield "modules", [_alone(dict.fromkeys(board.moves, 1))]
    yield "cells", [_alone(_outlasting(board))]
    yield "units", [_alone(_counts(board))]
    yield "changes", [_alone(_changes(board))]
    yield "weight", [_alone(_weight(board))]
    # Between equals: links of what is written first, then the lowest tags, source by source.
    yield "links", [_alone(_written_first(board))]
    yield "tags", [*_lowest_senders(board), _alone(_lowest_receivers(board))]


def _alone(terms: Terms) -> Goal:
    """A goal of large figures, never added up with others."""
    return Goal(terms, LARGEST_COEFFICIENT)


def _outlasting(board: Board) -> Terms:
    brief, models = board.brief, board.brief.pool.transmitters
    return {
        v: brief.outlasted(source, models[sender.transmitter].model)
        for (source, sender), v in board.takes.items()
    }


def _counts(board: Board) -> Terms:
    counts = (*board.packs.values(), *board.adapters.values(), *board.placed.values())
    return dict.fromkeys(counts, 1)


def _changes(board: Board) -> Terms:
    """Of each source what is promised; of a run, where they are told apart, what it costs."""
    brief, models = board.brief, board.brief.pool.transmitters
    apart = {place for place, _ in board.runs}
    terms = {
        v: brief.changes_promised(source, sender.transmitter)
        for (source, sender), v in board.takes.items()
        if sender.transmitter not in apart
    }
    runs = board.runs.items()
    return terms | {v: brief.planned_changes(run, models[place].model) for (place, run), v in runs}


def _weight(board: Board) -> Terms:
    weights = class_weights(board.brief.pool)
    return {
        **{v: weights.transmitters[place] for place, v in board.packs.items()},
        **{v: weights.adapters[place] for place, v in board.adapters.items()},
        **{v: weights.receivers[place] for (place, _), v in board.placed.items()},
    }


def _written_first(board: Board) -> Terms:
    """Links by the place in which their source is written, and in it their destination."""
    ports = [
        (number, destination)
        for number, source in enumerate(board.brief.sources)
        for destination, _ in source.ports
    ]
    ranks = {port: rank for rank, port in enumerate(ports)}
    return {v: ranks[want.source, want.destination] for (want, _), v in board.heard.items()}


def _lowest_senders(board: Board) -> Iterator[Goal]:
    """Source by source as written, the sender that holds what it wears, then of the lowest tags."""
    packs, sources = board.brief.pool.transmitters, board.brief.sources
    options: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for (source, sender), variable in board.takes.items():
        adapter = -1 if sender.adapter is None else sender.adapter
        options[source].append((sender.transmitter, adapter, variable))
    for source, mine in sorted(options.items()):
        wears = sources[source].wears
        mine.sort(key=lambda option: (wears not in packs[option[0]].tags, option))
        ranks = {variable: rank for rank, (_, _, variable) in enumerate(mine)}
        yield Goal(ranks, len(ranks) - 1)


def _lowest_receivers(board: Board) -> Terms:
    """The lowest tags of receivers, those of sources written first weighing more."""
    written = len(board.brief.sources)
    seats: dict[Want, list[tuple[int, int, int]]] = defaultdict(list)
    for (want, (place, module)), variable in board.heard.items():
        seats[want].append((place, module or 0, variable))
    return {
        variable: rank * (written - want.source)
        for want, mine in seats.items()
        for rank, (_, _, variable) in enumerate(sorted(mine))
    }
