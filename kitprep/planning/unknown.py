"""What the kit does not say and the day would need: named, never taken as nothing."""

from collections.abc import Iterator

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.packing import find_units
from kitprep.planning.results import CaseLoad, Cells, Firmware, SupplyLoad, UnitCells


def unknown(
    kit: Kit,
    plan: Plan,
    firmware: tuple[Firmware, ...],
    feeds: tuple[UnitCells, ...],
    supplies: tuple[SupplyLoad, ...],
    cells: tuple[Cells, ...],
    cases: tuple[CaseLoad, ...],
) -> Iterator[str]:
    """One line for each kind of figure, with the units, cells or cases that lack it."""
    lives = [feed.unit for feed in feeds if not feed.known]
    if lives:
        yield f"how long a set of cells lasts: {', '.join(lives)}"
    loads = [load.id for load in supplies if load.at_least]
    if loads:
        yield f"how long a supply lasts, or what it carries: {', '.join(loads)}"
    units = find_units(kit)
    behind = [tag for image in firmware for tag in image.units]
    read = {seen.unit for image in firmware for seen in image.read}
    to_read = [tag for tag in behind if units[tag][1].firmware is None and tag not in read]
    if to_read:
        yield f"firmware, to be read at switch-on: {', '.join(to_read)}"
    for load in cases:
        if load.unknown:
            where = f"in {load.name}" if load.case else "of what goes in no case"
            yield f"weights {where}: {', '.join(load.unknown)}"
    types = {cell.type: cell for cell in kit.cells}
    for colder in (types[c.cell] for c in cells):
        if colder.capacity_at and plan.temperature_c < colder.capacity_at[0][0]:
            coldest = f"{colder.capacity_at[0][0]:g} °C"
            yield (
                f"what {colder.type} keeps at {plan.temperature_c:g} °C, colder than its table: "
                f"the figure for {coldest} is used"
            )
    holds = {supply.id: supply.wh for supply in kit.supplies}
    silent = [c.cell for c in cells if types[c.cell].lithium_g is None and types[c.cell].wh is None]
    silent += [load.id for load in supplies if not load.mains and holds[load.id] is None]
    if silent:
        yield f"lithium content or watt hours, asked for when flying: {', '.join(silent)}"
