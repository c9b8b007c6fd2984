"""Short cautions, each where it applies. They replace neither local codes nor licensed practice."""

from collections.abc import Iterator

from kitprep.planning.results import CaseLoad, PackLine, WorkedDay

LITHIUM = (
    "Lithium cells: never mix old and new in a set, never charge a primary cell, keep terminals "
    "covered, take damaged cells out."
)
CELLS = "Cells: never mix old and new in a set; take damaged or leaking cells out."
PACKS = "Battery packs: their own charger only, terminals covered, swollen or damaged packs out."
MAINS = "Mains: tested leads, dry and out of walkways; fixed wiring is for licensed people only."
SKIN = (
    "Packs get warm when worn: cloth between pack and skin, tape only on skin that bears it, and "
    "off at once where it hurts."
)
RADIO = (
    "Radio: licence and frequencies at this place are the operator's duty under local law; this "
    "plan does not replace them."
)
WALKWAYS = "Leads across walkways: covered or taped down, or go another way."

HEAVY_G = 10_000
"""From here a case gets the caution on lifting: our own mark, no limit of any law."""

_WORN = ("bodypack", "boom-pack")


def lifting(load: CaseLoad) -> str:
    """The caution for a heavy case; empty for a light one."""
    if load.weight_g < HEAVY_G:
        return ""
    return (
        f"{load.name} is {load.weight_g / 1000:.1f} kg: lift close to you with a straight back, "
        "two people or wheels where you can; local limits count."
    )


def for_line(day: WorkedDay, line: PackLine) -> str:
    """The caution for a line of the list; empty where none applies."""
    if line.kind == "cells":
        return LITHIUM if _is_lithium(day, line.model) else CELLS
    if line.kind == "supply":
        supply = next((s for s in day.kit.supplies if s.id == line.model), None)
        return MAINS if supply is not None and supply.mains else PACKS
    if line.kind == "transmitter":
        model = next((t for t in day.kit.transmitters if t.model == line.model), None)
        return SKIN if model is not None and model.form in _WORN else ""
    return ""


def for_power(day: WorkedDay) -> Iterator[str]:
    """The cautions of a day's power."""
    if any(_is_lithium(day, cells.cell) for cells in day.cells):
        yield LITHIUM
    elif day.cells:
        yield CELLS
    mains = {supply.id for supply in day.kit.supplies if supply.mains}
    if any(load.id in mains for load in day.supplies):
        yield MAINS
    if any(load.id not in mains for load in day.supplies):
        yield PACKS
    forms = {t.model: t.form for t in day.kit.transmitters}
    if any(line.kind == "transmitter" and forms.get(line.model) in _WORN for line in day.packing):
        yield SKIN
    if day.supplies:
        yield WALKWAYS


def _is_lithium(day: WorkedDay, cell: str) -> bool:
    """Whether the caution on lithium is due: unless the table says that there is none in it."""
    known = next((c for c in day.kit.cells if c.type == cell), None)
    return known is None or known.lithium_g != 0
