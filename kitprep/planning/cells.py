"""R6: how long a fresh set lasts, when sets are changed, and how many cells to carry.

All in exact fractions: a set that lasts 4.8 hours lasts a scene of 4 h 48 min to the minute. How
long a set lasts is not known where the kit leaves out its rated hours, or on a cold day what its
cells keep; no change is then planned, and whoever asks is told that it is not known.

A pack that is handed on is on for the lead of every source that it goes to, for whoever wires it
listens to it then (common practice, no source): so often has it a first scene. Scenes that touch
leave no moment to change a set between them; where no other schedule does without, that is short.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from kitprep.definitions.kit import Cell, Kit, Power, Transmitter
from kitprep.definitions.plan import Plan, Scene, Source

RATED_AT = 20
"""The temperature in °C at which hours are rated."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a device's day, in minutes, and the share of a fresh set that a minute takes.

    The share is 0 where nobody knows how long a set lasts. Within a scene a set is not changed;
    where ``scene`` is None it may be.
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
    """One way through the day so far; ``left`` in parts of a fresh set that make all shares whole.

    ``touching`` counts changes between scenes without a pause. Whole numbers, for a choice asks
    this of thousands of runs.
    """

    mid_scene: int
    touching: int
    left: int
    changes: tuple[Change, ...]

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """The best way has the lowest."""
        return self.mid_scene, self.touching, len(self.changes), -self.left


def exact(figure: float) -> Fraction:
    """The decimal that was written, not its binary neighbour."""
    return Fraction(repr(figure))


def capacity(cell: Cell, celsius: float) -> Fraction | None:
    """The share of capacity at a temperature: linear between the points, flat outside.

    Without points it is not known in the cold (None), and all of it from 20 °C up.
    """
    points = [(exact(at), exact(share)) for at, share in cell.capacity_at]
    here = exact(celsius)
    if not points:
        return Fraction(1) if here >= RATED_AT else None
    if here <= points[0][0]:
        return points[0][1]
    for (cold, low), (warm, high) in pairwise(points):
        if here <= warm:
            return low + (high - low) * (here - cold) / (warm - cold)
    return points[-1][1]


def life(option: Power, mode: str, cell: Cell, plan: Plan) -> Fraction | None:
    """Planned minutes on air of a fresh set: rated hours, cold and the day's reserve taken off.

    None where it is not known.
    """
    hours = option.hours_stereo if mode == "stereo" and option.hours_stereo else option.hours
    left = capacity(cell, plan.temperature_c)
    if hours is None or left is None:
        return None
    return exact(hours) * 60 * left * (1 - exact(plan.reserve))


def life_known(option: Power, cell: Cell, plan: Plan) -> bool:
    """Whether anybody can say how long a set of this option lasts today."""
    return life(option, "mono", cell, plan) is not None


def _drain(option: Power, mode: str, cell: Cell, plan: Plan) -> Fraction:
    minutes = life(option, mode, cell, plan)
    return Fraction(0) if minutes is None else 1 / minutes


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
    """A transmitter's day: on from the lead of each source, on air in its scenes, between them as
    planned.

    ``worn`` are its scenes in the order of the clock, each with the source it serves there.
    """
    idle = between_share(transmitter, plan)
    modes = {source.mode for _, source in worn}
    by_mode = {mode: _drain(option, mode, cell, plan) for mode in modes}
    drains = [by_mode[source.mode] for _, source in worn]
    first = worn[0][0]
    day = []
    if plan.lead_min:
        day.append(Stretch(first.start - plan.lead_min, first.start, drains[0], None))
    for place, (scene, source) in enumerate(worn):
        if place and (off := worn[place - 1][0].end) < scene.start:
            handed_on = worn[place - 1][1].id != source.id
            on = on_again(off, scene.start, plan) if handed_on else scene.start
            if off < on:
                day.append(Stretch(off, on, drains[place - 1] * idle, None))
            if on < scene.start:
                day.append(Stretch(on, scene.start, drains[place], None))
        day.append(Stretch(scene.start, scene.end, drains[place], scene.number))
    return day


def on_again(off: int, start: int, plan: Plan) -> int:
    """When a pack that comes off one source is on with the next: its lead before the scene at
    ``start``, as far as handing it over leaves time for that."""
    return min(max(start - plan.lead_min, off + plan.handover_min), start)


def receiver_day(
    heard: Sequence[tuple[Scene, Source]],
    option: Power,
    cell: Cell,
    plan: Plan,
    spells: Sequence[tuple[int, int]] = (),
) -> list[Stretch]:
    """A receiver's day on cells: on from the first to the last scene that it serves.

    Or only in ``spells``, from a minute to a minute, where it runs on something else in between.

    Concurrent scenes leave no moment to change between them and count as one long scene, under the
    number of its first; a stereo link on any module counts for the whole receiver.
    """
    scenes = [scene for scene, _ in heard]
    day = []
    for start, end, number in scene_by_scene(scenes):
        running = [source for s, source in heard if s.start <= start and end <= s.end]
        mode = "stereo" if any(source.mode == "stereo" for source in running) else "mono"
        on = not spells or any(since <= start and end <= until for since, until in spells)
        drain = _drain(option, mode, cell, plan) if on else Fraction(0)
        day.append(Stretch(start, end, drain, number))
    return day


def scene_by_scene(scenes: Sequence[Scene]) -> list[tuple[int, int, str | None]]:
    """From the first to the last of these scenes, from edge to edge: start, end, and the number of
    the scene that runs, None between scenes. Concurrent scenes go by the number of their first.
    """
    edges = sorted({edge for scene in scenes for edge in (scene.start, scene.end)})
    parts: list[tuple[int, int, str | None]] = []
    block: tuple[str, int] | None = None
    for start, end in pairwise(edges):
        running = [scene for scene in scenes if scene.start <= start and end <= scene.end]
        if not running:
            block = None
        elif block is None or start >= block[1]:
            first = min(running, key=lambda scene: (scene.start, scene.end))
            block = (first.number, first.end)
        if block is not None:
            block = (block[0], max(block[1], *(scene.end for scene in running)))
        parts.append((start, end, block[0] if block else None))
    return parts


def outlasts(scene: Scene, drain: Fraction) -> bool:
    """Whether a scene is too long for one fresh set."""
    return drain * scene.minutes > 1


def schedule(day: Iterable[Stretch]) -> tuple[Change, ...]:
    """The fewest changes that keep the device alive: first the fewest within scenes, then the
    fewest between scenes that touch, then in all.

    Each is put off as long as the set allows, to the whole minute. Starts on a fresh set.
    """
    return min(_courses(list(day)), key=lambda course: course.rank).changes


def no_pause(day: Sequence[Stretch], by: int) -> tuple[str, str] | None:
    """The scenes that touch at a minute, between which there is no moment for a change."""
    for before, after in pairwise(day):
        if after.start == by and before.scene and after.scene and before.scene != after.scene:
            return before.scene, after.scene
    return None


def fewest_changes(day: Iterable[Stretch]) -> int:
    """The fewest changes that keep the device alive, within scenes or not."""
    return min(len(course.changes) for course in _courses(list(day)))


def _courses(stretches: Sequence[Stretch]) -> list[_Course]:
    """Every way through the day that is worth keeping."""
    full = math.lcm(*(stretch.drain.denominator for stretch in stretches))
    courses = [_Course(0, 0, full, ())]
    for place, stretch in enumerate(stretches):
        drain = int(stretch.drain * full)
        if stretch.scene is None:
            coming = next((s.scene for s in stretches[place:] if s.scene is not None), "")
            courses = [_through(course, stretch, drain, full, coming) for course in courses]
            continue
        fresh_scene = place == 0 or stretches[place - 1].scene != stretch.scene
        if fresh_scene and place:
            change = Change(stretch.scene, stretch.start, mid_scene=False)
            touches = stretches[place - 1].scene is not None
            courses += [
                _Course(c.mid_scene, c.touching + touches, full, (*c.changes, change))
                for c in courses
            ]
        through = [_through(course, stretch, drain, full, stretch.scene) for course in courses]
        courses = _worth_keeping(through)
    return courses


def _through(course: _Course, stretch: Stretch, drain: int, full: int, scene: str) -> _Course:
    """The course to the end of a stretch: a set that runs out in it is changed at that minute."""
    left, now, deaths = course.left, stretch.start, []
    while drain and left < drain * (stretch.end - now):
        lasts = left // drain
        # A set that lasts under a minute would never be got through the stretch.
        now += max(lasts, 1) if left == full else lasts
        deaths.append(now)
        left = full
        if now >= stretch.end:
            break
    left -= drain * max(stretch.end - now, 0)
    if not deaths:
        return replace(course, left=left)
    mid_scene = stretch.scene is not None
    changes = tuple(Change(scene, minute, mid_scene) for minute in deaths)
    died = len(deaths) if mid_scene else 0
    all_changes = (*course.changes, *changes)
    return _Course(course.mid_scene + died, course.touching, left, all_changes)


def _worth_keeping(courses: list[_Course]) -> list[_Course]:
    """The courses that none beats in changes at bad moments, changes in all, and what is left."""
    kept: list[_Course] = []
    for course in sorted(courses, key=lambda course: course.rank):
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


def cell_options(power: Sequence[Power], kit: Kit, plan: Plan) -> tuple[tuple[Power, Cell], ...]:
    """The ways to run on cells, in the kit's order.

    One that nobody can say the life of is there only where that is so of all: how many cells it
    takes is not known either, so they cannot be said to be held.
    """
    types = {cell.type: cell for cell in kit.cells}
    options = [(option, types[option.cell]) for option in power if option.cell is not None]
    known = [(option, cell) for option, cell in options if life_known(option, cell, plan)]
    return tuple(known or options)


def usual_option(power: Sequence[Power], kit: Kit, plan: Plan) -> tuple[Power, Cell] | None:
    """The set that a lone device would run on; None on DC alone.

    The first of which the kit holds one and its spares, or else one, or else the first.
    """
    options = cell_options(power, kit, plan)
    stock = held(kit)
    for sets in (1 + math.ceil(exact(plan.spare)), 1):
        for option, cell in options:
            if stock.get(cell.type, 0) >= option.count * sets:
                return option, cell
    return options[0] if options else None


def in_whole_sets(cells: int, sets: Sequence[int]) -> int:
    """How many of the held cells fill whole sets, of the sets (by size) that are needed.

    7 cells are three pairs, or one four and a pair: 6 of them count.
    """
    reachable = {0}
    for size in sets:
        reachable |= {total + size for total in reachable if total + size <= cells}
    return max(reachable)
