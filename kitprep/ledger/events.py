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

OTHERS_WORDS = ("contested", "wanted")
"""Kinds that tell of another job's wish: the item itself is as whoever had it last left it."""

GONE = ("returned", "card", "moved")
"""Kinds that are recorded only of what has left; so are all stages but the first two."""


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
    """Where one item stands. ``seen`` is the number of its newest entry, ``ours`` of the job's own.

    ``changes_before`` are the changes of cells of the unit that this one stands in for; ``seen_in``
    are the places that it was seen in at the leaving of, in turn.
    """

    seen: int = 0
    ours: int = 0
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
    changes_before: int = 0
    asleep: bool = False
    seen_in: tuple[str, ...] = ()
    at: str = ""
    who: str = ""


NOTHING_YET = ItemState()


@dataclass(frozen=True)
class JobState:
    """A job as its events leave it.

    ``swaps`` are in the order in which they were made; ``withdrawn`` is what failed with nothing to
    stand in. ``fixed_at`` is the entry since which the list is what has gone out, 0 before that.
    """

    stage: Stage = "planned"
    items: Mapping[str, ItemState] = field(default_factory=dict)
    head: int = 0
    spares: frozenset[str] = frozenset()
    swaps: tuple[tuple[str, str], ...] = ()
    withdrawn: frozenset[str] = frozenset()
    fixed_at: int = 0

    def item(self, key: str) -> ItemState:
        """The state of an item; that of one with no event yet is empty."""
        return self.items.get(key, NOTHING_YET)


def fold(entries: Iterable[Entry], before: JobState | None = None) -> JobState:
    """The state after these entries, from the state before them."""
    state = before or JobState()
    items = dict(state.items)
    for entry in entries:
        event = read_event(entry)
        item = _after(items.get(entry.item, NOTHING_YET), event)
        seen = entry.item_seq
        if event.kind in OTHERS_WORDS:
            items[entry.item] = replace(item, seen=seen)
        else:
            items[entry.item] = replace(item, seen=seen, ours=seen, at=event.at, who=event.who)
        if event.kind == "swapped":
            _hand_down(items, state.spares, entry.item, str(event.facts.get("by", "")))
        state = _told(state, event, entry.seq)
    return replace(state, items=items)


def _told(state: JobState, event: Event, seq: int) -> JobState:
    """What an event says of the job as a whole."""
    stage = _stage(state.stage, event)
    fixed_at = state.fixed_at
    if event.kind == "stage":
        fixed_at = 0 if stage in ("planned", "packing") else fixed_at or seq
    elif event.kind in GONE:
        fixed_at = fixed_at or seq
    spares, swaps, withdrawn = state.spares, state.swaps, state.withdrawn
    if event.kind == "spare":
        spares = _with(spares, event.item, bool(event.facts.get("taken", True)))
    elif event.kind == "withdrawn":
        withdrawn = _with(withdrawn, event.item, bool(event.facts.get("withdrawn", True)))
    elif event.kind == "swapped":
        swaps = _swapped(swaps, event.item, str(event.facts.get("by", "")))
    return JobState(stage, state.items, seq, spares, swaps, withdrawn, fixed_at)


def _with(tags: frozenset[str], tag: str, is_in: bool) -> frozenset[str]:
    return tags | {tag} if is_in else tags - {tag}


def _swapped(swaps: tuple[tuple[str, str], ...], lost: str, by: str) -> tuple[tuple[str, str], ...]:
    """The swaps with one more; one that puts back what was swapped out takes the first back."""
    if (by, lost) in swaps:
        return tuple(swap for swap in swaps if swap != (by, lost))
    return (*swaps, (lost, by))


def _hand_down(items: dict[str, ItemState], spares: frozenset[str], lost: str, by: str) -> None:
    """A unit that was idle takes over the count of changes along with the place."""
    new = items.get(by, NOTHING_YET)
    if not new.packed or by in spares:
        old = items[lost]
        items[by] = replace(new, changes_before=old.changes_before + len(old.cells_changed))


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
            return replace(state, packed=_number(facts.get("qty", 1)), skipped=None)
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
            return _returned(state, facts)
        case "cells changed":
            return replace(state, cells_changed=(*state.cells_changed, event.at))
        case "standby":
            return replace(state, asleep=bool(facts.get("asleep", True)))
        case "moved":
            return replace(state, seen_in=(*state.seen_in, str(facts.get("to", ""))))
        case "card":
            return replace(state, card_steps=(*state.card_steps, str(facts.get("step", ""))))
        case "observed":
            return replace(
                state, answer=str(facts.get("answer", "")), chain=str(facts.get("chain", ""))
            )
    return state


def _returned(state: ItemState, facts: Mapping[str, Any]) -> ItemState:
    """What is in hand is with nobody any more."""
    outcome = _counts(facts.get("counts"))
    there = {word for word, count in outcome.items() if count}
    here = bool(there) and there <= set(IN_HAND)
    return replace(
        state,
        outcome=outcome,
        outcome_holder=_text(facts.get("holder")),
        note=str(facts.get("note", "")),
        holder=None if here else state.holder,
        holder_since=None if here else state.holder_since,
    )


def _number(value: object) -> int:
    """A count; what a newer program may have written in its place counts as one."""
    return value if isinstance(value, int) else 1


def _counts(value: object) -> dict[str, int]:
    return {str(k): _number(v) for k, v in value.items()} if isinstance(value, Mapping) else {}


def _text(value: object) -> str | None:
    return None if value is None else str(value)
