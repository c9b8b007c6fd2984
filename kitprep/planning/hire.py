"""R5: the fewest more units, by model, with which every link that models of the kit can serve is.

The same rows as the choice, with units of every model to be had for hire: first all the links, then
the fewest units, then the least value, then the models first in the alphabet.
"""

from collections.abc import Mapping
from math import gcd

from kitprep.definitions.kit import Adapter, Kit, Receiver, Transmitter
from kitprep.planning.board import Board
from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Choice, read_choice
from kitprep.planning.program import lay_service, most_served
from kitprep.planning.results import Hire
from kitprep.planning.solver import Budget, Goal, Program, Solver, in_order, total


def hired_as(kit: Kit, model: str) -> str:
    """What people call a model that is to be hired, and a counter too."""
    kinds: tuple[Transmitter | Receiver | Adapter, ...] = (
        *kit.transmitters,
        *kit.receivers,
        *kit.adapters,
    )
    return next((kind.name for kind in kinds if kind.model == model and kind.name), model)


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
    board = lay_service(brief, Program(), hire=len(brief.holds) + len(brief.wants))
    values = _fewest(board, solver, Budget.of(seconds))
    if values is None:
        return (), frozenset()
    choice = read_choice(board, values)
    counts = {model: values[v] for model, v in board.hired.items() if values[v]}
    scenes = _scenes(brief, unserved, choice, counts)
    hired = tuple(Hire(model, qty, scenes[model]) for model, qty in sorted(counts.items()))
    return hired, frozenset(want for want in unserved if want in choice.heard)


def _fewest(board: Board, solver: Solver, budget: Budget) -> tuple[int, ...] | None:
    """All links that can be served with the fewest units hired; None where time runs out first."""
    models = dict(sorted(board.hired.items()))
    units = dict.fromkeys(models.values(), 1)
    values: tuple[int, ...] | None = None
    for objective in (*in_order(most_served(board)), units):
        answer = solver(board.program, objective, budget.left)
        if answer is None or not answer.proven:
            return None
        values = answer.values
        board.program.at_most(objective, total(objective, values))
    assert values is not None
    worth = _values(board.brief)
    names = in_order(Goal({v: -1}, total(units, values)) for v in models.values())
    for objective in ({v: worth[model] for model, v in models.items()}, *names):
        answer = solver(board.program, objective, budget.left)
        if answer is None or not answer.proven:
            return values
        values = answer.values
        board.program.at_most(objective, total(objective, values))
    return values


def _values(brief: Brief) -> dict[str, int]:
    """Value by model in hundredths; one that the kit leaves out counts as its dearest."""
    pool = brief.pool
    models: tuple[Transmitter | Receiver | Adapter, ...] = (
        *(c.model for c in pool.transmitters),
        *(c.model for c in pool.receivers),
        *(c.model for c in pool.adapters),
    )
    dearest = max((m.value for m in models if m.value is not None), default=1.0)
    values = {m.model: round(100 * (dearest if m.value is None else m.value)) for m in models}
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
