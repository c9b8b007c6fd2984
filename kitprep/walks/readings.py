"""What was read on units at packing, and what of it is not as wanted: told, never passed over.

A fresh set reads at least its cells' nominal voltage, as the table of cells has it, and a gauge
shows it full (common practice, no source).
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from kitprep.planning.packing import find_units
from kitprep.planning.results import PackLine, WorkedDay
from kitprep.walks.answers import NOT_CHECKED

Reading = Literal["as wanted", "differs", "in the way", "unverified"]

YES_OR_NO = ("power", "card", "contacts")
"""Checks without whose yes the unit cannot go."""

FULL_PERCENT = 80
"""From here a gauge in percent is taken to show a fresh set (common practice, no source)."""

LOW_WORDS = ("low", "empty", "flat", "dead", "half", "no", "none")
"""What is typed of a gauge or a tester that shows no fresh set."""

_FIGURE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(%|v|volt|volts)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that is not as wanted, or was not taken, on a unit that is packed all the same."""

    key: str
    check: str
    value: str
    wanted: str | None
    worth: Reading

    @property
    def says(self) -> str:
        """ "TX02 firmware reads 4.0, 5.2 wanted", "TX01 power was not checked"."""
        if self.worth == "unverified":
            return f"{self.key} {self.check} was not checked"
        wanted = f", {self.wanted} wanted" if self.wanted else ""
        return f"{self.key} {self.check} reads {self.value}{wanted}"


def reading(check: str, value: str, wanted: str | None) -> Reading:
    """What a value read at a check is worth; "in the way": the unit cannot go as it is."""
    if value == NOT_CHECKED:
        return "unverified"
    if check in YES_OR_NO:
        return "as wanted" if value == "yes" else "in the way"
    if check == "firmware" and wanted is not None and _version(value) != _version(wanted):
        return "differs"
    return "differs" if check == "cells" and _is_low(value, wanted) else "as wanted"


def _version(text: str) -> str:
    return text.strip().casefold().removeprefix("v").strip()


def _is_low(value: str, wanted: str | None) -> bool:
    """Whether a tester or a gauge shows no fresh set; what it says in other words is not judged."""
    found = _FIGURE.fullmatch(value.strip())
    if found is None:
        return value.strip().casefold() in LOW_WORDS
    figure = float(found[1].replace(",", "."))
    if found[2] == "%":
        return figure < FULL_PERCENT
    return wanted is not None and figure < float(wanted.removesuffix(" V"))


def wanted_reading(day: WorkedDay, line: PackLine, check: str) -> str | None:
    """What a check is to read, where the kit or its table of cells says: a version, or volts."""
    if check == "firmware":
        model, _ = find_units(day.kit).get(line.key, (None, None))
        return day.kit.firmware.get(getattr(model, "image", None) or "")
    if check == "cells":
        cell = next((feed.cell for feed in day.feeds if feed.unit == line.key), None)
        volts = next((c.volts for c in day.kit.cells if c.type == cell), None)
        return None if volts is None else f"{volts:g} V"
    return None


def doubts_on(day: WorkedDay, line: PackLine, checks: Mapping[str, str]) -> Iterator[Doubt]:
    """The readings of a unit that are not as wanted."""
    for check, value in checks.items():
        wanted = wanted_reading(day, line, check)
        worth = reading(check, value, wanted)
        if worth != "as wanted":
            yield Doubt(line.key, check, value, wanted, worth)
