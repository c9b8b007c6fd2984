"""R11: what one failure before the first scene would cost, and the fewest spares that cover any.

A loss is covered when as many links of every priority are served as without it, by what is carried
and the spares. A loss that even every held unit together could not make good is a single point:
nothing to pack mends it.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from kitprep.definitions.kit import Adapter, Receiver, Transmitter
from kitprep.planning.board import Board
from kitprep.planning.brief import Brief, Want, brief, without
from kitprep.planning.pool import UnitClass, natural
from kitprep.planning.program import lay_service, served
from kitprep.planning.results import Route, SinglePoint, WorkedDay
from kitprep.planning.solver import Budget, Program, Solver, Terms, highs, total

Kind = str
"""transmitter, receiver or adapter: which list of the pool a class is in."""
Place = tuple[Kind, int]
"""A class of the pool."""

PRIORITIES = (1, 2, 3)

SECONDS = 30.0
"""What all losses together may take, by the wall clock; past it the day says that it is untold."""

MOST_LINKS = 400
"""Links of a day up to which R11 is answered; past it the day says that it is not."""


def with_one_failure(
    day: WorkedDay,
    missing: frozenset[str] = frozenset(),
    solver: Solver = highs,
    seconds: float = SECONDS,
) -> WorkedDay:
    """The day with R11 answered: its single points, and the fewest spares for every other loss.

    Every carried unit is lost in turn; units of one class are lost alike, so each class once.
    ``missing`` are the tags that the day was worked out without.
    """
    if sum(len(needs.links) + len(needs.unserved) for needs in day.scenes) > MOST_LINKS:
        return _untold(day, f"more than {MOST_LINKS} links")
    budget = Budget.of(seconds)
    question = brief(day.kit, day.plan, missing)
    carried = _carried(question, day)
    target = _served(day)
    points: list[SinglePoint] = []
    to_cover = []
    for place, tags in carried.items():
        if _covered(question, place, carried, {}, target, solver, budget):
            continue
        held = {other: _held(question, other) for other in _places(question)}
        if _covered(question, place, carried, held, target, solver, budget):
            to_cover.append(place)
        else:
            points += _points(question, tags, day, solver, budget)
    spares: tuple[str, ...] = ()
    if to_cover:
        spares = _fewest_spares(question, to_cover, carried, target, solver, budget)
    if not budget.left:
        # No answer in time looks like a loss that nothing covers, so nothing of it is told.
        return _untold(day, f"not done in {seconds:.0f} s")
    points.sort(key=lambda point: natural(point.unit))
    return replace(day, single_points=tuple(points), spares=spares)


def _untold(day: WorkedDay, why: str) -> WorkedDay:
    notice = f"{why}: what one failure would cost is not worked out"
    return replace(day, notices=(*day.notices, notice))


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


def _carried(question: Brief, day: WorkedDay) -> dict[Place, list[str]]:
    """The carried tags of each class, in the order of the pool."""
    mine = {
        tag for link in day.links for tag in (link.transmitter, link.adapter, link.receiver) if tag
    }
    found = {}
    for place in _places(question):
        tags = [tag for tag in _class(question, place).tags if tag in mine]
        if tags:
            found[place] = tags
    return found


def _served(day: WorkedDay) -> dict[int, int]:
    priority = {source.id: source.priority for source in day.plan.sources}
    counts: Counter[int] = Counter(priority[link.source] for link in day.links)
    return {p: counts[p] for p in PRIORITIES}


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
    budget: Budget,
) -> bool:
    """Whether all is served as before with one unit of a class lost."""
    program = Program()
    board = lay_service(question, program)
    for place, uses in _limits(board).items():
        here = max(len(carried.get(place, ())), spares.get(place, 0))
        program.at_most(uses, here - (place == lost))
    for priority in PRIORITIES:
        program.at_least(served(board, priority), target[priority])
    return solver(program, {}, budget.left) is not None


def _fewest_spares(
    question: Brief,
    to_cover: Sequence[Place],
    carried: Mapping[Place, Sequence[str]],
    target: Mapping[int, int],
    solver: Solver,
    budget: Budget,
) -> tuple[str, ...]:
    """One set of spares under which each loss by itself is covered: the fewest, lowest tags."""
    program = Program()
    spare = {
        place: program.variable(_held(question, place) - len(carried.get(place, ())))
        for place in _places(question)
    }
    for lost in to_cover:
        board = lay_service(question, program)
        for place, uses in _limits(board).items():
            here = len(carried.get(place, ())) - (place == lost)
            program.at_most({**uses, spare[place]: -1}, here)
        for priority in PRIORITIES:
            program.at_least(served(board, priority), target[priority])
    fewest = dict.fromkeys(spare.values(), 1)
    answer = solver(program, fewest, budget.left)
    if answer is None:
        return ()  # out of time: all spares together were found to cover each of these losses
    if answer.proven:
        program.at_most(fewest, total(fewest, answer.values))
        lowest = {variable: rank for rank, variable in enumerate(spare.values())}
        answer = solver(program, lowest, budget.left) or answer
    tags = []
    for place, variable in spare.items():
        free = [t for t in _class(question, place).tags if t not in carried.get(place, ())]
        tags += free[: answer.values[variable]]
    return tuple(tags)


def _points(
    question: Brief,
    tags: Sequence[str],
    day: WorkedDay,
    solver: Solver,
    budget: Budget,
) -> list[SinglePoint]:
    """The units of a class whose loss nothing covers, with the links that it would cost."""
    had = {Route(link.scene, link.source, link.destination) for link in day.links}
    lost = [
        want
        for want in sorted(_unserved_without(question, tags[-1], solver, budget), key=_in_order)
        if Route(
            question.scenes[want.scene].number, question.sources[want.source].id, want.destination
        )
        in had
    ]
    scenes = tuple(dict.fromkeys(question.scenes[want.scene].number for want in lost))
    sources = tuple(dict.fromkeys(question.sources[want.source].id for want in lost))
    return [SinglePoint(tag, scenes, sources) for tag in tags]


def _in_order(want: Want) -> tuple[int, int]:
    return want.scene, want.source


def _unserved_without(question: Brief, tag: str, solver: Solver, budget: Budget) -> set[Want]:
    """What the whole kit but for one unit leaves unserved, at best."""
    program = Program()
    board = lay_service(without(question, tag), program)
    values: tuple[int, ...] = ()
    for priority in PRIORITIES:
        objective = dict.fromkeys(served(board, priority), -1)
        answer = solver(program, objective, budget.left)
        if answer is None:
            break
        values = answer.values
        program.at_most(objective, total(objective, values))
    return set(question.wants) - {w for (w, _), v in board.heard.items() if values and values[v]}
