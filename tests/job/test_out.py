"""While the job is out: who has what, which cells are due, what sleeps, what a move must bring."""

from __future__ import annotations

import pytest

from kitprep.job import Job
from kitprep.walks.out import Due, Move, cell_round, holdings, moves, sleeping

from .world import Scene, World, back, packed


@pytest.fixture
def job(file_world: World) -> Job:
    """The usual day, packed and gone out."""
    job = file_world.job("Ana")
    packed(job)
    job.advance("packed")
    job.advance("out")
    return job


# ---- who has what


def test_what_is_handed_over_is_with_someone_until_it_is_taken_back(job: Job) -> None:
    job.record("TX1", "handed", holder="Ines")
    (holding,) = holdings(job.worked, job.state)
    assert (holding.holder, holding.line.key) == ("Ines", "TX1")
    assert holding.since == job.state.item("TX1").at
    job.record("TX1", "taken back")
    assert holdings(job.worked, job.state) == ()


def test_holders_are_listed_by_name_and_their_things_as_packed(job: Job) -> None:
    for tag, holder in [("TX2", "marek"), ("AD1", "Costume"), ("TX3", "Costume"), ("RX1", "B cam")]:
        job.record(tag, "handed", holder=holder)
    found = [(h.holder, h.line.key) for h in holdings(job.worked, job.state)]
    assert found == [("B cam", "RX1"), ("Costume", "TX3"), ("Costume", "AD1"), ("marek", "TX2")]


def test_handed_on_it_is_with_the_second(job: Job) -> None:
    job.record("TX1", "handed", holder="Ines")
    job.record("TX1", "handed", holder="Costume")
    (holding,) = holdings(job.worked, job.state)
    assert holding.holder == "Costume"


@pytest.mark.parametrize(
    ("outcome", "holders"), [("back", []), ("wet", []), ("not seen", ["Ines"]), ("with", ["Ines"])]
)
def test_what_is_back_in_any_state_is_with_nobody(
    job: Job, outcome: str, holders: list[str]
) -> None:
    job.record("TX1", "handed", holder="Ines")
    back(job, "TX1", outcome, holder="Ines" if outcome == "with" else None)
    assert [h.holder for h in holdings(job.worked, job.state)] == holders


def test_what_was_swapped_out_is_still_with_whoever_has_it(job: Job) -> None:
    job.record("TX1", "handed", holder="Ines")
    job.record("TX1", "swapped", by="TX10")
    assert [(h.holder, h.line.key) for h in holdings(job.worked, job.state)] == [("Ines", "TX1")]


# ---- cells
#
# A CR123A lasts 4 h x 0.8 = 192 min. TX1 is on from 08:30 to 15:00, 390 min, so two changes, put
# off as long as they can be: before scene 2 at 11:00 (its first set would be dead at 11:42, within
# the scene), and before scene 3 at 14:00 (the second at 14:12). TX2 has no scene in between: its
# first set lasts until 11:42, and its second would die at 14:54, within scene 3.


def due(job: Job, minute: int) -> dict[str, tuple[Due, int]]:
    """By unit: how pressing its next change is, and how many were made."""
    return {line.unit: (line.due, line.made) for line in cell_round(job.worked, job.state, minute)}


@pytest.mark.parametrize(
    ("minute", "state"),
    [
        (10 * 60 + 29, "later"),
        (10 * 60 + 30, "due"),  # half an hour before
        (11 * 60, "due"),
        (11 * 60 + 1, "overdue"),
    ],
)
def test_a_change_is_later_then_due_then_overdue(job: Job, minute: int, state: Due) -> None:
    assert due(job, minute)["TX1"] == (state, 0)


def test_each_change_made_stands_for_the_next_that_is_planned(job: Job) -> None:
    job.record("TX1", "cells changed")
    assert due(job, 11 * 60 + 1)["TX1"] == ("later", 1)
    assert due(job, 14 * 60 + 1)["TX1"] == ("overdue", 1)
    job.record("TX1", "cells changed")
    assert due(job, 14 * 60 + 1)["TX1"] == ("none left", 2)


def test_a_change_that_nobody_planned_takes_none_away(job: Job) -> None:
    for _ in range(3):
        job.record("TX1", "cells changed")
    assert due(job, 15 * 60)["TX1"] == ("none left", 3)


def test_the_most_pressing_comes_first(job: Job) -> None:
    lines = cell_round(job.worked, job.state, 11 * 60 + 30)
    assert [(line.unit, line.due) for line in lines] == [
        ("TX1", "overdue"),  # by 11:00
        ("TX2", "due"),  # by 11:42
        ("TX3", "none left"),
    ]


def test_what_stands_in_takes_over_the_changes_that_were_made(job: Job) -> None:
    job.record("TX1", "cells changed")
    job.record("TX1", "swapped", by="TX10")
    assert due(job, 11 * 60 + 1)["TX10"] == ("later", 1)
    job.record("TX10", "cells changed")
    job.record("TX10", "swapped", by="TX20")
    assert due(job, 14 * 60 + 1)["TX20"] == ("none left", 2)


def test_what_was_in_use_itself_has_its_own_count(file_world: World) -> None:
    """TX1 is on ines until 10:00; then it stands in for the pack on marek, too."""
    scenes: list[Scene] = [
        ("1", "", "07:00", "11:00", "ines"),
        ("2", "", "11:15", "15:15", "marek"),
    ]
    job = file_world.job("Ana", file_world.plan(scenes=scenes, handover_min=20))
    packed(job)
    job.record("TX2", "cells changed")
    job.record("TX2", "cells changed")
    assert job.state.item("TX1").packed
    job.record("TX2", "swapped", by="TX1")
    assert job.state.item("TX1").changes_before == 0


def test_past_midnight_the_clock_goes_on(file_world: World) -> None:
    scenes: list[Scene] = [
        ("1", "", "22:00", "24:30", "ines"),
        ("2", "", "24:45", "26:00", "ines"),
    ]
    job = file_world.job("Ana", file_world.plan(scenes=scenes))
    # On from 21:30, so 192 min are over at 24:42: changed before scene 2, by 24:42.
    (line,) = cell_round(job.worked, job.state, 24 * 60 + 42)
    assert line.next is not None
    assert (line.due, line.next.by) == ("due", 24 * 60 + 42)
    assert due(job, 24 * 60 + 43)["TX1"] == ("overdue", 0)
    assert due(job, 24 * 60 + 11)["TX1"] == ("later", 0)


# ---- standby


def test_packs_asleep_and_awake_are_two_counts(job: Job) -> None:
    def counts() -> tuple[int, int]:
        found = sleeping(job.worked, job.state)
        return len(found.asleep), len(found.awake)

    assert counts() == (0, 3)
    for tag in ("TX1", "TX2", "TX3"):
        job.record(tag, "standby", asleep=True)
    assert counts() == (3, 0)
    job.record("TX2", "standby", asleep=False)
    assert sleeping(job.worked, job.state).awake == ("TX2",)
    assert counts() == (2, 1)


def test_a_pack_that_was_swapped_out_asleep_is_not_waited_for(job: Job) -> None:
    job.record("TX1", "standby", asleep=True)
    job.record("TX1", "swapped", by="TX10")
    assert sleeping(job.worked, job.state).asleep == ()


# ---- moves


def all_moves(job: Job) -> list[tuple[str, str, str, str]]:
    """Each move: from place and scene to place and scene."""
    return [
        (m.leaving.place, m.leaving.number, m.coming.place, m.coming.number)
        for m in moves(job.worked, job.state)
    ]


def what(move: Move) -> dict[str, tuple[str, str]]:
    """What must come along: what it does, and for whom."""
    return {line.key: (line.where, line.with_whom) for line in move.lines}


def test_there_and_back_again_are_two_moves(job: Job) -> None:
    assert all_moves(job) == [("quay", "1", "loft", "2"), ("loft", "2", "quay", "3")]


def test_what_is_in_use_at_a_place_must_come_along_once_each(job: Job) -> None:
    first, second = moves(job.worked, job.state)
    assert what(first) == {
        "TX1": ("worn", "ines"),
        "TX2": ("worn", "marek"),
        "RX1": ("on a destination", "recorder"),
        "supply:bag": ("plugged in", "RX1"),
    }
    assert what(second) == {
        "TX1": ("worn", "ines"),
        "TX3": ("worn", "mix"),
        "AD1": ("rigged", "on TX3"),
        "RX1": ("on a destination", "recorder"),
        "supply:bag": ("plugged in", "RX1"),
    }


def test_what_is_handed_out_must_come_along_wherever_it_was_in_use(job: Job) -> None:
    job.record("cells:CR123A", "handed", holder="Costume")
    for move in moves(job.worked, job.state):
        assert what(move)["cells:CR123A"] == ("handed out", "Costume")


def test_what_was_swapped_out_in_someones_hands_must_come_along(job: Job) -> None:
    job.record("TX1", "handed", holder="Ines")
    job.record("TX1", "swapped", by="TX10")
    first, _ = moves(job.worked, job.state)
    assert what(first)["TX1"] == ("handed out", "Ines")
    assert what(first)["TX10"] == ("worn", "ines")


def test_a_move_is_complete_when_everything_was_seen_in(job: Job) -> None:
    first, second = moves(job.worked, job.state)
    for line in first.lines:
        assert not moves(job.worked, job.state)[0].complete
        job.record(line.key, "moved", to="quay")
    first, second = moves(job.worked, job.state)
    assert first.complete
    assert not any(line.aboard for line in second.lines)
    for line in second.lines:
        job.record(line.key, "moved", to="loft")
    assert [move.complete for move in moves(job.worked, job.state)] == [True, True]


def test_a_place_that_is_left_twice_is_counted_out_twice(file_world: World) -> None:
    scenes: list[Scene] = [
        ("1", "quay", "09:00", "10:00", "ines"),
        ("2", "loft", "11:00", "12:00", "ines"),
        ("3", "quay", "13:00", "14:00", "ines"),
        ("4", "loft", "15:00", "16:00", "ines"),
    ]
    job = file_world.job("Ana", file_world.plan(scenes=scenes))

    def aboard() -> list[bool]:
        return [move.lines[0].aboard for move in moves(job.worked, job.state)]

    assert aboard() == [False, False, False]
    for left, then in [
        ("quay", [True, False, False]),
        ("loft", [True, True, False]),
        ("quay", [True, True, True]),
    ]:
        job.record("TX1", "moved", to=left)
        assert aboard() == then


def test_the_recorder_moves_even_where_nobody_else_does(file_world: World) -> None:
    scenes: list[Scene] = [
        ("1", "quay", "09:00", "10:00", "ines"),
        ("2", "loft", "11:00", "12:00", "marek"),
    ]
    job = file_world.job("Ana", file_world.plan(scenes=scenes))
    assert all_moves(job) == [("quay", "1", "loft", "2")]


def test_scenes_at_one_place_or_at_none_are_no_move(file_world: World) -> None:
    scenes: list[Scene] = [
        ("1", "quay", "09:00", "10:00", "ines"),
        ("2", "", "10:00", "11:00", "ines"),
        ("3", "quay", "11:00", "12:00", "ines"),
    ]
    assert all_moves(file_world.job("Ana", file_world.plan(scenes=scenes))) == []


def test_a_move_leaves_after_the_last_scene_at_its_place(file_world: World) -> None:
    scenes: list[Scene] = [
        ("1", "quay", "09:00", "10:00", "ines"),
        ("2", "quay", "10:15", "11:30", "marek"),
        ("3", "loft", "13:00", "14:00", "ines marek"),
    ]
    job = file_world.job("Ana", file_world.plan(scenes=scenes))
    assert all_moves(job) == [("quay", "2", "loft", "3")]
    (move,) = moves(job.worked, job.state)
    assert {"TX1", "TX2"} <= set(what(move))


def test_a_unit_of_its_own_that_stays_does_not_move(file_world: World) -> None:
    """A second recorder with its own source stays at the quay; the first goes on."""
    plan = file_world.plan(
        scenes=[
            ("1", "quay", "09:00", "10:00", "ines"),
            ("2", "quay", "09:00", "12:00", "marek"),
            ("3", "loft", "10:30", "11:30", "ines"),
        ]
    )
    second = '[[destination]]\nid = "bag"\ninputs = 2\nconnector = "XLR3"\nsupplies = ["bag"]\n\n'
    text = plan.read_text("utf-8").replace("[[source]]", f"{second}[[source]]", 1)
    before, marek, after = text.partition('id = "marek"')
    plan.write_text(before + marek + after.replace('"recorder"', '"bag"', 1), "utf-8")
    job = file_world.job("Ana", plan)
    assert all_moves(job) == [("quay", "1", "loft", "3")]
    (move,) = moves(job.worked, job.state)
    assert [line.key for line in move.lines if line.where == "worn"] == ["TX1"]


def test_the_next_place_needs_inputs_and_mains_where_anything_runs_on_mains(
    file_world: World,
) -> None:
    kit = (file_world.folder / "kit.toml").read_text("utf-8")
    on_mains = kit.replace("dc_v = [10.0, 18.0]", "dc_v = [11.5, 12.5]")
    (file_world.folder / "kit.toml").write_text(on_mains, "utf-8")
    job = file_world.job("Ana", file_world.plan(supply="house"))
    first, second = moves(job.worked, job.state)
    mains = "mains for RX1, on a circuit that a licensed person gives you"
    assert first.needs == (mains, "3 inputs at Recorder")  # ines, and the mix with two
    assert second.needs == (mains, "2 inputs at Recorder")


def test_on_batteries_the_next_place_needs_no_mains(job: Job) -> None:
    assert [move.needs for move in moves(job.worked, job.state)] == [
        ("3 inputs at Recorder",),
        ("2 inputs at Recorder",),
    ]
