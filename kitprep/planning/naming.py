"""From counts to tags: which unit serves whom, on which module, the lowest tags first.

Counts of identical units promise little that naming cannot keep; where a promise of the counts
(no change of module, no change of cells at a hand-over) cannot be kept, naming says where.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from kitprep.definitions.kit import Transmitter
from kitprep.planning.board import Board, Spot
from kitprep.planning.brief import Brief, Want
from kitprep.planning.chains import Sender
from kitprep.planning.program import changes_promised

MOST_STEPS = 2_000
"""Steps of one exact search; past it the best found so far stands."""


Runs = tuple[tuple[int, ...], ...]
"""Sources that have one unit in turn, unit by unit."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The solver's values in the trade's terms."""

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


def _name_packs(brief: Brief, choice: Choice) -> tuple[dict[int, str], frozenset[int]]:
    named: dict[int, str] = {}
    unsettled = set()
    for place, unit_class in enumerate(brief.pool.transmitters):
        sources = [s for s, sender in choice.takes.items() if sender.transmitter == place]
        if not sources:
            continue

        def cost(runs: Runs, model: Transmitter = unit_class.model) -> int:
            return sum(brief.planned_changes(run, model) for run in runs)

        if place in choice.runs:
            promised = cost(choice.runs[place])
        else:
            promised = sum(changes_promised(brief, source, place) for source in sources)
        runs = _share(brief, sources, choice.packs[place], cost, promised)
        if cost(runs) > promised:
            unsettled.add(place)
        named |= _tagged(runs, unit_class.tags)
    return named, frozenset(unsettled)


def _name_adapters(brief: Brief, choice: Choice) -> dict[int, str]:
    named: dict[int, str] = {}
    for place, unit_class in enumerate(brief.pool.adapters):
        sources = [s for s, sender in choice.takes.items() if sender.adapter == place]
        if sources:
            runs = _share(brief, sources, choice.adapters[place], lambda runs: 0, 0)
            named |= _tagged(runs, unit_class.tags)
    return named


def _tagged(runs: Runs, tags: Sequence[str]) -> dict[int, str]:
    return {source: tag for run, tag in zip(runs, tags, strict=False) for source in run}


def _share(
    brief: Brief, sources: Iterable[int], units: int, cost: Callable[[Runs], int], promised: int
) -> Runs:
    """The sources in runs, each one unit's in turn, at the cost promised if that can be had.

    Of all such ways the one in which each source, as written, has the lowest unit; failing that the
    cheapest that was met.
    """
    written = sorted(sources)
    best = _first_fit(brief, written)
    assert len(best) <= units, "the rows of at_once promise that so many units are enough"
    best_cost = cost(best)
    steps = 0

    def place_next(number: int, runs: Runs) -> bool:
        nonlocal best, best_cost, steps
        steps += 1
        if number == len(written):
            spent = cost(runs)
            if spent <= promised or spent < best_cost:
                best, best_cost = runs, spent
            return spent <= promised
        source = written[number]
        for at, run in enumerate(runs):
            if all(_in_turn(brief, source, other) for other in run):
                longer = (*runs[:at], (*run, source), *runs[at + 1 :])
                if place_next(number + 1, longer) or steps > MOST_STEPS:
                    return True
        return len(runs) < units and place_next(number + 1, (*runs, (source,)))

    place_next(0, ())
    return best


def _in_turn(brief: Brief, one: int, other: int) -> bool:
    """Whether two sources can have one unit, one after the other."""
    first, second = sorted((brief.holds[one], brief.holds[other]), key=lambda hold: hold.start)
    return first.end + brief.plan.handover_min <= second.start


def _first_fit(brief: Brief, sources: Iterable[int]) -> Runs:
    """As few runs as there can be: by the clock, each source on the first unit that is free."""
    runs: list[tuple[int, ...]] = []
    for source in sorted(sources, key=lambda s: (brief.holds[s].start, s)):
        at = next((n for n, run in enumerate(runs) if _in_turn(brief, source, run[-1])), None)
        if at is None:
            runs.append((source,))
        else:
            runs[at] = (*runs[at], source)
    return tuple(sorted(runs, key=min))


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
