"""R4 and R6 of units handed on: runs of sources on one unit, and the changes of cells they cost."""

from collections.abc import Iterator
from itertools import combinations
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.planning.brief import Brief, brief
from kitprep.planning.runs import (
    FRESH,
    Run,
    Runs,
    Step,
    along,
    by_clock,
    cheapest,
    excess,
    in_turn,
    runs_within,
    steps_within,
)
from kitprep.planning.solver import Budget, highs

from .building import cells, kit, numbered, plan, receiver, scene, source, span, transmitter
from .random_days import relay_day

seeds = st.integers(0, 2**32)


def two_hours() -> Brief:
    """One set lasts 2 h, off between: a and b, an hour each, are done before c's hour and d's two.

    By themselves none costs a change. After a, c's hour is the second and last of the set, and d's
    two hours are one too many.
    """
    return brief(
        kit(transmitter(units=["TX1", "TX2"], power=[cells(hours=2)]), receiver()),
        plan(
            *(source(name) for name in "abcd"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "10:30-11:30", "c"),
            scene("3", "10:30-12:30", "d"),
            between="off",
        ),
    )


A, B, C, D = range(4)


def test_a_run_has_an_excess_where_a_set_is_handed_on_half_spent() -> None:
    day = two_hours()
    assert [excess(day, (source,), 0) for source in (A, B, C, D)] == [0, 0, 0, 0]
    assert (excess(day, (A, C), 0), excess(day, (A, D), 0)) == (0, 1)


def test_runs_are_told_up_to_an_excess() -> None:
    day = two_hours()
    alone = {(A,), (B,), (C,), (D,)}
    assert set(runs_within(day, 0, range(4), 0) or ()) == alone | {(A, C), (B, C)}
    assert set(runs_within(day, 0, range(4), 1) or ()) == alone | {
        (A, C),
        (B, C),
        (A, D),
        (B, D),
    }


def test_by_the_clock_a_source_goes_where_it_costs_least() -> None:
    """c, written before d, can have either pack for nothing; d costs a change on both."""
    day = two_hours()
    assert by_clock(day, range(4), 2, lambda run: excess(day, run, 0)) in (
        ((A, C), (B, D)),
        ((A, D), (B, C)),
    )


def test_a_pack_more_is_taken_where_it_spares_a_change_and_the_plan_has_one() -> None:
    day = two_hours()
    runs = by_clock(day, range(4), 3, lambda run: excess(day, run, 0))
    assert (len(runs), (D,) in runs) == (3, True)


def test_more_runs_than_can_be_looked_at_are_none() -> None:
    """Of 14 sources one after the other any 1 to 14 can share a pack: 2^14 - 1 = 16383 runs."""
    names = numbered("s", 14)
    day = brief(
        kit(transmitter(), receiver()),
        plan(
            *(source(name) for name in names),
            *(scene(n, span(60 * at, 60 * at + 10), n) for at, n in enumerate(names)),
        ),
    )
    assert runs_within(day, 0, range(14), 99) is None
    assert len(runs_within(day, 0, range(13), 99) or ()) == 2**13 - 1


def every_run(day: Brief, sources: tuple[int, ...]) -> Iterator[Run]:
    """All sources that one unit could serve in turn, by the clock."""
    by_start = sorted(sources, key=lambda s: (day.holds[s].start, s))
    for size in range(1, len(sources) + 1):
        for run in combinations(by_start, size):
            if all(in_turn(day, one, other) for one, other in combinations(run, 2)):
                yield run


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_the_excess_never_falls_with_a_source_more_and_is_none_below_nothing(seed: int) -> None:
    day = brief(*relay_day(Random(seed)))
    for place, sources in day.takers.items():
        for run in every_run(day, sources):
            assert excess(day, run, place) >= (excess(day, run[:-1], place) if run[1:] else 0)


@settings(max_examples=60, deadline=None)
@given(seeds, st.integers(0, 3))
def test_just_the_runs_within_an_excess_are_written_out(seed: int, most: int) -> None:
    day = brief(*relay_day(Random(seed)))
    for place, sources in day.takers.items():
        told = runs_within(day, place, sources, most)
        able = [run for run in every_run(day, sources) if excess(day, run, place) <= most]
        assert sorted(told or ()) == sorted(able)


def paths(steps: list[Step], state: int = FRESH) -> Iterator[tuple[Run, int]]:
    """Every run that the steps allow from a state on, with its changes of cells."""
    for step in steps:
        if step.before == state:
            yield (step.source,), step.changes
            for run, changes in paths(steps, step.after):
                yield (step.source, *run), step.changes + changes


@settings(max_examples=60, deadline=None)
@given(seeds, st.integers(0, 3))
def test_the_steps_make_just_these_runs_at_just_their_changes(seed: int, most: int) -> None:
    day = brief(*relay_day(Random(seed)))
    for place, sources in day.takers.items():
        runs = runs_within(day, place, sources, most) or []
        model = day.pool.transmitters[place].model
        told = paths(steps_within(day, place, sources, most) or [])
        assert sorted(told) == sorted((run, day.planned_changes(run, model)) for run in runs)


def test_runs_after_which_the_same_may_come_share_their_steps() -> None:
    """12 sources, each handed on for nothing: 2^12 - 1 runs, of 12 first steps and 11 + ... + 1."""
    names = numbered("s", 12)
    day = brief(
        kit(transmitter(power=[cells(hours=99)]), receiver()),
        plan(
            *(source(name) for name in names),
            *(scene(n, span(60 * at, 60 * at + 10), n) for at, n in enumerate(names)),
        ),
    )
    steps = steps_within(day, 0, range(12), 0) or []
    assert len(steps) == 12 + 66
    assert len(list(paths(steps))) == 2**12 - 1


def test_steps_that_are_taken_make_runs_again() -> None:
    """a then c then d on one pack, b on another; c to d is a step that b leads to as well."""
    first, second = Step(FRESH, A, 0, 0), Step(FRESH, B, 1, 0)
    assert along([Step(2, D, 3, 1), second, Step(0, C, 2, 0), first]) == ((A, C, D), (B,))


def shared_out(day: Brief, sources: tuple[int, ...], units: int) -> Iterator[Runs]:
    """Every way to have the sources on so many units."""
    if not sources:
        yield ()
        return
    for run in every_run(day, sources):
        rest = tuple(s for s in sources if s not in run)
        if sources[0] in run and units:
            yield from ((run, *others) for others in shared_out(day, rest, units - 1))


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_the_cheapest_runs_are_as_cheap_as_any(seed: int) -> None:
    day = brief(*relay_day(Random(seed)))
    for place, sources in day.takers.items():
        for units in range(1, len(sources) + 1):
            costs = [
                sum(excess(day, run, place) for run in runs)
                for runs in shared_out(day, sources, units)
            ]
            if costs:
                runs = cheapest(day, place, sources, units, highs, Budget.of(60))
                assert sum(excess(day, run, place) for run in runs) == min(costs)
                assert sorted(s for run in runs for s in run) == sorted(sources)
                assert len(runs) <= units
