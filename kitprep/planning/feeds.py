"""R6 for the whole day: every unit's set and its changes, and the cells to carry by type."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kitprep.definitions.kit import Cell, Kit, Power, Transmitter
from kitprep.definitions.plan import Plan, Scene, Source
from kitprep.definitions.text import clock
from kitprep.planning.cells import (
    Change,
    Stretch,
    exact,
    held,
    in_whole_sets,
    pack_day,
    receiver_day,
    schedule,
)
from kitprep.planning.results import Cells, PlannedChange, Shortfall, UnitCells
from kitprep.planning.supplies import Standing

Heard = Sequence[tuple[Scene, Source]]
"""Scenes in the order of the clock, each with a source served in it."""


@dataclass(frozen=True, slots=True)
class Device:
    """A unit on cells today, with the scenes it serves."""

    tag: str
    model: Transmitter | Standing
    heard: Heard

    @property
    def power(self) -> tuple[Power, ...]:
        """Its ways to be powered by cells, in the kit's order."""
        options = (
            self.model.power if isinstance(self.model, Transmitter) else self.model.model.power
        )
        return tuple(option for option in options if option.cell is not None)

    def day(self, option: Power, cell: Cell, plan: Plan) -> list[Stretch]:
        """Its stretches on a set of this option."""
        if isinstance(self.model, Transmitter):
            return pack_day(self.heard, self.model, option, cell, plan)
        return receiver_day(self.heard, option, cell, plan)


def feed_devices(devices: Iterable[Device], kit: Kit, plan: Plan) -> tuple[UnitCells, ...]:
    """Each device's set: the first option whose cells are held in the number that it needs.

    Where none is, the first option, whose cells are then short. Devices take in the order given.
    """
    cells = {cell.type: cell for cell in kit.cells}
    left = held(kit)
    fed = []
    for device in devices:
        worked = []
        for option in device.power:
            assert option.cell is not None
            day = device.day(option, cells[option.cell], plan)
            worked.append((option, day, schedule(day)))
        if not worked:
            continue
        option, day, changes = next(
            (w for w in worked if left.get(w[0].cell or "", 0) >= _need(w[0], w[2])), worked[0]
        )
        assert option.cell is not None
        left[option.cell] = max(left.get(option.cell, 0) - _need(option, changes), 0)
        fed.append(
            UnitCells(
                device.tag,
                option.cell,
                option.count,
                day[0].start,
                day[-1].end,
                tuple(
                    PlannedChange(device.tag, option.cell, c.before, c.by, c.mid_scene)
                    for c in changes
                ),
            )
        )
    return tuple(fed)


def _need(option: Power, changes: Sequence[Change]) -> int:
    return option.count * (1 + len(changes))


def cells_to_carry(
    feeds: Iterable[UnitCells], kit: Kit, plan: Plan
) -> tuple[tuple[Cells, ...], tuple[Shortfall, ...]]:
    """Planned and spare cells by type; held cells count only where they fill whole sets."""
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
            spares = math.ceil(exact(plan.spare) * len(mine))
            planned += size * in_use
            spare += size * spares
            sets += [size] * (in_use + spares)
        carry, have = planned + spare, stock.get(cell, 0)
        missing = carry - in_whole_sets(have, sets)
        lines.append(Cells(cell, planned, spare, carry, have, missing))
        if missing:
            what = f"{carry} {cell} to carry in whole sets, {have} held; {missing} short"
            short.append(Shortfall("cell", None, what))
    return tuple(lines), tuple(short)


def too_long(feeds: Iterable[UnitCells]) -> tuple[Shortfall, ...]:
    """Scenes that a fresh set does not last, with the minute at which it dies."""
    return tuple(
        Shortfall(
            "cell",
            change.before,
            f"scene {change.before} outlasts the {change.cell} in {change.unit}: dead at "
            f"{clock(change.by)}, so change it within the scene by then",
        )
        for feed in feeds
        for change in feed.changes
        if change.mid_scene
    )
