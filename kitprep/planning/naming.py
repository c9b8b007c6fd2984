"""From counts to tags: which unit serves whom, on which module, the lowest tags first.

Counts of identical units promise little that naming cannot keep; where a promise of the counts
(no change of module, no change of cells at a hand-over) cannot be kept, naming says where.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from kitprep.definitions.kit import Transmitter
from kitprep.planning.board import Board, Spot
from kitprep.planning.brief import Brief, Want
from kitprep.planning.chains import Sender
from kitprep.planning.runs import (
    MOST_STEPS,
    Run,
    Runs,
    Step,
    along,
    by_clock,
    cheapest,
    lowest_units,
)
from kitprep.planning.seats import meeting
from kitprep.planning.solver import Budget, Solver


@dataclass(frozen=True, slots=True)
class Choice:
    """The solver's values in the trade's terms.

    ``runs`` are those of the classes whose units' changes of cells are settled by them.
    """

    takes: Mapping[int, Sender]
    heard: Mapping[Want, tuple[int, int | None]]
    placed: Mapping[Spot, int]
    packs: Mapping[int, int]
    adapters: Mapping[int, int]
    runs: Mapping[int, Runs]


@dataclass(frozen=True, slots=True)
class Selection:
    """Who has what: by source its transmitter and adapter; by wanted link its receiver and module.

    Modules count from 1. ``stands`` is the destination of each receiver that is carried.
    """

    transmitters: Mapping[int, str]
    adapters: Mapping[int, str]
    modules: Mapping[Want, tuple[str, int]]
    stands: Mapping[str, str]
    senders: Mapping[int, Sender]
    receivers: Mapping[str, int]
    unsettled_spots: frozenset[Spot]
    unsettled_packs: frozenset[int]


def read_choice(board: Board, values: Sequence[int]) -> Choice:
    """What the values mean."""
    steps: dict[int, list[Step]] = defaultdict(list)
    for (place, step), variable in board.steps.items():
        if values[variable]:
            steps[place].append(step)
    return Choice(
        {source: sender for (source, sender), v in board.takes.items() if values[v]},
        {want: seat for (want, seat), v in board.heard.items() if values[v]},
        {spot: values[v] for spot, v in board.placed.items() if values[v]},
        {place: values[v] for place, v in board.packs.items()},
        {place: values[v] for place, v in board.adapters.items()},
        {place: along(mine) for place, mine in steps.items()},
    )


def values_of(board: Board, selection: Selection) -> dict[int, int]:
    """What a named plan makes of the variables of senders and counts."""
    packs: dict[int, set[str]] = defaultdict(set)
    adapters: dict[int | None, set[str]] = defaultdict(set)
    for source, sender in selection.senders.items():
        packs[sender.transmitter].add(selection.transmitters[source])
        if source in selection.adapters:
            adapters[sender.adapter].add(selection.adapters[source])
    placed = Counter((selection.receivers[tag], where) for tag, where in selection.stands.items())
    return {
        **{v: selection.senders.get(s) == sender for (s, sender), v in board.takes.items()},
        **{v: len(packs[place]) for place, v in board.packs.items()},
        **{v: len(adapters[place]) for place, v in board.adapters.items()},
        **{v: placed[spot] for spot, v in board.placed.items()},
    }


def name_units(brief: Brief, choice: Choice) -> Selection:
    """Tags for a choice."""
    transmitters, unsettled_packs = _name_packs(brief, choice)
    modules, stands, receivers, unsettled_spots = _name_receivers(brief, choice)
    return Selection(
        transmitters,
        _name_adapters(brief, choice),
        modules,
        stands,
        choice.takes,
        receivers,
        unsettled_spots,
        unsettled_packs,
    )


def with_cheapest_runs(
    brief: Brief, choice: Choice, places: Iterable[int], solver: Solver, budget: Budget
) -> Choice:
    """The choice with the runs of these classes settled at the fewest changes of cells."""
    runs = dict(choice.runs)
    for place in sorted(places):
        sources = [s for s, sender in choice.takes.items() if sender.transmitter == place]
        if place not in runs:
            runs[place] = cheapest(brief, place, sources, choice.packs[place], solver, budget)
    return replace(choice, runs=runs)


def _name_packs(brief: Brief, choice: Choice) -> tuple[dict[int, str], frozenset[int]]:
    named: dict[int, str] = {}
    unsettled = set()
    for place, unit_class in enumerate(brief.pool.transmitters):
        sources = [s for s, sender in choice.takes.items() if sender.transmitter == place]
        if not sources:
            continue

        def cost(run: Run, model: Transmitter = unit_class.model) -> int:
            return brief.planned_changes(run, model)

        promised = sum(brief.changes_promised(source, place) for source in sources)
        units, settled = choice.packs[place], choice.runs.get(place)
        known = settled or by_clock(brief, sources, units, cost)
        wanted = promised if settled is None else sum(map(cost, settled))
        runs = lowest_units(brief, known, units, cost, wanted)
        if sum(map(cost, runs)) > promised:
            unsettled.add(place)
        named |= _tagged(runs, _worn_first(brief, runs, unit_class.tags))
    return named, frozenset(unsettled)


def _worn_first(brief: Brief, runs: Runs, tags: Sequence[str]) -> list[str]:
    """A tag for each run: what its sources wear, as written and while it is free, else the lowest.

    Any tag of a class is as good as any other, so this costs nothing.
    """
    given: dict[int, str] = {}
    turns = sorted((source, at) for at, run in enumerate(runs) for source in run)
    for source, at in turns:
        wears = brief.sources[source].wears
        if wears in tags and wears not in given.values():
            given.setdefault(at, str(wears))
    left = (tag for tag in tags if tag not in given.values())
    return [given.get(at) or next(left) for at in range(len(runs))]


def _name_adapters(brief: Brief, choice: Choice) -> dict[int, str]:
    named: dict[int, str] = {}
    for place, unit_class in enumerate(brief.pool.adapters):
        sources = [s for s, sender in choice.takes.items() if sender.adapter == place]
        if sources:
            units = choice.adapters[place]
            known = by_clock(brief, sources, units, lambda run: 0)
            runs = lowest_units(brief, known, units, lambda run: 0, 0)
            named |= _tagged(runs, unit_class.tags)
    return named


def _tagged(runs: Runs, tags: Sequence[str]) -> dict[int, str]:
    return {source: tag for run, tag in zip(runs, tags, strict=False) for source in run}


def _name_receivers(
    brief: Brief, choice: Choice
) -> tuple[dict[Want, tuple[str, int]], dict[str, str], dict[str, int], frozenset[Spot]]:
    at_spot: dict[Spot, list[Want]] = defaultdict(list)
    for want, (place, _) in choice.heard.items():
        at_spot[place, want.destination].append(want)
    modules: dict[Want, tuple[str, int]] = {}
    stands: dict[str, str] = {}
    receivers: dict[str, int] = {}
    unsettled = set()
    used: dict[int, int] = defaultdict(int)
    for spot in _in_written_order(brief, at_spot):
        place, destination = spot
        unit_class = brief.pool.receivers[place]
        wants = sorted(at_spot[spot], key=lambda w: (w.scene, w.source))
        units = choice.placed[spot]
        seats = {want: choice.heard[want][1] for want in wants}
        if any(seat is None for seat in seats.values()):
            seats, splits = _seat(brief, wants, units * unit_class.model.modules)
            if splits:
                unsettled.add(spot)
        else:
            names = sorted({name for name in seats.values() if name is not None})
            seats = {w: names.index(name) for w, name in seats.items() if name is not None}
        tags = unit_class.tags[used[place] : used[place] + units]
        used[place] += units
        for want, seat in seats.items():
            assert seat is not None
            unit, module = divmod(seat, unit_class.model.modules)
            modules[want] = (tags[unit], module + 1)
            stands[tags[unit]], receivers[tags[unit]] = destination, place
    return modules, stands, receivers, frozenset(unsettled)


def _in_written_order(brief: Brief, spots: Mapping[Spot, Sequence[Want]]) -> list[Spot]:
    def first_use(spot: Spot) -> tuple[int, int, int]:
        source = min(want.source for want in spots[spot])
        ports = [name for name, _ in brief.sources[source].ports]
        return source, ports.index(spot[1]), spot[0]

    return sorted(spots, key=first_use)


def _seat(brief: Brief, wants: Sequence[Want], seats: int) -> tuple[dict[Want, int | None], int]:
    """A module for each link of one spot, and the changes of module that this takes."""
    first: dict[int, int] = {}
    for want in wants:
        first.setdefault(want.source, want.scene)
    meets = meeting(brief, wants)
    for whole in (
        _seat_in_order(sorted(first), meets),
        _seat_in_order(sorted(first, key=lambda s: (first[s], s)), meets),
        _seat_tightest_first(meets),
    ):
        if max(whole.values()) < seats:
            return {want: whole[want.source] for want in wants}, 0
    return _seat_split(brief, wants, seats)


def _overlap(brief: Brief, one: Want, other: Want) -> bool:
    return other.scene in brief.together[one.scene]


def _seat_in_order(order: Iterable[int], meets: Mapping[int, set[int]]) -> dict[int, int]:
    """Each source on one module throughout, the lowest that is free."""
    given: dict[int, int] = {}
    for source in order:
        given[source] = _lowest_free(source, given, meets)
    return given


def _seat_tightest_first(meets: Mapping[int, set[int]]) -> dict[int, int]:
    """The same, always next the source with the fewest modules left to it."""
    given: dict[int, int] = {}
    closed: dict[int, set[int]] = {source: set() for source in meets}
    while len(given) < len(meets):
        source = max(
            (s for s in sorted(meets) if s not in given),
            key=lambda s: (len(closed[s]), len(meets[s] - given.keys())),
        )
        given[source] = _lowest_free(source, given, meets)
        for other in meets[source]:
            closed[other].add(given[source])
    return given


def _lowest_free(source: int, given: Mapping[int, int], meets: Mapping[int, set[int]]) -> int:
    taken = {given[other] for other in meets[source] if other in given}
    return next(module for module in count() if module not in taken)


def _seat_split(
    brief: Brief, wants: Sequence[Want], seats: int
) -> tuple[dict[Want, int | None], int]:
    """The fewest changes of module, where some source cannot keep one."""
    best: dict[Want, int | None] = {}
    best_cost = steps = 0
    given: dict[Want, int | None] = {}

    def free(want: Want) -> Iterator[tuple[int, int]]:
        """The seats that a link may have, its own last one first, and what each costs."""
        taken = {seat for other, seat in given.items() if _overlap(brief, want, other)}
        last = next((s for w, s in reversed(given.items()) if w.source == want.source), None)
        # Modules that none has used yet are alike: one stands for all of them.
        fresh = max((seat for seat in given.values() if seat is not None), default=-1) + 1
        seats_left = [seat for seat in range(min(fresh + 1, seats)) if seat not in taken]
        for seat in sorted(seats_left, key=lambda s: s != last):
            yield seat, last is not None and seat != last

    # One step down for each link: a day has more of them than Python has frames.
    ways, spent = [free(wants[0])], [0]
    while ways:
        want = wants[len(ways) - 1]
        given.pop(want, None)
        seat, cost = next(ways[-1], (None, 0))
        steps += 1
        if seat is None:
            ways.pop()
            spent.pop()
        elif not best or (spent[-1] + cost < best_cost and steps <= MOST_STEPS):
            given[want] = seat
            if len(given) == len(wants):
                best, best_cost = dict(given), spent[-1] + cost
            else:
                ways.append(free(wants[len(ways)]))
                spent.append(spent[-1] + cost)
    assert best, "the rows of at_once promise that so many modules are enough"
    return best, best_cost
