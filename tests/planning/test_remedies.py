"""R5, remedies: each was run through the whole day, and says what it takes and what it leaves."""

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.remedies import remedies
from kitprep.planning.results import Remedy

from .building import cells, kit, plan, receiver, scene, source, stereo_receiver, thing, transmitter

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
    assert hire.what == "hire 1 pack"
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
