"""The cell sheet: when which set is changed, what is in every device, and how many to take."""

from kitprep.definitions.text import clock
from kitprep.planning.results import SupplyLoad, UnitCells, WorkedDay
from kitprep.planning.supplies import called
from kitprep.reports.paper.sheet import BOX, Block, Column, Sheet
from kitprep.walks.cautions import for_power

_CHANGES = (
    BOX,
    Column("by", "By", "tag"),
    Column("", "Scene", "short"),
    Column("unit", "Unit", "tag"),
    Column("", "On or for"),
    Column("", "Set", "short"),
    Column("before", ""),
    Column("mid_scene", ""),
    Column("cell", ""),
    Column("count", ""),
)

_DEVICES = (
    BOX,
    Column("unit", "Unit", "tag"),
    Column("", "On or for"),
    Column("", "Set", "short"),
    Column("on", "On", "short"),
    Column("off", "Off", "short"),
    Column("changes", "Changes", "number"),
    Column("cell", ""),
    Column("count", ""),
)

_TOTALS = (
    BOX,
    Column("cell", "Cells", "tag"),
    Column("planned", "Planned", "number"),
    Column("spare", "Spare", "number"),
    Column("carry", "Take", "number"),
    Column("have", "Held", "number"),
    Column("short", "Short", "number"),
)

_SWAPS = (
    BOX,
    Column("by", "By", "tag"),
    Column("", "Scene", "short"),
    Column("supply", "Supply"),
    Column("", "Goes off"),
    Column("before", ""),
    Column("mid_scene", ""),
)

_SUPPLIES = (
    Column("supply", "Supply"),
    Column("load_w", "Watts", "number"),
    Column("", "Hours a pack", "number"),
    Column("packs", "Take", "number"),
    Column("have", "Held", "number"),
    Column("", "Feeds"),
    Column("hours_per_pack", ""),
)


def cell_sheet(day: WorkedDay) -> Sheet:
    """Changes by the clock, then devices, then totals."""
    return Sheet(
        "cells",
        "Cell sheet",
        tuple(for_power(day)),
        tuple(
            block
            for block in (_changes(day), _swaps(day), _devices(day), _totals(day), _supplies(day))
            if block.rows
        ),
    )


def _changes(day: WorkedDay) -> Block:
    feeds = {feed.unit: feed for feed in day.feeds}
    return Block(
        "Changes, by the clock",
        ("The time is the latest: a set is dead soon after it.",),
        _CHANGES,
        tuple(
            (
                None,
                clock(change.by),
                f"{'within' if change.mid_scene else 'before'} {change.before}",
                change.unit,
                _users(day, change.unit),
                _set(feeds[change.unit]),
                change.before,
                "yes" if change.mid_scene else "no",
                change.cell,
                feeds[change.unit].count,
            )
            for change in day.changes
        ),
    )


def _swaps(day: WorkedDay) -> Block:
    names = {supply.id: called(supply) for supply in day.kit.supplies}
    swaps = [swap for load in day.supplies for swap in load.swaps]
    return Block(
        "Packs swapped, by the clock",
        ("The time is the latest. What goes off starts again, and its lines are asked again.",),
        _SWAPS,
        tuple(
            (
                None,
                clock(swap.by),
                f"{'within' if swap.mid_scene else 'before'} {swap.before}",
                names[swap.supply],
                ", ".join(swap.units),
                swap.before,
                "yes" if swap.mid_scene else "no",
            )
            for swap in sorted(swaps, key=lambda swap: swap.by)
        ),
    )


def _devices(day: WorkedDay) -> Block:
    unknown = [feed.unit for feed in day.feeds if not feed.known]
    return Block(
        "In every device, fresh at the start",
        (f"Not known how long a set lasts in {', '.join(unknown)}: look often, change early.",)
        * bool(unknown),
        _DEVICES,
        tuple(
            (
                None,
                feed.unit,
                _users(day, feed.unit),
                _set(feed),
                clock(feed.on),
                clock(feed.off),
                len(feed.changes) if feed.known else None,
                feed.cell,
                feed.count,
            )
            for feed in day.feeds
        ),
    )


def _totals(day: WorkedDay) -> Block:
    more = [cells.cell for cells in day.cells if cells.at_least]
    return Block(
        "To take, in cells",
        (f"At the least for {', '.join(more)}: nobody knows how long some of these sets last.",)
        * bool(more),
        _TOTALS,
        tuple(
            (None, cells.cell, cells.planned, cells.spare, cells.carry, cells.have, cells.short)
            for cells in day.cells
        ),
    )


def _supplies(day: WorkedDay) -> Block:
    names = {supply.id: supply.name or supply.id for supply in day.kit.supplies}
    more = [names[load.id] for load in day.supplies if load.at_least]
    return Block(
        "Supplies",
        (f"At the least for {', '.join(more)}: what is short says why.",) * bool(more),
        _SUPPLIES,
        tuple(
            (
                names[load.id],
                round(load.load_w, 1) if load.load_w else None,
                _hours(load),
                None if load.mains else load.packs,
                None if load.mains else load.have,
                ", ".join(load.units),
                None if load.hours_per_pack is None else round(load.hours_per_pack, 2),
            )
            for load in day.supplies
        ),
    )


def _hours(load: SupplyLoad) -> str:
    if load.mains:
        return "mains"
    return "not known" if load.hours_per_pack is None else f"{load.hours_per_pack:.1f}"


def _set(feed: UnitCells) -> str:
    return f"{feed.count} × {feed.cell}"


def _users(day: WorkedDay, unit: str) -> str:
    """Whose pack it is, in the order of the day; of a receiver, whom it hears."""
    names = {source.id: source.name or source.id for source in day.plan.sources}
    links = [link for link in day.links if unit in (link.transmitter, link.receiver)]
    return ", ".join(dict.fromkeys(names[link.source] for link in links))
