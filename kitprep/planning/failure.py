"""R11: what one failure before the first scene would cost, and the fewest spares that cover any.

A loss is covered when as many links of every priority are served as without it, by what is carried
and the spares. A loss that even every held unit together could not make good is a single point:
nothing to pack mends it.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kitprep.definitions.kit import Adapter, Receiver, Transmitter
from kitprep.planning.brief import Brief, Want, brief
from kitprep.planning.naming import Selection
from kitprep.planning.pool import UnitClass, natural
from kitprep.planning.program import Board, lay_service, served
from kitprep.planning.results import SinglePoint
from kitprep.planning.solver import Program, Solver, Terms, total

Kind = str
"""transmitter, receiver or adapter: which list of the pool a class is in."""
Place = tuple[Kind, int]
"""A class of the pool."""

PRIORITIES = (1, 2, 3)


@dataclass(frozen=True, slots=True)
class Failure:
    """Single points, the spares that cover every other loss, and whether those are the fewest."""

    single_points: tuple[SinglePoint, ...]
    spares: tuple[str, ...]
    proven: bool


def one_failure(question: Brief, selection: Selection, solver: Solver, seconds: float) -> Failure:
    """Every carried unit lost in turn; units of one class are lost alike, so each class once."""
    carried = _carried(question, selection)
    target = _served(question, selection)
    points: list[SinglePoint] = []
    to_cover = []
    proven = True
    for place, tags in carried.items():
        if _covered(question, place, carried, {}, target, solver, seconds):
            continue
        held = {other: _held(question, other) for other in _places(question)}
        if _covered(question, place, carried, held, target, solver, seconds):
            to_cover.append(place)
        else:
            points += _points(question, place, tags, selection, solver, seconds)
    spares: tuple[str, ...] = ()
    if to_cover:
        spares, proven = _fewest_spares(question, to_cover, carried, target, solver, seconds)
    return Failure(tuple(sorted(points, key=lambda p: natural(p.unit))), spares, proven)


def _places(question: Brief) -> list[Place]:
    pool = question.pool
    return [
        *(("transmitter", n) for n in range(len(pool.transmitters))),
        *(("adapter", n) for n in range(len(pool.adapters))),
        *(("receiver", n) for n in range(len(pool.receivers))),
    ]


def _class(
    question: Brief, place: Place
) -> UnitClass[Transmitter] | UnitClass[Receiver] | UnitClass[Adapter]:
    kind, number = place
    pool = question.pool
    if kind == "transmitter":
        return pool.transmitters[number]
    return pool.adapters[number] if kind == "adapter" else pool.receivers[number]


def _held(question: Brief, place: Place) -> int:
    return len(_class(question, place).tags)


def _carried(question: Brief, selection: Selection) -> dict[Place, list[str]]:
    """The carried tags of each class, in the order of the pool."""
    mine = {*selection.transmitters.values(), *selection.adapters.values(), *selection.stands}
    found = {}
    for place in _places(question):
        tags = [tag for tag in _class(question, place).tags if tag in mine]
        if tags:
            found[place] = tags
    return found


def _served(question: Brief, selection: Selection) -> dict[int, int]:
    counts = Counter(question.sources[want.source].priority for want in selection.modules)
    return {priority: counts[priority] for priority in PRIORITIES}


def _service(question: Brief, program: Program) -> Board:
    return lay_service(question, program)


def _limits(board: Board) -> dict[Place, Terms]:
    """How many of each class a board uses."""
    uses: dict[Place, dict[int, int]] = {}
    for number, variable in board.packs.items():
        uses["transmitter", number] = {variable: 1}
    for number, variable in board.adapters.items():
        uses["adapter", number] = {variable: 1}
    for (number, _), variable in board.placed.items():
        uses.setdefault(("receiver", number), {})[variable] = 1
    return dict(uses)


def _covered(
    question: Brief,
    lost: Place,
    carried: Mapping[Place, Sequence[str]],
    spares: Mapping[Place, int],
    target: Mapping[int, int],
    solver: Solver,
    seconds: float,
) -> bool:
    """Whether all is served as before with one unit of a class lost."""
    program = Program()
    board = _service(question, program)
    for place, uses in _limits(board).items():
        here = max(len(carried.get(place, ())), spares.get(place, 0))
        program.at_most(uses, here - (place == lost))
    for priority in PRIORITIES:
        program.at_least(served(board, priority), target[priority])
    return solver(program, {}, seconds) is not None


def _fewest_spares(
    question: Brief,
    to_cover: Sequence[Place],
    carried: Mapping[Place, Sequence[str]],
    target: Mapping[int, int],
    solver: Solver,
    seconds: float,
) -> tuple[tuple[str, ...], bool]:
    """One set of spares under which each loss by itself is covered: the fewest, lowest tags first."""
    program = Program()
    spare = {
        place: program.variable(_held(question, place) - len(carried.get(place, ())))
        for place in _places(question)
    }
    for lost in to_cover:
        board = _service(question, program)
        for place, uses in _limits(board).items():
            here = len(carried.get(place, ())) - (place == lost)
            program.at_most({**uses, spare[place]: -1}, here)
        for priority in PRIORITIES:
            program.at_least(served(board, priority), target[priority])
    fewest = dict.fromkeys(spare.values(), 1)
    answer = solver(program, fewest, seconds)
    assert answer is not None, "all spares together were found to cover each of these losses"
    proven = answer.proven
    if proven:
        program.at_most(fewest, total(fewest, answer.values))
        lowest = {variable: rank for rank, variable in enumerate(spare.values())}
        answer = solver(program, lowest, seconds) or answer
    tags = []
    for place, variable in spare.items():
        free = [t for t in _class(question, place).tags if t not in carried.get(place, ())]
        tags += free[: answer.values[variable]]
    return tuple(tags), proven


def _points(
    question: Brief,
    place: Place,
    tags: Sequence[str],
    selection: Selection,
    solver: Solver,
    seconds: float,
) -> list[SinglePoint]:
    """The units of a class whose loss nothing covers, with the links that it would cost."""
    lost_wants = _unserved_without(question, tags[-1], solver, seconds) & set(selection.modules)
    scenes = tuple(question.scenes[n].number for n in sorted({w.scene for w in lost_wants}))
    sources = tuple(question.sources[n].id for n in sorted({w.source for w in lost_wants}))
    return [SinglePoint(tag, scenes, sources) for tag in tags]


def _unserved_without(question: Brief, tag: str, solver: Solver, seconds: float) -> set[Want]:
    """What the whole kit but for one unit leaves unserved, at best."""
    program = Program()
    board = _service(brief(question.kit, question.plan, frozenset({tag})), program)
    values: tuple[int, ...] = ()
    for priority in PRIORITIES:
        objective = dict.fromkeys(served(board, priority), -1)
        answer = solver(program, objective, seconds)
        if answer is None:
            break
        values = answer.values
        program.at_most(objective, total(objective, values))
    return set(question.wants) - {w for (w, _), v in board.heard.items() if values and values[v]}
