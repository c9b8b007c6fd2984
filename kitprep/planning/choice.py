"""R4: which chain serves which link, one order after the other, each proven before the next.

The choice is made over counts of identical units and named afterwards. Where naming cannot keep
what the counts promised, those parts are told apart and the choice is made again. The counts give a
bound that no plan can beat; an order is proven of the named plan where it meets the bound.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Selection, name_units, read_choice
from kitprep.planning.orders import ORDERS, Measure, class_weights, measure
from kitprep.planning.program import (
    MOST_RUNS,
    Board,
    Split,
    chained,
    changes_promised,
    lay_out,
    most_served,
)
from kitprep.planning.solver import (
    LARGEST_COEFFICIENT,
    Answer,
    Goal,
    Solver,
    Terms,
    in_order,
    total,
)


@dataclass(frozen=True, slots=True)
class Chosen:
    """A selection, and which of R4's orders are proven best for it."""

    selection: Selection
    proven: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Solved:
    """Values of one program, the bounds proven on ORDERS one after the other, and seconds left."""

    values: tuple[int, ...]
    bounds: Measure
    seconds: float


def choose(brief: Brief, solver: Solver, seconds: float) -> Chosen:
    """The best selection, by R4's orders, within a time for the solver."""
    split = Split()
    found: list[tuple[Measure, Selection]] = []
    proven: tuple[str, ...] = ()
    while True:
        board = lay_out(brief, split)
        solved = _by_orders(board, solver, seconds)
        seconds = solved.seconds
        named = name_units(brief, read_choice(board, solved.values))
        found.append((measure(brief, named), named))
        worth, best = min(found, key=lambda entry: entry[0])
        proven = max(proven, _proven(solved.bounds, worth), key=len)
        finer = _finer(brief, split, named)
        if proven == ORDERS or finer == split or seconds <= 0:
            return Chosen(best, proven)
        split = finer


def _proven(bounds: Measure, worth: Measure) -> tuple[str, ...]:
    """The orders, up to the first that has no bound or does not meet it."""
    kept = []
    for order, bound, figure in zip(ORDERS, bounds, worth, strict=False):
        if bound != figure:
            break
        kept.append(order)
    return tuple(kept)


def _finer(brief: Brief, split: Split, selection: Selection) -> Split:
    """The split that also tells apart what naming could not settle."""
    in_runs = set(split.in_runs)
    for place in selection.unsettled_packs:
        sources = [s for (s, sender) in selection.senders.items() if sender.transmitter == place]
        if sum(1 for _ in chained(brief, _could_take(brief, place) or sources)) <= MOST_RUNS:
            in_runs.add(place)
    return Split(split.apart | selection.unsettled_spots, frozenset(in_runs))


def _could_take(brief: Brief, place: int) -> list[int]:
    return [
        source
        for source, options in brief.senders.items()
        if any(sender.transmitter == place for sender in options)
    ]


def _by_orders(board: Board, solver: Solver, seconds: float) -> _Solved:
    """Values that are best order by order, as far as the time goes."""
    values: tuple[int, ...] = (0,) * len(board.program.upper)
    bounds: list[tuple[int, ...]] = []
    for order, goals in _goals(board):
        if order == "links" and _all_served(board, values):
            continue
        for objective in in_order(goals):
            answer = _settled(objective, values) or solver(board.program, objective, seconds)
            if answer is None:
                return _Solved(values, tuple(bounds), 0.0)
            seconds -= answer.seconds
            if answer.proven or total(objective, answer.values) < total(objective, values):
                values = answer.values
            if not answer.proven:
                return _Solved(values, tuple(bounds), 0.0)
            board.program.at_most(objective, total(objective, values))
        if order in ORDERS:
            bounds.append(tuple(total(goal.terms, values) for goal in goals))
    return _Solved(values, tuple(bounds), seconds)


def _all_served(board: Board, values: tuple[int, ...]) -> bool:
    return sum(values[v] for v in board.heard.values()) == len(board.brief.wants)


def _settled(objective: Terms, values: tuple[int, ...]) -> Answer | None:
    """The values as they are, where nothing can be lower: a count that is already 0."""
    if all(c >= 0 for c in objective.values()) and total(objective, values) == 0:
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
    # Between equals: links of the source written first, then the lowest tags, source by source.
    yield "links", [_alone({v: want.source for (want, _), v in board.heard.items()})]
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
