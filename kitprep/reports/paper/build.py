"""All sheets of a day, by name."""

from collections.abc import Callable, Iterable, Mapping

from kitprep.planning.results import WorkedDay
from kitprep.reports.paper.cells import cell_sheet
from kitprep.reports.paper.hire import hire_sheet
from kitprep.reports.paper.packing import lid_cards, packing_sheet
from kitprep.reports.paper.returns import return_sheet
from kitprep.reports.paper.scenes import scene_sheet
from kitprep.reports.paper.sheet import Paper, Sheet

SHEETS: Mapping[str, Callable[[WorkedDay], Sheet]] = {
    "packing": packing_sheet,
    "scenes": scene_sheet,
    "cells": cell_sheet,
    "hire": hire_sheet,
    "return": return_sheet,
    "lids": lid_cards,
}
"""Every sheet, in the order in which they lie in the folder."""


def paper(day: WorkedDay, which: Iterable[str] = tuple(SHEETS)) -> Paper:
    """The named sheets of a worked-out day."""
    return Paper(
        day.kit.kit,
        day.kit.name,
        day.plan.day.isoformat(),
        day.plan.title,
        tuple(SHEETS[name](day) for name in which),
    )
