"""R11: what one failure before the first scene would cost, and the fewest spares that cover any.

A loss is covered when every link that is served today is served without the unit too, by what is
carried and the spares. Another link in its place does not count: whoever was heard and is not any
more is lost. A loss that even every held unit together could not make good is a single point, with
what it costs at the least; among equal losses that of the unit's own links, for nobody takes a pack
off one performer to lose it to another.

Parts of a split unit are apart: neither what is in use nor a spare goes from one to the other
(trade practice). Where the held spares do not last for all parts, those losses are covered that
would cost the most links together, and the others are single points.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from kitprep.definitions.kit import Adapter, Receiver, Transmitter
from kitprep.definitions.plan import Scene
from kitprep.planning.board import Board
from kitprep.planning.brief import Brief, Want, brief
from kitprep.planning.pool import UnitClass, natural
from kitprep.planning.program import lay_service
from kitprep.planning.results import Link, SinglePoint, WorkedDay
from kitprep.planning.solver import Budget, Program, Solver, Terms, highs, total
from kitprep.planning.supplies import apart, parts_of

Kind = str
"""transmitter, receiver or adapter: which list of the pool a class is in."""
Place = tuple[Kind, int]
"""A class of the pool."""

PRIORITIES = (1, 2, 3)

SECONDS = 30.0
"""What all losses together may take, by the wall clock; past it the day says that it is untold."""

MOST_LINKS = 400
"""Links of a day up to which R11 is answered; past it the day says that it is not."""


@dataclass(frozen=True, slots=True)
class Loss:
    """One of ``tags`` lost, which are units of one class in use in one part of the unit."""

    place: Place
    part: int
    tags: tuple[str, ...]


@dataclass(frozen=True)
class Carried:
    """What is carried today, by class: in use, by part of the unit, and ``along`` as spares.

    ``heard`` are the links of each part that are served.
    """

    question: Brief
    in_use: Mapping[tuple[Place, int], list[str]]
    along: Mapping[Place, list[str]]
    heard: Mapping[int, Mapping[Want, Link]]

    @property
    def losses(self) -> list[Loss]:
        """Every loss there is: units of one class and part are lost alike."""
        return [Loss(place, part, tuple(tags)) for (place, part), tags in self.in_use.items()]

    def free(self, place: Place) -> list[str]:
        """What is held of a class and not in use, what goes along first."""
        used = {t for (other, _), tags in self.in_use.items() if other == place for t in tags}
        mine = self.along.get(place, [])
        rest = [t for t in _class(self.question, place).tags if t not in used and t not in mine]
        return mine + rest


def with_one_failure(
    day: WorkedDay,
    missing: frozenset[str] = frozenset(),
    solver: Solver = highs,
    seconds: float = SECONDS,
) -> WorkedDay:
    """The day with R11 answered: its single points, and its spares for every other loss.

    ``spares`` are those that are on the packing list already and the fewest more. ``missing`` are
    the tags that the day was worked out without.
    """
    if sum(len(needs.links) + len(needs.unserved) for needs in day.scenes) > MOST_LINKS:
        return _untold(day, f"more than {MOST_LINKS} links")
    budget = Budget.of(seconds)
    carried = carried_on(day, brief(day.kit, day.plan, missing))
    points: list[SinglePoint] = []
    to_cover = []
    for loss in carried.losses:
        if _covered(carried, loss, {}, solver, budget):
            continue
        every = {place: len(carried.free(place)) for place in _places(carried.question)}
        if _covered(carried, loss, every, solver, budget):
            to_cover.append(loss)
        else:
            points += _points(carried, loss, every, solver, budget)
    spares, without_cover = _fewest_spares(carried, to_cover, solver, budget)
    for loss in without_cover:
        points += _points(carried, loss, {}, solver, budget)
    if not budget.left:
        # No answer in time looks like a loss that nothing covers, so nothing of it is told.
        return _untold(day, f"not done in {seconds:.0f} s")
    points.sort(key=lambda point: natural(point.unit))
    on_list = [tag for tags in carried.along.values() for tag in tags]
    tags = tuple(dict.fromkeys((*on_list, *(t for mine in spares.values() for t in mine))))
    notices = (*day.notices, *_by_part(day, spares))
    return replace(day, single_points=tuple(points), spares=tags, notices=notices)


def _untold(day: WorkedDay, why: str) -> WorkedDay:
    notice = f"{why}: what one failure would cost is not worked out"
    return replace(day, notices=(*day.notices, notice))


def _by_part(day: WorkedDay, spares: Mapping[int, list[str]]) -> Iterator[str]:
    """Which spare goes with which part of a split unit."""
    part = part_of(day)
    if len(set(part.values())) > 1 and any(spares.values()):
        names = {d.id: d.name or d.id for d in day.plan.destinations}
        said = [
            f"{', '.join(tags)} with {' and '.join(names[d] for d, p in part.items() if p == own)}"
            for own, tags in sorted(spares.items())
            if tags
        ]
        yield f"parts of a split unit share no spares: {'; '.join(said)}"


def part_of(day: WorkedDay) -> dict[str, int]:
    """By destination in use: the part of a split unit that it is of."""
    spans = {needs.scene.number: needs.scene for needs in day.scenes}
    used: dict[str, dict[str, Scene]] = {d.id: {} for d in day.plan.destinations}
    for link in day.links:
        used[link.destination][link.scene] = spans[link.scene]
    at_work = {at: tuple(scenes.values()) for at, scenes in used.items() if scenes}
    return parts_of(at_work, apart(at_work))


def carried_on(day: WorkedDay, question: Brief) -> Carried:
    """What a worked-out day carries, in the classes of a question."""
    part = part_of(day)
    sources = {source.id: number for number, source in enumerate(question.sources)}
    scenes = {scene.number: place for place, scene in enumerate(question.scenes)}
    heard: dict[int, dict[Want, Link]] = defaultdict(dict)
    with_part: dict[str, int] = {}
    for link in day.links:
        here = part[link.destination]
        heard[here][Want(sources[link.source], scenes[link.scene], link.destination)] = link
        for tag in (link.transmitter, link.adapter, link.receiver):
            if tag is not None:
                with_part.setdefault(tag, here)
    packed = {line.key for line in day.packing}
    in_use: dict[tuple[Place, int], list[str]] = defaultdict(list)
    along: dict[Place, list[str]] = defaultdict(list)
    for place in _places(question):
        for tag in _class(question, place).tags:
            if tag in with_part:
                in_use[place, with_part[tag]].append(tag)
            elif tag in packed:
                along[place].append(tag)
    return Carried(question, in_use, along, heard)


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


def _lay(
    program: Program, carried: Carried, loss: Loss, spares: Mapping[Place, Terms | int]
) -> dict[Want, Terms]:
    """The rows of a loss: its part is served by its own units but one, and by ``spares``.

    By link that was served there: the variables of which one is 1 where it still is.
    """
    board = lay_service(carried.question, program)
    for place, uses in _limits(board).items():
        here = len(carried.in_use.get((place, loss.part), ())) - (place == loss.place)
        more = spares.get(place, 0)
        if isinstance(more, int):
            program.at_most(uses, here + more)
        else:
            program.at_most({**uses, **{v: -count for v, count in more.items()}}, here)
    ways: dict[Want, dict[int, int]] = {want: {} for want in carried.heard[loss.part]}
    others: dict[int, int] = {}
    for (want, _), variable in board.heard.items():
        ways.get(want, others)[variable] = 1
    program.at_most(others, 0)
    return dict(ways)


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
    carried: Carried, loss: Loss, spares: Mapping[Place, int], solver: Solver, budget: Budget
) -> bool:
    """Whether every link of its part is served with one unit lost."""
    program = Program()
    # What goes along may go to any part, as any one failure may be in any.
    here = {p: len(carried.along.get(p, ())) for p in carried.along} | dict(spares)
    for terms in _lay(program, carried, loss, here).values():
        program.equal(terms, 1)
    return solver(program, {}, budget.left) is not None


def _fewest_spares(
    carried: Carried, to_cover: Iterable[Loss], solver: Solver, budget: Budget
) -> tuple[dict[int, list[str]], list[Loss]]:
    """The spares of each part under which each loss by itself is covered, and losses without.

    The most links of lost units covered, of those the most of parts first written; then the fewest
    spares that are not along yet, then the lowest tags, and the lower with the part first written.
    """
    losses = list(to_cover)
    parts = sorted({loss.part for loss in carried.losses})
    program = Program()
    free = {place: carried.free(place) for place in _places(carried.question)}
    more: dict[Place, int] = {}
    at: dict[tuple[Place, int], int] = {}
    for place, tags in free.items():
        along = len(carried.along.get(place, ()))
        more[place] = program.variable(len(tags) - along)
        at |= {(place, part): program.variable(len(tags)) for part in parts}
        program.at_most({**{at[place, p]: 1 for p in parts}, more[place]: -1}, along)
    is_covered = []
    for loss in losses:
        is_covered.append(program.variable())
        mine: dict[Place, Terms] = {place: {at[place, loss.part]: 1} for place in free}
        for terms in _lay(program, carried, loss, mine).values():
            program.at_least({**terms, is_covered[-1]: -1}, 0)
    links = [(v, x.part, _links_of(carried, x)) for v, x in zip(is_covered, losses, strict=True)]
    most = {variable: -count for variable, _, count in links}
    earlier = {variable: part * count for variable, part, count in links}
    fewest = dict.fromkeys(more.values(), 1)
    lowest = {variable: rank for rank, variable in enumerate(more.values())}
    rank = {place: number for number, place in enumerate(free, start=1)}
    first = {v: rank[place] * (len(parts) - part) for (place, part), v in at.items()}
    values: tuple[int, ...] = ()
    for objective in (most, earlier, fewest, lowest, first):
        answer = solver(program, objective, budget.left)
        if answer is None or not answer.proven:
            break
        values = answer.values
        program.at_most(objective, total(objective, values))
    if not values:
        return {}, []  # out of time, which is told
    spares: dict[int, list[str]] = {part: [] for part in parts}
    for place, tags in free.items():
        left = iter(tags)
        for part in parts:
            spares[part] += [next(left) for _ in range(values[at[place, part]])]
    return spares, [loss for loss, v in zip(losses, is_covered, strict=True) if not values[v]]


def _links_of(carried: Carried, loss: Loss) -> int:
    """The links of that one of its units that has the most."""
    links = carried.heard[loss.part].values()
    return max(sum(_uses(link, tag) for link in links) for tag in loss.tags)


def _points(
    carried: Carried, loss: Loss, spares: Mapping[Place, int], solver: Solver, budget: Budget
) -> Iterator[SinglePoint]:
    """The units of a loss that nothing covers, each with the links that it would cost."""
    served = carried.heard[loss.part]
    sources, scenes = carried.question.sources, carried.question.scenes
    for tag in loss.tags:
        program = Program()
        ways = _lay(program, carried, loss, spares)
        own = {w for w, link in served.items() if _uses(link, tag)}
        still = set(served)
        goals = [{w for w in served if sources[w.source].priority == p} for p in PRIORITIES]
        for wants in (*goals, served.keys() - own):
            objective = {variable: -1 for want in wants for variable in ways[want]}
            answer = solver(program, objective, budget.left)
            if answer is None:
                break
            program.at_most(objective, total(objective, answer.values))
            still = {w for w, terms in ways.items() if any(answer.values[v] for v in terms)}
        lost = sorted(served.keys() - still, key=lambda w: (w.scene, w.source))
        yield SinglePoint(
            tag,
            tuple(dict.fromkeys(scenes[want.scene].number for want in lost)),
            tuple(dict.fromkeys(sources[want.source].id for want in lost)),
        )


def _uses(link: Link, tag: str) -> bool:
    return tag in (link.transmitter, link.adapter, link.receiver)
