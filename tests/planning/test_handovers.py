"""What is handed on in the course of a day, and which modules are retuned, worked out by hand."""

from kitprep.planning.handovers import Handover, Retune, handovers, retunes, to_do_before
from kitprep.planning.results import WorkedDay

from .building import (
    adapter,
    kit,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    transmitter,
    worked,
)


def one_pack(times: tuple[str, str], **own: int) -> WorkedDay:
    """One pack and one module for two sources in turn."""
    return worked(
        kit(transmitter(), receiver()),
        plan(source("a"), source("b"), scene("1", times[0], "a"), scene("2", times[1], "b"), **own),
    )


def test_a_pack_is_on_again_its_lead_before_the_next_sources_first_scene() -> None:
    """Off 10:00 = 600; scene 2 at 12:00, 30 min of lead: on 11:30 = 690."""
    day = one_pack(("09:00-10:00", "12:00-13:00"), lead_min=30, handover_min=15)
    assert handovers(day) == (Handover("TX1", "a", 600, "b", 690, "2"),)
    assert handovers(day)[0].minutes == 90


def test_a_handover_and_a_retune_are_told_by_what_the_crew_calls_the_sources() -> None:
    handed = Handover("TX1", "a", 600, "b", 690, "2", takes_off="AD1")
    retuned = Retune("RS1", 2, "a", "b", "TX2", "2", 720)
    names = {"a": "Ana", "b": "The band"}
    assert handed.says(names) == (
        "TX1 from Ana (off 10:00, AD1 comes off) to The band (on 11:30), 90 min"
    )
    assert retuned.says(names) == "retune RS1/2 from Ana to The band on TX2"


def test_a_short_handover_eats_into_the_lead() -> None:
    """Off 10:00; 30 min before 10:20 would be 09:50, so it is on 15 min after it came off."""
    (short,) = handovers(one_pack(("09:00-10:00", "10:20-11:00"), lead_min=30, handover_min=15))
    assert (short.on, short.minutes) == (615, 15)


def test_the_module_of_a_pack_that_is_handed_on_needs_no_retuning() -> None:
    assert retunes(one_pack(("09:00-10:00", "12:00-13:00"))) == ()


def test_a_pack_that_stays_with_its_source_is_not_handed_on() -> None:
    day = worked(
        kit(transmitter(), receiver()),
        plan(source("a"), scene("1", "09:00-10:00", "a"), scene("2", "12:00-13:00", "a")),
    )
    assert (handovers(day), retunes(day)) == ((), ())


def lent(second: int = 2) -> WorkedDay:
    """One lead that makes a pack stereo, and two sources in turn, the second as wide as said."""
    return worked(
        kit(
            transmitter(),
            adapter(channels=2),
            stereo_receiver(),
        ),
        plan(
            source("a", channels=2),
            source("b", channels=second),
            scene("1", "09:00-10:00", "a"),
            scene("2", "12:00-13:00", "b"),
        ),
    )


def test_an_adapter_goes_along_or_comes_off() -> None:
    (along,) = handovers(lent())
    assert (along.unit, along.adapter, along.takes_off, along.puts_on) == (
        "TX1",
        "lead#1",
        None,
        None,
    )
    (off,) = handovers(lent(second=1))
    assert (off.adapter, off.takes_off, off.puts_on) == (None, "lead#1", None)


def test_an_adapter_that_goes_to_another_pack_is_handed_on_by_itself() -> None:
    """A bodypack and a plug-on, and one lead that makes either of them stereo."""
    day = worked(
        kit(
            transmitter("one", ["TX1"], connector="TA5"),
            transmitter("two", ["TX2"], connector="TA5", form="plug-on"),
            adapter(fits=["one", "two"], channels=2),
            stereo_receiver(),
        ),
        plan(
            source("a", channels=2),
            source("b", channels=2, form="plug-on"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "12:00-13:00", "b"),
        ),
    )
    assert handovers(day) == (Handover("lead#1", "a", 600, "b", 720, "2"),)
    assert retunes(day) == (Retune("RS1", 1, "a", "b", "TX2", "2", 720),)


def test_a_module_that_hears_another_pack_in_between_is_retuned_twice() -> None:
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:15-11:00", "b"),
            scene("3", "11:15-12:00", "a"),
        ),
    )
    assert [(r.source, r.to, r.before) for r in retunes(day)] == [("a", "b", "2"), ("b", "a", "3")]


def test_what_is_to_do_before_a_scene_is_told_in_words() -> None:
    day = one_pack(("09:00-10:00", "12:00-13:00"), lead_min=30)
    assert to_do_before(day, "2") == ("TX1 from a (off 10:00) to b (on 11:30), 90 min",)
    assert to_do_before(day, "1") == ()
    assert to_do_before(lent(), "2") == (
        "TX1 with lead#1 from a (off 10:00) to b (on 12:00), 120 min",
    )
    assert to_do_before(lent(second=1), "2") == (
        "TX1 from a (off 10:00, lead#1 comes off) to b (on 12:00), 120 min",
    )
    taken_turns = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:05-11:00", "b"),
        ),
    )
    assert to_do_before(taken_turns, "2") == ("retune RX1/1 from a to b on TX2",)
