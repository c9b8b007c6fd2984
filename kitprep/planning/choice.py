"""R4: which chain serves which link, one order after the other, each proven before the next.

The choice is made over counts of identical units and named afterwards. Where naming cannot keep
what the counts promised, those parts are told apart and the choice is made again, so that what is
reported as proven is proven of the named plan.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import gcd

from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Selection, name_units, read_choice
from kitprep.planning.pool import M, UnitClass
from kitprep.planning.program import MOST_RUNS, Board, Split, chained, lay_out, served
from kitprep.planning.solver import Answer, Solver, Terms, total

ORDERS = ("served", "modules", "cells", "units", "changes", "weight")
"""R4's orders that a plan reports as proven; the last, lowest tags, only settles ties."""

LARGEST_COEFFICIENT = 100_000
"""Orders are added up in one objective only while its coefficients stay exact for the solver."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """A selection, and which of R4's orders are proven best for it."""

    selection: Selection
    proven: tuple[str, ...]


def choose(brief: Brief, solver: Solver, seconds: float) -> Chosen:
    """The best selection, by R4's orders, within a time for the solver."""
    split = Split()
    while True:
        board = lay_out(brief, split)
        values, proven, seconds = _by_orders(board, solver, seconds)
        selection = name_units(brief, read_choice(board, values))
        finer = _finer(brief, split, selection)
        if finer == split or seconds <= 0:
            return Chosen(selection, _kept(proven, selection))
        split = finer


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


def _kept(proven: tuple[str, ...], selection: Selection) -> tuple[str, ...]:
    """The proven orders, up to the first that naming did not keep."""
    broken = set()
    if selection.unsettled_spots:
        broken.add("modules")
    if selection.unsettled_packs:
        broken.add("changes")
    kept = []
    for order in proven:
        if order in broken:
            break
        kept.append(order)
    return tuple(kept)


def _by_orders(
    board: Board, solver: Solver, seconds: float
) -> tuple[tuple[int, ...], tuple[str, ...], float]:
    """Values that are best order by order, the orders proven, and the seconds left."""
    values = (0,) * len(board.program.upper)
    proven: list[str] = []
    for order, objective in _objectives(board):
        if order == "ties" and _all_served(board, values):
            continue
        answer = _settled(objective, values) or solver(board.program, objective, seconds)
        if answer is None:
            return values, tuple(dict.fromkeys(proven)), 0
        values = answer.values
        seconds -= answer.seconds
        if not answer.proven or seconds <= 0:
            unproven = order if not answer.proven else ""
            return values, tuple(o for o in dict.fromkeys(proven) if o != unproven), 0
        board.program.at_most(objective, total(objective, values))
        proven.append(order)
    return values, tuple(o for o in dict.fromkeys(proven) if o in ORDERS), seconds


def _all_served(board: Board, values: tuple[int, ...]) -> bool:
    return sum(values[v] for v in board.heard.values()) == len(board.brief.wants)


def _settled(objective: Terms, values: tuple[int, ...]) -> Answer | None:
    """The values as they are, where nothing can be lower: a count that is already 0."""
    if all(c >= 0 for c in objective.values()) and total(objective, values) == 0:
        return Answer(values, True, 0.0)
    return None


def _objectives(board: Board) -> Iterator[tuple[str, Terms]]:
    """R4's orders, as what to minimise."""
    yield from _served(board)
    yield "modules", dict.fromkeys(board.moves, 1)
    brief, models = board.brief, board.brief.pool.transmitters
    yield (
        "cells",
        {
            v: brief.outlasted(source, models[sender.transmitter].model)
            for (source, sender), v in board.takes.items()
        },
    )
    yield (
        "units",
        dict.fromkeys([*board.packs.values(), *board.adapters.values(), *board.placed.values()], 1),
    )
    yield "changes", _changes(board)
    yield "weight", _weight(board)
    yield from _lowest_tags(board)


def _served(board: Board) -> Iterator[tuple[str, Terms]]:
    """Priority 1, then 2, then 3; in one objective while its coefficients stay small."""
    counts = {priority: served(board, priority) for priority in (1, 2, 3)}
    second, third = len(counts[2]) + 1, len(counts[3]) + 1
    if second * third <= LARGEST_COEFFICIENT:
        worth = {1: second * third, 2: third, 3: 1}
        yield "served", {v: -worth[p] for p, terms in counts.items() for v in terms}
        return
    for terms in counts.values():
        yield "served", dict.fromkeys(terms, -1)


def _changes(board: Board) -> Terms:
    brief, models = board.brief, board.brief.pool.transmitters
    alone = {
        (source, sender.transmitter): brief.planned_changes(
            (source,), models[sender.transmitter].model
        )
        for source, sender in board.takes
    }
    terms = {v: alone[s, sender.transmitter] for (s, sender), v in board.takes.items()}
    for (place, run), variable in board.runs.items():
        if len(run) > 1:
            in_turn = brief.planned_changes(run, models[place].model)
            terms[variable] = in_turn - sum(alone[source, place] for source in run)
    return terms


def _weight(board: Board) -> Terms:
    """Tenths of a gram; a weight that the kit leaves out counts as the heaviest it gives."""
    pool = board.brief.pool
    classes: list[tuple[int, UnitClass[M]]] = [
        *((v, pool.transmitters[place]) for place, v in board.packs.items()),  # type: ignore[list-item]
        *((v, pool.adapters[place]) for place, v in board.adapters.items()),  # type: ignore[list-item]
        *((v, pool.receivers[place]) for (place, _), v in board.placed.items()),  # type: ignore[list-item]
    ]
    heaviest = max((c.weight_g for _, c in classes if c.weight_g is not None), default=0)
    terms = {v: round(10 * (heaviest if c.weight_g is None else c.weight_g)) for v, c in classes}
    common = gcd(*terms.values()) or 1
    return {variable: weight // common for variable, weight in terms.items()}


def _lowest_tags(board: Board) -> Iterator[tuple[str, Terms]]:
    """Between equals: links of the source written first, then the lowest tags, source by source."""
    yield "ties", {v: want.source for (want, _), v in board.heard.items()}
    yield from _lowest_senders(board)
    written = len(board.brief.sources)
    yield "tags", {v: rank * (written - want.source) for want, rank, v in _receiver_ranks(board)}


def _lowest_senders(board: Board) -> Iterator[tuple[str, Terms]]:
    options: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for (source, sender), variable in board.takes.items():
        adapter = -1 if sender.adapter is None else sender.adapter
        options[source].append((sender.transmitter, adapter, variable))
    together: list[dict[int, int]] = []
    scale = 1
    for source in sorted(options):
        ranked = {v: rank for rank, (_, _, v) in enumerate(sorted(options[source]))}
        if scale * len(ranked) > LARGEST_COEFFICIENT:
            yield "tags", _lexicographic(together)
            together, scale = [], 1
        together.append(ranked)
        scale *= len(ranked)
    yield "tags", _lexicographic(together)


def _lexicographic(ranks: list[dict[int, int]]) -> Terms:
    """One objective in which no later source outweighs an earlier one."""
    terms: dict[int, int] = {}
    scale = 1
    for ranked in reversed(ranks):
        terms |= {variable: rank * scale for variable, rank in ranked.items()}
        scale *= len(ranked)
    return terms


def _receiver_ranks(board: Board) -> Iterator[tuple[Want, int, int]]:
    seats: dict[Want, list[tuple[str, int]]] = defaultdict(list)
    for (want, seat), variable in board.heard.items():
        seats[want].append((f"{seat[0]:06d} {seat[1] or 0:06d}", variable))
    for want, mine in seats.items():
        for rank, (_, variable) in enumerate(sorted(mine)):
            yield want, rank, variable
