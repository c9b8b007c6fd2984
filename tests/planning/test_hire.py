"""R5: why a link is not served, and the fewest units to hire that mend it."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from kitprep.planning.brief import brief
from kitprep.planning.hire import hire_list
from kitprep.planning.results import Hire, WorkedDay
from kitprep.planning.solver import Answer, Program, Terms, highs

from .building import (
    Entry,
    adapter,
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    served,
    source,
    stereo_receiver,
    transmitter,
    unserved,
    worked,
)


def one_scene(*entries: Entry, sources: list[Entry], **own: Any) -> WorkedDay:
    """All sources in one scene, to the recorder."""
    names = " ".join(entry["id"] for _, entry in sources)
    return worked(kit(*entries), plan(*sources, scene("1", "09:00-10:00", names), **own))


# Reasons


def test_each_unserved_link_is_named_and_no_other() -> None:
    day = one_scene(
        transmitter(), receiver(), sources=[source("a"), source("b"), source("c", form="handheld")]
    )
    assert served(day) == ["1 a>rec"]
    assert unserved(day) == {
        "1 b>rec": "the one transmitter that would do, TX1, is with a",
        "1 c>rec": "no handheld is in the kit",
    }
    assert [(s.kind, s.scene) for s in day.shortfalls] == [("link", "1"), ("link", "1")]
    assert not day.ready


def test_a_form_or_model_that_the_kit_has_not_is_named() -> None:
    def why(**wanted: Any) -> str:
        day = one_scene(transmitter(), receiver(), sources=[source("a", **wanted)])
        return unserved(day)["1 a>rec"]

    assert why(form=["handheld", "hop"]) == "no handheld or hop is in the kit"
    assert why(model="slim") == "no bodypack of model slim is in the kit"


def test_the_requirement_that_none_meets_is_named() -> None:
    def why(*more: Entry, **wanted: Any) -> str:
        plug = transmitter("plug", form="plug-on", connector="XLR3", mic_power=["bias"])
        day = one_scene(plug, receiver(), *more, sources=[source("a", form="plug-on", **wanted)])
        return unserved(day)["1 a>rec"]

    assert why(mic_power="P48") == "no plug-on here gives P48"
    assert why(connector="TA3") == "no plug-on here gives a TA3 input"
    assert why(channels=2) == "no plug-on here gives 2 channels"
    # With an adapter for the one thing, the next that is missing is named.
    lead = adapter("lead", fits=["plug"], connector="TA3")
    assert why(lead, connector="TA3", mic_power="P48") == "no plug-on here gives P48"


def test_what_no_receiver_does_is_named() -> None:
    def why(*receivers: Entry, **wanted: Any) -> str:
        day = worked(
            kit(transmitter(channels=2), *receivers),
            plan(
                destination("cam", receivers=["rx"], name="A camera"),
                source("a", "cam", **wanted),
                scene("1", "09:00-10:00", "a"),
            ),
        )
        return unserved(day)["1 a>cam"]

    assert why(stereo_receiver("rx-s")) == "no receiver that may stand at A camera is in the kit"
    assert why(receiver("rx"), channels=2) == "no receiver that may stand at A camera takes stereo"
    assert why(receiver("rx", system="d2")) == (
        "the transmitters for it are of system d1, and no mono receiver of that may stand at "
        "A camera"
    )


def test_tuning_that_does_not_meet_is_told_of_both_ends() -> None:
    def why(packs: list[list[float]], hears: list[list[float]], **wanted: Any) -> str:
        day = one_scene(
            transmitter(tuning_mhz=packs),
            receiver(tuning_mhz=hears),
            sources=[source("a", **wanted)],
        )
        return unserved(day)["1 a>rec"]

    assert why([[470.1, 516]], [[518, 560], [540, 572]]) == (
        "the transmitters for it tune 470.1 to 516 MHz, and the mono receivers that may stand at "
        "rec tune 518 to 572 MHz"
    )
    assert why([[500, 600]], [[500, 520]], tuning_mhz=[[560, 572]]) == (
        "the transmitters for it tune 500 to 600 MHz, and the mono receivers that may stand at rec "
        "tune 500 to 520 MHz; it may send within 560 to 572 MHz"
    )
    assert why([[470, 516]], [[470, 600]], tuning_mhz=[[560, 572]]) == (
        "no bodypack for it tunes within 560 to 572 MHz, where it may send"
    )


def test_modules_that_are_taken_are_counted() -> None:
    def why(*receivers: Entry) -> str:
        day = one_scene(
            transmitter(units=numbered("TX", 3)),
            *receivers,
            sources=[source("a"), source("b"), source("c")],
        )
        return unserved(day)["1 c>rec"]

    assert why(receiver(modules=2)) == "the 2 receiver channels that take mono at rec are taken"
    day = one_scene(
        transmitter(units=["TX1", "TX2"]), receiver(), sources=[source("a"), source("b")]
    )
    assert unserved(day) == {"1 b>rec": "the one receiver channel that takes mono at rec is taken"}


def low_and_high(*more: Entry, b_priority: int) -> WorkedDay:
    """Low packs that RX1 hears and one high pack that RX2 hears, which c holds through scene 1."""
    low, high = {"tuning_mhz": [[500, 510]]}, {"tuning_mhz": [[550, 560]]}
    return worked(
        kit(
            transmitter("low", ["TX1", "TX2"], **low),
            transmitter("high", ["TX3"], form="handheld", **high),
            receiver("rx-low", ["RX1"], **low),
            receiver("rx-high", ["RX2"], **high),
        ),
        plan(
            source("a"),
            source("b", form=["bodypack", "handheld"], priority=b_priority),
            source("c", form="handheld"),
            scene("0", "08:00-09:00", "c"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "10:00-11:00", "c"),
            *more,
        ),
    )


def test_a_free_pack_and_a_free_receiver_that_do_not_go_together_are_said_to_be_so() -> None:
    """TX2 and RX2 are free in scene 1."""
    assert unserved(low_and_high(b_priority=2)) == {
        "1 b>rec": "no transmitter left free is heard by a receiver left free at rec"
    }


def test_a_pack_that_is_not_heard_by_what_is_free_is_named() -> None:
    """In scene 3 b is heard on RX1; in scene 1 only RX2 is free, and b has a low pack."""
    day = low_and_high(scene("3", "11:00-12:00", "b"), b_priority=2)
    assert unserved(day) == {
        "1 b>rec": "TX2, which it has, is not heard by the receivers left free at rec"
    }


# The hire list


def test_nothing_is_hired_where_nothing_is_short() -> None:
    assert one_scene(transmitter(), receiver(), sources=[source("a")]).hire == ()


def test_one_stereo_receiver_is_hired_for_the_second_camera() -> None:
    day = worked(
        kit(transmitter(channels=2), stereo_receiver(), receiver()),
        plan(
            destination("cam-a"),
            destination("cam-b"),
            source("mix", ["cam-a", "cam-b"], channels=2),
            scene("1", "09:00-10:00", "mix"),
            scene("2", "11:00-12:00", "mix"),
        ),
    )
    assert day.hire == (Hire("rx-s", 1, ("1", "2")),)


def test_a_pack_and_a_receiver_are_hired_where_both_are_short() -> None:
    day = one_scene(
        transmitter(), receiver(), sources=[source("a"), source("b"), source("c", form="handheld")]
    )
    assert day.hire == (Hire("pack", 1, ("1",)), Hire("rx", 1, ("1",)))


def test_units_that_are_handed_on_are_hired_once() -> None:
    """b and c could follow one another on one pack, an hour apart; a keeps its own all day."""
    day = worked(
        kit(transmitter(), receiver(modules=4)),
        plan(
            source("a"),
            source("b"),
            source("c"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "11:00-12:00", "a c"),
        ),
    )
    assert day.hire == (Hire("pack", 1, ("1", "2")),)


def test_the_fewest_units_come_before_the_least_value() -> None:
    """Three modules are short: one rack of four at 4000, or three receivers at 100 each."""
    day = one_scene(
        transmitter(units=numbered("TX", 3)),
        receiver("a-single", [], value=100),
        receiver("rack", [], modules=4, value=4000),
        sources=[source("a"), source("b"), source("c")],
    )
    assert day.hire == (Hire("rack", 1, ("1",)),)


def test_of_as_few_units_those_of_the_least_value_are_hired() -> None:
    day = one_scene(
        transmitter(),
        receiver("a-dear", [], value=2000),
        receiver("b-fair", [], value=1999.5),
        sources=[source("a")],
    )
    assert day.hire == (Hire("b-fair", 1, ("1",)),)


def test_of_as_few_and_as_dear_the_first_by_name_are_hired() -> None:
    day = one_scene(
        transmitter(),
        receiver("c", [], value=5),
        receiver("b", [], value=5),
        receiver("d", [], value=5),
        sources=[source("a")],
    )
    assert day.hire == (Hire("b", 1, ("1",)),)


def test_a_model_without_a_value_is_not_taken_for_cheap() -> None:
    """It counts as the dearest of the kit, 2000; the other costs 1500."""
    day = one_scene(
        transmitter(value=2000),
        receiver("a-unknown", []),
        receiver("b-known", [], value=1500),
        sources=[source("a")],
    )
    assert day.hire == (Hire("b-known", 1, ("1",)),)


def test_a_cheaper_model_that_would_not_mend_it_is_not_hired() -> None:
    """Only the pack at 500 to 510 meets the receiver there is."""
    day = one_scene(
        transmitter("a-cheap", [], tuning_mhz=[[590, 600]], value=1),
        transmitter("b-fits", [], tuning_mhz=[[500, 510]], value=900),
        receiver(tuning_mhz=[[500, 520]], value=5000),
        sources=[source("a")],
    )
    assert day.hire == (Hire("b-fits", 1, ("1",)),)


def test_an_adapter_is_hired_where_that_is_all_that_is_missing() -> None:
    day = one_scene(
        transmitter(units=["TX1", "TX2"], connector="TA5"),
        adapter("lead", connector="TA3"),
        receiver(units=["RX1", "RX2"]),
        sources=[source("a", connector="TA3"), source("b", connector="TA3")],
    )
    assert unserved(day) == {"1 b>rec": "the one adapter that would do, lead#1, is with a"}
    assert day.hire == (Hire("lead", 1, ("1",)),)


def test_a_unit_in_repair_is_made_good_by_one_of_its_model() -> None:
    day = one_scene(
        transmitter(units=[{"tag": "TX1", "state": "repair"}]), receiver(), sources=[source("a")]
    )
    assert unserved(day) == {
        "1 a>rec": "no transmitter that would do is left to use; "
        "not counted on: TX1 in repair in the kit file"
    }
    assert day.hire == (Hire("pack", 1, ("1",)),)


def test_units_that_are_missing_or_in_repair_are_named_where_they_would_do_and_nowhere_else() -> (
    None
):
    """TX3, a handheld, would not do for a body; TX9 is past its hire, which is said before."""
    day = one_scene(
        transmitter(
            units=[
                {"tag": "TX1", "state": "missing"},
                {"tag": "TX9", "state": "repair", "owner": "H-17", "due": date(2027, 3, 10)},
            ]
        ),
        transmitter("hand", [{"tag": "TX3", "state": "repair"}], form="handheld"),
        receiver(units=[{"tag": "RX1", "state": "repair"}]),
        sources=[source("a")],
    )
    assert unserved(day) == {
        "1 a>rec": "no transmitter that would do is left to use; not counted on: TX9 hire H-17 is "
        "due back 2027-03-10; extend the hire and change due; TX1 missing in the kit file; "
        "RX1 in repair in the kit file"
    }


def test_what_no_model_of_the_kit_can_mend_is_not_hired_for() -> None:
    """The handheld cannot be had; the second bodypack can."""
    day = one_scene(
        transmitter(),
        receiver(modules=4),
        sources=[source("a"), source("b"), source("c", form="handheld")],
    )
    assert day.hire == (Hire("pack", 1, ("1",)),)


def test_a_hired_unit_tunes_as_its_model_does() -> None:
    """The held one is narrowed to 500-510; a hired one would tune the model's 500-600."""
    day = one_scene(
        transmitter(units=[{"tag": "TX1", "tuning_mhz": [[500, 510]]}]),
        receiver(tuning_mhz=[[550, 560]]),
        sources=[source("a")],
    )
    assert day.hire == (Hire("pack", 1, ("1",)),)


@pytest.mark.parametrize("proven", [0, 1])
def test_a_list_that_may_not_be_the_smallest_is_not_given(proven: int) -> None:
    """The most links, then the fewest units: only when both are proven is it the hire list."""
    question = brief(
        kit(transmitter(), receiver()),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
    )
    calls = 0

    def slow(program: Program, objective: Terms, seconds: float) -> Answer | None:
        nonlocal calls
        calls += 1
        answer = highs(program, objective, seconds)
        return answer and replace(answer, proven=calls <= proven)

    unserved_links = frozenset(want for want in question.wants if want.source == 1)
    assert hire_list(question, unserved_links, slow, 5) == ((), frozenset())


def test_where_time_runs_out_no_list_is_given_that_may_not_be_the_smallest() -> None:
    day = worked(
        kit(transmitter(), receiver()),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
        solver=lambda program, objective, seconds: None,
    )
    assert day.hire == ()
