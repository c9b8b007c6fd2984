"""What joins a job once it is out was elsewhere when the day was chosen, and is here now."""

from __future__ import annotations

from typing import Any

import pytest

from kitprep.job import Job
from kitprep.ledger import reckoning
from kitprep.planning.results import WorkedDay

from .world import Scene, World, back, packed, served

MORNING: list[Scene] = [("1", "", "09:00", "12:00", "ines")]


@pytest.fixture(autouse=True)
def _ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """A day that is worked out over and over fails, in place of never ending."""
    work_out, left = reckoning.work_out, [400]

    def counted(*args: Any, **named: Any) -> WorkedDay:
        left[0] -= 1
        assert left[0], "the day is worked out over and over"
        return work_out(*args, **named)

    monkeypatch.setattr(reckoning, "work_out", counted)


def gone_out(job: Job, *tags: str) -> Job:
    packed(job, *tags)
    job.advance("packed")
    job.advance("out")
    return job


@pytest.fixture
def two(world: World) -> tuple[Job, Job]:
    """b has TX2 at the same hours while a, which has TX1 on ines, goes out; then it is free."""
    a = world.job("Ana", world.plan(scenes=MORNING))
    b = world.job("Bo", world.plan(job="b", scenes=MORNING))
    b.record("TX2", "packed")
    a.refresh()
    gone_out(a)
    b.refresh()
    b.record("TX2", "unpacked")
    a.refresh()
    return a, b


def test_what_another_job_had_at_the_going_out_can_take_a_place_once_it_is_free(
    world: World, two: tuple[Job, Job]
) -> None:
    a, _ = two
    assert "TX2" in a.substitutes("TX1")
    a.record("TX1", "swapped", by="TX2", reason="dead")
    assert served(a)["ines"][0] == "TX2"
    assert "TX2" not in {each.key for each in a.worked.not_counted}
    assert served(world.job("Cy", world.plan(scenes=MORNING))) == served(a)


def test_what_such_a_swap_would_change_can_be_asked(two: tuple[Job, Job]) -> None:
    a, _ = two
    assert {link.transmitter for link in a.with_swap("TX1", "TX2").links} == {"TX2"}


def test_it_can_be_brought_as_a_spare_that_covers_a_failure(two: tuple[Job, Job]) -> None:
    a, _ = two
    a.record("TX2", "added", qty=1)
    assert served(a)["ines"][0] == "TX1"
    assert "TX2" not in a.now.gone
    a.record("TX1", "withdrawn", withdrawn=True, reason="dead")
    assert served(a)["ines"][0] == "TX2"


def test_what_would_have_been_chosen_then_moves_nobody_when_it_comes_later(world: World) -> None:
    """b has TX1, so ines has TX2; TX1 comes later, and ines keeps what she wears."""
    a = world.job("Ana", world.plan(scenes=MORNING))
    b = world.job("Bo", world.plan(job="b", scenes=MORNING))
    b.record("TX1", "packed")
    a.refresh()
    assert served(gone_out(a))["ines"][0] == "TX2"
    b.refresh()
    b.record("TX1", "unpacked")
    a.refresh()
    a.record("TX1", "added", qty=1)
    assert served(a)["ines"][0] == "TX2"


def test_what_had_failed_before_it_left_does_not_come_back_by_itself(world: World) -> None:
    """TX2 was packed and found broken; when TX1 dies too it is still broken."""
    a = world.job("Ana", world.plan(scenes=MORNING))
    a.record("TX2", "spare", taken=True)
    packed(a)
    a.record("TX2", "withdrawn", withdrawn=True, reason="broken")
    a.advance("packed")
    a.advance("out")
    a.record("TX1", "withdrawn", withdrawn=True, reason="dead")
    assert served(a) == {}


def test_what_came_back_unfit_elsewhere_is_here_all_the_same_once_it_was_brought(
    world: World,
) -> None:
    elsewhere = world.job("Bo", world.plan("2027-03-13", scenes=MORNING))
    for line in gone_out(elsewhere).worked.packing:
        elsewhere.record(line.key, "returned", counts={"back": line.qty})
    back(elsewhere, "TX1", "faulty")
    a = gone_out(world.job("Ana", world.plan(scenes=MORNING)))
    assert [each.key for each in a.worked.not_counted] == ["TX1"]
    a.clear("TX1", "mended")
    a.record("TX1", "added", qty=1)
    assert a.worked.not_counted == ()
