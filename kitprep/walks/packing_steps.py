"""The pack walk's order: what is asked next of a line, where to go on, and when packing is over.

A unit is looked at first and ticked last, when it is in its case; what is taken by number is
counted. After an interruption the case that was being packed is begun again, from its first line.
"""

from dataclasses import dataclass
from typing import Literal

from kitprep.ledger.events import Stage
from kitprep.planning.packing import find_units
from kitprep.planning.results import CaseLoad, WorkedDay
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.pack import (
    CHECK_ANSWERS,
    CHECKS,
    PackItem,
    PackView,
    doubts,
)


@dataclass(frozen=True, slots=True)
class Step:
    """What is asked of a line: ``name`` is the check; ``answers`` is empty where it is typed."""

    kind: Literal["check", "count", "put in"]
    asks: str
    name: str = ""
    answers: tuple[str, ...] = ()
    place: tuple[int, int] = (1, 1)


def next_step(view: PackView, item: PackItem) -> Step | None:
    """The next thing to do about a line; None where nothing is left to do."""
    case = view.case_of(item).name
    if item.counted:
        if item.mark == "packed":
            return None
        return Step("count", f"Count them into {case}: how many are in? {item.line.qty} needed")
    steps = len(item.line.checks) + 1
    if item.to_read:
        name = item.to_read[0]
        place = (item.line.checks.index(name) + 1, steps)
        offered = (*CHECK_ANSWERS[name], NOT_CHECKED) if name in CHECK_ANSWERS else ()
        return Step("check", CHECKS.get(name, name), name, offered, place)
    if item.mark != "packed":
        return Step("put in", f"Put it in {case}; Enter when it is in", place=(steps, steps))
    return None


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


def may_pack(stage: Stage) -> str:
    """Why nothing may be packed or taken out any more; empty where it may."""
    if stage in ("out", "returned"):
        return (
            "The job has gone out: what comes back is said at wrap, and so is what joins it now "
            "(kitprep add)"
        )
    if stage == "closed":
        return "The job is closed"
    return ""


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
    unverified: tuple[tuple[str, str], ...]
    differs: tuple[tuple[str, str, str], ...]
    cases: tuple[CaseLoad, ...]


def statement(day: WorkedDay, view: PackView) -> Statement:
    """The list in sum: what is in, what is left out and why, what was not looked at."""
    read = doubts(day, view)
    return Statement(
        view.done,
        view.skipped,
        tuple((d.key, d.check) for d in read if d.worth == "unverified"),
        tuple((d.key, d.check, d.value) for d in read if d.worth == "differs"),
        day.cases,
    )
