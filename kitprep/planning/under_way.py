"""R6 and R7 on set: the changes that are still to come, counted from what was really done.

A set or a pack that went in early is dead the earlier; a transmitter that was left awake between
its scenes drew as on air. So the rest of the day is scheduled anew, from the last fresh one on.
Minutes count from the day's midnight.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from kitprep.planning.cells import Change, Stretch, schedule
from kitprep.planning.results import PackCourse, PlannedChange, PlannedSwap, UnitCells

Slept = Sequence[tuple[int, int]]
"""When a pack was asleep: from a minute to a minute."""


@dataclass(frozen=True, slots=True)
class RunsOut:
    """The minute at which a set is dead, and the scene in which that is, if it is in one."""

    at: int
    scene: str | None


@dataclass(frozen=True, slots=True)
class Onward:
    """What is left of a unit's day: the changes to come, and when its set is dead without them."""

    changes: tuple[PlannedChange, ...]
    runs_out: RunsOut | None


def onward(feed: UnitCells, fresh: Iterable[int], slept: Slept, seen_to: int | None) -> Onward:
    """The rest of a unit's day from its last ``fresh`` set on; the day starts on one.

    Up to ``seen_to`` it is known when the unit slept; where it did not, a gap between its scenes
    drew as on air. From there on, or all day where that is None, the gaps are as planned.
    """
    changes, runs_out = _rest(_as_it_went(feed.course, slept, seen_to), fresh)
    return Onward(
        tuple(PlannedChange(feed.unit, feed.cell, c.before, c.by, c.mid_scene) for c in changes),
        runs_out,
    )


@dataclass(frozen=True, slots=True)
class Level:
    """What is left of a set from a minute to a minute, falling evenly: shares of its planned life.

    Below 0 it runs on the day's reserve.
    """

    start: int
    end: int
    before: float
    after: float


def levels(
    feed: UnitCells, fresh: Iterable[int], slept: Slept, seen_to: int | None
) -> tuple[Level, ...]:
    """A unit's day as what is left in it, where a fresh set goes in at each minute of ``fresh``."""
    found: list[Level] = []
    left = Fraction(1)
    minutes = set(fresh)
    for stretch in _as_it_went(feed.course, slept, seen_to):
        edges = {stretch.start, stretch.end, *minutes}
        for start, end in pairwise(sorted(e for e in edges if stretch.start <= e <= stretch.end)):
            if start in minutes:
                left = Fraction(1)
            after = left - stretch.drain * (end - start)
            found.append(Level(start, end, float(left), float(after)))
            left = after
    return tuple(found)


@dataclass(frozen=True, slots=True)
class PacksOnward:
    """What is left of a supply's day: the swaps to come, and when the pack that is on is empty."""

    swaps: tuple[PlannedSwap, ...]
    runs_out: RunsOut | None


def packs_onward(supply: str, part: PackCourse, fresh: Iterable[int]) -> PacksOnward:
    """The rest of a supply's day in one part of the unit, from its last fresh pack on."""
    changes, runs_out = _rest(part.course, fresh)
    return PacksOnward(
        tuple(PlannedSwap(supply, c.before, c.by, c.mid_scene, part.units) for c in changes),
        runs_out,
    )


def _rest(
    course: Iterable[Stretch], fresh: Iterable[int]
) -> tuple[tuple[Change, ...], RunsOut | None]:
    left = list(_from(course, max(fresh, default=None)))
    return (schedule(left) if left else ()), _runs_out(left)


def sleeps(feed: UnitCells) -> tuple[tuple[int, int], ...]:
    """The gaps between a unit's scenes in which it is planned to draw less than on air."""
    return tuple(
        (gap.start, gap.end)
        for before, gap in pairwise(feed.course)
        if gap.scene is None and gap.drain < before.drain
    )


def _as_it_went(course: Sequence[Stretch], slept: Slept, seen_to: int | None) -> Iterator[Stretch]:
    """The day with the gaps in which the unit was left awake, each as a stretch of its own."""
    for place, stretch in enumerate(course):
        if stretch.scene is not None or not place or seen_to is None:
            yield stretch
            continue
        edges = {stretch.start, stretch.end, seen_to, *(edge for span in slept for edge in span)}
        inside = sorted(edge for edge in edges if stretch.start <= edge <= stretch.end)
        for start, end in pairwise(inside):
            asleep = any(since <= start and end <= until for since, until in slept)
            awake = max(stretch.drain, course[place - 1].drain)
            drain = stretch.drain if asleep or start >= seen_to else awake
            yield Stretch(start, end, drain, None)


def _from(course: Iterable[Stretch], minute: int | None) -> Iterator[Stretch]:
    """What is left of a day from a minute on."""
    for stretch in course:
        if minute is None or minute < stretch.end:
            start = stretch.start if minute is None else max(stretch.start, minute)
            yield replace(stretch, start=start)


def _runs_out(course: Iterable[Stretch]) -> RunsOut | None:
    """Where the set that is in at the start of these stretches is dead, if it is before the end."""
    left = Fraction(1)
    for stretch in course:
        if left < stretch.taken:
            return RunsOut(stretch.start + math.floor(left / stretch.drain), stretch.scene)
        left -= stretch.taken
    return None
