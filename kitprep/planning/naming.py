"""From counts to tags: which unit serves whom, on which module, the lowest tags first.

Counts of identical units promise little that naming cannot keep; where a promise of the counts
(no change of module, no change of cells at a hand-over) cannot be kept, naming says where.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from kitprep.planning.brief import Brief, Want
from kitprep.planning.chains import Sender
from kitprep.planning.program import Board, Spot

MOST_STEPS = 20_000
"""Steps of one exact search; past it the best found so far stands."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The solver's values in the trade's terms."""

    takes: Mapping[int, Sender]
    heard: Mapping[Want, tuple[int, int | None]]
    placed: Mapping[Spot, int]
    packs: Mapping[int, int]
    adapters: Mapping[int, int]
    runs: Mapping[int, tuple[tuple[int, ...], ...]]


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
    runs: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    for (place, run), variable in board.runs.items():
        if values[variable]:
            runs[place].append(run)
    return Choice(
        {source: sender for (source, sender), v in board.takes.items() if values[v]},
        {want: seat for (want, seat), v in board.heard.items() if values[v]},
        {spot: values[v] for spot, v in board.placed.items() if values[v]},
        {place: values[v] for place, v in board.packs.items()},
        {place: values[v] for place, v in board.adapters.items()},
        {place: tuple(mine) for place, mine in runs.items()},
    )


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


def _tagged(runs: Iterable[Sequence[int]], tags: Sequence[str]) -> dict[int, str]:
    """Each run's unit, the lowest tag to the run of the source that is written first."""
    ordered = sorted(runs, key=min)
    return {source: tag for run, tag in zip(ordered, tags, strict=False) for source in run}


def _name_packs(brief: Brief, choice: Choice) -> tuple[dict[int, str], frozenset[int]]:
    named: dict[int, str] = {}
    unsettled = set()
    for place, unit_class in enumerate(brief.pool.transmitters):
        sources = [s for s, sender in choice.takes.items() if sender.transmitter == place]
        if not sources:
            continue
        runs: Sequence[Sequence[int]]
        if place in choice.runs:
            runs = choice.runs[place]
        else:
            runs = _share_packs(brief, place, sources, choice.packs[place])
            alone = sum(brief.planned_changes((s,), unit_class.model) for s in sources)
            if sum(brief.planned_changes(run, unit_class.model) for run in runs) > alone:
                unsettled.add(place)
        named |= _tagged(runs, unit_class.tags)
    return named, frozenset(unsettled)


def _share_packs(
    brief: Brief, place: int, sources: Sequence[int], units: int
) -> list[tuple[int, ...]]:
    """The sources in runs on this many units, with the fewest changes of cells."""
    model = brief.pool.transmitters[place].model

    def cost(run: tuple[int, ...]) -> int:
        return brief.planned_changes(run, model)

    return _runs(brief, sources, units, cost)


def _runs(brief, sources, units, cost):  # type: ignore[no-untyped-def]
    """The cheapest way to put sources, one after the other, on this many units."""
    order = sorted(sources, key=lambda s: (brief.holds[s].start, s))
    best: list[tuple[int, ...]] | None = None
    best_cost = 0
    steps = 0

    def place_next(number: int, runs: list[tuple[int, ...]], spent: int) -> None:
        nonlocal best, best_cost, steps
        steps += 1
        if best is not None and (spent >= best_cost or steps > MOST_STEPS):
            return
        if number == len(order):
            best, best_cost = list(runs), spent
            return
        source = order[number]
        for at, run in enumerate(runs):
            free = brief.holds[run[-1]].end + brief.plan.handover_min
            if brief.holds[source].start >= free:
                longer = (*run, source)
                more = cost(longer) - cost(run)
                place_next(number + 1, [*runs[:at], longer, *runs[at + 1 :]], spent + more)
        if len(runs) < units:
            place_next(number + 1, [*runs, (source,)], spent + cost((source,)))

    place_next(0, [], 0)
    assert best is not None, "the rows of at_once promise that so many units are enough"
    return best


def _name_adapters(brief: Brief, choice: Choice) -> dict[int, str]:
    named: dict[int, str] = {}
    for place, unit_class in enumerate(brief.pool.adapters):
        sources = [s for s, sender in choice.takes.items() if sender.adapter == place]
        if sources:
            runs = _runs(brief, sources, choice.adapters[place], lambda run: 0)
            named |= _tagged(runs, unit_class.tags)
    return named


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
        tags = unit_class.tags[used[place] : used[place] + units]
        used[place] += units
        for tag in tags:
            stands[tag], receivers[tag] = destination, place
        for want, seat in seats.items():
            assert seat is not None
            unit, module = divmod(seat, unit_class.model.modules)
            modules[want] = (tags[unit], module + 1)
    return modules, stands, receivers, frozenset(unsettled)


def _in_written_order(brief: Brief, spots: Mapping[Spot, Sequence[Want]]) -> list[Spot]:
    def first_use(spot: Spot) -> tuple[int, int, int]:
        source = min(want.source for want in spots[spot])
        ports = [name for name, _ in brief.sources[source].ports]
        return source, ports.index(spot[1]), spot[0]

    return sorted(spots, key=first_use)


def _seat(brief: Brief, wants: Sequence[Want], seats: int) -> tuple[dict[Want, int | None], int]:
    """A module for each link of one spot, and the changes of module that this takes."""
    by_source: dict[int, list[Want]] = defaultdict(list)
    for want in wants:
        by_source[want.source].append(want)
    as_written = sorted(by_source)
    by_clock = sorted(by_source, key=lambda s: (by_source[s][0].scene, s))
    for order in (as_written, by_clock):
        whole = _seat_whole(brief, [by_source[source] for source in order], seats)
        if whole is not None:
            return whole, 0
    return _seat_split(brief, wants, seats)


def _overlap(brief: Brief, one: Want, other: Want) -> bool:
    return brief.scenes[one.scene].overlaps(brief.scenes[other.scene])


def _seat_whole(
    brief: Brief, sources: Sequence[Sequence[Want]], seats: int
) -> dict[Want, int | None] | None:
    """Each source on one module throughout, the lowest that is free; None where one finds none."""
    sitting: list[list[Want]] = [[] for _ in range(seats)]
    given: dict[Want, int | None] = {}
    for wants in sources:
        for number, others in enumerate(sitting):
            if not any(_overlap(brief, want, other) for want in wants for other in others):
                others.extend(wants)
                given |= dict.fromkeys(wants, number)
                break
        else:
            return None
    return given


def _seat_split(
    brief: Brief, wants: Sequence[Want], seats: int
) -> tuple[dict[Want, int | None], int]:
    """The fewest changes of module, where some source cannot keep one."""
    best: dict[Want, int | None] | None = None
    best_cost = 0
    steps = 0

    def seat_next(number: int, given: dict[Want, int | None], spent: int) -> None:
        nonlocal best, best_cost, steps
        steps += 1
        if best is not None and (spent >= best_cost or steps > MOST_STEPS):
            return
        if number == len(wants):
            best, best_cost = dict(given), spent
            return
        want = wants[number]
        taken = {seat for other, seat in given.items() if _overlap(brief, want, other)}
        last = next((given[w] for w in reversed(wants[:number]) if w.source == want.source), None)
        # Modules that none has used yet are alike: one stands for all of them.
        fresh = max((seat for seat in given.values() if seat is not None), default=-1) + 1
        free = [seat for seat in range(min(fresh + 1, seats)) if seat not in taken]
        for seat in sorted(free, key=lambda s: s != last):
            moved = last is not None and seat != last
            seat_next(number + 1, {**given, want: seat}, spent + moved)

    seat_next(0, {}, 0)
    assert best is not None, "the rows of at_once promise that so many modules are enough"
    return best, best_cost
