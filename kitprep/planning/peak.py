"""Several days of one kit: the most of each model that any day needs, and what to hire, when.

A day needs of a model what it carries once its hire list is there, held or not: the hired units,
and the cells, leads and items that they take. Units, cards and leads come back for the next day,
and so do cells that are charged again. Cells that are used up do not: a day needs what the days
before it use of them, and what it carries itself, for each day starts on fresh sets. Plans of one
date are one day: they share the kit, so what each of them takes is added up. So is what a plan of
another date takes at the same hours: a night runs into the next day.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from kitprep.definitions.kit import Unit
from kitprep.definitions.kit_checks import counted_names
from kitprep.definitions.text import MINUTES_A_DAY
from kitprep.planning.held import less_of, numbers, used_up
from kitprep.planning.remedies import WorkOut, with_hired
from kitprep.planning.results import PackLine, Shortfall, WorkedDay


@dataclass(frozen=True, slots=True)
class PeakLine:
    """A model over the days: its peak, the days that set it, and what is missing from when to when.

    ``needed`` has one figure a day, in the order of the days, of cells that are used up with what
    the days before it use; ``have`` is the least held on any.
    """

    kind: str
    model: str
    name: str
    have: int
    needed: tuple[int, ...]
    peak: int
    on: tuple[date, ...]
    short: int
    short_from: date | None
    short_to: date | None


@dataclass(frozen=True, slots=True)
class JobPeak:
    """All models of a job, in the order of the kit's tables.

    ``plans`` counts the plans of each day; ``still_short`` is what no number of these models mends,
    with its day.
    """

    kit: str
    days: tuple[date, ...]
    plans: tuple[int, ...]
    lines: tuple[PeakLine, ...]
    still_short: tuple[tuple[date, Shortfall], ...]

    @property
    def ready(self) -> bool:
        """Whether no day is short of anything."""
        return not self.still_short and not any(line.short for line in self.lines)


@dataclass(frozen=True, slots=True)
class Asked:
    """A day of the job, and what answers a kit and a plan as that day was answered.

    ``job`` is its name in the ledger; once it has ``gone_out``, the ledger tells the days after it
    what it uses.
    """

    day: WorkedDay
    again: WorkOut
    job: str = ""
    gone_out: bool = False


def job_peak(asked: Sequence[Asked]) -> JobPeak:
    """The peak of days that share one kit, in the order of their dates."""
    asked = sorted(asked, key=lambda one: one.day.plan.day)
    supplied = [_with_its_hire(one) for one in asked]
    plans = Counter(day.plan.day for day in supplied)
    dates = tuple(plans)
    needed: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0] * len(dates))
    names: dict[tuple[str, str], str] = {}
    for day in supplied:
        for line in day.packing:
            key = line.kind, line.model
            needed[key][dates.index(day.plan.day)] += line.qty
            names[key] = line.name
    beside = list(_beside(asked, supplied))
    for on, _, line, qty in beside:
        needed[line.kind, line.model][dates.index(on)] += qty
    for used_up_key, before in _used_before(asked, supplied, dates).items():
        needed[used_up_key] = [
            qty + used for qty, used in zip(needed[used_up_key], before, strict=True)
        ]
    kit = asked[0].day.kit
    nights = {(on, job) for on, job, *_ in beside}
    held = [_held(_first(asked, on), asked, nights) for on in dates]
    lines = [
        _line(key, names[key], tuple(have.get(key, 0) for have in held), tuple(qty), dates)
        for key, qty in needed.items()
    ]
    order = {key: place for place, key in enumerate(held[0])}
    lines.sort(key=lambda line: (order.get((line.kind, line.model), len(order)), line.model))
    still = tuple((d.plan.day, s) for d in supplied for s in d.shortfalls if s.of is None)
    return JobPeak(kit.kit, dates, tuple(plans.values()), tuple(lines), still)


def _with_its_hire(one: Asked) -> WorkedDay:
    return one.again(with_hired(one.day), one.day.plan) if one.day.hire else one.day


def _used_before(
    asked: Sequence[Asked], supplied: Sequence[WorkedDay], dates: Sequence[date]
) -> dict[tuple[str, str], list[int]]:
    """Of cells that are used up: what the days before use, beyond what the ledger tells."""
    used: dict[tuple[str, str], list[int]] = defaultdict(lambda: [0] * len(dates))
    for one, day in zip(asked, supplied, strict=True):
        spent = used_up(day.kit)
        for cells in day.cells:
            if f"cells:{cells.cell}" in spent and not one.gone_out:
                for place in range(dates.index(day.plan.day) + 1, len(dates)):
                    used["cells", cells.cell][place] += cells.planned
    return used


def _beside(
    asked: Sequence[Asked], supplied: Sequence[WorkedDay]
) -> Iterator[tuple[date, str, PackLine, int]]:
    """What a plan has of a thing at hours at which one of another date wants it: that date, the
    plan's job and line, and how many.

    Of cells that are used up, what is used counts on later dates as it is; to it come the spares.
    """
    for one, day in zip(asked, supplied, strict=True):
        spent, spares = used_up(day.kit), {f"cells:{c.cell}": c.spare for c in day.cells}
        for line in day.packing:
            dates = {
                other.plan.day
                for other in supplied
                if other.plan.day != day.plan.day and _at_once(line, day, other)
            }
            for on in sorted(dates):
                qty = line.qty
                if line.key in spent and not one.gone_out:
                    qty = spares[line.key] if on > day.plan.day else 0
                if qty:
                    yield on, one.job, line, qty


def _at_once(line: PackLine, day: WorkedDay, other: WorkedDay) -> bool:
    """Whether two days want a thing at the same hours."""
    key = line.kind, line.model
    if all((theirs.kind, theirs.model) != key for theirs in other.packing):
        return False
    (on, off), (their_on, their_off) = _hours(day, key), _hours(other, key)
    return on < their_off and their_on < off


def _hours(day: WorkedDay, key: tuple[str, str]) -> tuple[int, int]:
    """From when to when a day wants something of a model, in minutes of all time: units from the
    lead of their first scene to the end of their last, all else as long as anything."""
    tags = {line.key for line in day.packing if (line.kind, line.model) == key}
    numbers = {
        link.scene for link in day.links if tags & {link.transmitter, link.adapter, link.receiver}
    }
    scenes = [scene for scene in day.plan.scenes if scene.number in numbers] or day.plan.scenes
    midnight = day.plan.day.toordinal() * MINUTES_A_DAY
    start = min(scene.start for scene in scenes) - day.plan.lead_min
    return midnight + start, midnight + max(scene.end for scene in scenes)


def _first(asked: Sequence[Asked], on: date) -> Asked:
    return next(one for one in asked if one.day.plan.day == on)


def _held(
    one: Asked, asked: Sequence[Asked], nights: Collection[tuple[date, str]]
) -> dict[tuple[str, str], int]:
    """Units usable on a day and numbers held by model, in the order of the kit's tables.

    What another of these plans has packed for the same day, or for a night that runs into it, or
    for one that has not gone out, is in the sum of what they need already, and so is held.
    """
    day, kit = one.day.plan.day, one.day.kit
    counted = {
        x.job
        for x in asked
        if x.job and (x.day.plan.day == day or (day, x.job) in nights or not x.gone_out)
    }
    off = [each for each in one.day.not_counted if each.job not in counted]
    packed = less_of(each for each in one.day.not_counted if each.job in counted)
    gone = {each.key for each in off if each.qty is None}

    def usable(units: Sequence[Unit]) -> int:
        return sum(unit.usable_on(day) and unit.tag not in gone for unit in units)

    held: dict[tuple[str, str], int] = {}
    held |= {("transmitter", model.model): usable(model.units) for model in kit.transmitters}
    held |= {("receiver", model.model): usable(model.units) for model in kit.receivers}
    for adapter in kit.adapters:
        counted_on = sum(name not in gone for name in counted_names(adapter))
        held["adapter", adapter.model] = usable(adapter.units) + counted_on
    for key, qty in numbers(kit).items():
        kind, _, model = key.partition(":")
        held[kind, model] = qty + packed.get(key, 0)
    held |= {("supply", supply.id): 1 for supply in kit.supplies if supply.mains}
    return held


def _line(
    key: tuple[str, str],
    name: str,
    held: tuple[int, ...],
    needed: tuple[int, ...],
    dates: tuple[date, ...],
) -> PeakLine:
    peak = max(needed)
    missing = [qty - have for qty, have in zip(needed, held, strict=True)]
    short_on = [day for day, short in zip(dates, missing, strict=True) if short > 0]
    return PeakLine(
        *key,
        name,
        min(held),
        needed,
        peak,
        tuple(day for day, qty in zip(dates, needed, strict=True) if qty == peak),
        max(*missing, 0),
        short_on[0] if short_on else None,
        short_on[-1] if short_on else None,
    )
