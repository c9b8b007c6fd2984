"""R6, turnaround: whether what was used today is charged again by the next call.

Rounds = what is to be charged over the charger bays, rounded up; hours = rounds times the hours of
one charge, against the hours from wrap to call (common practice, no source).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from kitprep.definitions.kit import Item, Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.cells import exact
from kitprep.planning.results import Cells, Charging, Kind, Shortfall, SupplyLoad


@dataclass(frozen=True, slots=True)
class _Used:
    """So many cells or packs of one kind to be charged tonight."""

    name: str
    kind: str
    qty: int
    at_least: bool


def charged_by_call(
    cells: Iterable[Cells], supplies: Iterable[SupplyLoad], kit: Kit, plan: Plan
) -> tuple[tuple[Charging, ...], tuple[Shortfall, ...]]:
    """For each rechargeable kind in use: rounds, hours, and what is short; nothing where not asked.

    Planned cells and packs are charged; spares that stayed full are not.
    """
    if plan.turnaround_h is None:
        return (), ()
    found, short = [], []
    for used in _to_charge(cells, supplies, kit):
        chargers = [item for item in kit.items if used.name in item.charges and item.qty]
        answer = _charge(used, chargers, plan.turnaround_h)
        found.append(answer)
        if not answer.in_time:
            kind: Kind = "cell" if used.kind == "cell" else "supply"
            short.append(Shortfall(kind, None, _sentence(answer, kind)))
    return tuple(found), tuple(short)


def _to_charge(cells: Iterable[Cells], supplies: Iterable[SupplyLoad], kit: Kit) -> list[_Used]:
    rechargeable = {stock.cell for stock in kit.stock if stock.rechargeable}
    rechargeable |= {cell.type for cell in kit.cells if cell.rechargeable}
    used = [_Used(c.cell, "cell", c.planned, c.at_least) for c in cells if c.cell in rechargeable]
    return used + [_Used(s.id, "pack", s.packs, s.at_least) for s in supplies if s.packs]


def _charge(used: _Used, chargers: list[Item], turnaround: float) -> Charging:
    """The chargers of a kind work side by side; the slowest sets the pace of a round."""
    bays = sum(item.bays * item.qty for item in chargers)
    if not bays:
        return Charging(used.name, used.qty, 0, 0, None, turnaround, used.at_least)
    pace = max(exact(item.charge_hours or 0) for item in chargers)
    rounds = math.ceil(used.qty / bays)
    hours = float(rounds * pace)
    return Charging(used.name, used.qty, bays, rounds, hours, turnaround, used.at_least)


def _sentence(answer: Charging, kind: Kind) -> str:
    what = f"{answer.qty} {answer.name} {'cells' if kind == 'cell' else 'packs'}"
    if answer.hours is None:
        return f"{what} to charge tonight, and no charger here takes them; bring one, or fresh ones"
    rounds = "1 round" if answer.rounds == 1 else f"{answer.rounds} rounds"
    bays = "1 bay" if answer.bays == 1 else f"{answer.bays} bays"
    return (
        f"{what} take {rounds} on {bays}, {answer.hours:g} h of {answer.turnaround_h:g} h to the "
        "next call; bring another charger, or fresh ones"
    )
