"""Who has each thing of a kit, over all its jobs: a fold over the kit's own events.

Beside a job's events the ledger keeps one stream for the kit itself, under the kit's name. A unit
that is packed is claimed there for the job's day and hours; when it comes back it is released, with
what it came back as. So two jobs cannot both take one transmitter for overlapping hours, and the
next plan knows what is not usable. Of what goes by number it keeps how many are out
on which job, and what was used up or did not come back whole. Pure.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from kitprep.definitions.text import MINUTES_A_DAY
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import UNUSABLE, Event, read_event
from kitprep.planning.results import WorkedDay

NOT_HERE = ("with", "not seen")
"""Outcomes that say where a unit is not: whoever has it in the bag knows better."""

NOT_FOR_THE_NEXT = frozenset((*UNUSABLE, *NOT_HERE))
"""Outcomes after which a unit is not there for the next plan, until it is cleared or back."""

WHOLE = ("back", "fresh")
"""Outcomes after which what goes by number is there as it was."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A unit, or ``qty`` of what goes by number, on a job: its day (ISO 8601) and hours, in minutes
    from that day's midnight."""

    job: str
    day: str
    on: int
    off: int
    who: str
    at: str
    qty: int = 1

    def clashes(self, other: "Claim") -> bool:
        """Whether one unit cannot be on both: on one day at overlapping hours, or still out."""
        if self.job == other.job:
            return False
        return self.day != other.day or self.overlaps(other)

    def overlaps(self, other: "Claim") -> bool:
        """Whether another job wants it at the same hours; a night runs into the day after."""
        if self.job == other.job:
            return False
        later = _days_between(self.day, other.day) * MINUTES_A_DAY
        return self.on < other.off + later and other.on + later < self.off


def _days_between(one: str, other: str) -> int:
    """Days from one to another, ISO 8601; far apart where a ledger has no such days."""
    if one == other:
        return 0
    try:
        return (date.fromisoformat(other) - date.fromisoformat(one)).days
    except ValueError:
        return date.max.toordinal()


def hours(day: WorkedDay, tag: str) -> tuple[int, int]:
    """A unit's minutes on a day: from its first scene's lead to the end of its last.

    A spare, which no scene has yet, is wanted for as long as anything is.
    """
    plan = day.plan
    numbers = {
        link.scene for link in day.links if tag in (link.transmitter, link.receiver, link.adapter)
    }
    scenes = [scene for scene in plan.scenes if scene.number in numbers] or plan.scenes
    first, last = min(scene.start for scene in scenes), max(scene.end for scene in scenes)
    return first - plan.lead_min, last


@dataclass(frozen=True, slots=True)
class Left:
    """What a job did not bring back whole of something that goes by number: how many as which
    outcome, and how many the kit's file had of it then (``of``)."""

    job: str
    counts: Mapping[str, int]
    holder: str
    note: str
    of: int = 0


@dataclass(frozen=True, slots=True)
class UnitRecord:
    """Where a unit stands in its kit. ``seen`` is the number of its newest entry there.

    ``contests`` are jobs that wanted it, each with the job that had it; ``holder`` has it where its
    condition is "with". What goes by number has a record too, with ``claims`` and ``left``.
    """

    seen: int = 0
    claims: tuple[Claim, ...] = ()
    condition: str | None = None
    condition_from: str = ""
    note: str = ""
    holder: str = ""
    left: tuple[Left, ...] = ()
    contests: tuple[tuple[str, str], ...] = ()
    who: str = ""
    at: str = ""

    @property
    def usable(self) -> bool:
        """Whether the next plan may count on it."""
        return self.condition not in NOT_FOR_THE_NEXT

    def claimed_by(self, job: str) -> bool:
        """Whether a job has it packed."""
        return any(claim.job == job for claim in self.claims)

    def unfit_for(self, job: str) -> bool:
        """Whether it came back from another job as something that a job cannot plan with.

        What came back unfit from the job itself was on its list, and stays there to be seen.
        """
        if self.usable or self.condition_from == job:
            return False
        return not (self.condition in NOT_HERE and self.claimed_by(job))


NO_RECORD = UnitRecord()


@dataclass(frozen=True, slots=True)
class KitState:
    """All units that ever had an event in their kit."""

    units: Mapping[str, UnitRecord] = field(default_factory=dict)
    head: int = 0

    def unit(self, tag: str) -> UnitRecord:
        """The record of a unit; that of one with no event yet is empty."""
        return self.units.get(tag, NO_RECORD)

    def unusable(self, job: str) -> frozenset[str]:
        """Tags that a job may not plan with: what came back from others unfit, or has not."""
        return frozenset(tag for tag, record in self.units.items() if record.unfit_for(job))

    def clash(self, tag: str, claim: Claim) -> Claim | None:
        """Another job's claim on a unit that this one cannot stand beside."""
        return next((c for c in self.unit(tag).claims if c.clashes(claim)), None)


def fold_kit(entries: Iterable[Entry], before: KitState | None = None) -> KitState:
    """The kit's state after these entries of its stream, from the state before them."""
    units = dict(before.units) if before else {}
    head = before.head if before else 0
    for entry in entries:
        event = read_event(entry)
        record = _after(units.get(entry.item, NO_RECORD), event)
        units[entry.item] = replace(record, seen=entry.item_seq, who=event.who, at=event.at)
        head = entry.seq
    return KitState(units, head)


def _after(record: UnitRecord, event: Event) -> UnitRecord:
    job = str(event.facts.get("job", ""))
    match event.kind:
        case "claimed":
            return _claimed(record, event, job)
        case "released":
            return _released(record, event, job)
        case "contested":
            contest = (job, str(event.facts.get("by", "")))
            return replace(record, contests=tuple(dict.fromkeys((*record.contests, contest))))
        case "left":
            return _left(record, event, job)
        case "cleared":
            note = str(event.facts.get("note", ""))
            return replace(record, condition=None, note=note, holder="", left=())
    return record


def _claimed(record: UnitRecord, event: Event, job: str) -> UnitRecord:
    """Packed, or out again after an outcome was taken off, which then counts no more."""
    on, off = (_whole(event.facts.get(name)) for name in ("on", "off"))
    qty = event.facts.get("qty", 1)
    day, number = str(event.facts.get("day", "")), qty if isinstance(qty, int) else 1
    claim = Claim(job, day, on, off, event.who, event.at, number)
    return replace(
        record,
        claims=(*_others(record, job), claim),
        left=tuple(left for left in record.left if left.job != job),
        condition=None if record.condition_from == job else record.condition,
        contests=tuple(contest for contest in record.contests if contest[0] != job),
    )


def _released(record: UnitRecord, event: Event, job: str) -> UnitRecord:
    """Back from a job. With no outcome it was only taken out of the bag, and is as it was."""
    record = replace(
        record,
        claims=_others(record, job),
        contests=tuple(contest for contest in record.contests if contest[1] != job),
    )
    if "outcome" not in event.facts:
        return record
    outcome, note = str(event.facts["outcome"]), str(event.facts.get("note", ""))
    if outcome in NOT_FOR_THE_NEXT:
        holder = str(event.facts.get("holder") or "")
        return replace(record, condition=outcome, condition_from=job, note=note, holder=holder)
    if record.condition_from == job or record.condition in NOT_HERE:
        return replace(record, condition=None, note=note)
    return record  # seen in its case; that does not dry what another job gave back wet


def _left(record: UnitRecord, event: Event, job: str) -> UnitRecord:
    """What a job says of a number now stands for all that it said of it before.

    Where the kit's file has another figure by now, somebody has counted since: what was missing
    before is in that figure.
    """
    counts = event.facts.get("counts")
    counts = counts if isinstance(counts, Mapping) else {}
    still = {str(word): n for word, n in counts.items() if isinstance(n, int) and n > 0}
    holder, note = (str(event.facts.get(name) or "") for name in ("holder", "note"))
    of = _whole(event.facts.get("of"))
    others = tuple(left for left in record.left if left.job != job and left.of == of)
    here = Left(job, still, holder, note, of)
    out = _whole(event.facts.get("out"))
    mine = tuple(replace(claim, qty=out) for claim in record.claims if claim.job == job and out > 0)
    left = (*others, here) if still else others
    return replace(record, claims=(*_others(record, job), *mine), left=left)


def _others(record: UnitRecord, job: str) -> tuple[Claim, ...]:
    return tuple(claim for claim in record.claims if claim.job != job)


def _whole(value: object) -> int:
    return value if isinstance(value, int) else 0
