"""What is short and what would mend it, as ``needs`` says it."""

from planning.building import (
    dc,
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    thing,
    transmitter,
    worked,
)

from kitprep.planning.day import work_out
from kitprep.planning.remedies import remedies
from kitprep.planning.results import WorkedDay
from kitprep.reports.needs import needs_json, needs_text


def section(day: WorkedDay, heading: str) -> list[str]:
    """The lines of a section, each sentence on one line, without the blanks before it."""
    lines = needs_text(day, remedies(day, work_out)).splitlines()
    below = lines[lines.index(heading) + 1 :]
    return [line.strip() for line in below[: below.index("")]]


def test_a_link_that_is_short_in_several_scenes_alike_is_told_once() -> None:
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "11:00-12:00", "a b"),
        ),
    )
    assert section(day, "SHORT") == [
        "! link: scenes 1, 2: b to rec: the one receiver channel that takes mono at",
        "rec is taken",
        "+ hire 1 x rx for scenes 1, 2",
    ]


def test_a_remedy_says_what_it_serves_what_it_costs_and_what_it_leaves() -> None:
    """Two packs for three: with c before b, b is lost; the lavs are as short as before."""
    day = worked(
        kit(
            transmitter(units=numbered("TX", 2)),
            receiver(modules=3),
            thing("item", model="lav", name="Lav", qty=1, per="bodypack"),
        ),
        plan(
            source("a"),
            source("b", priority=2),
            source("c", priority=3),
            scene("1", "09:00-10:00", "a b c"),
        ),
    )
    assert section(day, "WHAT WOULD MEND IT") == [
        "+ hire 1 x pack",
        "serves c to rec in scene 1",
        "is short itself: Lav: 3 to carry (1 per bodypack (3)), 1 held; 2 short",
        "+ priority 1 for c, which has 3",
        "serves c to rec in scene 1",
        "but then not b to rec in scene 1",
        "leaves short as before: Lav",
    ]


def test_what_nothing_mends_is_said_too() -> None:
    day = worked(
        kit(transmitter(), receiver()),
        plan(source("a", mic_power="P48"), scene("1", "09:00-10:00", "a")),
    )
    assert section(day, "WHAT WOULD MEND IT") == [
        "- nothing that was tried with this kit mends a to rec in scene 1"
    ]


def test_a_supply_that_gives_power_is_offered_in_text_and_to_a_program() -> None:
    rack = receiver(power=[dc(10, 18, 15)])
    bag = thing("supply", id="bag", volts=[12, 16], wh=98, packs=1)
    day = worked(kit(transmitter(), rack, bag), plan(source("a"), scene("1", "09:00-10:00", "a")))
    assert section(day, "WHAT WOULD MEND IT") == [
        "+ a DC lead from bag to rec",
        "gives power to RX1",
    ]
    (told,) = needs_json(day, remedies(day, work_out))["remedies"]
    assert (told["kind"], told["powers"], told["serves"]) == ("supply", ["RX1"], [])


def handed_on() -> WorkedDay:
    """One pack for two sources in turn, on a supply of 40 Wh with a receiver of 10 W: 4 h."""
    rack = receiver(power=[dc(10, 18, 10)])
    bag = thing("supply", id="bag", volts=[12, 16], wh=40, packs=2)
    return worked(
        kit(transmitter(), rack, bag),
        plan(
            destination("rec", supplies=["bag"]),
            source("a"),
            source("b"),
            scene("1", "09:00-12:00", "a"),
            scene("2", "14:00-15:00", "b"),
            lead_min=30,
        ),
    )


def test_packs_that_are_swapped_are_told_with_what_goes_off() -> None:
    """On at 09:00, empty at 13:00."""
    assert section(handed_on(), "PACKS SWAPPED") == [
        "bag before scene 2, by 13:00: RX1 goes off and starts again, so its lines",
        "are asked again",
    ]
    (told,) = needs_json(handed_on())["supplies"]
    assert told["swaps"] == [{"before": "2", "by": "13:00", "mid_scene": False, "units": ["RX1"]}]
    assert told["at"] == [{"destinations": ["rec"], "packs": 2}]


def test_a_pack_that_is_handed_on_is_told_with_the_time_there_is_for_it() -> None:
    assert section(handed_on(), "HANDOVERS") == ["TX1 from a (off 12:00) to b (on 13:30), 90 min"]
    (told,) = needs_json(handed_on())["handovers"]
    assert told == {
        "kind": "pack",
        "unit": "TX1",
        "module": None,
        "adapter": None,
        "takes_off": None,
        "puts_on": None,
        "from": "a",
        "off": "12:00",
        "to": "b",
        "on": "13:30",
        "minutes": 90,
        "before": "2",
    }


def test_a_module_that_is_retuned_is_told_with_all_that_it_hears() -> None:
    """Two packs in turn on one module: too little time to hand one on."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:05-11:00", "b"),
            scene("3", "11:05-12:00", "a"),
        ),
    )
    assert section(day, "HANDOVERS") == ["module RX1/1: a > b > a, retuned before scenes 2, 3"]
    told = needs_json(day)["handovers"]
    assert [(h["kind"], h["unit"], h["module"], h["from"], h["to"]) for h in told] == [
        ("retune", "RX1", 1, "a", "b"),
        ("retune", "RX1", 1, "b", "a"),
    ]
