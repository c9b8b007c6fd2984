"""R5: the fewest more units, by model, with which every link that models of the kit can serve is.

The same rows as the choice, with units of every model to be had for hire: first all the links, then
the fewest units, then the least value, then the models first in the alphabet.
"""

from collections.abc import Mapping
from math import gcd

from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Choice, read_choice
from kitprep.planning.program import Board, Split, lay_out, served
from kitprep.planning.results import Hire
from kitprep.planning.solver import Solver, Terms, total


def hire_list(
    brief: Brief, unserved: frozenset[Want], solver: Solver, seconds: float
) -> tuple[tuple[Hire, ...], frozenset[Want]]:
    """What to hire, and the unserved links that it mends.

    Links that no model of the kit can serve stay unserved; the rest is served as well as it can be.
    """
    mendable = [
        w for w in unserved if brief.given_inputs(w) and brief.receivers(w.source, w.destination)
    ]
    if not mendable:
        return (), frozenset()
    board = lay_out(brief, Split(), hire=len(brief.holds) + len(brief.wants))
    values: tuple[int, ...] | None = None
    for objective in _objectives(board):
        answer = solver(board.program, objective, seconds)
        if answer is None or not answer.proven:
            break
        values = answer.values
        board.program.at_most(objective, total(objective, values))
    if values is None:
        return (), frozenset()
    choice = read_choice(board, values)
    counts = {model: values[v] for model, v in board.hired.items() if values[v]}
    scenes = _scenes(brief, unserved, choice, counts)
    hired = tuple(Hire(model, qty, scenes[model]) for model, qty in sorted(counts.items()))
    return hired, frozenset(want for want in unserved if want in choice.heard)


def _objectives(board: Board) -> list[Terms]:
    values = _values(board.brief)
    return [
        *(dict.fromkeys(served(board, priority), -1) for priority in (1, 2, 3)),
        dict.fromkeys(board.hired.values(), 1),
        {v: values[model] for model, v in board.hired.items()},
        {v: rank for rank, (_, v) in enumerate(sorted(board.hired.items()))},
    ]


def _values(brief: Brief) -> dict[str, int]:
    """Value by model in hundredths; one that the kit leaves out counts as its dearest."""
    pool = brief.pool
    given = {
        c.model.model: c.model.value for c in (*pool.transmitters, *pool.receivers, *pool.adapters)
    }
    dearest = max((value for value in given.values() if value is not None), default=1.0)
    values = {m: round(100 * (dearest if v is None else v)) for m, v in given.items()}
    common = gcd(*values.values()) or 1
    return {model: value // common for model, value in values.items()}


def _scenes(
    brief: Brief, unserved: frozenset[Want], choice: Choice, counts: Mapping[str, int]
) -> dict[str, tuple[str, ...]]:
    """The scenes of each hired model: those whose mended links use one, or else all mended ones."""
    pool = brief.pool
    using: dict[str, set[int]] = {model: set() for model in counts}
    mended = sorted((w for w in unserved if w in choice.heard), key=lambda w: w.scene)
    for want in mended:
        sender = choice.takes[want.source]
        models = {
            pool.transmitters[sender.transmitter].model.model,
            pool.receivers[choice.heard[want][0]].model.model,
        }
        if sender.adapter is not None:
            models.add(pool.adapters[sender.adapter].model.model)
        for model in models & using.keys():
            using[model].add(want.scene)
    every = {want.scene for want in mended}
    return {
        model: tuple(brief.scenes[n].number for n in sorted(scenes or every))
        for model, scenes in using.items()
    }
