"""What a line of the list is called in speech: a unit by its tag, what is counted by its name."""

from collections.abc import Collection, Mapping

from kitprep.definitions.kit import Kit
from kitprep.planning.results import Link, PackLine, WorkedDay

CASE = "case:"

UNITS = ("transmitter", "receiver", "adapter")
"""Kinds of line that are one tagged thing each."""


def short_name(line: PackLine) -> str:
    """ "TX01", "Lav with a pack lead"."""
    return line.key if line.kind in UNITS else line.name


def full_name(line: PackLine) -> str:
    """ "TX01 Slim bodypack", "Lav with a pack lead"."""
    return f"{line.key} {line.name}" if line.kind in UNITS else line.name


def heard_by(day: WorkedDay, link: Link) -> str:
    """ "RX01", "RX21 module 3": which part of a receiver hears a link, where it has several."""
    return part_of(link, of_modules(day.kit))


def part_of(link: Link, of_modules: Collection[str]) -> str:
    """The same, with the receivers of several modules looked up before."""
    several = link.receiver in of_modules
    return f"{link.receiver} module {link.module}" if several else link.receiver


def of_modules(kit: Kit) -> frozenset[str]:
    """The receivers that have several modules."""
    return frozenset(u.tag for model in kit.receivers if model.modules > 1 for u in model.units)


def spoken(day: WorkedDay) -> Mapping[str, str]:
    """By key: how each line and each case of a day is called."""
    cases = {case_code(load.case): load.name for load in day.cases if load.case is not None}
    return cases | {line.key: short_name(line) for line in day.packing}


def case_code(case: str) -> str:
    """What a scanner reads off a case's lid, and the item under which it is counted."""
    return f"{CASE}{case}"
