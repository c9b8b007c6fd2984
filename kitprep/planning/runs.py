"""R4 and R6 of units handed on: the runs of sources that one unit serves in turn.

A source costs a pack some changes of cells whoever has it before; what a run costs beyond that,
because its cells are handed on part-used, is its excess. Appending a source never lowers it: a
fresh set at the hand-over is the best that can come. So runs are grown by the clock, and given up
at the first excess too many.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping
from dataclasses import dataclass

from kitprep.planning.brief import Brief
from kitprep.planning.solver import Budget, Program, Solver

Run = tuple[int, ...]
"""Sources that have one unit in turn."""
Runs = tuple[Run, ...]
"""Unit by unit."""
Cost = Callable[[Run], int]
"""Changes of cells of a run."""

FRESH = -1
"""The state of a unit that no source has had yet."""


@dataclass(frozen=True, slots=True)
class Step:
    """A unit in one state is handed to a source, at so many changes of cells, and is in another."""

    before: int
    source: int
    after: int
    changes: int


MOST_RUNS = 12_000
"""Runs of one class that are looked at; past it their changes stay as they are found."""
MOST_STEPS = 2_000
"""Steps of one exact search; past it the best found so far stands."""


def in_turn(brief: Brief, one: int, other: int) -> bool:
    """Whether two sources can have one unit, one after the other."""
    first, second = sorted((brief.holds[one], brief.holds[other]), key=lambda hold: hold.start)
    return first.end + brief.plan.handover_min <= second.start


def excess(brief: Brief, run: Run, place: int) -> int:
    """Changes of a run beyond those of its sources."""
    model = brief.pool.transmitters[place].model
    promised = sum(brief.changes_promised(source, place) for source in run)
    return brief.planned_changes(run, model) - promised


def runs_within(
    brief: Brief, place: int, sources: Iterable[int], most_excess: int
) -> list[Run] | None:
    """Every run of these sources on a unit of the class with no more excess; None for too many."""
    order = sorted(sources, key=lambda s: (brief.holds[s].start, s))
    found: list[Run] = []
    stack: list[Run] = [(source,) for source in reversed(order)]
    tried = 0
    while stack:
        run = stack.pop()
        tried += 1
        if tried > MOST_RUNS:
            return None
        if excess(brief, run, place) <= most_excess:
            found.append(run)
            free = brief.holds[run[-1]].end + brief.plan.handover_min
            stack.extend((*run, s) for s in order if brief.holds[s].start >= free)
    return found


def steps_within(
    brief: Brief, place: int, sources: Iterable[int], most_excess: int
) -> list[Step] | None:
    """The steps of which all these runs are made; None where the runs are too many.

    Units after which the same may come at the same costs are in one state: most runs share theirs,
    so that the steps are far fewer than the runs.
    """
    runs = runs_within(brief, place, sources, most_excess)
    if runs is None:
        return None
    model = brief.pool.transmitters[place].model
    onward: dict[Run, list[Run]] = defaultdict(list)
    for run in runs:
        onward[run[:-1]].append(run)
    states: dict[Hashable, int] = {}
    after: dict[Run, int] = {}
    steps: list[Step] = []
    for run in (*sorted(runs, key=len, reverse=True), ()):
        spent = brief.planned_changes(run, model) if run else 0
        to_come = tuple(
            (longer[-1], after[longer], brief.planned_changes(longer, model) - spent)
            for longer in onward[run]
        )
        state = run and (run[-1], to_come)
        if state not in states:
            before = states[state] = len(states) if run else FRESH
            steps += [Step(before, *coming) for coming in to_come]
        after[run] = states[state]
    return steps


def along(steps: Collection[Step]) -> Runs:
    """The runs that these steps make, where no source is in two of them."""
    onward = {step.before: step for step in steps if step.before != FRESH}
    runs = []
    for first in steps:
        if first.before == FRESH:
            run, state = [first.source], first.after
            while state in onward:
                run.append(onward[state].source)
                state = onward[state].after
            runs.append(tuple(run))
    return tuple(sorted(runs, key=min))


def by_clock(brief: Brief, sources: Iterable[int], units: int, cost: Cost) -> Runs:
    """Runs on no more than so many units: by the clock, each source where it costs the least.

    Of units that cost the same, the one that has been free for the shortest time.
    """
    runs: list[Run] = []
    for source in sorted(sources, key=lambda s: (brief.holds[s].start, s)):
        free = [n for n, run in enumerate(runs) if in_turn(brief, source, run[-1])]
        added = {n: cost((*runs[n], source)) - cost(runs[n]) for n in free}
        at = min(free, key=lambda n: (added[n], -brief.holds[runs[n][-1]].end), default=None)
        if at is None or (len(runs) < units and added[at] > cost((source,))):
            runs.append((source,))
        else:
            runs[at] = (*runs[at], source)
    assert len(runs) <= units, "the rows of at_once promise that so many units are enough"
    return tuple(sorted(runs, key=min))


def cheapest(
    brief: Brief, place: int, sources: Iterable[int], units: int, solver: Solver, budget: Budget
) -> Runs:
    """The sources on so many units of a class at the fewest changes, as a program of its own.

    The runs that come by the clock where the others are too many to write out, or time runs out.
    """

    def spent(run: Run) -> int:
        return excess(brief, run, place)

    known = by_clock(brief, sources, units, spent)
    most = sum(map(spent, known)) - 1
    able = steps_within(brief, place, sources, most) if most >= 0 and budget.left else None
    if able is None:
        return known
    program = Program()
    steps = {step: program.variable() for step in able}
    into = join_steps(program, steps)
    for source in sorted(sources):
        program.equal(dict.fromkeys(into[source], 1), 1)
    program.at_most({v: 1 for step, v in steps.items() if step.before == FRESH}, units)
    answer = budget.solve(solver, program, {v: step.changes for step, v in steps.items()})
    if answer is None:
        return known
    taken = along([step for step, v in steps.items() if answer.values[v]])
    return min(known, taken, key=lambda runs: sum(map(spent, runs)))


def join_steps(program: Program, steps: Mapping[Step, int]) -> defaultdict[int, list[int]]:
    """Rows by which a unit leaves a state only after it came to it; by source, its steps."""
    into: defaultdict[int, list[int]] = defaultdict(list)
    flow: dict[int, dict[int, int]] = defaultdict(dict)
    for step, variable in steps.items():
        into[step.source].append(variable)
        flow[step.after][variable] = -1
        if step.before != FRESH:
            flow[step.before][variable] = 1
    for terms in flow.values():
        program.at_most(terms, 0)
    return into


def lowest_units(brief: Brief, known: Runs, units: int, cost: Cost, promised: int) -> Runs:
    """The sources of known runs in runs at the cost promised, if that can be had.

    Of all such ways the one in which each source, as written, has the lowest unit; failing that the
    cheapest that was met.
    """
    written = sorted(source for run in known for source in run)
    beside = {s: {o for o in written if in_turn(brief, s, o)} for s in written}
    best, best_cost, steps = known, sum(map(cost, known)), 0

    def place_next(number: int, runs: Runs) -> bool:
        nonlocal best, best_cost, steps
        steps += 1
        if number == len(written):
            spent = sum(map(cost, runs))
            if spent <= promised or spent < best_cost:
                best, best_cost = runs, spent
            return spent <= promised
        source = written[number]
        for at, run in enumerate(runs):
            if beside[source].issuperset(run):
                longer = (*runs[:at], (*run, source), *runs[at + 1 :])
                if place_next(number + 1, longer) or steps > MOST_STEPS:
                    return True
        return len(runs) < units and place_next(number + 1, (*runs, (source,)))

    place_next(0, ())
    return best
