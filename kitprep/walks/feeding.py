"""While the job is out: which cells and packs are due, and which transmitters sleep.

All at a minute of the job's day. What was really done counts: a set is reckoned from the minute at
which it went in, and a gap between scenes as on air where nobody put the pack to sleep in it.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import zip_longest
from typing import Literal

from kitprep.definitions.text import clean_line, clock, parse_clock
from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.results import (
    PackCourse,
    PlannedChange,
    PlannedSwap,
    SupplyLoad,
    UnitCells,
    WorkedDay,
)
from kitprep.planning.under_way import Level, RunsOut, Slept, levels, onward, packs_onward, sleeps

DUE_SOON = 30
"""Minutes before a change's latest moment in which it counts as due."""

WAKE = 5
"""Minutes before its scene from which a pack is to be awake, its signal seen (common practice, no
source)."""

HALF_A_DAY = 12 * 60
"""Minutes."""

Due = Literal["overdue", "due", "not known", "later", "none left"]

_ORDER: tuple[Due, ...] = ("overdue", "due", "not known", "later", "none left")


@dataclass(frozen=True, slots=True)
class CellLine:
    """A unit's cells: when fresh sets went in today, and the changes still to come.

    ``runs_out`` is when the set that is in is dead where it is left in; ``due`` is "not known"
    where nobody can say, so that no change is planned. ``levels`` is what is left in it through the
    day, where every change is made as planned.
    """

    unit: str
    cell: str
    fresh: tuple[int, ...]
    changes: tuple[PlannedChange, ...]
    runs_out: RunsOut | None
    due: Due
    levels: tuple[Level, ...]

    @property
    def made(self) -> int:
        """How many fresh sets went in since the unit was switched on."""
        return len(self.fresh)

    @property
    def planned(self) -> int:
        """All of the day's changes: those made and those to come."""
        return self.made + len(self.changes)

    @property
    def next(self) -> PlannedChange | None:
        """The next change."""
        return next(iter(self.changes), None)

    @property
    def says(self) -> str:
        """ "before scene 19 by 14:05, else dead at 15:10 in scene 19"; empty where none is left."""
        if self.due == "not known":
            return "how long a set lasts: look often, change early"
        if self.next is None:
            return ""
        if self.next.mid_scene:
            return f"within scene {self.next.before}: dead at {clock(self.next.by)}, change by then"
        says = f"before scene {self.next.before} by {clock(self.next.by)}"
        if self.runs_out is None or self.runs_out.scene is None:
            return says
        return f"{says}, else dead at {clock(self.runs_out.at)} in scene {self.runs_out.scene}"


def takes_no_cells(day: WorkedDay, key: str) -> str:
    """Why no fresh set, or pack, can have gone into this today; empty where one can."""
    fed = {feed.unit for feed in day.feeds}
    fed |= {f"supply:{load.id}" for load in day.supplies if not load.mains}
    return (
        ""
        if key in fed
        else f"{clean_line(key)}: takes no cells today; the power list says what does"
    )


def takes_no_sleep(day: WorkedDay, key: str) -> str:
    """Why this cannot have been put to sleep or woken; empty where it can."""
    if key in _packs(day):
        return ""
    return f"{clean_line(key)}: no transmitter in use; only those are put to sleep"


def not_of_the_day(day: WorkedDay, minute: object) -> str:
    """Why a minute cannot be one of the job's: cells are put in from noon of the day before on, and
    looked after until half a day after the last scene; empty where it can."""
    if isinstance(minute, int) and -HALF_A_DAY <= minute <= _last_minute(day):
        return ""
    return (
        f"this job's day is {day.plan.day.isoformat()}, and that is not now; kitprep cells and "
        "kitprep standby take the time of that day as --at"
    )


def _last_minute(day: WorkedDay) -> int:
    return max(scene.end for scene in day.plan.scenes) + HALF_A_DAY


def time_of_day(day: WorkedDay, text: str) -> int:
    """The minute of the job's day that a person has written.

    Raises:
        ValueError: what is wrong; what to write.
    """
    minute, last = parse_clock(text), _last_minute(day)
    if minute > last:
        raise ValueError(f"the job's day is over by then; write at most {clock(last)}")
    return minute


def parts_of(day: WorkedDay, key: str) -> tuple[tuple[str, ...], ...]:
    """The destinations of each part of the unit that a supply is in; none of anything else."""
    loads = [load for load in day.supplies if f"supply:{load.id}" == key]
    return tuple(course.destinations for load in loads for course in load.courses)


def cell_round(day: WorkedDay, job: JobState, minute: int) -> tuple[CellLine, ...]:
    """Every unit on cells, the most pressing first."""
    packs = _packs(day)
    lines = [_cell_line(feed, job, minute, feed.unit in packs) for feed in day.feeds]
    return tuple(
        sorted(lines, key=lambda line: (_ORDER.index(line.due), line.next.by if line.next else 0))
    )


def _packs(day: WorkedDay) -> frozenset[str]:
    """The transmitters in use: a receiver stays on."""
    return frozenset(link.transmitter for link in day.links)


def _cell_line(feed: UnitCells, job: JobState, minute: int, is_pack: bool) -> CellLine:
    state = job.item(feed.unit)
    fresh = tuple(at for at in state.fresh_at if at > feed.on)
    slept = tuple(_slept(feed, state, minute + 1))
    seen = is_pack and (job.stage == "out" or bool(state.sleep))
    seen_to = _seen_to(feed, slept, minute) if seen else None
    rest = onward(feed, fresh, slept, seen_to)
    through = levels(feed, (*fresh, *(change.by for change in rest.changes)), slept, seen_to)
    due = _due(rest.changes[0].by if rest.changes else None, minute) if feed.known else "not known"
    return CellLine(feed.unit, feed.cell, fresh, rest.changes, rest.runs_out, due, through)


def _seen_to(feed: UnitCells, slept: Slept, minute: int) -> int:
    """Until when it is known how a pack is: one that is awake now stays so until its next scene."""
    if not any(since <= minute < until for since, until in slept):
        for start, end in sleeps(feed):
            if start <= minute < end:
                return end
    return min(minute, feed.off)


def _slept(feed: UnitCells, state: ItemState, minute: int) -> Iterator[tuple[int, int]]:
    """When a pack was asleep: until it was woken, at the latest until its next scene."""
    for place, (since, asleep) in enumerate(state.sleep):
        if asleep:
            until = [at for at, _ in state.sleep[place + 1 :]]
            until += [s.start for s in feed.course if s.scene is not None and s.start >= since]
            yield since, min(until, default=minute)


def _due(by: int | None, minute: int) -> Due:
    if by is None:
        return "none left"
    if minute > by:
        return "overdue"
    return "due" if minute >= by - DUE_SOON else "later"


@dataclass(frozen=True, slots=True)
class Sleep:
    """The packs that the plan has asleep now, by what was recorded; and those asleep in a scene."""

    asleep: tuple[str, ...]
    awake: tuple[str, ...]
    to_wake: tuple[str, ...]

    @property
    def planned(self) -> int:
        """How many should be asleep."""
        return len(self.asleep) + len(self.awake)


def sleeping(day: WorkedDay, job: JobState, minute: int) -> Sleep:
    """What should be asleep now and what is, and what should be awake and was not woken."""
    asleep: list[str] = []
    awake: list[str] = []
    to_wake: list[str] = []
    packs = _packs(day)
    for feed in (feed for feed in day.feeds if feed.unit in packs):
        state = job.item(feed.unit)
        sleeps_now = any(a <= minute < b for a, b in _slept(feed, state, minute + 1))
        if any(start <= minute < end - WAKE for start, end in sleeps(feed)):
            (asleep if sleeps_now else awake).append(feed.unit)
        elif state.asleep and feed.on <= minute < feed.off:
            to_wake.append(feed.unit)
    return Sleep(tuple(asleep), tuple(awake), tuple(to_wake))


@dataclass(frozen=True, slots=True)
class SupplyLine:
    """A supply's packs in one part of the unit: when fresh ones went on, and the swaps to come.

    ``at`` are the destinations of that part; ``runs_out`` is when the pack that is on is empty
    where it is left on.
    """

    id: str
    at: tuple[str, ...]
    units: tuple[str, ...]
    fresh: tuple[int, ...]
    next: PlannedSwap | None
    runs_out: RunsOut | None
    due: Due

    @property
    def says(self) -> str:
        """ "fresh pack before scene 14 by 10:15, else empty at 11:25 in scene 15: RX01 goes off,
        and its lines are asked again"."""
        if self.next is None:
            return f"{', '.join(self.units)}: the pack lasts the day"
        if self.next.mid_scene:
            says = f"within scene {self.next.before}: empty at {clock(self.next.by)}"
        else:
            says = f"fresh pack before scene {self.next.before} by {clock(self.next.by)}"
            if self.runs_out is not None and self.runs_out.scene is not None:
                at = clock(self.runs_out.at)
                says += f", else empty at {at} in scene {self.runs_out.scene}"
        off = "goes off, and its" if len(self.units) == 1 else "go off, and their"
        return f"{says}: {', '.join(self.units)} {off} lines are asked again"


def pack_round(day: WorkedDay, job: JobState, minute: int) -> tuple[SupplyLine, ...]:
    """Every supply on packs of known hours, each part of a split unit, the most pressing first."""
    lines = [line for load in day.supplies for line in _pack_lines(load, job, minute)]
    return tuple(
        sorted(lines, key=lambda line: (_ORDER.index(line.due), line.next.by if line.next else 0))
    )


def _pack_lines(load: SupplyLoad, job: JobState, minute: int) -> Iterator[SupplyLine]:
    """Where nobody said at which destination it is, a fresh pack is taken to be on the part whose
    next one was due first."""
    parts = [part for part in load.courses if part.course]
    fresh: dict[PackCourse, tuple[int, ...]] = dict.fromkeys(parts, ())

    def first_swap(part: PackCourse) -> float:
        swaps = packs_onward(load.id, part, fresh[part]).swaps
        return swaps[0].by if swaps else math.inf

    state = job.item(f"supply:{load.id}")
    for at, where in zip_longest(state.fresh_at, state.changed_at, fillvalue=""):
        if parts and isinstance(at, int) and at > load.on:
            said = (part for part in parts if where in part.destinations)
            part = next(said, None) or min(parts, key=first_swap)
            fresh[part] = (*fresh[part], at)
    for part in parts:
        rest = packs_onward(load.id, part, fresh[part])
        coming = next(iter(rest.swaps), None)
        due = _due(None if coming is None else coming.by, minute)
        yield SupplyLine(
            load.id, part.destinations, part.units, fresh[part], coming, rest.runs_out, due
        )
