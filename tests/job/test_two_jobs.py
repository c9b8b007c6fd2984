"""Two jobs of one kit want one transmitter: at the same hours only one has it, and both know."""

import pytest

from kitprep.cli import main
from kitprep.job import Job
from kitprep.ledger.errors import Contested
from kitprep.walks.pack import pack_view, scan

from .world import Scene, World, back, packed, served

MORNING: list[Scene] = [("1", "", "09:00", "12:00", "ines")]
LATE_MORNING: list[Scene] = [("1", "", "11:00", "13:00", "ines")]
EVENING: list[Scene] = [("1", "", "18:00", "20:00", "ines")]


def jobs(world: World, *named: tuple[str, list[Scene]]) -> list[Job]:
    """Jobs of one day, each under its own name, opened before anything is packed."""
    return [world.job(n or "Ana", world.plan(job=n, scenes=scenes)) for n, scenes in named]


def test_one_day_has_two_jobs_under_two_names(world: World) -> None:
    main, b = jobs(world, ("", MORNING), ("b", MORNING))
    assert (main.name, b.name) == ("small/2027-03-14", "small/2027-03-14/b")
    packed(main, "cells:CR123A")
    b.refresh()
    assert b.state.items == {}


@pytest.mark.parametrize("seen", [True, False], ids=["seen", "not yet seen"])
def test_the_second_job_at_the_same_hours_is_told_and_does_not_get_it(
    world: World, seen: bool
) -> None:
    a, b = jobs(world, ("", MORNING), ("b", LATE_MORNING))
    a.record("TX1", "packed")
    if seen:
        b.refresh()
    with pytest.raises(Contested) as told:
        b.record("TX1", "packed")
    assert str(told.value) == (
        f"TX1 is out on small/2027-03-14, packed by Ana at {a.state.item('TX1').at}; "
        "settle it with them, or take another"
    )
    assert b.state.item("TX1").packed == 0
    assert [claim.job for claim in b.kit.unit("TX1").claims] == [a.name]


def test_the_first_job_is_told_at_its_next_look(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    with pytest.raises(Contested):
        b.record("TX1", "packed")
    assert a.contested == {}
    assert a.refresh()
    assert a.contested == {"TX1": (b.name,)}
    assert b.contested == {}  # b has not got it, and was told


def test_both_logs_show_it(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    with pytest.raises(Contested):
        b.record("TX1", "packed")
    assert world.log(a) == ["Ana: TX1 packed", "b: TX1 wanted"]
    assert world.log(b) == ["b: TX1 contested"]
    (_, wanted), (contested,) = world.events(a), world.events(b)
    assert (wanted.facts, contested.facts) == ({"by": b.name}, {"by": a.name})


def test_being_wanted_does_not_change_who_packed_it(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    before = a.state.item("TX1")
    with pytest.raises(Contested):
        b.record("TX1", "packed")
    a.refresh()
    after = a.state.item("TX1")
    assert (after.packed, after.who, after.at) == (1, before.who, before.at)


def test_being_wanted_does_not_stand_in_the_way_of_a_tick(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    with pytest.raises(Contested):
        b.record("TX1", "packed")
    a.record("TX1", "handed", holder="Ines")  # not refreshed, and not Overtaken
    assert a.state.item("TX1").holder == "Ines"


def test_of_several_ticks_together_none_is_recorded_where_one_unit_is_contested(
    world: World,
) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    with pytest.raises(Contested):
        b.record_all([("cells:CR123A", "packed", {"qty": 4}), ("TX1", "packed", {"qty": 1})])
    assert b.state.item("cells:CR123A").packed == 0


def test_asking_again_and_again_is_told_once_to_the_other(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    for _ in range(3):
        with pytest.raises(Contested):
            b.record("TX1", "packed")
    a.refresh()
    assert a.contested == {"TX1": (b.name,)}


def test_disjoint_hours_on_one_day_are_fine(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", EVENING))
    a.record("TX1", "packed")
    b.record("TX1", "packed")
    a.refresh()
    # From the lead (30 min) before the first scene to the end of the last, in minutes.
    assert [(claim.job, claim.on, claim.off) for claim in a.kit.unit("TX1").claims] == [
        (a.name, 8 * 60 + 30, 12 * 60),
        (b.name, 17 * 60 + 30, 20 * 60),
    ]
    assert a.contested == b.contested == {}


@pytest.mark.parametrize(
    ("start", "clashes"),
    # A's scene ends at 12:00; B's pack is on 30 minutes before its own begins.
    [("12:30", False), ("12:29", True)],
)
def test_the_lead_belongs_to_the_hours(world: World, start: str, clashes: bool) -> None:
    a, b = jobs(world, ("", MORNING), ("b", [("1", "", start, "14:00", "ines")]))
    a.record("TX1", "packed")
    if not clashes:
        b.record("TX1", "packed")
        return
    with pytest.raises(Contested):
        b.record("TX1", "packed")


def test_another_day_waits_until_the_unit_is_back(world: World) -> None:
    first = world.job("Ana", world.plan("2027-03-14", EVENING))
    second = world.job("Ben", world.plan("2027-03-15", MORNING))
    first.record("TX1", "packed")
    with pytest.raises(Contested, match="TX1 is out on small/2027-03-14, packed by Ana"):
        second.record("TX1", "packed")
    back(first, "TX1")
    second.record("TX1", "packed")
    assert second.contested == {}
    first.refresh()
    assert first.contested == {}


def test_what_is_taken_out_of_the_bag_again_is_free_for_the_other(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    with pytest.raises(Contested):
        b.record("TX1", "packed")
    a.refresh()
    a.record("TX1", "unpacked")
    assert a.contested == {}
    b.record("TX1", "packed")
    a.refresh()
    assert a.contested == b.contested == {}


def test_a_wish_is_done_with_once_the_unit_was_free(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    with pytest.raises(Contested):
        b.record("TX1", "packed")
    a.refresh()
    a.record("TX1", "unpacked")
    a.record("TX1", "packed")
    assert a.contested == {}


def test_an_outcome_taken_off_again_claims_the_unit_again(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    back(a, "TX1", "wet")
    a.record("TX1", "returned", counts={}, holder=None, note="")
    assert a.kit.unit("TX1").usable
    with pytest.raises(Contested):
        b.record("TX1", "packed")


def test_an_outcome_is_not_taken_off_where_another_job_has_the_unit_by_now(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", MORNING))
    a.record("TX1", "packed")
    back(a, "TX1")
    b.record("TX1", "packed")
    with pytest.raises(Contested):
        a.record("TX1", "returned", counts={}, holder=None, note="")
    assert a.state.item("TX1").outcome == {"back": 1}


def test_a_swap_does_not_offer_what_another_job_has_at_those_hours(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", [("1", "", "09:00", "12:00", "ines marek")]))
    assert a.substitutes("TX1") == ("TX2", "TX3", "TX10", "TX20", "TX21")
    b.record("TX2", "packed")
    a.refresh()
    assert a.substitutes("TX1") == ("TX3", "TX10", "TX20", "TX21")


def test_scene_times_that_were_changed_into_another_jobs_hours_are_told(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", EVENING))
    a.record("TX1", "packed")
    b.record("TX1", "packed")
    longer = world.job("Ana", world.plan(scenes=[("1", "", "09:00", "19:00", "ines")]))
    assert longer.contested == {"TX1": (b.name,)}


# ---- what goes by number


def test_of_what_goes_by_number_a_job_counts_on_what_another_has_left(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", LATE_MORNING))
    a.record("supply:bag", "packed", qty=5)
    a.record("cells:CR123A", "packed", qty=36)
    b.refresh()
    # 6 packs and 40 cells in the kit.
    lines = {line.key: line.held for line in b.worked.packing if ":" in line.key}
    assert lines == {"supply:bag": 1, "cells:CR123A": 4}
    assert [each.sentence for each in b.worked.not_counted] == [
        "CR123A cells: 36 packed by Ana, small/2027-03-14",
        "bag: 5 packed by Ana, small/2027-03-14",
    ]


def test_packs_are_shared_by_the_hour_and_cells_are_not(world: World) -> None:
    a, evening = jobs(world, ("", MORNING), ("b", EVENING))
    a.record("supply:bag", "packed", qty=5)
    a.record("cells:CR123A", "packed", qty=36)
    evening.refresh()
    lines = {line.key: line.held for line in evening.worked.packing if ":" in line.key}
    assert lines == {"supply:bag": 6, "cells:CR123A": 4}


def test_where_two_jobs_have_packed_more_than_there_is_both_are_told(world: World) -> None:
    a, b = jobs(world, ("", MORNING), ("b", LATE_MORNING))
    a.record("supply:bag", "packed", qty=4)
    b.record("supply:bag", "packed", qty=2)
    a.refresh()
    assert a.contested == b.contested == {}  # 6 in the kit
    b.record("supply:bag", "packed", qty=3)
    a.refresh()
    assert (a.contested, b.contested) == ({"supply:bag": (b.name,)}, {"supply:bag": (a.name,)})
    assert b.now.says_contested(["supply:bag"]) == (
        "bag: 6 in the kit, and small/2027-03-14 has 4, packed by Ana: settle it with them"
    )
    # Nothing is overwritten: both have what they counted.
    assert (a.state.item("supply:bag").packed, b.state.item("supply:bag").packed) == (4, 3)
    b.record("supply:bag", "packed", qty=2)
    a.refresh()
    assert a.contested == b.contested == {}


def test_the_second_to_pack_is_told_at_once_on_the_command_line(
    world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    a, _ = jobs(world, ("", MORNING), ("b", LATE_MORNING))
    a.record("supply:bag", "packed", qty=6)
    plan = str(world.plan(job="b", scenes=LATE_MORNING))
    assert main(["pack", plan, "supply:bag=1", "--ledger", world.url]) == 0
    assert capsys.readouterr().err == (
        "kitprep: bag: 6 in the kit, and small/2027-03-14 has 6, packed by Ana: settle it "
        "with them\n"
    )


# ---- units that another job has are not planned with at its hours


def test_a_unit_that_another_job_has_at_these_hours_is_done_without_and_named(
    world: World,
) -> None:
    a, b = jobs(world, ("", MORNING), ("b", [("1", "", "11:00", "13:00", "ines marek")]))
    a.record("TX1", "packed")
    b.refresh()
    assert {chain[0] for chain in served(b).values()} == {"TX2", "TX3"}
    assert [each.sentence for each in b.worked.not_counted] == [
        "TX1: packed by Ana, small/2027-03-14"
    ]
    assert scan(b.worked, pack_view(b.worked, b.state), "tx1").says == (
        "TX1 is not counted on: packed by Ana, small/2027-03-14"
    )
    # At other hours it is there for the taking, and nothing is said of it.
    (evening,) = jobs(world, ("c", EVENING))
    assert served(evening)["ines"][0] == "TX1"
    assert evening.worked.not_counted == ()


def test_what_is_out_on_another_days_job_is_counted_on_and_said(world: World) -> None:
    first = world.job("Ana", world.plan("2027-03-14", EVENING))
    first.record("TX1", "packed")
    second = world.job("Ben", world.plan("2027-03-15", MORNING))
    assert served(second)["ines"][0] == "TX1"
    assert second.worked.notices[-1] == (
        "still out on small/2027-03-14, and counted on here: TX1; say at its wrap what has become "
        "of them"
    )


def test_adapters_that_are_counted_are_claimed_one_by_one(world: World) -> None:
    kit = (world.folder / "kit.toml").read_text("utf-8")
    counted = kit.replace('unit = [{ tag = "AD1" }, { tag = "AD2" }]', "qty = 2")
    (world.folder / "kit.toml").write_text(counted, "utf-8")
    stereo: list[Scene] = [("1", "", "09:00", "10:00", "mix")]
    a, b = jobs(world, ("", stereo), ("b", stereo))
    a.record("stereo#1", "packed")
    with pytest.raises(Contested, match="stereo#1 is out"):
        b.record("stereo#1", "packed")
