"""What came back unfit is not planned by the next day, and a list that has gone out stays put."""

import pytest

from kitprep.job import Job
from kitprep.ledger.claims import NOT_FOR_THE_NEXT

from .world import World, back, packed, units

ALL = ["TX1", "TX2", "TX3", "AD1", "RX1"]
WITHOUT_TX1 = ["TX2", "TX3", "TX10", "AD1", "RX1"]


@pytest.fixture
def friday(world: World) -> Job:
    """A day whose units have gone out."""
    job = world.job("Ana", world.plan("2027-03-12"))
    packed(job)
    job.advance("packed")
    job.advance("out")
    return job


def monday(world: World) -> Job:
    """The next day, as it is opened after that."""
    return world.job("Ben", world.plan("2027-03-15"))


@pytest.mark.parametrize(
    "outcome", ["faulty", "wet", "incomplete", "not seen", "another unit's", "with"]
)
def test_an_unfit_unit_is_not_planned_with_until_it_is_cleared(
    world: World, friday: Job, outcome: str
) -> None:
    assert outcome in NOT_FOR_THE_NEXT
    assert units(monday(world)) == ALL
    back(friday, "TX1", outcome, holder="Ines" if outcome == "with" else None)
    job = monday(world)
    assert units(job) == WITHOUT_TX1
    job.clear("TX1", "dried and tried")
    assert units(job) == ALL
    assert units(monday(world)) == ALL


def test_a_unit_that_is_back_is_planned_with(world: World, friday: Job) -> None:
    for tag in ALL:
        back(friday, tag)
    assert units(monday(world)) == ALL
    assert not any(friday.kit.unit(tag).claims for tag in ALL)


def test_a_job_that_is_open_hears_of_it_at_its_next_look(world: World, friday: Job) -> None:
    job = monday(world)
    back(friday, "TX1", "wet")
    assert units(job) == ALL
    assert job.refresh()
    assert units(job) == WITHOUT_TX1


def test_a_note_goes_along(world: World, friday: Job) -> None:
    back(friday, "TX1", "wet", note="fell into the harbour, scene 3")
    record = monday(world).kit.unit("TX1")
    assert (record.condition, record.condition_from) == ("wet", friday.name)
    assert record.note == "fell into the harbour, scene 3"


def test_an_outcome_that_was_put_right_is_forgotten(world: World, friday: Job) -> None:
    back(friday, "TX1", "not seen")
    back(friday, "TX1")  # it was in the other pouch
    assert units(monday(world)) == ALL


def test_an_outcome_that_was_taken_off_is_forgotten(world: World, friday: Job) -> None:
    back(friday, "TX1", "wet")
    friday.record("TX1", "returned", counts={}, holder=None, note="")
    assert units(monday(world)) == ALL


def test_taking_a_unit_out_of_the_bag_does_not_dry_it(world: World, friday: Job) -> None:
    job = monday(world)
    back(friday, "TX1", "wet")
    # Packed by someone who has not looked since, then taken out again.
    with pytest.raises(Exception, match="TX1: released by Ana"):
        job.record("TX1", "packed")
    job.record("TX1", "packed")
    job.record("TX1", "unpacked")
    assert job.kit.unit("TX1").condition == "wet"
    assert units(monday(world)) == WITHOUT_TX1


def test_seen_in_its_case_by_one_job_does_not_mend_what_another_gave_back_faulty(
    world: World,
) -> None:
    morning = world.job("Ana", world.plan(scenes=[("1", "", "08:00", "10:00", "ines")]))
    evening = world.job("Ben", world.plan(job="b", scenes=[("1", "", "18:00", "20:00", "ines")]))
    morning.record("TX1", "packed")
    evening.record("TX1", "packed")
    back(morning, "TX1", "faulty")
    back(evening, "TX1")
    assert evening.kit.unit("TX1").condition == "faulty"
    assert "TX1" not in units(monday(world))


def test_what_one_job_has_not_seen_another_may_have_in_its_bag(world: World) -> None:
    morning = world.job("Ana", world.plan(scenes=[("1", "", "08:00", "10:00", "ines")]))
    evening = world.job("Ben", world.plan(job="b", scenes=[("1", "", "18:00", "20:00", "ines")]))
    morning.record("TX1", "packed")
    evening.record("TX1", "packed")
    back(morning, "TX1", "not seen")
    evening.refresh()
    assert units(evening) == ["TX1", "RX1"]
    assert "TX1" not in units(monday(world))
    back(evening, "TX1")
    assert "TX1" in units(monday(world))


# ---- the list of the job itself


@pytest.mark.parametrize("outcome", sorted(NOT_FOR_THE_NEXT))
def test_the_own_list_does_not_change_under_its_wrap(friday: Job, outcome: str) -> None:
    before = friday.worked
    for tag in ALL:
        back(friday, tag, outcome, holder="Ines")
        assert friday.worked == before


def test_nor_does_it_for_whoever_opens_it_later(world: World, friday: Job) -> None:
    before = friday.worked
    for tag in ALL:
        back(friday, tag, "wet")
    friday.advance("closed")
    assert world.job("Cy", world.plan("2027-03-12")).worked == before


def test_a_unit_cleared_while_the_job_is_out_does_not_reshuffle_it(world: World) -> None:
    before = world.job("Ana", world.plan("2027-03-11"))
    before.record("TX1", "packed")
    back(before, "TX1", "wet")
    job = world.job("Ana", world.plan("2027-03-12"))
    packed(job)
    assert units(job) == WITHOUT_TX1
    job.advance("packed")
    monday(world).clear("TX1", "dry again")
    job.refresh()
    assert units(job) == WITHOUT_TX1
    assert units(world.job("Cy", world.plan("2027-03-12"))) == WITHOUT_TX1
    assert units(monday(world)) == ALL


def test_while_it_is_being_packed_a_cleared_unit_is_taken_in(world: World) -> None:
    before = world.job("Ana", world.plan("2027-03-11"))
    before.record("TX1", "packed")
    back(before, "TX1", "wet")
    job = world.job("Ana", world.plan("2027-03-12"))
    job.record("TX2", "packed")
    job.clear("TX1", "dry again")
    assert units(job) == ALL


def test_packing_that_is_taken_up_again_looks_again(world: World) -> None:
    before = world.job("Ana", world.plan("2027-03-11"))
    before.record("TX1", "packed")
    back(before, "TX1", "wet")
    job = world.job("Ana", world.plan("2027-03-12"))
    job.record("TX2", "packed")
    job.advance("packed")
    job.clear("TX1", "dry again")
    assert units(job) == WITHOUT_TX1
    job.advance("packing", "TX2 taken out")
    assert units(job) == ALL


def test_a_unit_that_another_job_finds_unfit_is_told_and_stays_on_the_list(world: World) -> None:
    morning = world.job("Ana", world.plan(scenes=[("1", "", "08:00", "10:00", "ines")]))
    evening = world.job("Ben", world.plan(job="b", scenes=[("1", "", "18:00", "20:00", "ines")]))
    morning.record("TX1", "packed")
    packed(evening)
    evening.advance("out")
    back(morning, "TX1", "faulty")
    evening.refresh()
    assert evening.found_unfit == {"TX1": "faulty"}
    assert units(evening) == ["TX1", "RX1"]
    assert "TX1" not in evening.substitutes("RX1")
    evening.record("TX1", "swapped", by=evening.substitutes("TX1")[0])
    assert units(evening) == ["TX2", "RX1"]


def test_a_unit_in_use_is_not_found_unfit_by_the_job_itself(friday: Job) -> None:
    back(friday, "TX1", "wet")
    assert friday.found_unfit == {}
