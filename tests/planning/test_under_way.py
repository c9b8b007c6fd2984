"""R6 on set: what is left of a schedule once sets went in, or packs stayed awake, as they did."""

from dataclasses import replace
from itertools import pairwise
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.planning.cells import Stretch, schedule
from kitprep.planning.under_way import Level, Onward, RunsOut, levels, onward, sleeps

from .building import cells, kit, plan, scene, source, stereo_receiver, transmitter, worked
from .test_cell_schedules import random_day

# 100 minutes of life: on from 08:30, scenes 09:00-09:40 and 11:00-11:40, asleep (a fifth) between.
# 30 + 40 + 80 / 5 = 86 at 11:00, so a set is changed before scene 2, or dead at 11:14.
ASLEEP = worked(
    kit(
        transmitter(standby=0.2, power=[cells(hours=100 / 60)]),
        stereo_receiver(power=[{"dc_v": [12, 12], "watts": 1}]),
    ),
    plan(
        source("a"),
        scene("1", "09:00-09:40", "a"),
        scene("2", "11:00-11:40", "a"),
        lead_min=30,
        between="standby",
        reserve=0,
    ),
)
(FEED,) = ASLEEP.feeds
NINE = 9 * 60


def left(
    *fresh: int, slept: tuple[tuple[int, int], ...] = (), seen_to: int | None = None
) -> Onward:
    """The rest of the day with sets put in at these minutes."""
    return onward(FEED, fresh, slept, seen_to)


def by(rest: Onward) -> list[tuple[str, int, bool]]:
    return [(change.before, change.by, change.mid_scene) for change in rest.changes]


def test_with_nothing_done_it_is_as_planned() -> None:
    assert left().changes == FEED.changes
    assert left().runs_out == RunsOut(11 * 60 + 14, "2")


def test_a_set_that_goes_in_within_a_scene_is_reckoned_from_there() -> None:
    # From 09:10: 30 + 16 at 11:00, so 54 are left for the 40 of scene 2.
    assert left(NINE + 10) == Onward((), None)


def test_the_last_set_counts() -> None:
    assert left(NINE + 10, NINE - 20).changes == ()
    # From 08:31: 29 + 40 + 16 = 85, and 15 into scene 2.
    assert left(8 * 60 + 31).runs_out == RunsOut(11 * 60 + 15, "2")


def test_awake_it_draws_as_on_air_as_far_as_it_was_seen() -> None:
    # 70 are gone at 09:40; awake the other 30 go until 10:10.
    assert left(seen_to=10 * 60 + 30).runs_out == RunsOut(10 * 60 + 10, None)
    # Awake until 09:50, then asleep as planned: 80, and 14 asleep until 11:00; 6 into scene 2.
    assert left(seen_to=9 * 60 + 50).runs_out == RunsOut(11 * 60 + 6, "2")
    asleep = ((9 * 60 + 40, 11 * 60),)
    assert left(slept=asleep, seen_to=11 * 60) == left()


def test_only_gaps_that_draw_less_are_slept_in() -> None:
    assert sleeps(FEED) == ((9 * 60 + 40, 11 * 60),)
    on = [replace(s, drain=FEED.course[0].drain) for s in FEED.course]
    assert sleeps(replace(FEED, course=tuple(on))) == ()


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32))
def test_a_change_made_when_it_was_planned_leaves_as_few_to_come(seed: int) -> None:
    day, _ = random_day(Random(seed))
    feed = day.feeds[0]
    assert onward(feed, (), (), None).changes == feed.changes
    for made in range(len(feed.changes)):
        fresh = [change.by for change in feed.changes[: made + 1]]
        rest = onward(feed, fresh, (), None).changes
        still = feed.changes[made + 1 :]
        assert sum(c.mid_scene for c in rest) == sum(c.mid_scene for c in still)
        assert len(rest) == len(still)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 2**32), st.integers(0, 600))
def test_no_set_is_used_for_more_than_it_holds(seed: int, after: int) -> None:
    day, _ = random_day(Random(seed))
    feed = day.feeds[0]
    fresh = feed.on + after % (feed.off - feed.on)
    rest = onward(feed, [fresh], (), None)
    put_in = [fresh, *(change.by for change in rest.changes), feed.off]
    for start, end in pairwise(put_in):
        assert _taken(feed.course, start, end) <= 1
    assert (rest.runs_out is None) == (_taken(feed.course, fresh, feed.off) <= 1)


def _taken(course: tuple[Stretch, ...], start: int, end: int) -> object:
    """The share of a set that these minutes take."""
    inside = [(max(s.start, start), min(s.end, end), s.drain) for s in course]
    return sum(drain * (b - a) for a, b, drain in inside if a < b)


def test_the_whole_course_is_what_the_schedule_was_reckoned_with() -> None:
    assert [(c.before, c.by) for c in schedule(FEED.course)] == [
        (c.before, c.by) for c in FEED.changes
    ]


def test_what_is_left_falls_with_the_draw_and_is_full_after_a_change() -> None:
    # 30 + 40 of 100 on air; 80 / 5 asleep; a fresh set at 11:00 for the 40 of scene 2.
    through = levels(FEED, [11 * 60], (), None)
    assert [(level.start, level.end) for level in through] == [
        (510, 540), (540, 580), (580, 660), (660, 700)
    ]  # fmt: skip
    assert [(round(x.before, 9), round(x.after, 9)) for x in through] == [
        (1.0, 0.7), (0.7, 0.3), (0.3, 0.14), (1.0, 0.6)
    ]  # fmt: skip


def test_a_set_that_is_left_in_goes_into_the_reserve() -> None:
    # 0.14 at 11:00, and 40 of 100 more.
    last = levels(FEED, [], (), None)[-1]
    assert (last.start, last.end, round(last.after, 9)) == (660, 700, -0.26)


def test_a_pack_left_awake_falls_as_on_air() -> None:
    # Seen up to 10:20: 40 min awake take 0.4 of 0.3, and the 40 min of sleep that are planned 0.08.
    found = levels(FEED, [], (), 10 * 60 + 20)
    assert Level(580, 620, 0.3, -0.1) in [
        Level(x.start, x.end, round(x.before, 9), round(x.after, 9)) for x in found
    ]
