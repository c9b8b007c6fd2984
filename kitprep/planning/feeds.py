"""R6 for the whole day: every unit's set and its changes, and the cells to carry by type."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kitprep.definitions.kit import Cell, Kit, Power, Receiver, Transmitter
from kitprep.definitions.plan import Plan, Scene, Source
from kitprep.definitions.text import clock
from kitprep.planning.cells import (
    Change,
    Stretch,
    capacity,
    cell_options,
    exact,
    held,
    in_whole_sets,
    life_known,
    no_pause,
    pack_day,
    receiver_day,
    schedule,
)
from kitprep.planning.packing import find_units
from kitprep.planning.results import Cells, PlannedChange, Shortfall, UnitCells

Heard = Sequence[tuple[Scene, Source]]
"""Scenes in the order of the clock, each with a source served in it."""


@dataclass(frozen=True, slots=True)
class Device:
    """A unit on cells today, with the scenes it serves and the part of a split unit it is with.

    ``spells`` are from when to when a receiver is on them, where it is not from its first scene to
    its last.
    """

    tag: str
    model: Transmitter | Receiver
    heard: Heard
    part: int = 0
    spells: Sequence[tuple[int, int]] = ()

    def day(self, option: Power, cell: Cell, plan: Plan) -> list[Stretch]:
        """Its stretches on a set of this option."""
        if isinstance(self.model, Transmitter):
            return pack_day(self.heard, self.model, option, cell, plan)
        return receiver_day(self.heard, option, cell, plan, self.spells)


@dataclass(frozen=True, slots=True)
class _Taken:
    """How many devices take a set, and how many sets they use today."""

    devices: int = 0
    sets: int = 0


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to run a device on cells: the option, the stretches of its day, its changes."""

    option: Power
    cell: Cell
    day: Sequence[Stretch]
    changes: Sequence[Change]
    part: int

    def beside(self, taken: Mapping[tuple[int, int], _Taken]) -> dict[tuple[int, int], _Taken]:
        """By size and part of the unit: what is taken of this type, with this device."""
        key = (self.option.count, self.part)
        mine = taken.get(key, _Taken())
        return {**taken, key: _Taken(mine.devices + 1, mine.sets + 1 + len(self.changes))}


def feed_devices(devices: Iterable[Device], kit: Kit, plan: Plan) -> tuple[UnitCells, ...]:
    """Each device's set: the first option whose cells are held in the number that it needs.

    That number is what it uses and its spare sets, beside what the devices before it take of the
    type. Where none is held with its spares, the first held without; else the first option, whose
    cells are then short. An option that nobody knows the life of is the last resort.
    """
    stock = held(kit)
    taken: dict[str, dict[tuple[int, int], _Taken]] = defaultdict(dict)
    fed = []
    for device in devices:
        ways = []
        for option, cell in cell_options(device.model.power, kit, plan):
            day = device.day(option, cell, plan)
            ways.append(_Way(option, cell, day, schedule(day), device.part))
        if not ways:
            continue
        way = _first_held(ways, taken, stock, exact(plan.spare))
        taken[way.cell.type] = way.beside(taken[way.cell.type])
        fed.append(
            UnitCells(
                device.tag,
                way.cell.type,
                way.option.count,
                way.day[0].start,
                way.day[-1].end,
                tuple(
                    PlannedChange(device.tag, way.cell.type, c.before, c.by, c.mid_scene)
                    for c in way.changes
                ),
                life_known(way.option, way.cell, plan),
                tuple(way.day),
                device.part,
            )
        )
    return tuple(fed)


def _first_held(
    ways: Sequence[_Way],
    taken: Mapping[str, Mapping[tuple[int, int], _Taken]],
    stock: Mapping[str, int],
    spare: Fraction,
) -> _Way:
    for share in (spare, Fraction(0)):
        for way in ways:
            sizes = way.beside(taken.get(way.cell.type, {}))
            need = sum(n * (t.sets + _spare_sets(t.devices, share)) for (n, _), t in sizes.items())
            if need <= stock.get(way.cell.type, 0):
                return way
    return ways[0]


def _spare_sets(devices: int, share: Fraction) -> int:
    """Spare sets for so many devices that take the same set."""
    return math.ceil(share * devices)


def cells_to_carry(
    feeds: Iterable[UnitCells], kit: Kit, plan: Plan
) -> tuple[tuple[Cells, ...], tuple[Shortfall, ...]]:
    """Planned and spare cells by type; held cells count only where they fill whole sets.

    Spare sets are for devices that are together: none is shared between parts of a split unit.
    """
    by_set: dict[str, dict[int, list[UnitCells]]] = defaultdict(lambda: defaultdict(list))
    for feed in feeds:
        by_set[feed.cell][feed.count].append(feed)
    stock = held(kit)
    lines = []
    short: list[Shortfall] = []
    for cell, sizes in sorted(by_set.items()):
        planned, spare = 0, 0
        sets: list[int] = []
        for size, mine in sorted(sizes.items()):
            in_use = sum(1 + len(feed.changes) for feed in mine)
            parts = Counter(feed.part for feed in mine)
            spares = sum(_spare_sets(number, exact(plan.spare)) for number in parts.values())
            planned += size * in_use
            spare += size * spares
            sets += [size] * (in_use + spares)
        carry, have = planned + spare, stock.get(cell, 0)
        missing = carry - in_whole_sets(have, sets)
        at_least = not all(feed.known for mine in sizes.values() for feed in mine)
        lines.append(Cells(cell, planned, spare, carry, have, missing, at_least))
        if missing:
            what = f"{carry} {cell} to carry in whole sets, {have} held; {missing} short"
            short.append(Shortfall("cell", None, what, f"cells:{cell}"))
    return tuple(lines), tuple(short)


def too_long(feeds: Iterable[UnitCells]) -> tuple[Shortfall, ...]:
    """Scenes that a fresh set does not last, with the minute at which it dies, and those that touch
    where it has to be changed."""
    return tuple(
        Shortfall("cell", change.before, what)
        for feed in feeds
        for change in feed.changes
        if (what := _no_moment(feed, change))
    )


def _no_moment(feed: UnitCells, change: PlannedChange) -> str:
    """Why there is no moment for a change; empty where there is one."""
    if change.mid_scene:
        return (
            f"scene {change.before} outlasts the {change.cell} in {change.unit}: dead at "
            f"{clock(change.by)}, so change the set within the scene by then"
        )
    touching = no_pause(feed.course, change.by)
    if touching is None:
        return ""
    return (
        f"scene {touching[1]} follows scene {touching[0]} without a pause, and no {change.cell} in "
        f"{change.unit} lasts both: leave a pause to change the set by {clock(change.by)}"
    )


def not_known(feeds: Iterable[UnitCells], kit: Kit, plan: Plan) -> tuple[Shortfall, ...]:
    """The figures without which nobody can say how long a set lasts, each with its units.

    They are short as a cell is, for no scene is proven without them.
    """
    cells = {cell.type: cell for cell in kit.cells}
    units = find_units(kit)
    cold: dict[str, list[str]] = defaultdict(list)
    hours: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for feed in feeds:
        if feed.known:
            continue
        if capacity(cells[feed.cell], plan.temperature_c) is None:
            cold[feed.cell].append(feed.unit)
        else:
            model = units[feed.unit][0]
            set_of = f"{feed.count} {feed.cell}"
            hours[model.model, model.name or model.model, set_of].append(feed.unit)
    said = [
        f"not known what {cell} cells keep at {plan.temperature_c:g} °C, and so how long "
        f"{_run(tags)}: {_counted(tags)}; write capacity_at of {cell} in the kit"
        for cell, tags in cold.items()
    ]
    said += [
        f"not known how long {_run(tags, name)} on {set_of}: {_counted(tags)}; write hours of "
        f"{model} in the kit"
        for (model, name, set_of), tags in hours.items()
    ]
    return tuple(Shortfall("cell", None, what) for what in said)


def _run(tags: Sequence[str], name: str = "") -> str:
    """ "TX1, TX2 (Slim bodypack) run"."""
    who = ", ".join(tags) + (f" ({name})" if name else "")
    return f"{who} {'runs' if len(tags) == 1 else 'run'}"


def _counted(tags: Sequence[str]) -> str:
    each = "" if len(tags) == 1 else " each"
    return f"one set{each} is counted and no change is planned"
