"""Cases by their lids: which one a scanned code names, and the count that shuts it.

A case is shut by counting the pieces in it against what is ticked (common practice, no source). The
count is given before the ticks are shown, and a tick in or out of the case asks for a fresh one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from kitprep.definitions.text import counted
from kitprep.planning.results import WorkedDay
from kitprep.walks.naming import CASE, case_code
from kitprep.walks.pack import CaseView, PackView
from kitprep.walks.wrap import WrapItem, WrapView


def is_lid(text: str) -> bool:
    """Whether a scanned or typed code is that of a case."""
    return text.strip().casefold().startswith(CASE)


@dataclass(frozen=True, slots=True)
class Lid:
    """What a lid's code means at packing: its case, or a sentence that says why it is none."""

    case: CaseView | None
    says: str


def lid(day: WorkedDay, view: PackView, text: str) -> Lid:
    """The case of the list that a code names, however it is written."""
    found = _case_of(day, text)
    if found is None:
        return Lid(None, _no_such_case(day, text))
    case = next((case for case in view.cases if case.case == found), None)
    if case is None:
        return Lid(None, f"{_name(day, found)} takes nothing today")
    return Lid(case, says_case(case))


def says_case(case: CaseView) -> str:
    """How far a case is."""
    says = f"{case.name}: {case.done} of {counted(len(case.items), 'line')} packed"
    says += f", {case.left_out} left out" if case.left_out else ""
    match shut(case):
        case "shut":
            return f"{says}, shut at a count of {case.state.count}"
        case "differs":
            return f"{says}. {says_difference(case)}"
    return says


def pieces(case: CaseView) -> int:
    """How many pieces lie in a case, by what is ticked."""
    return sum(item.state.packed for item in case.items)


def shut(case: CaseView) -> Literal["", "shut", "differs"]:
    """What the count of a case is worth; nothing where a line of it was told of since."""
    last = max(item.state.last for item in case.items)
    if case.state.count is None or case.state.last < last:
        return ""
    return "shut" if case.state.count == pieces(case) else "differs"


def says_difference(case: CaseView) -> str:
    """What to do about a count that is not what is ticked."""
    return (
        f"{case.name}: {case.state.count} counted, {pieces(case)} ticked; look line by line, mend "
        "what is wrong, count again"
    )


def out_of_count(view: PackView) -> tuple[CaseView, ...]:
    """The cases whose count is not what is ticked."""
    return tuple(case for case in view.cases if shut(case) == "differs")


@dataclass(frozen=True, slots=True)
class Counts:
    """Cases with something in them, by name: whose count is what is ticked, and the others."""

    counted: tuple[str, ...]
    not_counted: tuple[str, ...]

    @property
    def says(self) -> str:
        """ "counted: Transmitter pouch; not counted: Receiver case"."""
        parts = {"counted": self.counted, "not counted": self.not_counted}
        return "; ".join(f"{word}: {', '.join(names)}" for word, names in parts.items() if names)


def counts(view: PackView) -> Counts:
    """Which cases were counted; what goes in no case is not counted as one."""
    cases = [case for case in view.cases if case.case is not None and pieces(case)]
    return Counts(
        tuple(case.name for case in cases if shut(case) == "shut"),
        tuple(case.name for case in cases if shut(case) != "shut"),
    )


@dataclass(frozen=True, slots=True)
class LidBack:
    """What a lid's code means at wrap: what came out of the case, or why it is none."""

    items: tuple[WrapItem, ...]
    says: str


def lid_back(day: WorkedDay, view: WrapView, text: str) -> LidBack:
    """The lines that go back into the case that a code names."""
    found = _case_of(day, text)
    if found is None:
        return LidBack((), _no_such_case(day, text))
    name = _name(day, found)
    items = tuple(item for item in view.items if item.line.case == found)
    if not items:
        return LidBack((), f"{name}: nothing of it went out")
    return LidBack(
        items, f"{name}: {_settled(items)} of {counted(len(items), 'line')} with an outcome"
    )


def _settled(items: Sequence[WrapItem]) -> int:
    return sum(item.settled for item in items)


def _case_of(day: WorkedDay, text: str) -> str | None:
    word = text.strip().casefold()
    return next((c.id for c in day.kit.cases if case_code(c.id).casefold() == word), None)


def _name(day: WorkedDay, case: str) -> str:
    return next(c.name for c in day.kit.cases if c.id == case)


def _no_such_case(day: WorkedDay, text: str) -> str:
    known = ", ".join(case_code(case.id) for case in day.kit.cases) or "none"
    return f"{text.strip()} is no case of this kit; its cases are {known}"
