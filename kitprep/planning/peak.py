"""Several days of one kit: the most of each model that any day needs, and what to hire, when.

A day needs of a model what it carries and what is short of it on that day. Units and what is taken
by number (cells, cards, cables, packs, items) alike; cells are not carried over, for each day
starts on fresh sets.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kitprep.definitions.kit import Kit
from kitprep.planning.results import WorkedDay

UNITS = ("transmitter", "receiver", "adapter")


@dataclass(frozen=True, slots=True)
class PeakLine:
    """A model over the days: its peak, the days that set it, and what is missing from when to when.

    ``needed`` has one figure a day, in the order of the days.
    """

    kind: str
    model: str
    have: int
    needed: tuple[int, ...]
    peak: int
    on: tuple[date, ...]
    short: int
    short_from: date | None
    short_to: date | None


@dataclass(frozen=True, slots=True)
class JobPeak:
    """All models of a job, in the order of the kit's tables."""

    kit: str
    days: tuple[date, ...]
    lines: tuple[PeakLine, ...]

    @property
    def ready(self) -> bool:
        """Whether no day is short of any model."""
        return not any(line.short for line in self.lines)


def job_peak(worked: Sequence[WorkedDay]) -> JobPeak:
    """The peak of days that share one kit, in the order of their dates."""
    days = sorted(worked, key=lambda day: day.plan.day)
    needed: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0] * len(days))
    for number, day in enumerate(days):
        for (kind, model), qty in day_needs(day).items():
            needed[kind, model][number] = qty
    dates = tuple(day.plan.day for day in days)
    have = _held(days[0].kit)
    lines = [
        _line(kind, model, have.get((kind, model), 0), tuple(qty), dates)
        for (kind, model), qty in needed.items()
    ]
    order = {key: place for place, key in enumerate(have)}
    lines.sort(key=lambda line: (order.get((line.kind, line.model), len(order)), line.model))
    return JobPeak(days[0].kit.kit, dates, tuple(lines))


def day_needs(day: WorkedDay) -> dict[tuple[str, str], int]:
    """What one day takes of each model, held or not."""
    needs: dict[tuple[str, str], int] = defaultdict(int)
    for line in day.packing:
        needs[line.kind, line.model] += line.qty
    kinds = {
        **{model.model: "transmitter" for model in day.kit.transmitters},
        **{model.model: "receiver" for model in day.kit.receivers},
        **{model.model: "adapter" for model in day.kit.adapters},
    }
    for hire in day.hire:
        needs[kinds[hire.model], hire.model] += hire.qty
    return dict(needs)


def _held(kit: Kit) -> dict[tuple[str, str], int]:
    """Usable units and numbers held by model, in the order of the kit's tables."""
    held: dict[tuple[str, str], int] = {}
    for transmitter in kit.transmitters:
        usable = sum(unit.state == "ok" for unit in transmitter.units)
        held["transmitter", transmitter.model] = usable
    for receiver in kit.receivers:
        held["receiver", receiver.model] = sum(unit.state == "ok" for unit in receiver.units)
    for adapter in kit.adapters:
        usable = sum(unit.state == "ok" for unit in adapter.units)
        held["adapter", adapter.model] = usable + (adapter.qty or 0)
    for cable in kit.cables:
        held["cable", cable.model] = cable.qty
    for stock in kit.stock:
        key = ("cells", stock.cell) if stock.cell is not None else ("cards", stock.card or "")
        held[key] = held.get(key, 0) + stock.qty
    for supply in kit.supplies:
        held["supply", supply.id] = 1 if supply.mains else supply.packs or 0
    for item in kit.items:
        held["item", item.model] = item.qty
    return held


def _line(
    kind: str, model: str, have: int, needed: tuple[int, ...], dates: tuple[date, ...]
) -> PeakLine:
    peak = max(needed)
    short_on = [day for day, qty in zip(dates, needed, strict=True) if qty > have]
    return PeakLine(
        kind,
        model,
        have,
        needed,
        peak,
        tuple(day for day, qty in zip(dates, needed, strict=True) if qty == peak),
        max(peak - have, 0),
        short_on[0] if short_on else None,
        short_on[-1] if short_on else None,
    )
