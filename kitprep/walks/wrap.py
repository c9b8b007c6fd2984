"""The wrap walk: every thing that went out, and what has become of it. Words blame nobody."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from kitprep.ledger.events import CARD_STEPS, IN_HAND, ItemState, JobState
from kitprep.planning.results import PackLine, WorkedDay
from kitprep.walks.cells_used import put_in
from kitprep.walks.went_out import line_off_the_plan

WrapMark = Literal["out", "part", "back", "with", "not seen", "look at", "surplus", "doubtful"]

UNIT_OUTCOMES = ("back", "with", "not seen", "faulty", "incomplete", "wet", "another unit's")
COUNT_OUTCOMES = ("back", "with", "not seen", "faulty", "incomplete", "wet")
CELL_OUTCOMES = ("fresh", "part-used", "spent", "not seen")

MEANINGS: Mapping[str, str] = {
    "back": "seen, in its case",
    "with": "stays out with someone, by name",
    "not seen": "looked for, place not known",
    "faulty": "back, does not work",
    "incomplete": "back, a part is missing",
    "wet": "back, has been wet: do not switch it on",
    "another unit's": "the serial differs: someone else's is in its place",
    "fresh": "not used",
    "part-used": "used, not to be taken for fresh",
    "spent": "used up: terminals covered, to the recycling box",
}

CARD_ASKS: Mapping[str, str] = {
    "copied": "Are the recordings of these cards copied, to two places?",
    "verified": "Was each copy opened and its length looked at?",
    "formatted": "Are the cards formatted in the packs?",
}
"""What is asked of recorded cards, in this order only: verified before anything is formatted."""

NEEDS_NOTE = ("faulty", "incomplete", "wet", "another unit's")
"""Outcomes that are worth a word: what happened, at which scene, which serial."""


@dataclass(frozen=True, slots=True)
class WrapItem:
    """A line that went out, with its outcome so far.

    ``put_in`` is how many of these cells went into units, as far as the log knows.
    """

    line: PackLine
    state: ItemState
    put_in: int = 0

    @property
    def went_out(self) -> int:
        """How many were packed."""
        return self.state.packed

    @property
    def says_out(self) -> str:
        """ "5", "3 + 2 added": how many went out, and how many joined since."""
        if not self.state.added:
            return str(self.went_out)
        return f"{self.went_out - self.state.added} + {self.state.added} added"

    @property
    def accounted(self) -> int:
        """How many have an outcome."""
        return sum(self.state.outcome.values())

    @property
    def difference(self) -> int:
        """Accounted less gone out: below 0 some are missing, above 0 there is a surplus."""
        return self.accounted - self.went_out

    @property
    def against_the_log(self) -> str:
        """How the outcome cannot be, by what the log knows; empty where it can."""
        fresh, left = self.state.outcome.get("fresh", 0), max(self.went_out - self.put_in, 0)
        if fresh <= left:
            return ""
        return (
            f"{fresh} fresh, and {self.put_in} of the {self.went_out} were put into units: at most "
            f"{left} can be fresh"
        )

    @property
    def contradiction(self) -> str:
        """The same, until it was said why it is so."""
        return "" if self.state.note else self.against_the_log

    @property
    def outcomes(self) -> tuple[str, ...]:
        """What may become of this kind of thing."""
        if self.line.kind == "cells":
            return CELL_OUTCOMES
        if self.line.kind in ("transmitter", "receiver", "adapter"):
            return UNIT_OUTCOMES
        return COUNT_OUTCOMES

    @property
    def cards_open(self) -> str | None:
        """The next step of recorded cards, or None where none is due or none is in hand."""
        done = len(self.state.card_steps)
        if not self.in_hand:
            return None
        return CARD_STEPS[done] if self.line.kind == "cards" and done < len(CARD_STEPS) else None

    @property
    def mark(
        self,
    ) -> Literal["out", "part", "back", "with", "not seen", "look at", "surplus", "doubtful"]:
        """Where the thing stands, in one word."""
        if not self.state.outcome:
            return "out"
        if self.difference < 0:
            return "part"
        if self.difference > 0:
            return "surplus"
        if self.contradiction:
            return "doubtful"
        outcome = {word for word, count in self.state.outcome.items() if count}
        if "not seen" in outcome:
            return "not seen"
        if "with" in outcome:
            return "with"
        return "back" if outcome <= {"back", "fresh", "part-used", "spent"} else "look at"

    @property
    def settled(self) -> bool:
        """Whether the count balances, nothing in the log speaks against it, and recorded cards went
        all three steps."""
        balances = bool(self.state.outcome) and self.difference == 0
        return balances and not self.contradiction and self.cards_open is None

    @property
    def counted(self) -> bool:
        """Whether it went out by number."""
        return self.outcomes != UNIT_OUTCOMES

    @property
    def in_hand(self) -> int:
        """How many are here."""
        return sum(count for word, count in self.state.outcome.items() if word in IN_HAND)


@dataclass(frozen=True, slots=True)
class WrapView:
    """All that went out: what holders have first, then by case."""

    groups: tuple[tuple[str, tuple[WrapItem, ...]], ...]

    @property
    def items(self) -> tuple[WrapItem, ...]:
        """All lines, in the order of the count."""
        return tuple(item for _, items in self.groups for item in items)

    @property
    def unsettled(self) -> tuple[WrapItem, ...]:
        """Lines without an outcome, or whose count does not balance."""
        return tuple(item for item in self.items if not item.settled)

    @property
    def back(self) -> tuple[WrapItem, ...]:
        """Lines that are settled, and all in hand."""
        return tuple(i for i in self.items if i.settled and i.in_hand >= i.went_out)

    @property
    def still_out(self) -> tuple[WrapItem, ...]:
        """Lines with something that is not in hand."""
        return tuple(item for item in self.items if item.in_hand < item.went_out)

    @property
    def may_close(self) -> bool:
        """Whether everything has an outcome."""
        return bool(self.items) and not self.unsettled

    def find(self, key: str) -> WrapItem | None:
        """The line with this key."""
        return next((item for item in self.items if item.line.key == key), None)

    def named(self, word: str) -> WrapItem | None:
        """The line with this tag or key, however it is written."""
        folded = word.strip().casefold()
        return next((i for i in self.items if i.line.key.casefold() == folded), None)


def next_outcome(item: WrapItem, counts: Mapping[str, int]) -> str | None:
    """The outcome whose number is asked next in a count; None where the count is at its end.

    It ends when as many have an outcome as went out, or when every outcome has been asked.
    """
    if sum(counts.values()) >= item.went_out:
        return None
    return next((outcome for outcome in item.outcomes if outcome not in counts), None)


def says_difference(item: WrapItem) -> str:
    """How far a count is from what went out, in words."""
    if item.difference < 0:
        return f"{-item.difference} of {item.went_out} without an outcome"
    if item.difference > 0:
        return f"{item.difference} more than the {item.went_out} that went out"
    return f"all {item.went_out} accounted for"


def says_outcome_missing(item: WrapItem) -> str:
    """Why a line that has an outcome is not settled yet."""
    if item.difference:
        return says_difference(item)
    if item.contradiction:
        return f"{item.contradiction}; count again, or say why it is so"
    return f"the cards are to be {item.cards_open} first" if item.cards_open else ""


def why_no_card_step(item: WrapItem, step: str) -> str:
    """Why recorded cards cannot be said to be copied, verified or formatted now; empty where they
    can."""
    if item.line.kind != "cards":
        return f"{item.line.key}: only cards are {', '.join(CARD_STEPS)}"
    if item.cards_open == step:
        return ""
    if not item.state.outcome:
        return f"{item.line.key}: say first how many are back, then that they are {CARD_STEPS[0]}"
    if item.cards_open is None:
        return f"{item.line.key}: nothing more is to be done with them"
    in_turn = ", then ".join(CARD_STEPS)
    return f"{item.line.key}: cards are {in_turn}; next is {item.cards_open}"


def wrap_view(day: WorkedDay, job: JobState) -> WrapView:
    """What went out, in a fixed order: by holder, then by case as packed."""
    names = {load.case: load.name for load in day.cases}
    used = put_in(day, job)
    groups: dict[tuple[int, str], list[WrapItem]] = {}
    for line in (*day.packing, *_no_longer_planned(day, job)):
        state = job.item(line.key)
        if not state.packed:
            continue
        if state.holder is not None:
            group = (0, f"with {state.holder}")
        else:
            group = (1, names.get(line.case, line.case or "no case"))
        groups.setdefault(group, []).append(
            WrapItem(line, state, used.get(line.model, 0) if line.kind == "cells" else 0)
        )
    ordered = sorted(groups, key=lambda group: (group[0], group[1] if group[0] == 0 else ""))
    return WrapView(tuple((group[1], tuple(groups[group])) for group in ordered))


def _no_longer_planned(day: WorkedDay, job: JobState) -> Iterator[PackLine]:
    """What was packed and is on the list no more (swapped out, say): it must come back too."""
    planned = {line.key for line in day.packing}
    for key, state in job.items.items():
        if state.packed and key not in planned:
            was = "joined while out" if state.added else "was packed, and is on the list no more"
            yield line_off_the_plan(day.kit, key, state.packed, was, state)


@dataclass(frozen=True, slots=True)
class Back:
    """What a tag means at wrap: the line it is about, or a sentence that says why it is none."""

    item: WrapItem | None
    says: str


def scan_back(view: WrapView, text: str) -> Back:
    """Looks up a tag as scanned or typed; what is still out elsewhere may come back later."""
    item = view.named(text)
    if item is None:
        return Back(None, f"{text.strip()} did not go out on this job")
    if item.settled and item.in_hand >= item.went_out:
        return Back(None, f"{item.line.key} is accounted for already: {item.mark}")
    return Back(item, f"{item.line.key} {item.line.name}")
