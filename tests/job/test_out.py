"""While the job is out: who has what, which cells are due, what sleeps, what a move must bring."""

from __future__ import annotations

import pytest

from kitprep.bundled import demo_plan
from kitprep.cli import main
from kitprep.job import Job
from kitprep.walks.feeding import Due, cell_round, pack_round, sleeping
from kitprep.walks.line_check import line_check
from kitprep.walks.out import Move, holdings, moves

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


def changed(job: Job, at: str, tag: str = "TX1") -> None:
    """A fresh set went in at this time."""
    job.record(tag, "cells changed", minute=_minute(at))


def _minute(at: str) -> int:
    hours, minutes = at.split(":")
    return 60 * int(hours) + int(minutes)


def says(job: Job, at: str, tag: str = "TX1") -> str:
    """What is said of a unit's next change at this time."""
    return next(x.says for x in cell_round(job.worked, job.state, _minute(at)) if x.unit == tag)


@pytest.mark.parametrize(
    ("fresh", "next_one"),
    [
        # 192 minutes from 10:05 are over at 13:17, and scene 3 is still to come.
        (["10:05"], "before scene 3 by 13:17"),
        (["11:00"], "before scene 3 by 14:00, else dead at 14:12 in scene 3"),
        (["11:40"], "before scene 3 by 14:00, else dead at 14:52 in scene 3"),
        (["11:48"], ""),  # until 15:00, when the day is over
        (["11:00", "14:00"], ""),
        (["10:05", "11:55"], ""),
    ],
)
def test_the_next_change_is_reckoned_from_when_a_set_went_in(
    job: Job, fresh: list[str], next_one: str
) -> None:
    for at in fresh:
        changed(job, at)
    assert says(job, "12:00") == next_one


def test_a_set_changed_within_a_scene_may_die_in_that_same_scene(file_world: World) -> None:
    job = file_world.job("Ana", file_world.plan(scenes=[("1", "", "08:00", "12:00", "ines")]))
    changed(job, "08:05")  # 192 minutes: 11:17
    assert says(job, "08:05") == "within scene 1: dead at 11:17, change by then"


def test_a_change_that_nobody_made_stays_overdue(job: Job) -> None:
    assert due(job, 14 * 60 + 30)["TX1"] == ("overdue", 0)


def test_a_set_put_in_before_the_unit_is_switched_on_is_the_one_that_it_starts_on(
    job: Job,
) -> None:
    changed(job, "07:00")
    assert due(job, 9 * 60)["TX1"] == ("later", 0)
    assert says(job, "09:00") == "before scene 2 by 11:00, else dead at 11:42 in scene 2"


def test_the_most_pressing_comes_first(job: Job) -> None:
    lines = cell_round(job.worked, job.state, 11 * 60 + 30)
    assert [(line.unit, line.due) for line in lines] == [
        ("TX1", "overdue"),  # by 11:00
        ("TX2", "due"),  # by 11:42
        ("TX3", "none left"),
    ]


def test_what_stands_in_starts_on_a_fresh_set(job: Job) -> None:
    job.record("TX1", "swapped", by="TX10", minute=11 * 60)
    assert says(job, "11:00", "TX10") == "before scene 3 by 14:00, else dead at 14:12 in scene 3"


def test_what_was_in_use_itself_keeps_the_set_that_is_in_it(file_world: World) -> None:
    """TX1 is on ines until 11:00; then it stands in for the pack on marek, too."""
    scenes: list[Scene] = [
        ("1", "", "07:00", "11:00", "ines"),
        ("2", "", "11:15", "15:15", "marek"),
    ]
    job = file_world.job("Ana", file_world.plan(scenes=scenes, handover_min=20))
    packed(job)
    job.record("TX2", "swapped", by="TX1", minute=11 * 60 + 5)
    assert job.state.item("TX1").fresh_at == ()


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
#
# Asleep a slim pack draws a quarter. TX1: 90 min on, 60 asleep (15), 60 on, 120 asleep (30), 60 on:
# the 27 min that are left of its first set at 12:00 last 108 min asleep, until 13:48.


@pytest.fixture
def asleep(file_world: World) -> Job:
    """The usual day on packs that can be put to sleep, gone out."""
    kit = file_world.folder / "kit.toml"
    kit.write_text(kit.read_text("utf-8").replace("weight_g = 62", "standby = 0.25"), "utf-8")
    job = file_world.job("Ana")
    packed(job)
    job.advance("packed")
    return job


def sleep(job: Job, at: str, *tags: str, asleep: bool = True) -> None:
    """Puts packs to sleep at this time, or wakes them."""
    for tag in tags:
        job.record(tag, "standby", asleep=asleep, minute=_minute(at))


def test_before_it_goes_out_packs_sleep_as_planned(asleep: Job) -> None:
    assert says(asleep, "12:30") == "before scene 3 by 13:48"


def test_a_pack_left_awake_is_reckoned_as_on(asleep: Job) -> None:
    asleep.advance("out")
    # Awake at 10:40, and so until scene 2: 90 + 60, and 42 min into the scene.
    assert says(asleep, "10:40") == "before scene 2 by 11:00, else dead at 11:42 in scene 2"


def test_a_pack_put_to_sleep_is_reckoned_from_then(asleep: Job) -> None:
    asleep.advance("out")
    sleep(asleep, "10:04", "TX1")
    # 90 + 4 + 14 + 60 = 168: 24 min on air are 96 asleep, from 12:00 on.
    assert says(asleep, "11:30") == "before scene 3 by 13:36"
    sleep(asleep, "10:32", "TX1", asleep=False)
    # Awake again for 28 min of the 56: 21 more, so 3 min are left, 12 asleep.
    assert says(asleep, "11:30") == "before scene 3 by 12:12"


def test_a_pack_that_sleeps_is_awake_from_its_next_scene_on(asleep: Job) -> None:
    asleep.advance("out")
    sleep(asleep, "10:00", "TX1")
    # 90 + 15 + 60 = 165, and 27 are left at 12:00.
    assert says(asleep, "12:20") == "before scene 3 by 12:27"
    sleep(asleep, "12:20", "TX1")
    assert says(asleep, "12:20") == "before scene 3 by 12:48"  # 7 left, 28 asleep


def test_what_should_be_asleep_and_what_is_are_two_counts(asleep: Job) -> None:
    asleep.advance("out")

    def found(at: str) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
        counts = sleeping(asleep.worked, asleep.state, _minute(at))
        return counts.asleep, counts.awake, counts.to_wake

    assert found("09:30") == ((), (), ())  # scene 1
    assert found("10:10") == ((), ("TX1", "TX2"), ())  # the mix's pack is not on yet
    sleep(asleep, "10:10", "TX1", "TX2")
    assert found("10:15") == (("TX1", "TX2"), (), ())
    sleep(asleep, "10:20", "TX2", asleep=False)
    assert found("10:20") == (("TX1",), ("TX2",), ())
    assert found("10:56") == ((), ("TX2",), ("TX1",))  # soon scene 2, and nobody has woken TX1
    assert found("11:30") == ((), ("TX2",), ("TX1",))  # scene 2 is on


def test_a_pack_that_was_swapped_out_asleep_is_not_waited_for(asleep: Job) -> None:
    asleep.advance("out")
    sleep(asleep, "10:10", "TX1")
    asleep.record("TX1", "swapped", by="TX10", minute=_minute("10:20"))
    found = sleeping(asleep.worked, asleep.state, _minute("10:30"))
    assert "TX1" not in (*found.asleep, *found.awake)


# ---- packs of a supply


def test_the_next_pack_is_due_from_when_the_last_one_went_on(file_world: World) -> None:
    # 20 W on 98 Wh x 0.8: 235.2 minutes. RX1 is on from 08:00 to 15:00.
    scenes: list[Scene] = [("1", "", "08:00", "11:00", "ines"), ("2", "", "12:00", "15:00", "ines")]
    job = file_world.job("Ana", file_world.plan(scenes=scenes))

    def bag(at: str) -> tuple[Due, str]:
        (pack,) = pack_round(job.worked, job.state, _minute(at))
        return pack.due, pack.says

    assert bag("11:00") == (
        "later",
        "fresh pack before scene 2 by 11:55: RX1 goes off, and its lines are asked again",
    )
    assert bag("11:56")[0] == "overdue"
    job.record("supply:bag", "cells changed", minute=_minute("08:10"))
    assert bag("11:56") == (
        "due",
        "fresh pack before scene 2 by 12:00, else empty at 12:05 in scene 2: RX1 goes off, and its "
        "lines are asked again",
    )
    job.record("supply:bag", "cells changed", minute=_minute("11:10"))
    assert bag("11:56") == ("none left", "RX1: the pack lasts the day")


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


ITEMS = """
[[item]]
model = "psu"
name = "Power supply of the rack"
qty = 1

[[item]]
model = "stinger"
name = "Mains extension"
qty = 2
each = 2
laid_out = true

[[item]]
model = "box"
name = "Timecode box"
qty = 2
per = "destination"

[[item]]
model = "line-lead"
name = "Line leads, a pair"
qty = 1
per = "stereo-link"

[[item]]
model = "tape"
name = "Tape"
qty = 1
"""


def test_what_stands_about_there_must_come_along_too(file_world: World) -> None:
    kit = file_world.folder / "kit.toml"
    text = kit.read_text("utf-8").replace('name = "Rack"', 'name = "Rack"\ntravels_with = ["psu"]')
    kit.write_text(text + ITEMS, "utf-8")
    job = file_world.job("Ana")
    first, second = ({line.key: line for line in m.lines} for m in moves(job.worked, job.state))
    assert what(moves(job.worked, job.state)[0]) == {
        "TX1": ("worn", "ines"),
        "TX2": ("worn", "marek"),
        "RX1": ("on a destination", "recorder"),
        "supply:bag": ("plugged in", "RX1"),
        "item:psu": ("laid out", "RX1"),
        "item:stinger": ("laid out", "here"),
        "item:box": ("laid out", "recorder"),
    }
    stinger = first["item:stinger"]
    assert (stinger.qty, stinger.name) == (2, "Mains extension")
    assert second["item:line-lead"].with_whom == "mix"  # the stereo link is in scene 2 alone


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
    packed(job)
    job.advance("out")

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


# ---- a supply in two parts of the unit


@pytest.fixture
def split(file_world: World) -> Job:
    """Demo day 2, gone out: packs of "bag" are at the splinter unit's recorder and on the quay."""
    job = file_world.job("Ana", demo_plan(2))
    packed(job)
    for stage in ("packed", "out"):
        job.record("job", "stage", stage=stage)
    return job


def test_a_fresh_pack_is_where_it_is_said_to_be(
    split: Job, file_world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = [line.at for line in pack_round(split.worked, split.state, 600) if line.id == "bag"]
    assert sorted(parts) == [("bag-2",), ("recorder",)]
    words = ["--ledger", file_world.url, "--at", "17:30"]
    for at in ("bag-2", "recorder"):
        main(["cells", str(demo_plan(2)), f"supply:bag@{at}", *words])
        split.refresh()
        fresh = {
            place: line.fresh
            for line in pack_round(split.worked, split.state, 1050)
            for place in line.at
            if line.id == "bag"
        }
        assert fresh[at] == (1050,)
    said = capsys.readouterr().out
    assert "supply:bag@bag-2  RX02, RX12" in said
    assert "supply:bag@recorder  RX01" in said
    assert main(["cells", str(demo_plan(2)), "supply:bag@cam-b", *words]) == 2
    assert 'supply:bag is not at "cam-b" today; write supply:bag@' in capsys.readouterr().err


def test_a_fresh_pack_touches_the_lines_of_its_own_part_alone(split: Job) -> None:
    lines = {
        scene: next(
            c
            for c in line_check(split.worked, split.state, scene)
            if c.question.name == "mode" and c.link.source == source
        )
        for scene, source in (("T4", "brenna"), ("34", "ines"))
    }
    for line in lines.values():
        split.record(line.key, "observed", answer="mono", chain=line.chain)
    split.record("supply:bag", "cells changed", minute=700, at_destination="bag-2")
    verdicts = {
        scene: next(
            c.verdict for c in line_check(split.worked, split.state, scene) if c.key == line.key
        )
        for scene, line in lines.items()
    }
    assert verdicts == {"T4": "ask again", "34": "as planned"}
