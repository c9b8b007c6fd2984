"""The packing list as a spreadsheet reads it."""

import csv
import io

import pytest

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.ledger.events import JobState
from kitprep.planning.day import work_out
from kitprep.reports.packing import list_csv
from kitprep.walks.pack import pack_view


@pytest.mark.parametrize("name", ["=1+1", "+1", "@SUM(A1)", "  =1", "＝1"])
def test_no_name_of_a_list_is_taken_for_a_formula(name: str) -> None:
    """As on every sheet: the same rule, of full-width signs and signs after blanks too."""
    day = load_day(demo_plan(1))
    lav, *others = day.kit.items
    kit = day.kit.model_copy(update={"items": (lav.model_copy(update={"name": name}), *others)})
    worked = work_out(kit, day.plan)
    rows = csv.DictReader(io.StringIO(list_csv(worked, pack_view(worked, JobState()))))
    assert [row["name"] for row in rows if row["key"] == "item:lav"] == ["'" + name]
