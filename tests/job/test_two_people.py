"""Two people tick one list: one wins, the other is told who and when, nothing is overwritten."""

import pytest

from kitprep.job import Job, Overtaken
from kitprep.ledger.errors import Stale

from .world import World, packed


@pytest.fixture
def two(world: World) -> tuple[Job, Job]:
    """Ana and Ben, both with the list before them and nothing ticked."""
    return world.job("Ana"), world.job("Ben")


def test_the_first_of_two_ticks_wins_and_the_second_is_told_who_and_when(
    world: World, two: tuple[Job, Job]
) -> None:
    ana, ben = two
    ana.record("TX1", "packed")
    with pytest.raises(Overtaken) as told:
        ben.record("TX1", "packed")
    first = ana.state.item("TX1")
    assert str(told.value) == (
        f"TX1: packed by Ana at {first.at} came first; look at it again, then decide"
    )
    assert told.value.newest is not None
    assert told.value.exit_code == 1
    assert world.log(ana) == ["Ana: TX1 packed"]


def test_whoever_was_second_sees_the_first_tick_at_once(two: tuple[Job, Job]) -> None:
    ana, ben = two
    ana.record("TX1", "packed")
    with pytest.raises(Stale):
        ben.record("TX1", "unpacked")
    assert ben.state == ana.state
    assert ben.kit == ana.kit


def test_two_counts_of_one_line_are_both_in_the_log_and_the_later_stands(
    world: World, two: tuple[Job, Job]
) -> None:
    ana, ben = two
    ana.record("cells:CR123A", "packed", qty=6)
    with pytest.raises(Overtaken):
        ben.record("cells:CR123A", "packed", qty=5)
    assert ben.state.item("cells:CR123A").packed == 6
    ben.record("cells:CR123A", "packed", qty=5)  # having looked, Ben still counts five
    assert world.log(ben) == ["Ana: cells:CR123A packed", "Ben: cells:CR123A packed"]
    assert ben.state.item("cells:CR123A").packed == 5
    ana.refresh()
    assert ana.state == ben.state


def test_different_lines_do_not_get_in_each_others_way(world: World, two: tuple[Job, Job]) -> None:
    ana, ben = two
    ana.record("TX1", "packed")
    ben.record("TX2", "packed")
    ana.record("RX1", "packed")
    ben.record("AD1", "packed")
    assert world.log(ana) == [
        "Ana: TX1 packed",
        "Ben: TX2 packed",
        "Ana: RX1 packed",
        "Ben: AD1 packed",
    ]


def test_of_several_ticks_together_all_or_none_are_recorded(
    world: World, two: tuple[Job, Job]
) -> None:
    ana, ben = two
    ana.record("TX2", "packed")
    together = [(tag, "packed", {"qty": 1}) for tag in ("TX1", "TX2", "TX3")]
    with pytest.raises(Overtaken, match=r"^TX2: packed by Ana at "):
        ben.record_all(together)
    assert world.log(ben) == ["Ana: TX2 packed"]
    assert set(ben.kit.units) == {"TX2"}


def test_a_stage_is_reached_once(two: tuple[Job, Job]) -> None:
    ana, ben = two
    ana.advance("packed", "Ana")
    with pytest.raises(Overtaken, match=r"^job: stage by Ana"):
        ben.advance("packed", "Ben")
    assert ben.state.stage == "packed"


def test_what_one_packs_the_other_can_take_out_again_once_it_is_seen(
    world: World, two: tuple[Job, Job]
) -> None:
    ana, ben = two
    ana.record("TX1", "packed")
    assert ben.refresh()
    ben.record("TX1", "unpacked")
    assert not ben.refresh()
    assert ben.state.item("TX1").packed == 0
    assert ben.kit.unit("TX1").claims == ()
    assert world.log(ana) == ["Ana: TX1 packed", "Ben: TX1 unpacked"]


def test_nothing_to_record_is_no_event(world: World, two: tuple[Job, Job]) -> None:
    ana, _ = two
    assert ana.record_all([]) == ana.state
    assert world.log(ana) == []


def test_a_job_opened_later_is_where_the_others_left_it(world: World, two: tuple[Job, Job]) -> None:
    ana, _ = two
    packed(ana)
    ana.advance("packed")
    later = world.job("Cy")
    assert (later.state, later.kit, later.worked) == (ana.state, ana.kit, ana.worked)


def test_two_swaps_of_one_unit_are_not_both_made(world: World, two: tuple[Job, Job]) -> None:
    ana, ben = two
    ana.record("TX1", "swapped", by="TX10", reason="hum")
    with pytest.raises(Overtaken, match=r"^TX1: swapped by Ana"):
        ben.record("TX1", "swapped", by="TX20", reason="hum")
    assert ben.state.swaps == (("TX1", "TX10"),)
    assert ben.worked == ana.worked


def test_what_another_job_says_of_a_unit_does_not_let_a_tick_overwrite_this_jobs_own(
    world: World, two: tuple[Job, Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between Ben's first try, which a word of another job stops, and his second, Ana ticks."""
    ana, ben = two
    other = world.job("Cy", world.plan(job="b", scenes=[("9", "", "20:00", "21:00", "ines")]))
    other.record("TX1", "packed")  # Ben has not seen it: his first try fails on the kit's stream
    append = ben.ledger.append

    def and_then_ana(drafts: object) -> object:
        try:
            return append(drafts)  # type: ignore[arg-type]
        except Stale:
            if ana.refresh():
                ana.record("TX1", "packed")
            raise

    monkeypatch.setattr(ben.ledger, "append", and_then_ana)
    with pytest.raises(Overtaken, match=r"^TX1: packed by Ana"):
        ben.record("TX1", "packed")
    assert world.log(ben) == ["Ana: TX1 packed"]
