"""What a day can count on of what goes by number, and of hires: the kit's figures less what is not
there.

Numbers go by the keys of the packing list: ``cells:FR6``, ``cards:mini-sd``, ``cable:xlr``,
``supply:bag``, ``item:lav``.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import TypeVar

from kitprep.definitions.kit import (
    Adapter,
    Cable,
    Carried,
    Item,
    Kit,
    Receiver,
    Stock,
    Supply,
    Transmitter,
)
from kitprep.definitions.kit_checks import counted_names
from kitprep.planning.results import NotCounted

C = TypeVar("C", bound=Carried)


def stock_key(stock: Stock) -> str:
    """The key of a stock's packing line."""
    return f"cells:{stock.cell}" if stock.cell is not None else f"cards:{stock.card}"


def numbers(kit: Kit) -> dict[str, int]:
    """How many the kit has of everything that goes by number; of mains supplies nothing."""
    found: dict[str, int] = {}
    for stock in kit.stock:
        found[stock_key(stock)] = found.get(stock_key(stock), 0) + stock.qty
    found |= {f"cable:{cable.model}": cable.qty for cable in kit.cables}
    found |= {f"supply:{s.id}": s.packs or 0 for s in kit.supplies if not s.mains}
    return found | {f"item:{item.model}": item.qty for item in kit.items}


def named(not_counted: Iterable[NotCounted], kit: Kit) -> Iterator[NotCounted]:
    """The same, each of what goes by number with what the kit calls it."""
    names = names_by_number(kit)
    for each in not_counted:
        yield replace(each, name=names.get(each.key, ""))


def names_by_number(kit: Kit) -> dict[str, str]:
    """What the kit calls everything that goes by number, by key."""
    names = {
        stock_key(stock): f"{stock.cell} cells" if stock.cell is not None else f"{stock.card} cards"
        for stock in kit.stock
    }
    names |= {f"cable:{cable.model}": cable.name or cable.model for cable in kit.cables}
    names |= {f"supply:{supply.id}": supply.name or supply.id for supply in kit.supplies}
    return names | {f"item:{item.model}": item.name for item in kit.items}


def used_up(kit: Kit) -> frozenset[str]:
    """Keys of cells that are spent for good: those that are not charged again."""
    charged = {stock.cell for stock in kit.stock if stock.rechargeable}
    charged |= {cell.type for cell in kit.cells if cell.rechargeable}
    return frozenset(
        stock_key(s) for s in kit.stock if s.cell is not None and s.cell not in charged
    )


def with_less(kit: Kit, less: Mapping[str, int]) -> Kit:
    """The kit with so many fewer of each, never below none.

    Which card is not there nobody knows, so the largest is taken to be.
    """
    if not any(less.values()):
        return kit
    stock = list(kit.stock)
    left = dict(less)
    for place in sorted(range(len(stock)), key=lambda n: -(stock[n].capacity_gb or 0)):
        key = stock_key(stock[place])
        gone = min(left.get(key, 0), stock[place].qty)
        left[key] = left.get(key, 0) - gone
        stock[place] = stock[place].model_copy(update={"qty": stock[place].qty - gone})

    def fewer(thing: Cable | Item, key: str) -> dict[str, int]:
        return {"qty": max(thing.qty - less.get(key, 0), 0)}

    def packs(supply: Supply) -> Supply:
        if supply.mains:
            return supply
        gone = less.get(f"supply:{supply.id}", 0)
        return supply.model_copy(update={"packs": max((supply.packs or 0) - gone, 0)})

    return kit.model_copy(
        update={
            "stock": tuple(stock),
            "cables": tuple(c.model_copy(update=fewer(c, f"cable:{c.model}")) for c in kit.cables),
            "supplies": tuple(packs(supply) for supply in kit.supplies),
            "items": tuple(i.model_copy(update=fewer(i, f"item:{i.model}")) for i in kit.items),
        }
    )


def past_due(kit: Kit, day: date) -> tuple[NotCounted, ...]:
    """Hired things whose hire ends before a day: the counter wants them back by then."""
    found = []
    models: tuple[Transmitter | Receiver | Adapter, ...] = (
        *kit.transmitters,
        *kit.receivers,
        *kit.adapters,
    )
    for model in models:
        for tag, owner, due in _hires(model):
            if owner != "own" and due is not None and due < day:
                found.append(NotCounted(tag, _overdue(owner, due)))
    counted: list[tuple[str, int, Stock | Cable | Supply | Item]] = [
        *((stock_key(stock), stock.qty, stock) for stock in kit.stock),
        *((f"cable:{cable.model}", cable.qty, cable) for cable in kit.cables),
        *((f"supply:{s.id}", s.packs or 0, s) for s in kit.supplies if not s.mains),
        *((f"item:{item.model}", item.qty, item) for item in kit.items),
    ]
    for key, qty, thing in counted:
        if qty and _is_past_due(thing, day):
            assert thing.due is not None
            found.append(NotCounted(key, _overdue(thing.owner, thing.due), qty=qty))
    return tuple(named(found, kit))


def out_of_use(kit: Kit, day: date) -> tuple[NotCounted, ...]:
    """Units still of the kit on a day that its file has as in repair or missing."""
    models: tuple[Transmitter | Receiver | Adapter, ...] = (
        *kit.transmitters,
        *kit.receivers,
        *kit.adapters,
    )
    words = {"repair": "in repair in the kit file", "missing": "missing in the kit file"}
    return tuple(
        NotCounted(unit.tag, words[unit.state])
        for model in models
        for unit in model.units
        if unit.state != "ok" and not unit.ended_by(day)
    )


def without_past_due(kit: Kit, day: date) -> Kit:
    """The kit with none of what goes by number and is past its due day; units are only named."""
    counted = (*kit.stock, *kit.cables, *kit.supplies, *kit.items)
    if not any(_is_past_due(thing, day) for thing in counted):
        return kit

    def none(thing: C, key: str) -> C:
        return thing.model_copy(update={key: 0}) if _is_past_due(thing, day) else thing

    return kit.model_copy(
        update={
            "stock": tuple(none(stock, "qty") for stock in kit.stock),
            "cables": tuple(none(cable, "qty") for cable in kit.cables),
            "supplies": tuple(s if s.mains else none(s, "packs") for s in kit.supplies),
            "items": tuple(none(item, "qty") for item in kit.items),
        }
    )


def _is_past_due(thing: Carried, day: date) -> bool:
    return thing.owner != "own" and thing.due is not None and thing.due < day


def _hires(model: Transmitter | Receiver | Adapter) -> Iterable[tuple[str, str, date | None]]:
    """Each unit with whose it is and when it is due: its own word, or else its model's."""
    for unit in model.units:
        of = unit if unit.owner != "own" else model
        yield unit.tag, of.owner, of.due
    if isinstance(model, Adapter):
        yield from ((name, model.owner, model.due) for name in counted_names(model))


def _overdue(owner: str, due: date) -> str:
    return f"hire {owner} is due back {due.isoformat()}; extend the hire and change due"


def less_of(not_counted: Iterable[NotCounted]) -> dict[str, int]:
    """How many fewer there are of each key that goes by number."""
    found: dict[str, int] = {}
    for each in not_counted:
        if each.qty is not None:
            found[each.key] = found.get(each.key, 0) + each.qty
    return found
