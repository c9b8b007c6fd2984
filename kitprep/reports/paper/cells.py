"""The cell sheet: when which set is changed, what is in every device, and how many to take."""

from kitprep.definitions.text import clock
from kitprep.planning.results import UnitCells, WorkedDay
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
            for block in (_changes(day), _devices(day), _totals(day), _supplies(day))
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


def _devices(day: WorkedDay) -> Block:
    return Block(
        "In every device, fresh at the start",
        (),
        _DEVICES,
        tuple(
            (
                None,
                feed.unit,
                _users(day, feed.unit),
                _set(feed),
                clock(feed.on),
                clock(feed.off),
                len(feed.changes),
                feed.cell,
                feed.count,
            )
            for feed in day.feeds
        ),
    )


def _totals(day: WorkedDay) -> Block:
    return Block(
        "To take, in cells",
        (),
        _TOTALS,
        tuple(
            (None, cells.cell, cells.planned, cells.spare, cells.carry, cells.have, cells.short)
            for cells in day.cells
        ),
    )


def _supplies(day: WorkedDay) -> Block:
    names = {supply.id: supply.name or supply.id for supply in day.kit.supplies}
    return Block(
        "Supplies",
        (),
        _SUPPLIES,
        tuple(
            (
                names[load.id],
                round(load.load_w, 1),
                "mains" if load.hours_per_pack is None else f"{load.hours_per_pack:.1f}",
                None if load.hours_per_pack is None else load.packs,
                None if load.hours_per_pack is None else load.have,
                ", ".join(load.units),
                None if load.hours_per_pack is None else round(load.hours_per_pack, 2),
            )
            for load in day.supplies
        ),
    )


def _set(feed: UnitCells) -> str:
    return f"{feed.count} × {feed.cell}"


def _users(day: WorkedDay, unit: str) -> str:
    """Whose pack it is, in the order of the day; of a receiver, whom it hears."""
    names = {source.id: source.name or source.id for source in day.plan.sources}
    links = [link for link in day.links if unit in (link.transmitter, link.receiver)]
    return ", ".join(dict.fromkeys(names[link.source] for link in links))
