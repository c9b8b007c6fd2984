"""R6: how long a fresh set lasts, when sets are changed, and how many cells to carry.

All in exact fractions: a set that lasts 4.8 hours lasts a scene of 4 h 48 min to the minute.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from kitprep.definitions.kit import Cell, Kit, Power, Transmitter
from kitprep.definitions.plan import Plan, Scene, Source


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a device's day, in minutes, and the share of a fresh set that a minute takes.

    Within a scene a set is not changed; where ``scene`` is None it may be.
    """

    start: int
    end: int
    drain: Fraction
    scene: str | None

    @property
    def taken(self) -> Fraction:
        """The share of a fresh set that the whole stretch takes."""
        return self.drain * (self.end - self.start)


@dataclass(frozen=True, slots=True)
class Change:
    """A planned change of a set: before a scene, by a minute of the day at the latest.

    ``mid_scene``: the scene outlasts the set, which is dead at ``by``.
    """

    before: str
    by: int
    mid_scene: bool


@dataclass(frozen=True, slots=True)
class _Course:
    """One way through the day so far."""

    mid_scene: int
    left: Fraction
    changes: tuple[Change, ...]


def exact(figure: float) -> Fraction:
    """The decimal that was written, not its binary neighbour."""
    return Fraction(repr(figure))


def capacity(cell: Cell, celsius: float) -> Fraction:
    """The share of capacity at a temperature: linear between the points, flat outside."""
    points = [(exact(at), exact(share)) for at, share in cell.capacity_at]
    if not points:
        return Fraction(1)
    here = exact(celsius)
    if here <= points[0][0]:
        return points[0][1]
    for (cold, low), (warm, high) in pairwise(points):
        if here <= warm:
            return low + (high - low) * (here - cold) / (warm - cold)
    return points[-1][1]


def life(option: Power, mode: str, cell: Cell, plan: Plan) -> Fraction:
    """Planned minutes on air of a fresh set: rated hours, cold and the day's reserve taken off."""
    hours = option.hours_stereo if mode == "stereo" and option.hours_stereo else option.hours
    assert hours is not None
    return exact(hours) * 60 * capacity(cell, plan.temperature_c) * (1 - exact(plan.reserve))


def between_share(transmitter: Transmitter, plan: Plan) -> Fraction:
    """What a pack draws between scenes, as a share of its draw on air.

    Standby is credited only where the model gives its figure.
    """
    if plan.between == "off":
        return Fraction(0)
    if plan.between == "standby" and transmitter.standby is not None:
        return exact(transmitter.standby)
    return Fraction(1)


def pack_day(
    worn: Sequence[tuple[Scene, Source]],
    transmitter: Transmitter,
    option: Power,
    cell: Cell,
    plan: Plan,
) -> list[Stretch]:
    """A transmitter's day: on from its lead, on air in its scenes, between them as planned.

    ``worn`` are its scenes in the order of the clock, each with the source it serves there.
    """
    idle = between_share(transmitter, plan)
    drains = [1 / life(option, source.mode, cell, plan) for _, source in worn]
    first = worn[0][0]
    day = []
    if plan.lead_min:
        day.append(Stretch(first.start - plan.lead_min, first.start, drains[0], None))
    for place, (scene, _) in enumerate(worn):
        if place and worn[place - 1][0].end < scene.start:
            day.append(Stretch(worn[place - 1][0].end, scene.start, drains[place - 1] * idle, None))
        day.append(Stretch(scene.start, scene.end, drains[place], scene.number))
    return day


def receiver_day(
    heard: Sequence[tuple[Scene, Source]], option: Power, cell: Cell, plan: Plan
) -> list[Stretch]:
    """A receiver's day on cells: on from the first to the last scene that it serves.

    Concurrent scenes leave no moment to change between them and count as one long scene, under the
    number of its first; a stereo link on any module counts for the whole receiver.
    """
    edges = sorted({edge for scene, _ in heard for edge in (scene.start, scene.end)})
    day: list[Stretch] = []
    block: tuple[str, int] | None = None
    for start, end in pairwise(edges):
        running = [(s, source) for s, source in heard if s.start <= start and end <= s.end]
        mode = "stereo" if any(source.mode == "stereo" for _, source in running) else "mono"
        if not running:
            block = None
        elif block is None or start >= block[1]:
            first = min((scene for scene, _ in running), key=lambda s: (s.start, s.end))
            block = (first.number, first.end)
        if block is not None:
            block = (block[0], max(block[1], *(scene.end for scene, _ in running)))
        drain = 1 / life(option, mode, cell, plan)
        day.append(Stretch(start, end, drain, block[0] if block else None))
    return day


def outlasts(scene: Scene, drain: Fraction) -> bool:
    """Whether a scene is too long for one fresh set."""
    return drain * scene.minutes > 1


def schedule(day: Iterable[Stretch]) -> tuple[Change, ...]:
    """The fewest changes that keep the device alive: first the fewest within scenes, then in all.

    Each is put off as long as the set allows, to the whole minute. Starts on a fresh set.
    """
    best = min(_courses(list(day)), key=lambda c: (c.mid_scene, len(c.changes), -c.left))
    return best.changes


def fewest_changes(day: Iterable[Stretch]) -> int:
    """The fewest changes that keep the device alive, within scenes or not."""
    return min(len(course.changes) for course in _courses(list(day)))


def _courses(stretches: Sequence[Stretch]) -> list[_Course]:
    """Every way through the day that is worth keeping."""
    courses = [_Course(0, Fraction(1), ())]
    for place, stretch in enumerate(stretches):
        if stretch.scene is None:
            coming = next((s.scene for s in stretches[place:] if s.scene is not None), "")
            courses = [_through_gap(course, stretch, coming) for course in courses]
            continue
        fresh_scene = place == 0 or stretches[place - 1].scene != stretch.scene
        if fresh_scene and place:
            courses = [c for course in courses for c in (course, _swapped(course, stretch))]
        courses = _worth_keeping([_through_scene(course, stretch) for course in courses])
    return courses


def _swapped(course: _Course, stretch: Stretch) -> _Course:
    assert stretch.scene is not None
    change = Change(stretch.scene, stretch.start, mid_scene=False)
    return _Course(course.mid_scene, Fraction(1), (*course.changes, change))


def _run_down(course: _Course, stretch: Stretch) -> tuple[Fraction, list[int]]:
    """What is left at the end of a stretch, and the minutes at which sets ran out in it."""
    left, now, deaths = course.left, stretch.start, []
    while stretch.drain and left < stretch.drain * (stretch.end - now):
        lasts = math.floor(left / stretch.drain)
        # A set that lasts under a minute would never be got through the stretch.
        now += max(lasts, 1) if left == 1 else lasts
        deaths.append(now)
        left = Fraction(1)
        if now >= stretch.end:
            break
    return left - stretch.drain * max(stretch.end - now, 0), deaths


def _through_gap(course: _Course, stretch: Stretch, coming: str) -> _Course:
    left, deaths = _run_down(course, stretch)
    changes = tuple(Change(coming, minute, mid_scene=False) for minute in deaths)
    return _Course(course.mid_scene, left, (*course.changes, *changes))


def _through_scene(course: _Course, stretch: Stretch) -> _Course:
    assert stretch.scene is not None
    left, deaths = _run_down(course, stretch)
    changes = tuple(Change(stretch.scene, minute, mid_scene=True) for minute in deaths)
    return _Course(course.mid_scene + len(deaths), left, (*course.changes, *changes))


def _worth_keeping(courses: list[_Course]) -> list[_Course]:
    """The courses that none beats in changes within scenes, changes in all, and what is left."""
    kept: list[_Course] = []
    for course in sorted(courses, key=lambda c: (c.mid_scene, len(c.changes), -c.left)):
        if not any(k.left >= course.left and len(k.changes) <= len(course.changes) for k in kept):
            kept.append(course)
    return kept


def held(kit: Kit) -> dict[str, int]:
    """Cells held, by type."""
    cells: dict[str, int] = {}
    for stock in kit.stock:
        if stock.cell is not None:
            cells[stock.cell] = cells.get(stock.cell, 0) + stock.qty
    return cells


def usual_option(power: Sequence[Power], kit: Kit) -> Power | None:
    """The first set of cells of which the kit holds one, or else the first; None on DC alone."""
    options = [option for option in power if option.cell is not None]
    stock = held(kit)
    return next(
        (option for option in options if stock.get(option.cell or "", 0) >= option.count),
        options[0] if options else None,
    )


def in_whole_sets(cells: int, sets: Sequence[int]) -> int:
    """How many of the held cells fill whole sets, of the sets (by size) that are needed.

    7 cells are three pairs, or one four and a pair: 6 of them count.
    """
    reachable = {0}
    for size in sets:
        reachable |= {total + size for total in reachable if total + size <= cells}
    return max(reachable)
