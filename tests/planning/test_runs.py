"""R4 and R6 of units handed on: runs of sources on one unit, and the changes of cells they cost."""

from collections.abc import Iterator
from itertools import combinations
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.planning.brief import Brief, brief
from kitprep.planning.runs import Run, Runs, by_clock, cheapest, excess, in_turn, runs_within
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
    """Of 13 sources one after the other any 1 to 13 can share a pack: 2^13 - 1 = 8191 runs."""
    names = numbered("s", 13)
    day = brief(
        kit(transmitter(), receiver()),
        plan(
            *(source(name) for name in names),
            *(scene(n, span(60 * at, 60 * at + 10), n) for at, n in enumerate(names)),
        ),
    )
    assert runs_within(day, 0, range(13), 99) is None
    assert len(runs_within(day, 0, range(12), 99) or ()) == 2**12 - 1


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
