"""What an entry of the ledger means, and the state of a job as a fold over its entries.

Pure: the same entries give the same state. An event is never changed or taken back; a correction is
a later event on the same item. Items are the packing list's lines by key, ``case:ID`` for a case,
``check:SCENE:SOURCE:DESTINATION:QUESTION`` for an observation, and ``job`` for the job itself.
"""

from collections.abc import Iterable, Iterator, Mapping
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

OF_A_MINUTE = ("cells changed", "standby", "swapped")
"""Kinds that tell of a minute of the job's day: cells are reckoned from it."""


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
class Hold:
    """How many of a thing somebody has, since when (UTC, ISO 8601)."""

    holder: str
    qty: int
    since: str


@dataclass(frozen=True, slots=True)
class ItemState:
    """Where one item stands. ``seen`` is the number of its newest entry, ``ours`` of the job's own.

    ``last`` is that entry's number in the ledger, and ``cells_changed`` and ``swapped`` (out, in,
    off the plan or on it again) are such numbers too: what came before what is told by these, for
    two people's clocks need not agree. ``fresh_at`` are the minutes of the job's day from which it
    ran on a fresh set, ``sleep`` those at which it was put to sleep (True) or woken; ``held`` is
    who has how many of it; ``packed_by`` is who said last that it is in; ``added`` are those of the
    ``packed`` that joined while the job was out;
    ``changed_min`` is the minute of the job's day of each of ``cells_changed``, None where none was
    told; ``changed_at`` is where each fresh pack went on of a supply at several destinations;
    ``seen_in`` are the places that it was seen in at the leaving of, in turn; ``part_in`` is the
    place that only some of it were counted in at, last of all, with how many.
    """

    seen: int = 0
    ours: int = 0
    last: int = 0
    packed: int = 0
    packed_by: str = ""
    skipped: str | None = None
    checks: Mapping[str, str] = field(default_factory=dict)
    checked_at: Mapping[str, str] = field(default_factory=dict)
    added: int = 0
    held: tuple[Hold, ...] = ()
    outcome: Mapping[str, int] = field(default_factory=dict)
    outcome_holder: str | None = None
    note: str = ""
    card_steps: tuple[str, ...] = ()
    count: int | None = None
    answer: str | None = None
    chain: str | None = None
    cells_changed: tuple[int, ...] = ()
    changed_min: tuple[int | None, ...] = ()
    changed_at: tuple[str, ...] = ()
    fresh_at: tuple[int, ...] = ()
    swapped: tuple[int, ...] = ()
    sleep: tuple[tuple[int, bool], ...] = ()
    asleep: bool = False
    seen_in: tuple[str, ...] = ()
    part_in: tuple[str, int] | None = None
    at: str = ""
    who: str = ""

    @property
    def holder(self) -> str | None:
        """Who has it, or some of it; None where nobody has."""
        return ", ".join(hold.holder for hold in self.held) or None

    @property
    def handed(self) -> int:
        """How many are with somebody."""
        return sum(hold.qty for hold in self.held)


NOTHING_YET = ItemState()

NOT_CHECKED = "did not check"
"""What stands in place of a value or an answer: recorded as unverified, never as a pass."""


Step = tuple[str, str, str]
"""What happened while out (swapped, withdrawn, back, added, chosen anew), to which unit, and of a
swap what stands in for it."""


@dataclass(frozen=True, slots=True)
class Out:
    """A job as it went out: what had failed by then, what was packed; and what has happened since,
    in turn. What was left out is off the plan from the start, for it is not in the bag.

    ``asked_for`` is the list of then: each line with its number. Empty where an older program did
    not keep it.
    """

    swaps: tuple[tuple[str, str], ...]
    withdrawn: frozenset[str]
    packed: frozenset[str]
    steps: tuple[Step, ...] = ()
    asked_for: tuple[tuple[str, int], ...] = ()

    @property
    def joined(self) -> frozenset[str]:
        """What was not in the bag when it left and is in it by now, or takes another's place."""
        added = {tag for kind, tag, _ in self.steps if kind == "added"}
        return frozenset(added | {by for _, _, by in self.steps if by}) - self.packed

    def then(self, *steps: Step) -> "Out":
        """The same after more has happened."""
        return replace(self, steps=(*self.steps, *steps))

    def swapped(self, lost: str, by: str) -> "Out":
        """After a swap. One that takes the last thing back leaves no trace; after more has happened
        the unit is put back, and what stood in for it is there again."""
        if self.steps[-1:] == (("swapped", by, lost),):
            return replace(self, steps=self.steps[:-1])
        back: tuple[Step, ...] = (("back", lost, ""),)
        taken_back = any(step == ("swapped", by, lost) for step in self.steps) or (
            (by, lost) in self.swaps
        )
        return self.then(("swapped", lost, by), *(back if taken_back else ()))

    def withdrawn_too(self, tag: str, off: bool) -> "Out":
        """After a unit was taken off the plan, or put on it again."""
        if not off and self.steps[-1:] == (("withdrawn", tag, ""),):
            return replace(self, steps=self.steps[:-1])
        return self.then(("withdrawn", tag, "") if off else ("back", tag, ""))


@dataclass(frozen=True)
class JobState:
    """A job as its events leave it.

    ``swaps`` are in the order in which they were made; ``withdrawn`` is what failed with nothing to
    stand in. ``fixed_at`` is the entry since which the list is what has gone out, 0 before that;
    ``out`` is None until the kit has left.
    """

    stage: Stage = "planned"
    items: Mapping[str, ItemState] = field(default_factory=dict)
    head: int = 0
    spares: frozenset[str] = frozenset()
    swaps: tuple[tuple[str, str], ...] = ()
    withdrawn: frozenset[str] = frozenset()
    fixed_at: int = 0
    out: Out | None = None

    @property
    def is_out(self) -> bool:
        """Whether the kit is out, or has come back and is being counted: ``out`` is kept for good.

        It is so from when somebody says it, and by nothing else.
        """
        return self.stage in ("out", "returned")

    def item(self, key: str) -> ItemState:
        """The state of an item; that of one with no event yet is empty."""
        return self.items.get(key, NOTHING_YET)


def fold(entries: Iterable[Entry], before: JobState | None = None) -> JobState:
    """The state after these entries, from the state before them."""
    state = before or JobState()
    items = dict(state.items)
    for entry in entries:
        event = read_event(entry)
        is_in = bool(items.get(entry.item, NOTHING_YET).packed)
        item = _after(items.get(entry.item, NOTHING_YET), event, entry.seq)
        seen = entry.item_seq
        if event.kind in OTHERS_WORDS:
            items[entry.item] = replace(item, seen=seen)
        else:
            items[entry.item] = replace(
                item, seen=seen, ours=seen, last=entry.seq, at=event.at, who=event.who
            )
        if event.kind == "swapped":
            _stand_in(items, state.spares, event, entry.seq)
        state = replace(_told(state, event, entry.seq), out=_out(state, event, items, is_in))
    return replace(state, items=items)


def _told(state: JobState, event: Event, seq: int) -> JobState:
    """What an event says of the job as a whole."""
    stage = _stage(state.stage, event)
    fixed_at = state.fixed_at
    if event.kind == "stage":
        fixed_at = 0 if stage in ("planned", "packing") else fixed_at or seq
    spares, swaps, withdrawn = state.spares, state.swaps, state.withdrawn
    if event.kind == "spare":
        spares = _with(spares, event.item, bool(event.facts.get("taken", True)))
    elif event.kind == "withdrawn":
        withdrawn = _with(withdrawn, event.item, bool(event.facts.get("withdrawn", True)))
    elif event.kind == "swapped":
        swaps = one_more_swap(swaps, event.item, str(event.facts.get("by", "")))
    return JobState(stage, state.items, seq, spares, swaps, withdrawn, fixed_at)


def leaves(kind: str, facts: Mapping[str, Any]) -> bool:
    """Whether an event tells that the kit is no more where it was packed: somebody says so."""
    return kind == "stage" and facts.get("stage") in ("out", "returned", "closed")


def _out(state: JobState, event: Event, items: Mapping[str, ItemState], is_in: bool) -> Out | None:
    """The job as it went out, once it has, with what has happened since."""
    out, facts = state.out, event.facts
    if event.kind == "stage" and _stage(state.stage, event) in ("planned", "packing"):
        return None
    if out is None:
        if not leaves(event.kind, facts):
            return None
        packed = frozenset(key for key, item in items.items() if item.packed)
        left = sorted(k for k, i in items.items() if i.skipped is not None and not i.packed)
        steps: tuple[Step, ...] = tuple(("withdrawn", key, "") for key in left)
        asked_for = tuple(_lines(facts.get("list")))
        return Out(state.swaps, state.withdrawn, packed, steps, asked_for)
    match event.kind:
        case "swapped":
            return out.swapped(event.item, str(facts.get("by", "")))
        case "withdrawn":
            return out.withdrawn_too(event.item, bool(facts.get("withdrawn", True)))
        case "packed" | "added" if not is_in:
            return out.then(("added", event.item, ""))
        case "chosen anew":
            return out.then(("chosen anew", "", ""))
    return out


def with_swap(state: JobState, lost: str, by: str) -> JobState:
    """The state as it would be after a swap."""
    swaps = one_more_swap(state.swaps, lost, by)
    return replace(state, swaps=swaps, out=state.out and state.out.swapped(lost, by))


def _with(tags: frozenset[str], tag: str, is_in: bool) -> frozenset[str]:
    return tags | {tag} if is_in else tags - {tag}


def one_more_swap(
    swaps: tuple[tuple[str, str], ...], lost: str, by: str
) -> tuple[tuple[str, str], ...]:
    """The swaps with one more; one that puts back what was swapped out takes the first back."""
    if (by, lost) in swaps:
        return tuple(swap for swap in swaps if swap != (by, lost))
    return (*swaps, (lost, by))


def _stand_in(items: dict[str, ItemState], spares: frozenset[str], event: Event, seq: int) -> None:
    """What takes a place is touched by that; one that was idle starts there on a fresh set."""
    by = str(event.facts.get("by", ""))
    new = items.get(by, NOTHING_YET)
    idle = not new.packed or by in spares
    fresh_at = (*new.fresh_at, *_minute(event.facts)) if idle else new.fresh_at
    items[by] = replace(new, swapped=(*new.swapped, seq), fresh_at=fresh_at)


def _stage(stage: Stage, event: Event) -> Stage:
    if event.kind == "stage" and event.facts.get("stage") in STAGES:
        reached: Stage = event.facts["stage"]
        return reached
    if stage == "planned" and event.kind in ("packed", "checked", "skipped"):
        return "packing"
    return stage


def _after(state: ItemState, event: Event, seq: int) -> ItemState:
    facts = event.facts
    match event.kind:
        case "packed":
            qty = _number(facts.get("qty", 1))
            return replace(state, packed=qty, packed_by=event.who, skipped=None)
        case "unpacked":
            return replace(state, packed=0, skipped=None, held=())
        case "skipped":
            return replace(state, skipped=str(facts.get("reason", "")))
        case "checked":
            check, value = str(facts.get("check", "")), str(facts.get("value", ""))
            checked_at = {**state.checked_at, check: event.at}
            return replace(state, checks={**state.checks, check: value}, checked_at=checked_at)
        case "added":
            more = _number(facts.get("qty", 1))
            return replace(
                state,
                packed=state.packed + more,
                packed_by=event.who,
                added=state.added + more,
            )
        case "handed":
            return replace(state, held=_handed(state, event))
        case "taken back":
            return replace(state, held=tuple(_kept(state, facts)))
        case "returned":
            return _returned(state, facts)
        case "cells changed":
            return replace(
                state,
                cells_changed=(*state.cells_changed, seq),
                changed_min=(*state.changed_min, next(iter(_minute(facts)), None)),
                changed_at=(*state.changed_at, str(facts.get("at_destination", ""))),
                fresh_at=(*state.fresh_at, *_minute(facts)),
            )
        case "swapped" | "withdrawn":
            return replace(state, swapped=(*state.swapped, seq))
        case "counted":
            return replace(state, count=_number(facts.get("qty")))
        case "standby":
            asleep = bool(facts.get("asleep", True))
            sleep = (*state.sleep, *((minute, asleep) for minute in _minute(facts)))
            return replace(state, asleep=asleep, sleep=sleep)
        case "moved":
            return _seen_in(state, facts)
        case "card":
            return replace(state, card_steps=(*state.card_steps, str(facts.get("step", ""))))
        case "observed":
            return replace(
                state, answer=str(facts.get("answer", "")), chain=str(facts.get("chain", ""))
            )
    return state


def _seen_in(state: ItemState, facts: Mapping[str, Any]) -> ItemState:
    """A thing, or so many of it, seen in at the leaving of a place; or not after all."""
    place = str(facts.get("to", ""))
    if facts.get("seen", True) is False:
        places = list(state.seen_in)
        if place in places:
            del places[len(places) - 1 - places[::-1].index(place)]
        return replace(state, seen_in=tuple(places), part_in=None)
    qty = _number(facts.get("qty", state.packed))
    if qty < state.packed:
        return replace(state, part_in=(place, qty))
    return replace(state, seen_in=(*state.seen_in, place), part_in=None)


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
        held=() if here else state.held,
    )


def _handed(state: ItemState, event: Event) -> tuple[Hold, ...]:
    """Who has how many after some were handed over: a single thing goes from hand to hand.

    What goes by number is handed out of those that nobody has; without a number, all of them.
    """
    holder, here = str(event.facts.get("holder", "")), state.packed - state.handed
    qty = _number(event.facts.get("qty", here))
    if state.packed <= 1:
        return (Hold(holder, 1, event.at),)
    if qty < 1:
        return state.held
    had = sum(hold.qty for hold in state.held if hold.holder == holder)
    others = tuple(hold for hold in state.held if hold.holder != holder)
    return (*others, Hold(holder, had + qty, event.at))


def _kept(state: ItemState, facts: Mapping[str, Any]) -> Iterator[Hold]:
    """What is still with somebody after some was taken back: of one holder or all, some or all."""
    whose = _text(facts.get("holder"))
    for hold in state.held:
        if whose not in (None, hold.holder):
            yield hold
        elif (left := hold.qty - _number(facts.get("qty", hold.qty))) > 0:
            yield replace(hold, qty=left)


def _minute(facts: Mapping[str, Any]) -> tuple[int, ...]:
    """The minute of the job's day that an event tells of; empty where it tells of none."""
    minute = facts.get("minute")
    return (minute,) if isinstance(minute, int) else ()


def _number(value: object) -> int:
    """A count; what a newer program may have written in its place counts as one."""
    return value if isinstance(value, int) else 1


def _lines(value: object) -> Iterator[tuple[str, int]]:
    """Lines of a list with their numbers, in turn."""
    for pair in value if isinstance(value, list) else ():
        if isinstance(pair, list) and len(pair) == 2:
            yield str(pair[0]), _number(pair[1])


def _counts(value: object) -> dict[str, int]:
    return {str(k): _number(v) for k, v in value.items()} if isinstance(value, Mapping) else {}


def _text(value: object) -> str | None:
    return None if value is None else str(value)
