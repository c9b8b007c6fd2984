"""Cautions stand where they apply; what nobody knows to be harmless gets them too."""

from dataclasses import replace
from typing import Any

import pytest

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.planning.day import work_out
from kitprep.walks.cautions import CELLS, LITHIUM, for_line, for_power


@pytest.mark.parametrize(
    ("given", "caution"),
    [
        ({"lithium_g": 0}, CELLS),
        ({"lithium_g": 0, "wh": 2.4}, CELLS),
        ({"lithium_g": 0.58}, LITHIUM),
        ({"wh": 15.84}, LITHIUM),  # a rechargeable lithium pack, by its watt hours
        ({}, LITHIUM),  # nobody has said
    ],
)
def test_cells_get_the_caution_on_lithium_unless_there_is_none_in_them(
    given: dict[str, Any], caution: str
) -> None:
    day = load_day(demo_plan(1))
    blank = {"lithium_g": None, "wh": None}
    cells = tuple(cell.model_copy(update=blank | given) for cell in day.kit.cells)
    worked = work_out(day.kit, day.plan)
    worked = replace(worked, kit=day.kit.model_copy(update={"cells": cells}))
    line = next(line for line in worked.packing if line.kind == "cells")
    assert for_line(worked, line) == caution
    assert [said for said in for_power(worked) if said in (CELLS, LITHIUM)] == [caution]
