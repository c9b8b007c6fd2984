"""How what happened becomes drafts: for the job's own stream, and what the kit is told with them.

Pure: the moment, the hand and the ids are given.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitprep.ledger.claims import Claim
from kitprep.ledger.entries import Draft
from kitprep.ledger.errors import Stale, shown
from kitprep.ledger.events import Event, read_event

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


def for_kit(event: Told, packed: bool, claim: Callable[[str], Claim]) -> list[Told]:
    """What an event on a unit says to its whole kit: claimed, or released.

    ``packed``: whether the unit is out with the job; ``claim`` gives the job's hours of a unit.
    """
    item, kind, facts = event
    outcome = next((word for word, n in facts.get("counts", {}).items() if n), None)
    hours = claim(str(facts.get("for", item)))
    if kind == "unpacked":
        return [(item, "released", {"job": hours.job})]
    if kind == "returned" and outcome is not None:
        told = {"job": hours.job, "outcome": outcome, "note": facts.get("note", "")}
        return [(item, "released", told)]
    if kind == "packed" or (kind == "returned" and packed):
        told = {"job": hours.job, "day": hours.day, "on": hours.on, "off": hours.off}
        return [(item, "claimed", told)]
    return []
