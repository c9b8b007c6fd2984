"""The ledger fails: no tick is shown that is not there, and none is there twice."""

from __future__ import annotations

from datetime import datetime

import pytest

from kitprep.job import Job, Overtaken
from kitprep.ledger.errors import Contested, Unusable

from .failing import Failing, When
from .world import World


@pytest.fixture
def job(world: World) -> Job:
    return world.job("Ana")


@pytest.fixture
def ledger(job: Job) -> Failing:
    return Failing(job)


HOW: list[When] = ["before", "after", "blind"]


@pytest.mark.parametrize("when", HOW)
def test_what_could_not_be_recorded_for_sure_is_not_shown(
    job: Job, ledger: Failing, when: When
) -> None:
    ledger.when = [when]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    assert job.state.items == {}


@pytest.mark.parametrize("then", HOW)
def test_it_may_fail_again_and_is_recorded_once(
    world: World, job: Job, ledger: Failing, then: When
) -> None:
    ledger.when = ["before", then]
    for _ in range(2):
        with pytest.raises(Unusable):
            job.record("TX1", "packed")
    assert job.record("TX1", "packed").item("TX1").packed == 1
    assert world.log(job) == ["Ana: TX1 packed"]


@pytest.mark.parametrize(
    ("when", "changed"),
    [("before", [840]), ("after", [600, 840]), ("blind", [600, 840])],
    ids=["never arrived", "arrived", "arrived, unseen"],
)
def test_what_is_done_again_later_has_the_minute_of_then(
    monkeypatch: pytest.MonkeyPatch, job: Job, ledger: Failing, when: When, changed: list[int]
) -> None:
    """A fresh set at 10:00 that could not be recorded, and one at 14:00 that can."""
    clock = [datetime(2027, 3, 14, 10, 0)]
    monkeypatch.setattr("kitprep.job.local_now", lambda: clock[0])
    ledger.when = [when]
    with pytest.raises(Unusable):
        job.record("TX1", "cells changed")
    clock[0] = datetime(2027, 3, 14, 14, 0)
    try:
        job.record("TX1", "cells changed")
    except Overtaken:  # by the one of 10:00; it shows, and is looked at first
        job.record("TX1", "cells changed")
    assert job.state.item("TX1").fresh_at == tuple(changed)


def test_what_is_said_again_later_is_of_then(
    monkeypatch: pytest.MonkeyPatch, job: Job, ledger: Failing
) -> None:
    """Ines has had it since it could be recorded that she has."""
    job.record("TX1", "packed")
    ledger.when = ["before"]
    monkeypatch.setattr("kitprep.job._now", lambda: "2027-03-14T10:00:00.000Z")
    with pytest.raises(Unusable):
        job.record("TX1", "handed", holder="Ines")
    monkeypatch.setattr("kitprep.job._now", lambda: "2027-03-14T14:00:00.000Z")
    job.record("TX1", "handed", holder="Ines")
    assert [hold.since for hold in job.state.item("TX1").held] == ["2027-03-14T14:00:00.000Z"]


@pytest.mark.parametrize("when", HOW)
def test_the_same_tick_again_is_the_same_event(
    world: World, job: Job, ledger: Failing, when: When
) -> None:
    ledger.when = [when]
    with pytest.raises(Unusable):
        job.record_all([("TX1", "packed", {"qty": 1}), ("TX2", "packed", {"qty": 1})])
    job.record_all([("TX1", "packed", {"qty": 1}), ("TX2", "packed", {"qty": 1})])
    assert world.log(job) == ["Ana: TX1 packed", "Ana: TX2 packed"]
    assert len(world.entries("small")) == 2


def test_once_recorded_the_same_tick_is_a_new_event(
    world: World, job: Job, ledger: Failing
) -> None:
    ledger.when = ["after"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    job.record("TX1", "packed")
    job.record("TX1", "unpacked")
    job.record("TX1", "packed")
    assert world.log(job) == ["Ana: TX1 packed", "Ana: TX1 unpacked", "Ana: TX1 packed"]
    assert job.state.item("TX1").packed == 1


def test_a_look_that_finds_it_recorded_settles_it(world: World, job: Job, ledger: Failing) -> None:
    ledger.when = ["after"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    assert job.refresh()
    assert job.state.item("TX1").packed == 1
    job.record("TX1", "unpacked")
    job.record("TX1", "packed")  # not what was sent before: that is done with
    assert len(world.log(job)) == 3


def test_what_was_not_recorded_may_meanwhile_be_anothers(
    world: World, job: Job, ledger: Failing
) -> None:
    ledger.when = ["before"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    world.job("Ben").record("TX1", "packed")
    with pytest.raises(Overtaken, match=r"^TX1: packed by Ben"):
        job.record("TX1", "packed")
    assert job.state.item("TX1").who == "Ben"
    assert world.log(job) == ["Ben: TX1 packed"]


def test_another_tick_puts_one_that_failed_aside(world: World, job: Job, ledger: Failing) -> None:
    ledger.when = ["before"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    job.record("TX2", "packed")
    assert job.state.item("TX1").packed == 0
    assert world.log(job) == ["Ana: TX2 packed"]


def test_a_unit_is_claimed_with_its_tick_or_not_at_all(
    world: World, job: Job, ledger: Failing
) -> None:
    ledger.when = ["before"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    other = world.job("Ben", world.plan("2027-03-20"))
    other.record("TX1", "packed")
    with pytest.raises(Contested):
        job.record("TX1", "packed")


def test_a_job_that_cannot_be_read_leaves_no_connection_open(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kitprep.ledger.store import Ledger

    closed = []
    close = Ledger.close

    def note(ledger: Ledger) -> None:
        closed.append(ledger)
        close(ledger)

    def fail(*_: object) -> None:
        raise Unusable("entry 3 is damaged")

    monkeypatch.setattr(Ledger, "close", note)
    monkeypatch.setattr(Ledger, "entries", fail)
    with pytest.raises(Unusable):
        world.job()
    assert len(closed) == 1
