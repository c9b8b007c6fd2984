"""What an entry of the ledger means, and the state of a job as a fold over its entries.

Pure: the same entries give the same state. An event is never changed or taken back; a correction is
a later event on the same item. Items are the packing list's lines by key, ``case:ID`` for a case,
``check:SCENE:SOURCE:DESTINATION:QUESTION`` for an observation, and ``job`` for the job itself.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from kitprep.ledger.entries import Entry

Stage = Literal["planned", "packing", "packed", "out", "returned", "closed"]
STAGES: tuple[Stage, ...] = ("planned", "packing", "packed", "out", "returned", "closed")

JOB = "job"
"""The item under which a job's own stages are recorded."""

IN_HAND = ("back", "faulty", "incomplete", "wet", "another unit's", "fresh", "part-used", "spent")
"""Outcomes of what has come back; ``with`` and ``not seen`` are the others."""

UNUSABLE = ("faulty", "incomplete", "wet", "another unit's", "not seen")
"""Outcomes after which the next plan does not count on a unit."""

CARD_STEPS = ("copied", "verified", "formatted")
"""What is done with a recorded card, in this order only."""


@dataclass(frozen=True, slots=True)
class Event:
    """What happened to an item: who, when (UTC, ISO 8601), how, and the facts of its kind."""

    kind: str
    item: str
    at: str
    who: str
    how: str
    facts: Mapping[str, Any]

    @property
    def body(self) -> dict[str, Any]:
        """As it is stored."""
        return {"kind": self.kind, "at": self.at, "who": self.who, "how": self.how, **self.facts}


def read_event(entry: Entry) -> Event:
    """The event of an entry; facts that a newer program may have written are kept."""
    facts = dict(entry.body)
    kind, at, who, how = (str(facts.pop(name, "")) for name in ("kind", "at", "who", "how"))
    return Event(kind, entry.item, at, who, how, facts)


@dataclass(frozen=True, slots=True)
class ItemState:
    """Where one item stands. ``seen`` is the number of its newest entry."""

    seen: int = 0
    packed: int = 0
    skipped: str | None = None
    checks: Mapping[str, str] = field(default_factory=dict)
    holder: str | None = None
    holder_since: str | None = None
    outcome: Mapping[str, int] = field(default_factory=dict)
    outcome_holder: str | None = None
    note: str = ""
    card_steps: tuple[str, ...] = ()
    answer: str | None = None
    chain: str | None = None
    cells_changed: tuple[str, ...] = ()
    asleep: bool = False
    place: str | None = None
    at: str = ""
    who: str = ""


NOTHING_YET = ItemState()


@dataclass(frozen=True)
class JobState:
    """A job as its events leave it."""

    stage: Stage = "planned"
    items: Mapping[str, ItemState] = field(default_factory=dict)
    head: int = 0
    spares: frozenset[str] = frozenset()
    swaps: tuple[tuple[str, str], ...] = ()

    def item(self, key: str) -> ItemState:
        """The state of an item; that of one with no event yet is empty."""
        return self.items.get(key, NOTHING_YET)


def fold(entries: Iterable[Entry], before: JobState | None = None) -> JobState:
    """The state after these entries, from the state before them."""
    before = before or JobState()
    items = dict(before.items)
    stage, head, spares, swaps = before.stage, before.head, before.spares, before.swaps
    for entry in entries:
        event = read_event(entry)
        state = items.get(entry.item, NOTHING_YET)
        items[entry.item] = replace(
            _after(state, event), seen=entry.item_seq, at=event.at, who=event.who
        )
        head = entry.seq
        stage = _stage(stage, event)
        if event.kind == "spare":
            mine = {entry.item}
            spares = spares | mine if event.facts.get("taken", True) else spares - mine
        elif event.kind == "swapped":
            swaps = (*swaps, (entry.item, str(event.facts.get("by", ""))))
    return JobState(stage, items, head, spares, swaps)


def _stage(stage: Stage, event: Event) -> Stage:
    if event.kind == "stage" and event.facts.get("stage") in STAGES:
        reached: Stage = event.facts["stage"]
        return reached
    if stage == "planned" and event.kind in ("packed", "checked", "skipped"):
        return "packing"
    return stage


def _after(state: ItemState, event: Event) -> ItemState:
    facts = event.facts
    match event.kind:
        case "packed":
            return replace(state, packed=int(facts.get("qty", 1)), skipped=None)
        case "unpacked":
            return replace(state, packed=0, skipped=None)
        case "skipped":
            return replace(state, skipped=str(facts.get("reason", "")))
        case "checked":
            checks = {**state.checks, str(facts.get("check", "")): str(facts.get("value", ""))}
            return replace(state, checks=checks)
        case "handed":
            return replace(state, holder=str(facts.get("holder", "")), holder_since=event.at)
        case "taken back":
            return replace(state, holder=None, holder_since=None)
        case "returned":
            return replace(
                state,
                outcome={str(k): int(v) for k, v in facts.get("counts", {}).items()},
                outcome_holder=facts.get("holder"),
                note=str(facts.get("note", "")),
            )
        case "cells changed":
            return replace(state, cells_changed=(*state.cells_changed, event.at))
        case "standby":
            return replace(state, asleep=bool(facts.get("asleep", True)))
        case "moved":
            return replace(state, place=str(facts.get("to", "")))
        case "card":
            return replace(state, card_steps=(*state.card_steps, str(facts.get("step", ""))))
        case "observed":
            return replace(
                state, answer=str(facts.get("answer", "")), chain=str(facts.get("chain", ""))
            )
    return state
