"""The pack walk's order: what is asked next of a line, where to go on, and when packing is over.

A unit is looked at first and ticked last, when it is in its case; what is taken by number is
counted. After an interruption the case that was being packed is begun again, from its first line.
"""

from dataclasses import dataclass
from typing import Literal

from kitprep.planning.packing import find_units
from kitprep.planning.reasons import names_of
from kitprep.planning.results import CaseLoad, WorkedDay
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.cases import Counts, counts
from kitprep.walks.pack import (
    CHECK_ANSWERS,
    CHECKS,
    PackItem,
    PackView,
    doubts,
)
from kitprep.walks.readings import Doubt, Wanted


@dataclass(frozen=True, slots=True)
class Step:
    """What is asked of a line: ``name`` is the check; ``answers`` is empty where it is typed."""

    kind: Literal["check", "count", "put in"]
    asks: str
    name: str = ""
    answers: tuple[str, ...] = ()
    place: tuple[int, int] = (1, 1)


def next_step(day: WorkedDay, view: PackView, item: PackItem) -> Step | None:
    """The next thing to do about a line; None where nothing is left to do."""
    case = view.case_of(item).name
    if item.counted:
        if item.mark == "packed":
            return None
        return Step("count", f"Count them into {case}: how many are in? {item.line.qty} needed")
    if item.to_read:
        return reading_of(day, item, item.to_read[0])
    if item.mark != "packed":
        steps = len(item.line.checks) + 1
        return Step("put in", f"Put it in {case}; Enter when it is in", place=(steps, steps))
    return None


def reading_of(day: WorkedDay, item: PackItem, name: str) -> Step:
    """What is asked at one of a unit's checks."""
    place = (item.line.checks.index(name) + 1, len(item.line.checks) + 1)
    offered = (*CHECK_ANSWERS[name], NOT_CHECKED) if name in CHECK_ANSWERS else ()
    asks = CHECKS.get(name, name)
    fresh = Wanted(day).fresh_set(item.line.key) if name == "cells" else None
    if fresh is not None and fresh.count == 1:
        asks = (
            f"Put a fresh {fresh.cell} in. What does it read: volts of the cell, or % of a gauge?"
        )
    elif fresh is not None:
        asks = (
            f"Put {fresh.count} fresh {fresh.cell} in. What do they read: volts of the weakest, "
            f"or of all {fresh.count} in series, or % of a gauge?"
        )
    return Step("check", asks, name, offered, place)


def more_than_held(item: PackItem, number: int) -> str:
    """Why a count cannot be as far as the kit's files say; empty where it can."""
    if number <= item.line.held:
        return ""
    return f"{item.line.name}: {number} counted, and the kit has {item.line.held} to count on"


def surplus(item: PackItem) -> str:
    """How many more are packed than the day needs, or than the kit's files have, in words."""
    above = {
        "needed": item.state.packed - item.line.qty,
        "the kit's file has": item.state.packed - item.line.held,
    }
    return ", ".join(f"{more} more than {what}" for what, more in above.items() if more > 0)


def says_left(item: PackItem) -> str:
    """ "left out: lent", or of what was counted in part "1 of 8 goes short: lent"."""
    missing = item.line.qty - item.state.packed
    goes = f"{missing} of {item.line.qty} {'goes' if missing == 1 else 'go'} short"
    return f"{goes if item.state.packed else 'left out'}: {item.state.skipped}"


def goes_without(day: WorkedDay, item: PackItem) -> str:
    """Whom a unit that stays here would serve; empty for a spare, and for what is counted.

    As in "Ines, Boom in scenes 12A, 14 and Mix in scene 14 go without it".
    """
    key, names = item.line.key, names_of(day.plan)
    scenes_of: dict[str, dict[str, None]] = {}
    for link in day.links:
        if key in (link.transmitter, link.receiver, link.adapter):
            scenes_of.setdefault(link.source, {})[link.scene] = None
    alike: dict[tuple[str, ...], list[str]] = {}
    for source, scenes in scenes_of.items():
        alike.setdefault(tuple(scenes), []).append(names[source])
    said = [
        f"{', '.join(sources)} in scene{'' if len(scenes) == 1 else 's'} {', '.join(scenes)}"
        for scenes, sources in alike.items()
    ]
    goes = "goes" if len(scenes_of) == 1 else "go"
    return f"{' and '.join(said)} {goes} without it" if said else ""


def next_open(view: PackView, after: str | None) -> PackItem | None:
    """The next line that is open without a reason, going on from a line, around the whole list."""
    items = view.items
    start = next((n for n, item in enumerate(items) if item.line.key == after), -1) + 1
    around = (*items[start:], *items[:start])
    return next((item for item in around if not item.finished), None)


def resume_at(view: PackView) -> PackItem | None:
    """Where to take up the walk: the first line of the case last worked on, or of the next open."""
    if not view.items:
        return None
    latest = max(view.items, key=lambda item: item.state.last)
    cases = list(view.cases)
    if not latest.state.last:
        return view.items[0]
    here = next(n for n, case in enumerate(cases) if case.case == latest.line.case)
    for case in (*cases[here:], *cases[:here]):
        if not all(item.finished for item in case.items):
            return case.items[0]
    return cases[here].items[0]


def like_it(day: WorkedDay, item: PackItem) -> tuple[str, ...]:
    """Units of the same model that are in order and not on the list: what could go in its place."""
    carried = {line.key for line in day.packing}
    return tuple(
        tag
        for tag, (model, unit) in find_units(day.kit).items()
        if model.model == item.line.model and unit.usable_on(day.plan.day) and tag not in carried
    )


@dataclass(frozen=True, slots=True)
class Statement:
    """What is signed at the end of packing."""

    packed: int
    left_out: tuple[PackItem, ...]
    differs: tuple[Doubt, ...]
    unverified: tuple[Doubt, ...]
    surplus: tuple[PackItem, ...]
    cases: tuple[CaseLoad, ...]
    counts: Counts


def statement(day: WorkedDay, view: PackView) -> Statement:
    """The list in sum: what is in, what is left out and why, what was not looked at or counted."""
    read = doubts(view)
    return Statement(
        packed=view.done,
        left_out=view.skipped,
        differs=tuple(doubt for doubt in read if doubt.worth == "differs"),
        unverified=tuple(doubt for doubt in read if doubt.worth == "unverified"),
        surplus=tuple(item for item in view.items if surplus(item)),
        cases=day.cases,
        counts=counts(view),
    )
