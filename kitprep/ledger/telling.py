"""How what happened becomes drafts: for the job's own stream, and what the kit is told with them.

Pure: the moment, the hand and the ids are given.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitprep.ledger.claims import WHOLE, Claim
from kitprep.ledger.entries import Draft
from kitprep.ledger.errors import Stale, shown
from kitprep.ledger.events import Event, ItemState, read_event

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
    """What was being recorded when the ledger failed; it may have been, so its ids are kept."""

    events: Sequence[Told]
    drafts: Sequence[Draft]


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
