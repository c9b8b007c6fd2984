"""The line check: an answer counts only for the chain it was given about, and never by default."""

import tomllib
from dataclasses import replace

import pytest
from small_job import KIT, Told, small_day, state

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Break, Plan
from kitprep.planning.day import work_out
from kitprep.planning.results import Unserved, WorkedDay
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.line_check import (
    CheckLine,
    all_lines,
    chain_mark,
    line_check,
    next_to_ask,
    not_served,
    says_not_served,
    says_not_settled,
    tally,
)
from kitprep.walks.questions import Asking

DAY = small_day()


def lines(scene: str, source: str, *told: Told) -> list[CheckLine]:
    return [c for c in line_check(DAY, state(*told), scene) if c.link.source == source]


def line(key: str, day: WorkedDay, *told: Told) -> CheckLine:
    scene = key.split(":")[0]
    return next(c for c in line_check(day, state(*told), scene) if c.key == f"check:{key}")


def answered(key: str, answer: str, chain: str | None = None) -> Told:
    """An answer given about the chain as it is planned, or about another."""
    mark = line(key, DAY).chain if chain is None else chain
    return (f"check:{key}", "observed", {"answer": answer, "chain": mark})


# ---- what is asked


def test_a_mono_link_is_asked_for_one_leg() -> None:
    names = [c.question.name for c in lines("1", "ines")]
    assert names == ["version", "adapter", "mode", "tap", "backup"]


def test_a_stereo_pair_is_asked_for_each_leg_and_for_one_side_muted() -> None:
    names = [c.question.name for c in lines("1", "band")]
    assert names == ["version", "adapter", "mode", "left", "right", "mute", "backup"]


def test_two_unrelated_feeds_skip_what_only_a_pair_needs() -> None:
    names = [c.question.name for c in lines("2", "feeds")]
    assert names == ["version", "adapter", "mode", "left", "right", "backup"]
    assert "first feed" in lines("2", "feeds")[3].question.asks


def test_the_answers_expected_are_those_of_the_plan() -> None:
    # Inputs in the order written: ines 1, the band 2 and 3.
    expected = {c.question.name: c.question.expected for c in lines("1", "band")}
    assert expected == {
        "version": "5.2",
        "adapter": "AD1",
        "mode": "stereo",
        "left": "2",
        "right": "3",
        "mute": "silence",
        "backup": "yes",
    }
    assert {c.question.name: c.question.expected for c in lines("1", "ines")}["tap"] == "1"


def test_only_a_receiver_of_several_modules_is_said_to_have_any() -> None:
    (mode,) = (c.question for c in lines("1", "ines") if c.question.name == "mode")
    assert mode.asks.startswith("Read RX1 module ")
    one = [r.model_copy(update={"modules": 1}) for r in DAY.kit.receivers]
    day = replace(DAY, kit=DAY.kit.model_copy(update={"receivers": one}))
    link = next(x for x in DAY.links if (x.scene, x.source) == ("1", "ines"))
    asked = {question.name: question for question in Asking(day).questions(link)}
    assert asked["mode"].asks == "Read RX1, Ines: which mode does it show?"
    assert "module" not in " ".join([*asked["mode"].causes, *asked["tap"].causes])


def test_the_answers_offered_do_not_give_the_expected_one_away() -> None:
    asked = {c.question.name: c.question for c in lines("1", "ines")}
    other = {c.question.name: c.question for c in lines("1", "band")}
    assert asked["adapter"].answers == other["adapter"].answers
    assert asked["mode"].answers == other["mode"].answers
    assert asked["tap"].answers == ("1", "2", "3", "4", "both", "none", NOT_CHECKED)


def test_every_choice_of_answers_offers_not_to_have_looked() -> None:
    for check in line_check(DAY, state(), "1"):
        assert not check.question.answers or NOT_CHECKED in check.question.answers


def test_at_a_camera_its_menu_and_its_headphones_are_asked() -> None:
    day = worked(("08", "", "ines"), destination="camera = true\n")
    asked = {x.question.name: x.question for x in line_check(day, state(), "1")}
    assert list(asked)[-3:] == ["level", "gain", "listen"]
    assert asked["level"].asks == "Look at recorder: what is input 1 set to?"
    wanted = {name: asked[name].expected for name in ("level", "gain", "listen")}
    assert wanted == {"level": "line", "gain": "off", "listen": "clean"}
    # 48 V and mic level are answers of their own, and neither is as planned.
    assert asked["level"].answers == ("line", "mic", "mic + 48 V", NOT_CHECKED)
    plain = worked(("08", "", "ines"))
    assert not {"level", "gain", "listen"} & {
        x.question.name for x in line_check(plain, state(), "1")
    }


def test_a_y_lead_left_on_a_mono_link_can_be_answered() -> None:
    key = "1:ines:recorder:tap"
    both = line(key, DAY, answered(key, "both"))
    assert both.verdict == "differs"
    assert any("a Y lead is on" in cause for cause in both.question.causes)


@pytest.mark.parametrize(
    ("key", "seen", "likeliest"),
    [
        ("1:ines:recorder:adapter", "AD1", "left on from an earlier job: take it off, or swap"),
        ("1:band:recorder:adapter", "none", "on another pack"),
        ("1:band:recorder:adapter", "AD2", "two adapters changed places"),
    ],
)
def test_the_likely_causes_fit_the_adapter_that_was_seen(
    key: str, seen: str, likeliest: str
) -> None:
    """Ines is planned without an adapter, the band with AD1."""
    causes = line(key, DAY).question.likely(seen)
    assert likeliest in causes[0]
    assert any("pouch" in cause for cause in causes) == (seen == "none")


# ---- what an answer is worth


def test_a_line_without_an_answer_is_open() -> None:
    assert line("1:ines:recorder:mode", DAY).verdict == "open"


@pytest.mark.parametrize(
    ("answer", "verdict"),
    [("mono", "as planned"), (" MONO ", "as planned"), ("stereo", "differs"), ("", "differs")],
)
def test_an_answer_is_compared_with_the_plan(answer: str, verdict: str) -> None:
    key = "1:ines:recorder:mode"
    assert line(key, DAY, answered(key, answer)).verdict == verdict


@pytest.mark.parametrize("name", ["version", "adapter", "mode", "left", "right", "mute", "backup"])
def test_not_to_have_looked_is_unverified_and_never_a_pass(name: str) -> None:
    key = f"1:band:recorder:{name}"
    assert line(key, DAY, answered(key, NOT_CHECKED)).verdict == "unverified"


def test_the_newest_answer_counts() -> None:
    key = "1:ines:recorder:mode"
    assert line(key, DAY, answered(key, "stereo"), answered(key, "mono")).verdict == "as planned"


def test_what_was_as_planned_holds_for_the_same_chain_in_a_later_scene() -> None:
    told = answered("1:ines:recorder:mode", "mono")
    later = line("2:ines:recorder:mode", DAY, told)
    assert (later.verdict, later.carried) == ("as planned", "1")
    earlier = line("1:ines:recorder:mode", DAY, answered("2:ines:recorder:mode", "mono"))
    assert earlier.verdict == "open"


def test_what_was_not_looked_at_holds_for_no_other_scene() -> None:
    told = answered("1:ines:recorder:mode", NOT_CHECKED)
    assert line("2:ines:recorder:mode", DAY, told).verdict == "open"


def test_what_differed_is_asked_again_in_the_next_scene() -> None:
    told = answered("1:ines:recorder:mode", "stereo")
    later = line("2:ines:recorder:mode", DAY, told)
    assert (later.verdict, later.touched) == ("ask again", "it differed in scene 1")


def test_fresh_cells_at_either_end_ask_again() -> None:
    told = answered("1:ines:recorder:mode", "mono")
    for unit in (line("1:ines:recorder:mode", DAY).link.receiver, "TX01"):
        cells: Told = (unit, "cells changed", {})
        assert line("1:ines:recorder:mode", DAY, told, cells).touched == f"fresh cells in {unit}"
        assert line("2:ines:recorder:mode", DAY, told, cells).verdict == "ask again"


@pytest.mark.parametrize("item", ["TX01", "supply:bag"])
@pytest.mark.parametrize(
    ("minute", "asked_again"),
    [
        (8 * 60 + 10, ["1", "2"]),
        (8 * 60 + 44, ["1", "2"]),
        (8 * 60 + 45, ["2"]),  # scene 1 is over at 08:45
        (9 * 60 + 10, ["2"]),
        (9 * 60 + 45, []),
        (None, ["1", "2"]),  # when it was is not known, so it may have been in either
    ],
)
def test_fresh_cells_ask_again_only_in_scenes_that_end_after_them(
    item: str, minute: int | None, asked_again: list[str]
) -> None:
    """Scene 1 runs from 08:00 to 08:45, scene 2 from 09:00 to 09:45, on the same chain."""
    day = worked(("08", "", "ines"), ("09", "", "ines"))
    facts = {} if minute is None else {"minute": minute}
    told: list[Told] = [tapped(day, "1", "1"), (item, "cells changed", facts)]
    found = [line(f"{scene}:ines:recorder:tap", day, *told) for scene in ("1", "2")]
    assert [c.link.scene for c in found if c.verdict == "ask again"] == asked_again
    assert all(c.verdict == "as planned" for c in found if c.link.scene not in asked_again)


@pytest.mark.parametrize("clock", ["2027-03-13T19:00:00.000Z", "not a time", ""])
def test_fresh_cells_ask_again_though_the_second_ones_clock_is_behind(clock: str) -> None:
    told = answered("1:ines:recorder:mode", "mono")
    cells: Told = ("TX01", "cells changed", {"at": clock})
    assert line("1:ines:recorder:mode", DAY, told, cells).verdict == "ask again"
    assert line("1:ines:recorder:mode", DAY, cells, told).verdict == "as planned"


def test_a_move_or_a_break_asks_again() -> None:
    told = answered("1:ines:recorder:mode", "mono")
    first, second = (needs.scene for needs in DAY.scenes)
    pause = Break.model_validate({"name": "Lunch", "start": "00:00", "end": "48:00"})
    paused = pause.model_copy(update={"start": first.end, "end": second.start})
    after_lunch = replace(DAY, plan=DAY.plan.model_copy(update={"breaks": (paused,)}))
    assert line("2:ines:recorder:mode", after_lunch, told).touched == "after Lunch"
    elsewhere = replace(DAY.scenes[1], scene=second.model_copy(update={"place": "the other quay"}))
    moved = replace(DAY, scenes=(DAY.scenes[0], elsewhere))
    assert line("2:ines:recorder:mode", moved, told).verdict == "ask again"


@pytest.mark.parametrize(
    "swapped",
    [
        {"transmitter": "TX03"},
        {"adapter": "AD2"},
        {"receiver": "RX2"},
        {"module": 7},
        {"inputs": (4,)},
        {"destination": "cam-a"},
    ],
)
def test_an_answer_given_before_a_swap_is_asked_again(swapped: dict[str, object]) -> None:
    key = "1:ines:recorder:mode"
    link = line(key, DAY).link
    assert chain_mark(replace(link, **swapped)) != chain_mark(link)  # type: ignore[arg-type]
    told = answered(key, "mono", chain_mark(replace(link, **swapped)))  # type: ignore[arg-type]
    assert line(key, DAY, told).verdict == "ask again"


def test_even_an_unverified_answer_is_asked_again_after_a_swap() -> None:
    key = "1:ines:recorder:mode"
    assert line(key, DAY, answered(key, NOT_CHECKED, "another")).verdict == "ask again"


def test_a_swap_elsewhere_leaves_an_answer_alone() -> None:
    key = "1:ines:recorder:mode"
    scenes = tuple(
        replace(
            needs,
            links=tuple(
                replace(x, transmitter="TX03") if x.source == "band" else x for x in needs.links
            ),
        )
        for needs in DAY.scenes
    )
    assert line(key, replace(DAY, scenes=scenes), answered(key, "mono")).verdict == "as planned"


# ---- the order of the walk, and its sum


def test_the_next_line_to_ask_is_looked_for_around_the_scene() -> None:
    checks = line_check(DAY, state(answered("1:ines:recorder:version", "5.2")), "1")
    found = next_to_ask(checks, None)
    assert found is not None
    assert found.key == "check:1:ines:recorder:adapter"
    found = next_to_ask(checks, "check:1:band:recorder:backup")
    assert found is not None
    assert found.key == "check:1:ines:recorder:adapter"


def test_a_scene_answered_throughout_has_nothing_to_ask() -> None:
    told = [
        answered(c.key.removeprefix("check:"), c.question.expected)
        for c in line_check(DAY, state(), "1")
    ]
    checks = line_check(DAY, state(*told), "1")
    assert next_to_ask(checks, None) is None
    assert tally(checks)["as planned"] == len(checks)


def test_the_tally_keeps_the_verdicts_apart() -> None:
    checks = line_check(
        DAY,
        state(
            answered("1:ines:recorder:version", "5.1"),
            answered("1:ines:recorder:mode", NOT_CHECKED),
            answered("1:ines:recorder:tap", "1", "another"),
            answered("1:ines:recorder:backup", "yes"),
        ),
        "1",
    )
    found = tally(checks)
    assert found == {
        "as planned": 1,
        "differs": 1,
        "unverified": 1,
        "ask again": 1,
        "open": len(checks) - 4,
    }


# ---- what the day itself does to a chain from one scene to the next


def worked(*scenes: tuple[str, str, str], destination: str = "") -> WorkedDay:
    """A day of three packs into two inputs: each scene is its start, its place, its sources."""
    text = 'kit = "kit.toml"\nday = 2027-03-14\nhandover_min = 0\n'
    text += '[[destination]]\nid = "recorder"\ninputs = 2\nconnector = "XLR3"\n'
    text += 'supplies = ["bag"]\n' + destination
    for name in dict.fromkeys(" ".join(sources for _, _, sources in scenes).split()):
        text += f'[[source]]\nid = "{name}"\nform = "bodypack"\nto = "recorder"\n'
    for number, (start, place, sources) in enumerate(scenes, start=1):
        listed = str(sources.split()).replace("'", '"')
        text += f'[[scene]]\nnumber = "{number}"\nplace = "{place}"\nstart = "{start}:00"\n'
        text += f'end = "{start}:45"\nsources = {listed}\n'
    plan = Plan.model_validate(tomllib.loads(text))
    return work_out(Kit.model_validate(tomllib.loads(KIT)), plan)


def tapped(day: WorkedDay, scene: str, answer: str) -> Told:
    """What was seen at the recorder when ines was tapped in a scene."""
    found = line(f"{scene}:ines:recorder:tap", day)
    return (found.key, "observed", {"answer": answer, "chain": found.chain})


def test_the_newest_answer_is_carried_and_not_an_older_pass() -> None:
    day = worked(("08", "", "ines"), ("09", "", "ines"), ("10", "", "ines"), ("11", "", "ines"))
    told = [tapped(day, "1", "1"), tapped(day, "2", "none")]
    for scene in ("3", "4"):
        found = line(f"{scene}:ines:recorder:tap", day, *told)
        assert (found.verdict, found.touched) == ("ask again", "it differed in scene 2")
    # Mended, and seen so in scene 2 or 3: from then on that holds.
    assert line("4:ines:recorder:tap", day, *told, tapped(day, "2", "1")).carried == "2"
    assert line("4:ines:recorder:tap", day, *told, tapped(day, "3", "1")).carried == "3"
    # Not to have looked takes back nothing that was seen.
    assert line("3:ines:recorder:tap", day, told[0], tapped(day, "2", NOT_CHECKED)).carried == "1"


def test_a_module_or_an_input_that_was_on_another_source_asks_again() -> None:
    # Two modules and two inputs for three sources: oda is on what ines had.
    day = worked(("08", "", "ines marek"), ("09", "", "oda marek"), ("10", "", "ines marek"))
    chains = {(x.scene, x.source): (x.module, x.inputs) for x in day.links}
    assert chains["2", "oda"] == chains["1", "ines"] == chains["3", "ines"]
    found = line("3:ines:recorder:tap", day, tapped(day, "1", "1"))
    assert found.verdict == "ask again"
    assert found.touched == f"RX1 module {chains['1', 'ines'][0]} was on oda in scene 2"


def test_away_and_back_again_is_a_move() -> None:
    day = worked(("08", "quay", "ines"), ("09", "loft", "ines"), ("10", "quay", "ines"))
    found = line("3:ines:recorder:tap", day, tapped(day, "1", "1"))
    assert (found.verdict, found.touched) == ("ask again", "after the move to quay")
    # The cart alone went to the loft and back: its lines are asked again too.
    day = worked(("08", "quay", "ines"), ("09", "loft", "oda"), ("10", "quay", "ines"))
    assert line("3:ines:recorder:tap", day, tapped(day, "1", "1")).verdict == "ask again"


def test_a_swap_that_was_taken_back_asks_again() -> None:
    told = [answered("1:ines:recorder:mode", "mono"), ("TX01", "swapped", {"by": "TX03"})]
    told.append(("TX03", "swapped", {"by": "TX01"}))
    again = line("1:ines:recorder:mode", DAY, *told)
    assert (again.verdict, again.touched) == ("ask again", "something in the chain was swapped")
    assert line("2:ines:recorder:mode", DAY, *told).verdict == "ask again"
    told.append(answered("1:ines:recorder:mode", "mono"))
    assert line("1:ines:recorder:mode", DAY, *told).verdict == "as planned"


def test_another_pack_on_the_receivers_supply_asks_again() -> None:
    told = [answered("1:ines:recorder:mode", "mono"), ("supply:bag", "cells changed", {})]
    again = line("1:ines:recorder:mode", DAY, *told)
    assert again.verdict == "ask again"
    assert again.touched == "another pack on bag, so RX1 was off"


# ---- what nothing serves


def test_a_link_that_nothing_serves_is_counted_and_said_and_never_reads_as_checked() -> None:
    """AD1 is the only adapter: the band in scene 1 and the feeds in scene 2 go with it."""
    day = work_out(DAY.kit, DAY.plan, without=frozenset({"AD1"}))
    assert [(u.scene, u.source) for u in not_served(day)] == [("1", "band"), ("2", "feeds")]
    one, two = day.scenes
    why = one.unserved[0].reason
    assert says_not_served(day, one) == f"1 link not served: The band to Recorder ({why})"
    assert says_not_served(day, two).startswith("1 link not served: Two feeds to Recorder (")
    assert says_not_served(DAY, DAY.scenes[0]) == ""
    every = [
        (c.key, "observed", {"answer": c.question.expected, "chain": c.chain})
        for c in all_lines(day, state())
    ]
    assert says_not_settled(day, state(*every)) == "2 links not served"
    assert says_not_settled(day, state()).endswith("not asked; 2 links not served")


def test_of_what_is_not_there_only_what_was_left_out_is_said_beside_a_link() -> None:
    reason = (
        "the one adapter that would do, AD2, is with mix; not counted on: AD1 left out at packing, "
        "lent; AD3 not in the bag"
    )
    dead = Unserved("1", "band", "recorder", reason)
    assert says_not_served(DAY, replace(DAY.scenes[0], unserved=(dead,))) == (
        "1 link not served: The band to Recorder (the one adapter that would do, AD2, is with mix; "
        "AD1 left out at packing, lent)"
    )
