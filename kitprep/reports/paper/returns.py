"""The return sheet: everything on hire, by contract, in the order in which the kit lists it.

It is of the whole kit, not of one day's packing: what stayed in its case is due back as well.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date

from kitprep.definitions.added_units import TAGGED
from kitprep.definitions.kit import Adapter, Carried, Kit, Unit
from kitprep.definitions.kit_checks import counted_names
from kitprep.definitions.text import counted
from kitprep.planning.held import stock_key
from kitprep.reports.paper.sheet import BOX, Block, Column, Sheet

OWN = "own"

_RETURN = (
    BOX,
    Column("", "Tag or count", "tag"),
    Column("what", "What"),
    Column("serial", "Serial", "short"),
    Column("value", "Value each", "number"),
    Column("due", "Due", "short"),
    Column("", "Out today", "short"),
    Column("", "State, note", "write"),
    Column("owner", ""),
    Column("tag", ""),
    Column("qty", ""),
    Column("out_today", ""),
)


@dataclass(frozen=True, slots=True)
class Hired:
    """One line of a contract: a tagged thing, or a number of alike ones. ``value`` is of one."""

    owner: str
    due: date | None
    tag: str | None
    key: str
    what: str
    qty: int
    serial: str | None
    value: float | None
    state: str


def hired_things(kit: Kit) -> tuple[Hired, ...]:
    """Everything that someone else owns, as the kit lists it.

    A unit says itself whose it is, or else its model does. Units written away from their models
    come after all else, in the order of their file, which is that of an imported contract.
    """
    added = {unit.tag: number for number, unit in enumerate(kit.units)}
    found = [thing for thing in _things(kit) if thing.owner != OWN]
    return tuple(sorted(found, key=lambda thing: added.get(thing.tag or "", -1)))


def _things(kit: Kit) -> Iterator[Hired]:
    for attribute, _ in TAGGED:
        for model in getattr(kit, attribute):
            what = model.name or model.model
            for unit in model.units:
                yield _unit(model, unit, what)
            if isinstance(model, Adapter) and model.qty:
                yield _by_number(model, counted_names(model)[0], what, model.qty)
    for cable in kit.cables:
        yield _by_number(cable, f"cable:{cable.model}", cable.name or cable.model, cable.qty)
    for stock in kit.stock:
        name = f"{stock.cell} cells" if stock.cell else f"{stock.card} cards"
        yield _by_number(stock, stock_key(stock), name, stock.qty)
    for supply in kit.supplies:
        name = supply.name or supply.id
        yield _by_number(supply, f"supply:{supply.id}", name, supply.packs or 1)
    for item in kit.items:
        yield _by_number(item, f"item:{item.model}", item.name, item.qty)


def _unit(model: Carried, unit: Unit, what: str) -> Hired:
    own = unit.owner != OWN
    return Hired(
        unit.owner if own else model.owner,
        unit.due if own else model.due,
        unit.tag,
        unit.tag,
        what,
        1,
        unit.serial,
        model.value if unit.value is None else unit.value,
        unit.state if unit.ended is None else f"ended {unit.ended.isoformat()}",
    )


def _by_number(thing: Carried, key: str, what: str, qty: int) -> Hired:
    return Hired(thing.owner, thing.due, None, key, what, qty, None, thing.value, "ok")


def return_sheet(kit: Kit, out: Collection[str]) -> Sheet:
    """A block for each owner, in the order in which the kit first names them.

    ``out``: the keys of what goes out today.
    """
    things = hired_things(kit)
    groups: dict[str, list[Hired]] = {}
    for thing in things:
        groups.setdefault(thing.owner, []).append(thing)
    notes = (
        ("Everything on hire in this kit, in the order of the kit file. Be there at the count.",)
        if things
        else ("Nothing in this kit is on hire.",)
    )
    blocks = tuple(_block(owner, mine, out) for owner, mine in groups.items())
    return Sheet("return", "Return sheet", notes, blocks)


def _block(owner: str, things: list[Hired], out: Collection[str]) -> Block:
    days = sorted({thing.due for thing in things if thing.due is not None})
    heading = ", ".join([owner, *(f"due {day.isoformat()}" for day in days[:1])])
    if len(days) > 1:
        heading += f" to {days[-1].isoformat()}"
    pieces = sum(thing.qty for thing in things)
    values = [thing.value * thing.qty for thing in things if thing.value is not None]
    unknown = sum(thing.value is None for thing in things)
    total = f"{sum(values):,.0f}".replace(",", " ")
    worth = f", value {total}" if values else ""
    without = f", {unknown} without a value" if unknown else ""
    note = f"{counted(len(things), 'line')}, {counted(pieces, 'piece')}{worth}{without}"
    rows = tuple(
        (
            None,
            thing.tag or f"{thing.qty} ×",
            thing.what + ("" if thing.state == "ok" else f" ({thing.state} in the kit file)"),
            thing.serial,
            thing.value,
            None if thing.due is None else thing.due.isoformat(),
            "yes" if thing.key in out else "no",
            None,
            owner,
            thing.tag,
            thing.qty,
            "yes" if thing.key in out else "no",
        )
        for thing in things
    )
    return Block(heading, (note,), _RETURN, rows)
