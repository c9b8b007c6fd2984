"""What was read on units at packing, and what of it is not as wanted: told, never passed over.

A fresh set reads at least its cells' nominal voltage and at most what a fresh cell gives with no
load, both as the table of cells has them; a tester may be held to one cell or to the whole set in
series. A gauge shows it full (common practice, no source).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kitprep.planning.packing import find_units
from kitprep.planning.results import UnitCells, WorkedDay
from kitprep.walks.answers import NOT_CHECKED

Worth = Literal["differs", "in the way", "unverified"]

YES_OR_NO = ("power", "card", "contacts")
"""Checks without whose yes the unit cannot go."""

FULL_PERCENT = 80
"""From here a gauge in percent is taken to show a fresh set (common practice, no source)."""

METER = 1.05
"""How far above what a fresh cell gives a tester may read: our own mark for a tester's error."""

LOW_WORDS = ("low", "empty", "flat", "dead", "half", "no", "none")
"""What is typed of a gauge or a tester that shows no fresh set."""

_FIGURE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(%|v|volt|volts)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that is not as wanted, or was not taken. "in the way": the unit cannot go so."""

    key: str
    check: str
    value: str
    wanted: str | None
    worth: Worth

    @property
    def says(self) -> str:
        """ "TX02 firmware reads 4.0, 5.2 wanted", "TX01 power was not checked"."""
        if self.worth == "unverified":
            return f"{self.key} {self.check} was not checked"
        wanted = f", {self.wanted} wanted" if self.wanted else ""
        return f"{self.key} {self.check} reads {self.value}{wanted}"

    @property
    def brief(self) -> str:
        """ "firmware 4.0", "power not checked": beside the unit's own line."""
        return f"{self.check} {'not checked' if self.worth == 'unverified' else self.value}"


@dataclass(frozen=True, slots=True)
class FreshSet:
    """The set of cells of a unit: what one of them reads, in volts, when it is fresh.

    ``most`` is None where the table of cells does not say what a fresh one gives.
    """

    cell: str
    count: int
    least: float
    most: float | None

    @property
    def full(self) -> str:
        """The least that one of them reads: "1.5 V"."""
        return f"{self.least:g} V"

    @property
    def says(self) -> str:
        """ "1.5 to 1.8 V for one, 3 to 3.6 V for the 2 in series"."""
        one = self._range(1)
        if self.count == 1:
            return one
        return f"{one} for one, {self._range(self.count)} for the {self.count} in series"

    def _range(self, cells: int) -> str:
        most = f" to {self.most * cells:g}" if self.most is not None else ""
        return f"{self.least * cells:g}{most} V"

    def wants(self, volts: float) -> str | None:
        """What a tester should have read; None where this is what a fresh set reads."""
        if volts < self.least:
            return self.full
        one_or_all = {1, self.count}
        if self.most is None or any(
            self.least * n <= volts <= self.most * n * METER for n in one_or_all
        ):
            return None
        return self.says


def hinders(check: str, value: str) -> bool:
    """Whether a unit cannot go with this reading: it is read again until it is as it should be."""
    return check in YES_OR_NO and value not in ("yes", NOT_CHECKED)


class Wanted:
    """What is wanted of a day's units: the version of their image, a fresh set of their cells."""

    def __init__(self, day: WorkedDay) -> None:
        kit = day.kit
        self._versions = {
            tag: kit.firmware.get(getattr(model, "image", None) or "")
            for tag, (model, _) in find_units(kit).items()
        }
        self._cells = {cell.type: cell for cell in kit.cells}
        self._feeds = {feed.unit: feed for feed in day.feeds}

    def fresh_set(self, unit: str) -> FreshSet | None:
        """The set that a unit runs on; None where it has none, or the table has no volts of it."""
        feed: UnitCells | None = self._feeds.get(unit)
        cell = self._cells.get(feed.cell) if feed is not None else None
        if feed is None or cell is None or cell.volts is None:
            return None
        return FreshSet(feed.cell, feed.count, cell.volts, cell.fresh_volts)

    def doubts(self, unit: str, checks: Mapping[str, str]) -> tuple[Doubt, ...]:
        """The readings of a unit that are not as wanted."""
        found = (self.doubt(unit, check, value) for check, value in checks.items())
        return tuple(doubt for doubt in found if doubt is not None)

    def doubt(self, unit: str, check: str, value: str) -> Doubt | None:
        """What is wrong with a value read at a check; None where it is as wanted."""
        version, fresh = self._versions.get(unit), self.fresh_set(unit)
        if value == NOT_CHECKED:
            full = {"firmware": version, "cells": fresh.full if fresh is not None else None}
            return Doubt(unit, check, value, full.get(check), "unverified")
        if hinders(check, value):
            return Doubt(unit, check, value, None, "in the way")
        wanted = None
        if check == "firmware" and version and _version(value) != _version(version):
            wanted = version
        elif check == "cells":
            wanted = _wanted_of_cells(value, fresh)
        return Doubt(unit, check, value, wanted or None, "differs") if wanted is not None else None


def _wanted_of_cells(value: str, fresh: FreshSet | None) -> str | None:
    """What should have been read; empty where nobody knows, None where it is as wanted.

    A number without a sign is volts; words are judged only where they say low.
    """
    full = "" if fresh is None else fresh.full
    found = _FIGURE.fullmatch(value.strip())
    if found is None:
        return full if value.strip().casefold() in LOW_WORDS else None
    figure = float(found[1].replace(",", "."))
    if found[2] != "%":
        return fresh.wants(figure) if fresh is not None else None
    if figure > 100:
        return "100 % at most"
    return full if figure < FULL_PERCENT else None


def _version(text: str) -> str:
    return text.strip().casefold().removeprefix("v").strip()
