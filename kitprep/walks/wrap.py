"""The wrap walk: every thing that went out, and what has become of it. Words blame nobody."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kitprep.ledger.events import CARD_STEPS, IN_HAND, ItemState, JobState
from kitprep.planning.results import PackLine, WorkedDay
from kitprep.walks.pack import Scan

UNIT_OUTCOMES = ("back", "with", "not seen", "faulty", "incomplete", "wet", "another unit's")
COUNT_OUTCOMES = ("back", "with", "not seen")
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


@dataclass(frozen=True, slots=True)
class WrapItem:
    """A line that went out, with its outcome so far."""

    line: PackLine
    state: ItemState

    @property
    def went_out(self) -> int:
        """How many were packed."""
        return self.state.packed

    @property
    def accounted(self) -> int:
        """How many have an outcome."""
        return sum(self.state.outcome.values())

    @property
    def difference(self) -> int:
        """Accounted less gone out: below 0 some are missing, above 0 there is a surplus."""
        return self.accounted - self.went_out

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
        """The next step of recorded cards, or None where none is due."""
        done = len(self.state.card_steps)
        return CARD_STEPS[done] if self.line.kind == "cards" and done < len(CARD_STEPS) else None

    @property
    def mark(self) -> Literal["out", "part", "back", "with", "not seen", "look at", "surplus"]:
        """Where the thing stands, in one word."""
        if not self.state.outcome:
            return "out"
        if self.difference < 0:
            return "part"
        if self.difference > 0:
            return "surplus"
        outcome = {word for word, count in self.state.outcome.items() if count}
        if "not seen" in outcome:
            return "not seen"
        if "with" in outcome:
            return "with"
        return "back" if outcome <= {"back", "fresh", "part-used", "spent"} else "look at"

    @property
    def settled(self) -> bool:
        """Whether the count balances and recorded cards went all three steps."""
        return bool(self.state.outcome) and self.difference == 0 and self.cards_open is None

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


def wrap_view(day: WorkedDay, job: JobState) -> WrapView:
    """What went out, in a fixed order: by holder, then by case as packed."""
    names = {load.case: load.name for load in day.cases}
    groups: dict[tuple[int, str], list[WrapItem]] = {}
    for line in day.packing:
        state = job.item(line.key)
        if not state.packed:
            continue
        if state.holder is not None:
            group = (0, f"with {state.holder}")
        else:
            group = (1, names.get(line.case, line.case or "no case"))
        groups.setdefault(group, []).append(WrapItem(line, state))
    ordered = sorted(groups, key=lambda group: (group[0], group[1] if group[0] == 0 else ""))
    return WrapView(tuple((group[1], tuple(groups[group])) for group in ordered))


def scan_back(view: WrapView, text: str) -> Scan:
    """What a tag means at wrap."""
    word = text.strip().casefold()
    item = next((i for i in view.items if i.line.key.casefold() == word), None)
    if item is None:
        return Scan(None, f"{text.strip()} did not go out on this job")
    if item.settled:
        return Scan(None, f"{item.line.key} is accounted for already: {item.mark}")
    return Scan(None, f"{item.line.key} {item.line.name}")
