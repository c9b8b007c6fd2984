"""The pack walk: every line with its state, and what a tag that is scanned or typed means."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.packing import find_units
from kitprep.planning.results import PackLine, WorkedDay
from kitprep.walks.naming import UNITS, case_code
from kitprep.walks.readings import Doubt, Wanted, hinders
from kitprep.walks.went_out import as_it_left, to_pack

Mark = Literal["todo", "packed", "part", "skipped", "short"]

CHECKS: Mapping[str, str] = {
    "power": "Switch it on. Does its screen come up?",
    "firmware": "Read the version it shows at switch-on",
    "card": "Put the card in and format it in the pack. Format done?",
    "cells": "Put a fresh set in. What does it read: volts of its weakest cell, or % of a gauge?",
    "contacts": "Look at its contacts and lock. In order?",
}
"""What is looked at on a unit, by name: answered with what was seen, not with a tick."""

CHECK_ANSWERS: Mapping[str, tuple[str, ...]] = {
    "power": ("yes", "no"),
    "card": ("yes", "no"),
    "contacts": ("yes", "no"),
}
"""Checks with a choice of answers; the others are read off and typed."""

WHEN_NOT: Mapping[str, str] = {
    "power": "Try another fresh set, the right way round, or leave the unit out with a reason",
    "firmware": "It is another version than the kit wants: see the firmware list before it is used",
    "cells": "No fresh set of its kind, or a slip of the hand: read again, or put in another set",
    "card": "Try another card, or leave the unit out with a reason",
    "contacts": "Clean or mend it, or leave it out with a reason",
}
"""What to do where a reading is not as wanted."""


@dataclass(frozen=True, slots=True)
class PackItem:
    """A line of the list with what has been done about it."""

    line: PackLine
    state: ItemState
    doubts: tuple[Doubt, ...] = ()
    """Readings that are not as wanted, or were not taken."""

    @property
    def mark(self) -> Mark:
        """Where the line stands; a number below what is needed is a part, never packed."""
        if self.state.packed >= self.line.qty:
            return "packed"
        if self.state.skipped is not None:
            return "skipped"
        if self.state.packed:
            return "part"
        return "short" if self.line.held < self.line.qty else "todo"

    @property
    def open(self) -> bool:
        """Whether something is still to be done or was left with a reason."""
        return self.mark != "packed"

    @property
    def settled(self) -> bool:
        """Packed, or left out with a reason."""
        return self.mark in ("packed", "skipped")

    @property
    def unchecked(self) -> tuple[str, ...]:
        """The unit's checks with no value yet."""
        return tuple(check for check in self.line.checks if check not in self.state.checks)

    @property
    def to_read(self) -> tuple[str, ...]:
        """Checks with no value yet, or with one that stands in the way."""
        return tuple(
            check
            for check in self.line.checks
            if check not in self.state.checks or hinders(check, self.state.checks[check])
        )

    @property
    def read(self) -> tuple[str, ...]:
        """Checks with a value, in the order in which they are asked."""
        return tuple(check for check in self.line.checks if check in self.state.checks)

    @property
    def counted(self) -> bool:
        """Whether it is taken by number, and so packed by a count."""
        return self.line.kind not in UNITS

    @property
    def finished(self) -> bool:
        """Left out with a reason, or packed with every check read."""
        return self.mark == "skipped" or (self.mark == "packed" and not self.to_read)


@dataclass(frozen=True, slots=True)
class CaseView:
    """One case of the list, in the order in which it is packed; ``state`` is that of its lid."""

    case: str | None
    name: str
    items: tuple[PackItem, ...]
    state: ItemState

    @property
    def done(self) -> int:
        """Lines packed."""
        return sum(item.mark == "packed" for item in self.items)

    @property
    def left_out(self) -> int:
        """Lines left with a reason."""
        return sum(item.mark == "skipped" for item in self.items)


@dataclass(frozen=True, slots=True)
class PackView:
    """The whole list by case."""

    cases: tuple[CaseView, ...]

    @property
    def items(self) -> tuple[PackItem, ...]:
        """All lines, in packing order."""
        return tuple(item for case in self.cases for item in case.items)

    @property
    def done(self) -> int:
        """Lines packed."""
        return sum(case.done for case in self.cases)

    @property
    def skipped(self) -> tuple[PackItem, ...]:
        """Lines left with a reason."""
        return tuple(item for item in self.items if item.mark == "skipped")

    @property
    def complete(self) -> bool:
        """Whether there is a list, and nothing of it is open but what has a reason."""
        return bool(self.items) and all(item.settled for item in self.items)

    @property
    def unfinished(self) -> tuple[PackItem, ...]:
        """Lines open without a reason: not packed, or packed with a check not read."""
        return tuple(item for item in self.items if not item.finished)

    def find(self, key: str) -> PackItem | None:
        """The line with this key."""
        return next((item for item in self.items if item.line.key == key), None)

    def named(self, word: str) -> PackItem | None:
        """The line with this tag or key, however it is written."""
        folded = word.strip().casefold()
        return next((i for i in self.items if i.line.key.casefold() == folded), None)

    def case_of(self, item: PackItem) -> CaseView:
        """The case that a line goes in."""
        return next(case for case in self.cases if case.case == item.line.case)


def pack_view(day: WorkedDay, job: JobState) -> PackView:
    """The list as it stands; once the kit has left, as it left."""
    names = {load.case: load.name for load in day.cases}
    by_case: dict[str | None, list[PackItem]] = {}
    wanted = None
    for line in to_pack(day, job):
        state = as_it_left(job.item(line.key))
        if state.checks:
            wanted = wanted or Wanted(day)
        item = PackItem(line, state, wanted.doubts(line.key, state.checks) if wanted else ())
        by_case.setdefault(line.case, []).append(item)
    return PackView(
        tuple(
            CaseView(
                case,
                names.get(case, case or "no case"),
                tuple(items),
                job.item(case_code(case or "")),
            )
            for case, items in by_case.items()
        )
    )


def doubts(view: PackView) -> tuple[Doubt, ...]:
    """Every reading on what is packed that is not as wanted, or was not taken."""
    return tuple(doubt for item in view.items if item.state.packed for doubt in item.doubts)


@dataclass(frozen=True, slots=True)
class Scan:
    """What a tag means here: the line it ticks, or a sentence that says why it ticks none."""

    item: PackItem | None
    says: str


def scan(day: WorkedDay, view: PackView, text: str, case: str | None = None) -> Scan:
    """Looks up a tag as scanned or typed; ``case`` is the one being packed, if one is."""
    word = text.strip()
    item = line_meant(view.items, word)
    if item is None:
        return Scan(None, _why_not_here(day, word))
    key = item.line.key
    if item.mark == "packed":
        return Scan(None, f"{key} is packed already, by {item.state.packed_by}")
    if case is not None and item.line.case is not None and item.line.case != case:
        names = {c.case: c.name for c in view.cases}
        return Scan(item, f"{key} goes in {names[item.line.case]}")
    return Scan(item, f"{key} {item.line.name}")


def line_meant(items: Iterable[PackItem], word: str) -> PackItem | None:
    """The line with this tag or key, else with a model or serial that only one line has."""
    folded = word.strip().casefold()
    lines = list(items)
    for item in lines:
        if folded == item.line.key.casefold():
            return item
    alike = [
        item
        for item in lines
        if folded in (item.line.model.casefold(), (item.line.serial or "").casefold())
    ]
    return alike[0] if len(alike) == 1 else None


def _why_not_here(day: WorkedDay, word: str) -> str:
    units = {tag.casefold(): (model, unit) for tag, (model, unit) in find_units(day.kit).items()}
    if word.casefold() not in units:
        return f"{word} is no tag of this kit"
    model, unit = units[word.casefold()]
    if unit.ended is not None and unit.ended_by(day.plan.day):
        gone = f"has been out of the kit since {unit.ended.isoformat()}"
        return f"{unit.tag} {gone}, says the kit file; leave it"
    if unit.state != "ok":
        word_for = "in repair" if unit.state == "repair" else "marked missing"
        return f"{unit.tag} is {word_for} in the kit file; leave it"
    for each in day.not_counted:
        if each.key == unit.tag:
            return f"{unit.tag} is not counted on: {each.sentence.partition(': ')[2]}"
    return f"{unit.tag} ({model.name or model.model}) is not needed today"
