"""How what happened becomes drafts: for the job's own stream, and what the kit is told with them.

Pure: the moment, the hand and the ids are given.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitprep.ledger.claims import WHOLE, Claim
from kitprep.ledger.entries import Draft
from kitprep.ledger.errors import Contested, Stale, shown
from kitprep.ledger.events import OF_A_MINUTE, Event, ItemState, leaves, read_event
from kitprep.ledger.moment import Moment

Told = tuple[str, str, Mapping[str, Any]]
"""An event to record: item, kind, facts."""


@dataclass(frozen=True, slots=True)
class Hand:
    """Whose events they are, how they came, and when: one moment for all of one call."""

    who: str
    how: str
    at: str


@dataclass(frozen=True, slots=True)
class Unsent:
    """What was being recorded when the ledger failed; it may have been, and the first entry's is
    this ``id`` then."""

    events: Sequence[Told]
    id: str


class Overtaken(Stale):
    """Someone else's event on the item came first: says whose, and when."""

    def __init__(self, stale: Stale) -> None:
        super().__init__(stale.draft, stale.newest)
        if stale.newest is not None:
            event = read_event(stale.newest)
            what = f"{shown(event.kind)} by {shown(event.who)} at {shown(event.at)}"
            self.args = (
                f"{shown(stale.draft.item)}: {what} came first; look at it again, then decide",
            )


def drafts(
    job: str,
    events: Sequence[Told],
    hand: Hand,
    seen: Mapping[str, int],
    new_id: Callable[[], str],
) -> list[Draft]:
    """Drafts of events, several for one item following each other on what was ``seen``."""
    made = []
    newest = dict(seen)
    for item, kind, facts in events:
        event = Event(kind, item, hand.at, hand.who, hand.how, facts)
        had = newest.get(item, 0)
        newest[item] = had + 1
        made.append(Draft(new_id(), job, item, had, event.body))
    return made


def in_its_minute(event: Told, minute: int) -> Told:
    """What tells of a minute of the job's day and says none is of this one."""
    item, kind, facts = event
    if kind in OF_A_MINUTE and "minute" not in facts:
        facts = {**facts, "minute": minute}
    return item, kind, facts


@dataclass(frozen=True)
class Telling:
    """What one call has to tell, and the moment ``now`` at which it does.

    ``units`` are the kit's tags, ``have`` how many its file has of what goes by number. ``seen``
    is, for each of the job's items, the newest entry that was looked at.
    """

    now: Moment
    units: frozenset[str]
    have: Mapping[str, int]
    hand: Hand
    new_id: Callable[[], str]

    def with_what_follows(self, event: Told) -> Iterator[Told]:
        """What stands in for a unit while the job is out goes out with that, and must come back.
        With what leaves goes the list that it leaves by.
        """
        item, kind, facts = event
        state = self.now.state
        if state.out is None and leaves(kind, facts):
            facts = {**facts, "list": [[line.key, line.qty] for line in self.now.worked.packing]}
        yield item, kind, facts
        by = str(facts.get("by", ""))
        if kind == "swapped" and state.is_out and by in self.units and not state.item(by).packed:
            yield by, "added", {"qty": 1, "for": item}

    def of_kit(self, events: Iterable[Told]) -> list[Told]:
        """What events say to the whole kit."""
        found: list[Told] = []
        for event in events:
            item = event[0]
            if item in self.units or item in self.have:
                of = None if item in self.units else self.have[item]
                found += for_kit(event, self.now.state.item(item), of, self._claim)
        return found

    def drafts(self, events: Sequence[Told], seen: Mapping[str, int]) -> list[Draft]:
        """The job's own events first, so that who was first on a line shows before its unit."""
        kit_seen = {tag: record.seen for tag, record in self.now.kit.units.items()}
        return [
            *drafts(self.now.name, events, self.hand, seen, self.new_id),
            *drafts(self.now.files.kit, self.of_kit(events), self.hand, kit_seen, self.new_id),
        ]

    def contest(
        self,
        events: Sequence[Told],
        seen: Mapping[str, int],
        seen_by: Callable[[str, str], int],
    ) -> tuple[Contested, list[Draft]] | None:
        """Where another job has a unit that is being claimed: what is said of it in both logs.

        ``seen_by`` gives the newest entry of a job on an item.
        """
        name, kit, of_kit = self.now.name, self.now.kit, self.now.files.kit
        for item, kind, facts in self.of_kit(events):
            if kind != "claimed" or item not in self.units:
                continue
            claim = Claim(name, facts["day"], facts["on"], facts["off"], self.hand.who, "")
            other = kit.clash(item, claim)
            if other is None:
                continue
            theirs = {item: seen_by(other.job, item)}
            by: Sequence[Told] = [(item, "contested", {"by": other.job})]
            wanted: Sequence[Told] = [(item, "wanted", {"by": name})]
            both: Sequence[Told] = [(item, "contested", {"job": name, "by": other.job})]
            return Contested(item, other.job, other.who, other.at), [
                *drafts(name, by, self.hand, seen, self.new_id),
                *drafts(other.job, wanted, self.hand, theirs, self.new_id),
                *drafts(of_kit, both, self.hand, {item: kit.unit(item).seen}, self.new_id),
            ]
        return None

    def _claim(self, tag: str) -> Claim:
        return self.now.claim(tag, self.hand.who)


def for_kit(
    event: Told, before: ItemState, of: int | None, claim: Callable[[str], Claim]
) -> list[Told]:
    """What an event says to the whole kit: a thing is claimed or released, a number was left.

    ``before`` is the item as it stands in the job; ``of`` is how many the kit's file has of what
    goes by number, None of a unit; ``claim`` gives the job's hours of a thing.
    """
    if of is None:
        return _of_unit(event, bool(before.packed), claim)
    return _of_number(event, before, of, claim)


def _of_unit(event: Told, packed: bool, claim: Callable[[str], Claim]) -> list[Told]:
    item, kind, facts = event
    outcome = next((word for word, n in facts.get("counts", {}).items() if n), None)
    hours = claim(str(facts.get("for", item)))
    if kind == "unpacked":
        return [(item, "released", {"job": hours.job})]
    if kind == "returned" and outcome is not None:
        told = {"job": hours.job, "outcome": outcome, "note": facts.get("note", "")}
        if outcome == "with":
            told["holder"] = facts.get("holder") or ""
        return [(item, "released", told)]
    if kind in ("packed", "added") or (kind == "returned" and packed):
        return [(item, "claimed", _hours(hours))]
    return []


def _of_number(
    event: Told, before: ItemState, of: int, claim: Callable[[str], Claim]
) -> list[Told]:
    """How many are out, and what of them is whole no more, or is still out, once they are back."""
    item, kind, facts = event
    hours = claim(item)
    counts = {word: n for word, n in facts.get("counts", {}).items() if n}
    if kind == "returned" and counts:
        still = {word: n for word, n in counts.items() if word not in WHOLE}
        told = {"counts": still, "holder": facts.get("holder") or "", "note": facts.get("note", "")}
        out = max(before.packed - sum(counts.values()), 0)
        return [(item, "left", {"job": hours.job, **told, "of": of, "out": out})]
    number = {
        "packed": facts.get("qty", 1),
        "added": before.packed + facts.get("qty", 1),
        "unpacked": 0,
        "returned": before.packed,
    }.get(kind)
    if number is None:
        return []
    if number:
        return [(item, "claimed", {**_hours(hours), "qty": number})]
    return [(item, "released", {"job": hours.job})]


def _hours(claim: Claim) -> dict[str, Any]:
    return {"job": claim.job, "day": claim.day, "on": claim.on, "off": claim.off}
