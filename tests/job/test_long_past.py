"""A kit with a long past: it is summed up now and then, and what is read stays short."""

from __future__ import annotations

from typing import Any

import pytest
from ledger.conftest import NewUrl

from kitprep.job import Job
from kitprep.ledger import kit_stream
from kitprep.ledger.claims import fold_kit
from kitprep.ledger.entries import Draft, Entry, new_id
from kitprep.ledger.errors import Unusable
from kitprep.ledger.store import Ledger

from .world import World, back, units

EVERY = 10
SUMMARIES = "small/summaries"


@pytest.fixture(autouse=True)
def often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kit_stream, "EVERY", EVERY)


def live(job: Job, days: int) -> None:
    """A past: a unit goes out and comes back, two events of the kit, again and again."""
    if job.state.stage != "out":
        job.advance("out")
    for _ in range(days):
        job.record("TX2", "added")
        back(job, "TX2")


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many of the kit's own events were read at each reading."""
    counts: list[int] = []
    entries = Ledger.entries

    def count(ledger: Ledger, job: str, after: int = 0) -> tuple[Entry, ...]:
        found = entries(ledger, job, after)
        if job == "small":
            counts.append(len(found))
        return found

    monkeypatch.setattr(Ledger, "entries", count)
    return counts


def test_however_long_the_past_little_of_it_is_read(world: World, read: list[int]) -> None:
    job = world.job("Ana")
    back_wet = world.job("Ben", world.plan("2027-03-01"))
    back_wet.record("TX1", "packed")
    back(back_wet, "TX1", "wet", note="in the harbour")
    live(job, 40)
    read.clear()
    later = world.job("Cy", world.plan("2027-03-20"))
    assert read
    assert max(read) <= EVERY
    assert later.kit == fold_kit(world.entries("small"))
    assert "TX1" not in units(later)
    # 2 + 80 events of the kit; one summary after every ten, and none is written twice.
    assert len(world.entries(SUMMARIES)) == 82 // EVERY


def test_two_programs_sum_up_side_by_side(world: World) -> None:
    ana, ben = world.job("Ana"), world.job("Ben", world.plan("2027-03-15"))
    for _ in range(15):
        live(ana, 1)
        live(ben, 1)
    assert ana.refresh()
    written = len(world.entries(SUMMARIES))
    assert written in (5, 6)  # 60 events; whoever comes second with a summary leaves it
    live(ben, EVERY)
    assert len(world.entries(SUMMARIES)) > written
    assert world.job("Cy").kit == fold_kit(world.entries("small"))


def test_a_list_that_has_gone_out_is_what_it_was_however_much_came_after(world: World) -> None:
    first = world.job("Ben", world.plan("2027-03-01"))
    first.record("TX1", "packed")
    back(first, "TX1", "wet")
    out = world.job("Ana")
    out.advance("out")
    assert "TX1" not in units(out)
    first.clear("TX1", "dry")
    live(world.job("Cy", world.plan("2027-03-20")), 3 * EVERY)
    assert "TX1" not in units(world.job("Di"))
    assert "TX1" in units(world.job("Di", world.plan("2027-03-20")))


def test_a_summary_that_this_program_cannot_read_is_passed_over(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    live(world.job("Ana"), EVERY)
    written = len(world.entries(SUMMARIES))
    assert written
    monkeypatch.setattr(kit_stream, "FORM", kit_stream.FORM + 1)
    job = world.job("Ana")
    assert job.kit == fold_kit(world.entries("small"))
    live(job, 1)
    assert len(world.entries(SUMMARIES)) == written + 1
    assert world.job("Ana").kit == fold_kit(world.entries("small"))


def write(world: World, body: dict[str, Any]) -> None:
    """The newest summary, as a program that is ill or of another version may have written it."""
    stream, item = kit_stream.where("small")
    seen = len(world.entries(stream))
    with Ledger.open(world.url) as ledger:
        ledger.append([Draft(new_id(seen, bytes(10)), stream, item, seen, body)])


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"head": 1},
        {"head": "1", "units": {}},
        {"head": None, "units": {}},
        {"head": -1, "units": {}},
        {"head": 10**9, "units": {}},  # past itself: what came before is not in it
        {"head": 1, "units": []},
        {"head": 1, "units": {"TX2": None}},
        {"head": 1, "units": {"TX2": {"claims": "all"}}},
        {"head": 1, "units": {"TX2": {"claims": [{"job": "small/2027-03-14"}]}}},
    ],
)
def test_a_summary_that_means_nothing_locks_nobody_out(world: World, body: dict[str, Any]) -> None:
    live(world.job("Ana"), EVERY)
    write(world, body)
    job = world.job("Ben")
    assert job.kit == fold_kit(world.entries("small"))
    live(job, EVERY)
    assert world.job("Cy").kit == fold_kit(world.entries("small"))


def test_only_the_newest_summary_is_read(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    live(world.job("Ana"), 5 * EVERY)
    asked: list[str] = []
    entries = Ledger.entries
    monkeypatch.setattr(
        Ledger, "entries", lambda led, job, after=0: asked.append(job) or entries(led, job, after)
    )
    world.job("Ben")
    assert "small" in asked
    assert SUMMARIES not in asked


def test_summaries_go_along_from_one_database_to_another(world: World, new_url: NewUrl) -> None:
    live(world.job("Ana"), EVERY)
    other = new_url()
    with Ledger.open(world.url) as ledger, Ledger.open(other) as copy:
        assert copy.restore(ledger.export()) == ledger.head()[0]
        assert copy.verify(ledger.head()[1]) == []
    there = World(world.folder, other)
    assert there.job("Ben").kit == world.job("Cy").kit
    live(there.job("Ben"), EVERY)
    assert there.job("Di").kit == fold_kit(there.entries("small"))
    there.close()


def test_a_summary_that_cannot_be_written_is_no_failure_of_the_tick(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = world.job("Ana")
    append = job.ledger.append

    def fail(drafts: object) -> object:
        if drafts[0].job == SUMMARIES:  # type: ignore[index]
            raise Unusable("the disk is full")
        return append(drafts)  # type: ignore[arg-type]

    monkeypatch.setattr(job.ledger, "append", fail)
    live(job, EVERY)
    assert world.entries(SUMMARIES) == ()
    assert len(world.entries("small")) == 2 * EVERY


def test_summaries_are_chained_like_all_else(world: World) -> None:
    live(world.job("Ana"), EVERY)
    with Ledger.open(world.url) as ledger:
        assert ledger.verify() == []
        assert ledger.jobs() == ("small", "small/2027-03-14", SUMMARIES)
