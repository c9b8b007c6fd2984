"""A unit fails: a like one goes in its place, and nothing else is moved."""

import pytest

from kitprep.job import Job
from kitprep.ledger.errors import Contested
from kitprep.walks.wrap import wrap_view

from .world import Scene, World, back, packed, served, units


@pytest.fixture
def job(world: World) -> Job:
    return world.job("Ana")


@pytest.fixture
def out(job: Job) -> Job:
    """The usual day, packed and gone out."""
    packed(job)
    job.advance("packed")
    job.advance("out")
    return job


def wrap_keys(job: Job) -> set[str]:
    """What has to come back."""
    return {item.line.key for item in wrap_view(job.worked, job.state).items}


# ---- what can stand in


def test_of_its_own_model_first_and_in_the_order_that_people_count_in(job: Job) -> None:
    # TX2 is on marek and TX3 on the mix at the same hours; TX20 and TX21 are of another model.
    assert job.substitutes("TX1") == ("TX10", "TX20", "TX21")


def test_what_is_at_hand_comes_before_all_else(job: Job) -> None:
    job.record("TX21", "packed")
    assert job.substitutes("TX1") == ("TX21", "TX10", "TX20")


def test_ten_comes_after_two(world: World) -> None:
    alone = world.job("Ana", world.plan(scenes=[("1", "", "09:00", "10:00", "ines")]))
    assert alone.substitutes("TX1") == ("TX2", "TX3", "TX10", "TX20", "TX21")


def test_an_adapter_and_a_receiver_have_theirs(job: Job) -> None:
    assert job.substitutes("AD1") == ("AD2",)
    assert job.substitutes("RX1") == ("RX2",)


def test_what_serves_nothing_needs_no_stand_in(job: Job) -> None:
    assert job.substitutes("TX21") == ()


def test_what_came_back_unfit_does_not_stand_in(world: World, job: Job) -> None:
    before = world.job("Ana", world.plan("2027-03-01"))
    before.record("TX10", "packed")
    back(before, "TX10", "wet")
    job.refresh()
    assert job.substitutes("TX1") == ("TX20", "TX21")


# ---- the swap


def test_everything_else_stays_where_it_was(job: Job) -> None:
    before = served(job)
    for lost, by, source in [("TX1", "TX10", "ines"), ("TX2", "TX20", "marek")]:
        job.record(lost, "swapped", by=by, reason="hum")
        before[source] = (by, *before[source][1:])
        assert served(job) == before


def test_a_receiver_is_swapped_with_all_its_modules(job: Job) -> None:
    before = served(job)
    job.record("RX1", "swapped", by="RX2")
    assert served(job) == {s: (tx, ad, "RX2", n) for s, (tx, ad, _, n) in before.items()}


def test_a_chain_of_swaps_ends_at_the_last(job: Job) -> None:
    before = served(job)
    job.record("TX1", "swapped", by="TX10")
    assert "TX1" not in job.substitutes("TX2")
    job.record("TX10", "swapped", by="TX20")
    assert job.state.swaps == (("TX1", "TX10"), ("TX10", "TX20"))
    assert served(job) == {**before, "ines": ("TX20", *before["ines"][1:])}
    assert job.substitutes("TX20") == ("TX21", "TX10")  # TX10 last: it would take the swap back


def test_what_was_swapped_out_still_has_to_come_back(out: Job) -> None:
    out.record("TX1", "swapped", by="TX10", reason="hum")
    assert "TX1" not in units(out)
    assert wrap_keys(out) >= {"TX1", "TX10"}
    back(out, "TX1", "faulty")
    assert {i.line.key: i.mark for i in wrap_view(out.worked, out.state).items}["TX1"] == "look at"


def test_what_goes_in_while_the_job_is_out_has_gone_out_too(world: World, out: Job) -> None:
    out.record("TX1", "swapped", by="TX10", reason="hum")
    assert out.state.item("TX10").packed == 1
    assert world.log(out)[-2:] == ["Ana: TX1 swapped", "Ana: TX10 added"]
    (claim,) = out.kit.unit("TX10").claims
    assert (claim.on, claim.off) == (8 * 60 + 30, 15 * 60)  # the hours of TX1


def test_before_the_job_is_out_it_is_packed_like_anything_else(job: Job) -> None:
    job.record("TX1", "swapped", by="TX10", reason="not there")
    assert job.state.item("TX10").packed == 0
    assert "TX10" in units(job)


def test_a_spare_that_is_in_the_bag_is_not_packed_twice(job: Job) -> None:
    job.record("TX10", "spare")
    packed(job)
    job.advance("out")
    job.record("TX1", "swapped", by="TX10")
    assert job.state.item("TX10").seen == 2  # taken along as a spare, packed


def test_what_another_job_has_cannot_go_in(world: World, out: Job) -> None:
    other = world.job("Ben", world.plan(job="b", scenes=[("1", "", "09:00", "10:00", "ines")]))
    other.record("TX10", "packed")
    with pytest.raises(Contested, match="TX10 is out on small/2027-03-14/b"):
        out.record("TX1", "swapped", by="TX10")
    assert out.state.swaps == ()
    assert "TX10" not in out.substitutes("TX1")


def test_a_wrong_swap_is_taken_back(out: Job) -> None:
    before = out.worked
    out.record("TX1", "swapped", by="TX20", reason="hum")
    assert out.substitutes("TX20")[-1] == "TX1"
    out.record("TX20", "swapped", by="TX1", reason="it was the other one")
    assert out.state.swaps == ()
    assert out.worked == before
    assert wrap_keys(out) >= {"TX1", "TX20"}  # both have gone out by now


def test_everyone_has_the_same_day_after_it(world: World, out: Job) -> None:
    other = world.job("Ben")
    out.record("TX1", "swapped", by="TX10")
    other.refresh()
    assert other.worked == out.worked == world.job("Cy").worked


# ---- where nothing fits


TIGHT: list[Scene] = [
    ("1", "", "09:00", "10:00", "ines marek"),
    ("2", "", "11:00", "12:00", "mix"),
]
"""Ines and Marek at once, then the mix."""


def test_where_no_one_unit_fits_the_day_is_chosen_anew_without_it(world: World) -> None:
    without = {"TX10", "TX20", "TX21", "TX3"}
    before = world.job("Ana", world.plan("2027-03-01"))
    for tag in without:
        before.record(tag, "packed")
    for tag in without:
        back(before, tag, "wet")
    job = world.job("Ana", world.plan(scenes=TIGHT))
    # Two packs for three sources: the mix has one of them after 10:00 and the handover.
    assert sorted({chain[0] for chain in served(job).values()}) == ["TX1", "TX2"]
    assert job.substitutes("TX1") == ()
    job.record("TX1", "withdrawn", reason="dead")
    assert units(job) == ["TX2", "AD1", "RX1"]
    # At 09:00 one pack cannot be on two people: the source that is written first has it.
    assert {(u.scene, u.source) for n in job.worked.scenes for u in n.unserved} == {("1", "marek")}
    assert job.worked.shortfalls


def test_what_was_withdrawn_can_be_planned_with_again(job: Job) -> None:
    before = job.worked
    job.record("TX1", "withdrawn", reason="dead")
    assert "TX1" not in units(job)
    job.record("TX1", "withdrawn", withdrawn=False, reason="a flat cell")
    assert job.worked == before


def test_what_was_withdrawn_does_not_stand_in(job: Job) -> None:
    job.record("TX10", "withdrawn", reason="dead")
    assert job.substitutes("TX1") == ("TX20", "TX21")


def test_what_was_withdrawn_still_has_to_come_back(out: Job) -> None:
    out.record("TX1", "withdrawn", reason="dead")
    assert "TX1" in wrap_keys(out)


def test_a_swap_whose_stand_in_was_withdrawn_is_chosen_anew(job: Job) -> None:
    job.record("TX1", "swapped", by="TX10")
    job.record("TX10", "withdrawn", reason="dead too")
    assert set(units(job)) & {"TX1", "TX10"} == set()
    assert job.worked.shortfalls == ()


def test_after_the_day_was_chosen_anew_a_swap_again_moves_nothing_else(
    world: World, job: Job
) -> None:
    job.record("TX1", "swapped", by="TX21")
    other = world.job("Ben", world.plan("2027-03-01"))
    other.record("TX21", "packed")
    back(other, "TX21", "wet")
    job.refresh()
    before = served(job)
    assert not {"TX1", "TX21"} & {chain[0] for chain in before.values()}
    lost = before["mix"][0]
    by = job.substitutes(lost)[-1]
    job.record(lost, "swapped", by=by)
    assert served(job) == {**before, "mix": (by, *before["mix"][1:])}


def test_what_was_swapped_out_leaves_no_other_mark_when_it_is_found_unfit(
    world: World, job: Job
) -> None:
    job.record("TX1", "swapped", by="TX20")
    before = served(job)
    other = world.job("Ben", world.plan("2027-03-01"))
    other.record("TX1", "packed")
    back(other, "TX1", "wet")
    assert job.refresh()
    assert served(job) == before


# ---- spares


def test_accepted_spares_join_the_list_and_are_claimed_when_packed(job: Job) -> None:
    assert job.worked.spares == ("TX10", "AD2", "RX2")
    job.record_all([(tag, "spare", {"taken": True}) for tag in job.worked.spares])
    assert set(units(job)) == {"TX1", "TX2", "TX3", "TX10", "AD1", "AD2", "RX1", "RX2"}
    packed(job)
    for tag in ("TX10", "AD2", "RX2"):
        (claim,) = job.kit.unit(tag).claims
        # A spare is there for the whole day: from the first scene's lead to the last's end.
        assert (claim.job, claim.on, claim.off) == (job.name, 8 * 60 + 30, 15 * 60)


def test_spares_that_are_left_leave_the_list(job: Job) -> None:
    before = job.worked
    job.record("TX10", "spare", taken=True)
    job.record("TX10", "spare", taken=False)
    assert job.worked == before


def test_a_spare_that_failed_is_no_spare(job: Job) -> None:
    job.record("TX10", "spare", taken=True)
    job.record("TX1", "swapped", by="TX10")
    job.record("TX10", "swapped", by="TX20")
    assert "TX10" not in units(job)


def test_a_spare_that_came_back_wet_from_elsewhere_is_no_spare(world: World, job: Job) -> None:
    job.record("TX10", "spare", taken=True)
    before = world.job("Ana", world.plan("2027-03-01"))
    before.record("TX10", "packed")
    back(before, "TX10", "wet")
    job.refresh()
    assert "TX10" not in units(job)
