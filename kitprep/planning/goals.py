"""R4's orders as what to minimise: linear forms over the variables of a board."""

from collections import defaultdict
from collections.abc import Iterator

from kitprep.planning.board import Board
from kitprep.planning.brief import Want
from kitprep.planning.orders import class_weights
from kitprep.planning.program import most_served
from kitprep.planning.solver import LARGEST_COEFFICIENT, Goal, Terms


def goals_of(board: Board) -> Iterator[tuple[str, list[Goal]]]:
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
    """Of each source what is promised; of runs, where they are told apart, what they cost."""
    apart = {place for place, _ in board.steps}
    terms = {
        v: board.brief.changes_promised(source, sender.transmitter)
        for (source, sender), v in board.takes.items()
        if sender.transmitter not in apart
    }
    return terms | {v: step.changes for (_, step), v in board.steps.items()}


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
