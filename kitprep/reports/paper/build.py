"""All sheets of a day, by name."""

from collections.abc import Callable, Iterable, Mapping

from kitprep.definitions.kit import Kit
from kitprep.planning.results import WorkedDay
from kitprep.reports.paper.cells import cell_sheet
from kitprep.reports.paper.hire import hire_sheet
from kitprep.reports.paper.packing import lid_cards, packing_sheet
from kitprep.reports.paper.returns import return_sheet
from kitprep.reports.paper.scenes import scene_sheet
from kitprep.reports.paper.sheet import Paper, Sheet

_OF_THE_DAY: Mapping[str, Callable[[WorkedDay], Sheet]] = {
    "packing": packing_sheet,
    "scenes": scene_sheet,
    "cells": cell_sheet,
    "hire": hire_sheet,
    "lids": lid_cards,
}

SHEETS = ("packing", "scenes", "cells", "hire", "return", "lids")
"""Every sheet, in the order in which they lie in the folder."""


def paper(day: WorkedDay, kit: Kit, which: Iterable[str] = SHEETS) -> Paper:
    """The named sheets of a worked-out day; what is to be returned is of the kit as written."""
    return Paper(
        day.kit.kit,
        day.kit.name,
        day.plan.day.isoformat(),
        day.plan.title,
        tuple(_sheet(name, day, kit) for name in which),
    )


def _sheet(name: str, day: WorkedDay, kit: Kit) -> Sheet:
    if name == "return":
        return return_sheet(kit, {line.key for line in day.packing})
    return _OF_THE_DAY[name](day)
