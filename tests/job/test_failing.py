"""The ledger fails: no tick is shown that is not there, and none is there twice."""

from __future__ import annotations

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


@pytest.mark.parametrize("when", HOW)
def test_it_is_sent_again_as_it_was_and_recorded_once(
    world: World, job: Job, ledger: Failing, when: When
) -> None:
    ledger.when = [when, when]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    with pytest.raises(Unusable):
        job.again()
    state = job.again()
    assert state.item("TX1").packed == 1
    assert world.log(job) == ["Ana: TX1 packed"]
    assert ledger.sent == ledger.sent[:1] * 3


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
    job.again()
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


def test_with_nothing_unsent_again_does_nothing(world: World, job: Job, ledger: Failing) -> None:
    job.record("TX1", "packed")
    assert job.again() == job.state
    assert len(ledger.sent) == 1


def test_what_was_not_recorded_may_meanwhile_be_anothers(
    world: World, job: Job, ledger: Failing
) -> None:
    ledger.when = ["before"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    world.job("Ben").record("TX1", "packed")
    with pytest.raises(Overtaken, match=r"^TX1: packed by Ben"):
        job.again()
    assert job.again().item("TX1").who == "Ben"
    assert world.log(job) == ["Ben: TX1 packed"]


def test_another_tick_puts_one_that_failed_aside(world: World, job: Job, ledger: Failing) -> None:
    ledger.when = ["before"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    job.record("TX2", "packed")
    assert job.again().item("TX1").packed == 0
    assert world.log(job) == ["Ana: TX2 packed"]


def test_a_unit_is_claimed_with_its_tick_or_not_at_all(
    world: World, job: Job, ledger: Failing
) -> None:
    ledger.when = ["before"]
    with pytest.raises(Unusable):
        job.record("TX1", "packed")
    other = world.job("Ben", world.plan("2027-03-20"))
    other.record("TX1", "packed")
    with pytest.raises(Overtaken, match=r"^TX1: claimed by Ben"):
        job.again()
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
