"""R6, turnaround: whether what was used today is charged again by the next call.

A charger goes through its bays as often as the hours of one charge fit into a time; all is charged
in the least time in which every cell and pack has been in a bay that takes it (common practice, no
source). So chargers work side by side, each at its own pace, and a slow one takes only what it can
help with; kinds that share a charger, if only by way of a third, are charged together.

Counted are the chargers that are on the packing list by rule. Where they are not in time the fewest
more that are held go along, and where none of those is enough either, all of them.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from kitprep.definitions.kit import Item, Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.cells import exact
from kitprep.planning.results import Cells, Charging, Kind, Shortfall, SupplyLoad
from kitprep.planning.solver import Program, highs, total

_SECONDS = 5.0


@dataclass(frozen=True, slots=True)
class _Used:
    """So many cells or packs of one kind to be charged tonight."""

    name: str
    kind: str
    qty: int
    at_least: bool


@dataclass(frozen=True, slots=True)
class Night:
    """What is charged, what is short, and by item how many chargers go along for it."""

    charging: tuple[Charging, ...] = ()
    short: tuple[Shortfall, ...] = ()
    chargers: Mapping[str, int] = field(default_factory=dict)


def charged_by_call(
    cells: Iterable[Cells],
    supplies: Iterable[SupplyLoad],
    packed: Mapping[str, int],
    kit: Kit,
    plan: Plan,
) -> Night:
    """For each rechargeable kind in use: rounds, hours, and what is short; nothing where not asked.

    Planned cells and packs are charged; spares that stayed full are not. ``packed`` are the items
    on the list by rule, by model.
    """
    if plan.turnaround_h is None:
        return Night()
    found, short = [], []
    chargers: dict[str, int] = {}
    for together in _together(list(_to_charge(cells, supplies, kit)), kit):
        mine = _chargers(together, packed, exact(plan.turnaround_h))
        chargers |= mine
        for used, answer in _charge(together, mine, plan.turnaround_h):
            found.append(answer)
            if not answer.in_time:
                kind: Kind = "cell" if used.kind == "cell" else "supply"
                short.append(Shortfall(kind, None, _sentence(answer, kind)))
    return Night(tuple(found), tuple(short), chargers)


def _to_charge(cells: Iterable[Cells], supplies: Iterable[SupplyLoad], kit: Kit) -> list[_Used]:
    rechargeable = {stock.cell for stock in kit.stock if stock.rechargeable}
    rechargeable |= {cell.type for cell in kit.cells if cell.rechargeable}
    used = [_Used(c.cell, "cell", c.planned, c.at_least) for c in cells if c.cell in rechargeable]
    return used + [_Used(s.id, "pack", s.packs, s.at_least) for s in supplies if s.packs]


_Group = list[tuple[_Used, list[Item]]]
"""Kinds that share chargers, if only by way of a third, each with the chargers that take it."""


def _together(used: Sequence[_Used], kit: Kit) -> Iterator[_Group]:
    """Every kind with its chargers, in one group with whatever shares one of them."""
    groups: list[_Group] = []
    for one in used:
        mine = [item for item in kit.items if one.name in item.charges and item.qty]
        shares = [g for g in groups if any(item in mine for _, theirs in g for item in theirs)]
        groups = [g for g in groups if g not in shares]
        groups.append([entry for group in shares for entry in group] + [(one, mine)])
    yield from groups


def _charge(
    together: _Group, chargers: Mapping[str, int], turnaround: float
) -> Iterator[tuple[_Used, Charging]]:
    items = _items(together)
    time = _least_time(together, chargers) if items else None
    rounds = {model: _rounds(item, time or Fraction(0)) for model, item in items.items()}
    bays = sum(items[m].bays * n for m, n in chargers.items() if rounds[m])
    most = max((rounds[m] for m, n in chargers.items() if n), default=0)
    hours = None if time is None else float(time)
    for used, _ in together:
        others = tuple(other.name for other, _ in together if other is not used)
        yield (
            used,
            Charging(used.name, used.qty, bays, most, hours, turnaround, used.at_least, others),
        )


def _items(together: _Group) -> dict[str, Item]:
    """The chargers of a group, by model."""
    return {item.model: item for _, mine in together for item in mine}


def _rounds(charger: Item, hours: Fraction) -> int:
    """How often a charger goes through its bays in a time."""
    return hours // _hours(charger)


def _hours(charger: Item) -> Fraction:
    assert charger.charge_hours is not None, "a kit with a charger without its hours is refused"
    return exact(charger.charge_hours)


def _chargers(together: _Group, packed: Mapping[str, int], turnaround: Fraction) -> dict[str, int]:
    """How many of each go along: those of the list, and the fewest more with which it is in time;
    all that are held where nothing is."""
    items = _items(together)
    program = Program()
    counts = {model: program.variable(item.qty) for model, item in items.items()}
    for model, item in items.items():
        program.at_least({counts[model]: 1}, min(packed.get(model, 0), item.qty))
    _lay(program, together, counts, turnaround)
    fewest = dict.fromkeys(counts.values(), 1)
    first = {number: place for place, number in enumerate(counts.values())}
    values: tuple[int, ...] | None = None
    for objective in (fewest, first):
        answer = highs(program, objective, _SECONDS)
        if answer is None:
            break
        values = answer.values
        program.at_most(objective, total(objective, values))
    if values is None:
        return {model: item.qty for model, item in items.items()}
    return {model: values[number] for model, number in counts.items()}


def _least_time(together: _Group, chargers: Mapping[str, int]) -> Fraction:
    """The least time in which everything has been in a bay of these chargers."""
    most = sum(used.qty for used, _ in together)
    times = sorted(
        {_hours(item) * n for item in _items(together).values() for n in range(1, most + 1)}
    )
    low, high = 0, len(times) - 1
    while low < high:
        middle = (low + high) // 2
        if _in_time(together, chargers, times[middle]):
            high = middle
        else:
            low = middle + 1
    return times[low]


def _in_time(together: _Group, chargers: Mapping[str, int], hours: Fraction) -> bool:
    program = Program()
    counts = {model: program.variable(qty) for model, qty in chargers.items()}
    _lay(program, together, counts, hours)
    return highs(program, {}, _SECONDS) is not None


def _lay(program: Program, together: _Group, counts: Mapping[str, int], hours: Fraction) -> None:
    """The rows of a time: all goes through the bays of so many chargers, each at its pace."""
    items = _items(together)
    through: dict[str, dict[int, int]] = {
        model: {number: -items[model].bays * _rounds(items[model], hours)}
        for model, number in counts.items()
    }
    for used, mine in together:
        shares = {program.variable(used.qty): item for item in mine}
        if shares:
            program.equal(dict.fromkeys(shares, 1), used.qty)
        for share, item in shares.items():
            through[item.model][share] = 1
    for terms in through.values():
        program.at_most(terms, 0)


def _sentence(answer: Charging, kind: Kind) -> str:
    things = "cell" if kind == "cell" else "pack"
    what = f"{answer.qty} {answer.name} {things if answer.qty == 1 else things + 's'}"
    if answer.beside:
        what += f", with {' and '.join(answer.beside)} in the same charger,"
    it, take = ("it", "takes") if answer.qty == 1 else ("them", "take")
    if answer.hours is None:
        return f"{what} to charge tonight, and no charger here takes {it}; bring one, or fresh ones"
    rounds = "1 round" if answer.rounds == 1 else f"{answer.rounds} rounds"
    bays = "1 bay" if answer.bays == 1 else f"{answer.bays} bays"
    return (
        f"{what} {take} {rounds} on {bays}, {answer.hours:g} h of {answer.turnaround_h:g} h to the "
        "next call; bring another charger, or fresh ones"
    )
