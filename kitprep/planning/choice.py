"""R4: which chain serves which link, one order after the other, each proven before the next.

The choice is made over counts of identical units and named afterwards. Where naming cannot keep
what the counts promised, those parts are told apart and the choice is made again. The counts give a
bound that no plan can beat; an order is proven of the named plan where it meets the bound.

First comes only what is served; then plans in which no source changes its module, which are quickly
told; and only where these serve less, all plans.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

from kitprep.planning.board import Board, Split
from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Selection, name_units, read_choice
from kitprep.planning.orders import ORDERS, Measure, class_weights, measure
from kitprep.planning.program import (
    chained,
    changes_promised,
    lay_out,
    lay_service,
    most_served,
)
from kitprep.planning.seats import by_source
from kitprep.planning.solver import (
    LARGEST_COEFFICIENT,
    Answer,
    Goal,
    Program,
    Solver,
    Terms,
    in_order,
    total,
)

MOST_RUNS = 1000
"""Runs of one class that are written out; past it the bound on changes stands unproven."""
FEW_RUNS = 100


@dataclass(frozen=True, slots=True)
class Chosen:
    """A selection, and which of R4's orders are proven best for it."""

    selection: Selection
    proven: tuple[str, ...]


Named = tuple[Measure, Selection]


@dataclass(frozen=True, slots=True)
class _Course:
    """One program solved: what was named after each order, the bounds proven, and seconds left."""

    named: tuple[Named, ...]
    bounds: Measure
    seconds: float


def choose(brief: Brief, solver: Solver, seconds: float) -> Chosen:
    """The best selection, by R4's orders, within a time for the solver."""
    service = lay_service(brief, Program())
    course = _by_orders(service, [("served", most_served(service))], (), solver, seconds)
    found = list(course.named)
    known = course.bounds
    proven = _proven(known, found[-1][0])
    split = Split(all_served=bool(known) and -sum(known[0]) == len(brief.wants))
    while course.seconds > 0:
        board = lay_out(brief, split)
        course = _by_orders(board, _goals(board), known, solver, course.seconds)
        found += course.named
        worth, _ = min(found, key=_measured)
        if _untold(brief, split, course.bounds, known):
            finer = replace(split, still=False, names=1 if split.still else 1 + worth[1][0])
            known = known[:1]
        else:
            known = course.bounds
            last_worth, last = found[-1]
            finer = _finer(brief, split, last, _proven(known, last_worth))
        proven = max(proven, _proven(known, worth), key=len)
        if finer == split:
            break
        split = finer
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


def _finer(brief: Brief, split: Split, named: Selection, kept: tuple[str, ...]) -> Split:
    """The split that also tells apart what stood in naming's way at the first order not kept."""
    order = next((order for order in ORDERS if order not in kept), None)
    if order == "modules":
        # Runs of packs that come cheap are told apart along with it: that may save a round.
        in_runs = split.in_runs | _in_runs(brief, named, FEW_RUNS)
        return replace(split, apart=split.apart | named.unsettled_spots, in_runs=in_runs)
    if order == "changes":
        return replace(split, in_runs=split.in_runs | _in_runs(brief, named, MOST_RUNS))
    return split


def _in_runs(brief: Brief, named: Selection, most: int) -> set[int]:
    """The classes whose cells naming could not settle, and that have no more runs than this."""
    return {
        place
        for place in named.unsettled_packs
        if len(list(islice(chained(brief, _could_take(brief, place)), most + 1))) <= most
    }


def _could_take(brief: Brief, place: int) -> list[int]:
    return [
        source
        for source, options in brief.senders.items()
        if any(sender.transmitter == place for sender in options)
    ]


def _by_orders(
    board: Board,
    ordered: Iterable[tuple[str, list[Goal]]],
    known: Measure,
    solver: Solver,
    seconds: float,
) -> _Course:
    """Best order by order, as far as the time goes and naming keeps what the counts promise.

    ``known`` are the bounds of a coarser split: they hold here too, as far as they are met.
    """
    values: tuple[int, ...] = (0,) * len(board.program.upper)
    bounds: list[tuple[int, ...]] = []
    named: list[Named] = []
    for order, goals in ordered:
        if order == "links" and _all_served(board, values):
            continue
        least = _least(order, tuple(bounds), known)
        values, met, seconds = _meet(board.program, goals, least, values, solver, seconds)
        if met and order in ORDERS:
            bounds.append(tuple(total(goal.terms, values) for goal in goals))
        selection = name_units(board.brief, read_choice(board, values))
        named.append((measure(board.brief, selection), selection))
        kept = named[-1][0][: len(bounds)] == tuple(bounds)
        if not met or not kept or (known and bounds[0] != known[0]):
            break
    return _Course(tuple(named), tuple(bounds), seconds)


def _meet(
    program: Program,
    goals: list[Goal],
    least: int,
    values: tuple[int, ...],
    solver: Solver,
    seconds: float,
) -> tuple[tuple[int, ...], bool, float]:
    """Values best for an order, which then stays met; whether that is proven; and seconds left.

    Where time runs out, the better of the best found and the values so far, and no seconds left.
    """
    if least:
        program.at_least(goals[0].terms, least)
    for objective in in_order(goals):
        answer = _settled(objective, values, least) or solver(program, objective, seconds)
        if answer is None:
            return values, False, 0.0
        if not answer.proven:
            better = total(objective, answer.values) < total(objective, values)
            return answer.values if better else values, False, 0.0
        values = answer.values
        seconds -= answer.seconds
        program.at_most(objective, total(objective, values))
    return values, True, seconds


def _all_served(board: Board, values: tuple[int, ...]) -> bool:
    return sum(values[v] for v in board.heard.values()) == len(board.brief.wants)


def _least(order: str, bounds: Measure, known: Measure) -> int:
    """What an order can be at the least, as far as known where the orders before it are met."""
    place = len(bounds)
    if order in ORDERS[1:] and place < len(known) and bounds == known[:place]:
        return known[place][0]
    return 0


def _settled(objective: Terms, values: tuple[int, ...], least: int) -> Answer | None:
    """The values as they are, where nothing can be lower."""
    if all(c >= 0 for c in objective.values()) and total(objective, values) <= least:
        return Answer(values, True, 0.0)
    return None


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
    """Of each source what it costs at the least; of a run, where they are told apart, its own."""
    brief, models = board.brief, board.brief.pool.transmitters
    apart = {place for place, _ in board.runs}
    terms = {
        v: changes_promised(brief, source, sender.transmitter)
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
    """Source by source as written, the sender of the lowest tags."""
    options: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for (source, sender), variable in board.takes.items():
        adapter = -1 if sender.adapter is None else sender.adapter
        options[source].append((sender.transmitter, adapter, variable))
    for _, mine in sorted(options.items()):
        ranks = {variable: rank for rank, (_, _, variable) in enumerate(sorted(mine))}
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
