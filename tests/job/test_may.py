"""What may be recorded of a job as it stands: asked by the job itself, whoever tells it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from kitprep.bundled import demo_plan
from kitprep.job import Job
from kitprep.ledger.errors import NotNow
from kitprep.walks.out import holdings
from kitprep.walks.pack import pack_view, scan
from kitprep.walks.stages import hindrance

from .world import World, back, packed, units

NOT_OUT = "the kit has not gone out, the job is packing; say first that it is out"


@pytest.fixture
def job(file_world: World) -> Job:
    """TX1 is in its case, and packing goes on."""
    job = file_world.job("Ana")
    job.record("TX1", "packed", qty=1)
    return job


def refused(job: Job, item: str, kind: str, **facts: Any) -> str:
    """Why something is not recorded; that nothing was is seen too."""
    head = job.ledger.head()
    with pytest.raises(NotNow) as why:
        job.record(item, kind, **facts)
    assert job.ledger.head() == head
    return str(why.value)


@pytest.mark.parametrize(
    ("kind", "facts"),
    [
        ("returned", {"counts": {"back": 1}, "holder": None, "note": ""}),
        ("moved", {"to": "quay"}),
        ("card", {"step": "copied"}),
        ("added", {"qty": 1}),
    ],
)
def test_nothing_comes_back_moves_or_joins_before_the_kit_is_out(
    job: Job, kind: str, facts: dict[str, Any]
) -> None:
    assert refused(job, "TX1", kind, **facts) == f"TX1: {NOT_OUT}"
    assert (job.state.stage, job.state.out, job.state.fixed_at) == ("packing", None, 0)


def test_while_it_is_packed_the_plan_follows_what_other_jobs_find_out(file_world: World) -> None:
    """An outcome said too soon does not fix the list: TX2, found faulty elsewhere, is left out."""
    job, other = file_world.job("Ana"), file_world.job("Bo", file_world.plan("2027-03-13"))
    job.record("TX1", "packed", qty=1)
    refused(job, "TX1", "returned", counts={"back": 1}, holder=None, note="")
    other.record("TX2", "packed", qty=1)
    back(other, "TX2", "faulty")
    job.refresh()
    assert "TX2" not in units(job)


@pytest.mark.parametrize("kind", ["packed", "unpacked", "skipped"])
def test_nothing_is_packed_or_taken_out_once_the_kit_is_out(job: Job, kind: str) -> None:
    packed(job)
    job.advance("out")
    assert refused(job, "TX1", kind, qty=1, reason="lent") == (
        "TX1: the kit has gone out; say at wrap what comes back, and as added what joins it now"
    )


def test_what_is_in_is_taken_out_before_it_is_left_out(job: Job) -> None:
    says = refused(job, "TX1", "skipped", reason="lent")
    assert says == "TX1 is packed; take it out first, then leave it out"
    job.record("TX1", "unpacked")
    job.record("TX1", "skipped", reason="lent")
    assert job.state.item("TX1").skipped == "lent"


def test_the_rest_of_a_number_can_be_left_out(job: Job) -> None:
    job.record("cells:CR123A", "packed", qty=1)
    job.record("cells:CR123A", "skipped", reason="none left")
    assert job.state.item("cells:CR123A").skipped == "none left"


def test_what_is_not_packed_is_handed_to_nobody(job: Job) -> None:
    says = refused(job, "TX2", "handed", holder="Ines")
    assert says == "TX2: not packed yet; pack it first, then hand it over"


def test_what_is_taken_out_of_the_bag_is_with_nobody(job: Job) -> None:
    job.record("TX1", "handed", holder="Ines")
    job.record("TX1", "unpacked")
    assert holdings(job.worked, job.state) == ()


def test_who_packed_a_thing_is_not_whoever_handed_it_on(file_world: World, job: Job) -> None:
    other = file_world.job("Cy")
    other.record("TX1", "handed", holder="Ines")
    view = pack_view(other.worked, other.state)
    assert scan(other.worked, view, "TX1").says == "TX1 is packed already, by Ana"


# ---- cells, packs and sleep


@pytest.fixture
def mains(file_world: World) -> Job:
    """Demo day 2, on which the cart runs on mains."""
    return file_world.job("Ana", demo_plan(2))


def test_mains_take_no_fresh_pack(mains: Job) -> None:
    assert any(load.id == "cart-mains" and load.mains for load in mains.worked.supplies)
    says = refused(mains, "supply:cart-mains", "cells changed", minute=600)
    assert says == "supply:cart-mains: takes no cells today; the power list says what does"


def test_only_a_transmitter_in_use_sleeps(job: Job) -> None:
    says = refused(job, "RX1", "standby", asleep=True, minute=600)
    assert says == "RX1: no transmitter in use; only those are put to sleep"


@pytest.mark.parametrize("kind", ["cells changed", "standby"])
@pytest.mark.parametrize(
    "now", [datetime(2026, 11, 25, 10), datetime(2027, 3, 16, 10)], ids=["long before", "after"]
)
def test_no_minute_is_recorded_that_is_not_of_the_day(
    monkeypatch: pytest.MonkeyPatch, job: Job, kind: str, now: datetime
) -> None:
    monkeypatch.setattr("kitprep.job.local_now", lambda: now)
    assert refused(job, "TX1", kind) == (
        "this job's day is 2027-03-14, and that is not now; kitprep cells and kitprep standby take "
        "the time of that day as --at"
    )


def test_a_set_can_be_put_in_the_evening_before(monkeypatch: pytest.MonkeyPatch, job: Job) -> None:
    monkeypatch.setattr("kitprep.job.local_now", lambda: datetime(2027, 3, 13, 21, 30))
    job.record("TX1", "cells changed")
    assert job.state.item("TX1").fresh_at == (-150,)


# ---- cards


def test_cards_are_copied_once_they_are_back_and_in_their_order(job: Job) -> None:
    job.advance("out")
    job.record("cards:mini-sd", "added", qty=4)
    assert refused(job, "cards:mini-sd", "card", step="copied") == (
        "cards:mini-sd: say first how many are back, then that they are copied"
    )
    job.record("cards:mini-sd", "returned", counts={"not seen": 4}, holder=None, note="")
    assert refused(job, "cards:mini-sd", "card", step="copied") == (
        "cards:mini-sd: nothing more is to be done with them"
    )
    job.record("cards:mini-sd", "returned", counts={"back": 4}, holder=None, note="")
    assert refused(job, "cards:mini-sd", "card", step="formatted") == (
        "cards:mini-sd: cards are copied, then verified, then formatted; next is copied"
    )
    for step in ("copied", "verified", "formatted"):
        job.record("cards:mini-sd", "card", step=step)
    assert job.state.item("cards:mini-sd").card_steps == ("copied", "verified", "formatted")


# ---- an empty list


def test_an_empty_list_is_not_packed(file_world: World) -> None:
    elsewhere = file_world.job("Bo", file_world.plan("2027-03-13"))
    for tag in ("RX1", "RX2"):
        elsewhere.record(tag, "packed", qty=1)
    for tag in ("RX1", "RX2"):
        back(elsewhere, tag, "faulty")
    job = file_world.job("Ana")
    assert job.worked.packing == ()
    assert hindrance(job.worked, job.state, "packed") == (
        "nothing is on the list, so there is nothing to pack; kitprep needs says why"
    )
