"""Who has each unit of a kit, over all its jobs: a fold over the kit's own events.

Beside a job's events the ledger keeps one stream for the kit itself, under the kit's name. A unit
that is packed is claimed there for the job's day and hours; when it comes back it is released, with
what it came back as. So two jobs cannot both take one transmitter for overlapping hours, and the
next plan knows what is not usable. Pure.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from kitprep.ledger.entries import Entry
from kitprep.ledger.events import UNUSABLE, Event, read_event

NOT_FOR_THE_NEXT = (*UNUSABLE, "with")
"""Outcomes after which a unit is not there for the next plan, until it is cleared or back."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A unit on a job: its day (ISO 8601) and hours, in minutes from that day's midnight."""

    job: str
    day: str
    on: int
    off: int
    who: str
    at: str

    def clashes(self, other: "Claim") -> bool:
        """Whether one unit cannot be on both: on one day at overlapping hours, or still out."""
        if self.job == other.job:
            return False
        return self.day != other.day or (self.on < other.off and other.on < self.off)


@dataclass(frozen=True, slots=True)
class UnitRecord:
    """Where a unit stands in its kit. ``seen`` is the number of its newest entry there."""

    seen: int = 0
    claims: tuple[Claim, ...] = ()
    condition: str | None = None
    condition_from: str = ""
    note: str = ""
    contested_by: tuple[str, ...] = ()
    who: str = ""
    at: str = ""

    @property
    def usable(self) -> bool:
        """Whether the next plan may count on it."""
        return self.condition not in NOT_FOR_THE_NEXT


NO_RECORD = UnitRecord()


@dataclass(frozen=True, slots=True)
class KitState:
    """All units that ever had an event in their kit."""

    units: Mapping[str, UnitRecord]
    head: int = 0

    def unit(self, tag: str) -> UnitRecord:
        """The record of a unit; that of one with no event yet is empty."""
        return self.units.get(tag, NO_RECORD)

    def unusable(self, job: str) -> frozenset[str]:
        """Tags that a job may not plan with: what came back from others unfit, or has not.

        What came back unfit from the job itself was on its list, and stays there to be seen.
        """
        return frozenset(
            tag
            for tag, record in self.units.items()
            if not record.usable and record.condition_from != job
        )

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
    facts = event.facts
    job = str(facts.get("job", ""))
    others = tuple(claim for claim in record.claims if claim.job != job)
    match event.kind:
        case "claimed":
            claim = Claim(
                job,
                str(facts.get("day", "")),
                int(facts.get("on", 0)),
                int(facts.get("off", 0)),
                event.who,
                event.at,
            )
            return replace(record, claims=(*others, claim), condition=None)
        case "released":
            outcome = str(facts.get("outcome", "back"))
            condition = None if outcome == "back" else outcome
            return replace(
                record,
                claims=others,
                condition=condition,
                condition_from=job,
                note=str(facts.get("note", "")),
                contested_by=() if not others else record.contested_by,
            )
        case "contested":
            return replace(record, contested_by=(*record.contested_by, job))
        case "cleared":
            return replace(record, condition=None, note=str(facts.get("note", "")))
    return record
