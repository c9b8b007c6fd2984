"""R5, remedies: each was run through the whole day, and says what it takes and what it leaves."""

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.remedies import KINDS, remedies
from kitprep.planning.results import Remedy

from .building import (
    cells,
    dc,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    thing,
    transmitter,
)

HOUR = scene("1", "09:00-10:00", "a b")


def offered(k: Kit, p: Plan) -> dict[str, Remedy]:
    return {remedy.kind: remedy for remedy in remedies(work_out(k, p), work_out)}


def test_a_day_that_is_short_of_nothing_is_offered_nothing() -> None:
    k = kit(transmitter(), receiver())
    assert offered(k, plan(source("a"), scene("1", "09:00-10:00", "a"))) == {}


def test_hiring_serves_and_says_what_is_then_short_of_cells() -> None:
    # Two packs and two receivers on a cell each: 4 in use with the hire, 3 held.
    k = kit(transmitter(), receiver(units=["RX1", "RX2"]), thing("stock", cell="C", qty=3))
    hire = offered(k, plan(source("a"), source("b"), HOUR))["hire"]
    assert hire.what == "hire 1 x pack"
    assert [route.source for route in hire.serves] == ["b"]
    assert [s.what for s in hire.new_short] == ["4 C to carry in whole sets, 3 held; 1 short"]


def test_two_mono_links_stand_for_a_stereo_one() -> None:
    # No module does stereo; two mono packs and two mono receivers are there.
    k = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"]))
    p = plan(source("a", channels=2), scene("1", "09:00-10:00", "a"))
    remedy = offered(k, p)["two mono links"]
    assert [route.source for route in remedy.serves] == ["a"]
    assert remedy.new_short == ()


def test_another_form_is_offered_only_where_it_serves() -> None:
    k = kit(transmitter("plug", units=["PL1"], form="plug-on"), receiver())
    p = plan(source("a"), scene("1", "09:00-10:00", "a"))
    assert "a plug-on for a" in offered(k, p)["another form"].what
    nobody_hears = kit(transmitter("plug", form="plug-on", system="d2"), receiver())
    assert "another form" not in offered(nobody_hears, p)


def test_a_higher_priority_says_whom_it_costs() -> None:
    k = kit(transmitter(units=["TX1", "TX2"]), receiver())
    third = plan(source("a", priority=2), source("b", priority=3), HOUR)
    lifted = offered(k, third)["priority"]
    assert [route.source for route in lifted.serves] == ["b"]
    assert [route.source for route in lifted.loses] == ["a"]


def test_a_pack_left_over_that_records_may_stand_alone() -> None:
    # One receiver for two packs: the second pack's own recording, on the one card that is left.
    k = kit(
        transmitter(units=["TX1", "TX2"], records=True, card="sd"),
        receiver(),
        thing("stock", card="sd", qty=2, capacity_gb=16),
    )
    remedy = offered(k, plan(source("a"), source("b"), HOUR))["own recording"]
    assert "TX2" in remedy.what
    assert [route.source for route in remedy.serves] == ["b"]
    assert remedy.new_short == ()
    one_card = kit(
        transmitter(units=["TX1", "TX2"], records=True, card="sd"),
        receiver(),
        thing("stock", card="sd", qty=1, capacity_gb=16),
    )
    short = offered(one_card, plan(source("a"), source("b"), HOUR))["own recording"].new_short
    assert [s.kind for s in short] == ["card"]


def test_no_pack_is_left_over_so_its_recording_is_not_offered() -> None:
    k = kit(transmitter(records=True, card="sd"), receiver(), stereo_receiver())
    assert "own recording" not in offered(k, plan(source("a"), source("b"), HOUR))


def test_the_sets_of_a_lone_recorder_are_counted() -> None:
    # Both packs on a set of two: 2 + 2 cells, and the receiver on one of another type.
    k = kit(
        transmitter(units=["TX1", "TX2"], records=True, card="sd", power=[cells("D", 2, hours=10)]),
        receiver(),
        thing("stock", card="sd", qty=2, capacity_gb=16),
        thing("cell", type="D", source="made up"),
        thing("stock", cell="D", qty=2),
    )
    remedy = offered(k, plan(source("a"), source("b"), HOUR))["own recording"]
    assert [s.what for s in remedy.new_short] == ["4 D to carry in whole sets, 2 held; 2 short"]


def test_another_model_of_the_same_form_is_offered_where_it_serves() -> None:
    k = kit(transmitter("slim", ["TX1"]), transmitter("long", ["TX2"]), receiver(modules=2))
    p = plan(source("a", model="slim"), source("b", model="slim"), HOUR)
    remedy = offered(k, p)["another model"]
    assert remedy.what == "any bodypack for b, not slim alone"
    assert [route.source for route in remedy.serves] == ["b"]


def test_a_priority_is_told_with_what_it_was() -> None:
    k = kit(transmitter(units=["TX1", "TX2"]), receiver())
    third = plan(source("a", priority=2), source("b", priority=3), HOUR)
    assert offered(k, third)["priority"].what == "priority 1 for b, which has 3"
    first = plan(source("a"), source("b"), HOUR)
    assert offered(k, first)["priority"].what == "priority 3 for a, so that b is served"


def test_a_link_that_stays_unserved_for_another_reason_is_short_as_before() -> None:
    """Two packs for four: with a and c now, and d is as short as it was."""
    k = kit(transmitter(units=["TX1", "TX2"]), receiver(modules=4))
    sources = [source("a"), source("b", priority=2), *(source(n, priority=3) for n in "cd")]
    p = plan(*sources, scene("1", "09:00-10:00", "a b c d"))
    lifted = next(r for r in remedies(work_out(k, p), work_out) if "priority 1 for c" in r.what)
    assert [route.source for route in lifted.loses] == ["b"]
    assert [s.what.partition(":")[0] for s in lifted.new_short] == ["b to rec"]
    assert [s.what.partition(":")[0] for s in lifted.still_short] == ["d to rec"]


RACK = receiver(power=[dc(10, 18, 15)])


def test_a_supply_out_of_reach_gives_power_where_it_is_brought() -> None:
    bag = thing("supply", id="bag", name="Bag", volts=[12, 16], wh=98, packs=1)
    wall = thing("supply", id="wall", name="Wall", volts=[12, 12], mains=True, watts=20)
    other = thing("supply", id="big", volts=[22, 29], wh=98, packs=1)
    k = kit(transmitter(), RACK, bag, wall, other)
    p = plan(source("a"), scene("1", "09:00-10:00", "a"))
    found = remedies(work_out(k, p), work_out)
    assert [(r.kind, r.what, r.powers, r.serves) for r in found] == [
        ("supply", "a DC lead from Bag to rec", ("RX1",), ()),
        ("supply", "mains at rec, with Wall", ("RX1",), ()),
    ]
    assert all(r.new_short == r.still_short == () for r in found)


def test_a_supply_that_is_brought_says_what_it_is_then_short_of() -> None:
    """15 W for 8 h is 120 Wh: two packs of 98 Wh, and one held."""
    bag = thing("supply", id="bag", name="Bag", volts=[12, 16], wh=98, packs=1)
    p = plan(source("a"), scene("1", "09:00-12:00", "a"), scene("2", "13:00-17:00", "a"))
    (remedy,) = remedies(work_out(kit(transmitter(), RACK, bag), p), work_out)
    assert [s.what for s in remedy.new_short] == [
        "Bag: 2 packs for 15.0 W from 09:00 to 17:00, 1 held; 1 short"
    ]


def test_a_lone_recorder_of_unknown_life_says_so() -> None:
    k = kit(
        transmitter(units=["TX1"]),
        transmitter("old", ["TX2"], records=True, card="sd", power=[cells("D")]),
        receiver(),
        thing("stock", card="sd", qty=2, capacity_gb=16),
        thing("cell", type="D", source="made up"),
        thing("stock", cell="D", qty=2),
    )
    remedy = offered(k, plan(source("a"), source("b"), HOUR))["own recording"]
    assert [s.what.partition(":")[0] for s in remedy.new_short] == [
        "not known how long TX2 (old) runs on 1 D"
    ]


def test_a_lone_recorder_whose_set_dies_in_the_scene_says_when() -> None:
    k = kit(
        transmitter(units=["TX1", "TX2"], records=True, card="sd", power=[cells(hours=2)]),
        receiver(modules=1),
        thing("stock", card="sd", qty=2, capacity_gb=16),
    )
    p = plan(source("a"), source("b"), scene("1", "09:00-12:00", "a b"))
    remedy = offered(k, p)["own recording"]
    assert "scene 1 outlasts the C in TX2" in " ".join(s.what for s in remedy.new_short)


def test_each_unserved_source_has_its_turn_where_not_all_can_be_tried() -> None:
    """Twelve on slim packs alone: their other models and priorities are more than are tried."""
    names = [f"s{n}" for n in range(12)]
    k = kit(
        transmitter("slim", numbered("TX", 6)),
        transmitter("long", numbered("TL", 6)),
        receiver(modules=12),
    )
    p = plan(
        *(source(name, model="slim") for name in names),
        scene("1", "09:00-10:00", " ".join(names)),
    )
    day = work_out(k, p)
    short = {left.source for needs in day.scenes for left in needs.unserved}
    found = remedies(day, work_out)
    assert {route.source for r in found if r.kind == "another model" for route in r.serves} == short
    assert [r.kind for r in found] == sorted((r.kind for r in found), key=KINDS.index)
