"""What may still change in the files of a day that is under way."""

from collections.abc import Callable

import pytest

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.ledger.events import ItemState, JobState, Stage
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay
from kitprep.walks.amending import list_is_fixed, name_is_recorded


@pytest.fixture(scope="module")
def day() -> WorkedDay:
    loaded = load_day(demo_plan(1))
    return work_out(loaded.kit, loaded.plan)


@pytest.fixture(scope="module")
def without() -> Callable[[str], WorkedDay]:
    def worked(tag: str) -> WorkedDay:
        loaded = load_day(demo_plan(1))
        return work_out(loaded.kit, loaded.plan, without=frozenset({tag}))

    return worked


@pytest.mark.parametrize("stage", ["planned", "packing", "packed"])
def test_until_the_kit_goes_out_the_list_follows_the_plan(
    stage: Stage, day: WorkedDay, without: Callable[[str], WorkedDay]
) -> None:
    assert list_is_fixed(day, without("TX01"), JobState(stage=stage)) is None


@pytest.mark.parametrize("stage", ["out", "returned", "closed"])
def test_from_then_on_other_units_are_refused_by_name(
    stage: Stage, day: WorkedDay, without: Callable[[str], WorkedDay]
) -> None:
    # Day 1 packs TX01 and TX02 of the slim packs; without TX01 the next, TX03, goes.
    says = list_is_fixed(day, without("TX01"), JobState(stage=stage))
    assert says is not None
    assert says.startswith(f"the kit is {stage}, so what went is fixed, and this would ")
    assert "take TX03 and leave TX01" in says


def test_what_changes_no_unit_may_change_at_any_time(day: WorkedDay) -> None:
    # A unit that stays at home: nobody misses it.
    loaded = load_day(demo_plan(1))
    same = work_out(loaded.kit, loaded.plan, without=frozenset({"TX22"}))
    assert list_is_fixed(day, same, JobState(stage="out")) is None


ANSWERED = ItemState(answer="5.2")


def test_a_name_that_line_checks_are_recorded_under_stays() -> None:
    items = {
        "check:12A:ines:recorder:version": ANSWERED,
        "check:12A:ines:recorder:mode": ANSWERED,
        "check:12B:boom:recorder:mode": ItemState(),
        "TX01": ItemState(packed=1),
    }
    job = JobState(items=items)
    says = (
        "2 line checks of {} are recorded, and keep that name; change what it is called in words, "
        "or change a later day"
    )
    assert name_is_recorded(job, "source", "ines") == says.format("ines")
    assert name_is_recorded(job, "scene", "12A") == says.format("12A")
    assert name_is_recorded(job, "destination", "recorder") == says.format("recorder")
    assert name_is_recorded(job, "source", "boom") is None
    assert name_is_recorded(job, "scene", "12B") is None
    assert name_is_recorded(job, "source", "12A") is None


def test_a_scenes_number_may_hold_colons() -> None:
    job = JobState(items={"check:12:A:ines:recorder:version": ANSWERED})
    assert name_is_recorded(job, "scene", "12:A") is not None
    assert name_is_recorded(job, "source", "ines") is not None
