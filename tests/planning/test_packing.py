"""R10: what goes on the packing list, in which case, and why; the weight of each case."""

from collections.abc import Sequence
from typing import Any

import pytest

from kitprep.planning.results import CaseLoad, PackLine, WorkedDay

from .building import (
    Entry,
    adapter,
    cells,
    dc,
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    thing,
    transmitter,
    worked,
)


def case(id: str, **own: Any) -> Entry:
    """A case of 500 g, or as said."""
    return thing("case", **{"id": id, "name": id.title(), "weight_g": 500, **own})


def item(model: str, **own: Any) -> Entry:
    """Ten of an item, or as said."""
    return thing("item", **{"model": model, "name": model, "qty": 10, **own})


def simple_day(*entries: Entry, **own: Any) -> WorkedDay:
    """One bodypack on one receiver, in scene 1."""
    return worked(
        kit(transmitter(), receiver(), *entries),
        plan(source("a"), scene("1", "09:00-10:00", "a"), **own),
    )


def two_cameras(*entries: Entry, **own: Any) -> WorkedDay:
    """Ines and Oda on bodypacks, a plug-on boom, and a stereo mix to two cameras.

    4 sources on 4 packs (3 bodypacks, 1 plug-on), 5 links of which 2 are stereo, 5 receivers, at
    3 destinations; two of the sources are in both scenes.
    """
    return worked(
        kit(
            transmitter(units=numbered("TX", 3), channels=2),
            transmitter("plug", ["TP1"], form="plug-on"),
            stereo_receiver(units=numbered("RX", 5)),
            *entries,
        ),
        plan(
            destination("rec"),
            destination("cam-a"),
            destination("cam-b"),
            source("ines"),
            source("oda"),
            source("boom", form="plug-on"),
            source("mix", ["cam-a", "cam-b"], channels=2),
            scene("1", "09:00-10:00", "ines boom mix"),
            scene("2", "09:30-11:00", "oda"),
            scene("3", "11:00-12:00", "ines boom"),
            **own,
        ),
    )


def line(day: WorkedDay, key: str) -> PackLine:
    """One line of the list."""
    return next(line for line in day.packing if line.key == key)


def keys(day: WorkedDay) -> list[str]:
    """Every line of the list."""
    return [line.key for line in day.packing]


# Units


def test_every_unit_in_use_is_on_the_list_and_no_other() -> None:
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], connector="TA5"),
            adapter("lead", connector="TA3", qty=2),
            receiver(units=["RX1", "RX2"]),
        ),
        plan(source("a", connector="TA3"), scene("1", "09:00-10:00", "a")),
    )
    assert keys(day)[:3] == ["TX1", "RX1", "lead#1"]
    assert {"TX2", "RX2", "lead#2"}.isdisjoint(keys(day))


def test_a_unit_says_for_whom_and_for_which_scenes_it_goes() -> None:
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver(modules=2)),
        plan(
            source("ines"),
            source("boom"),
            scene("12A", "09:00-10:00", "ines boom"),
            scene("14", "10:00-11:00", "boom"),
        ),
    )
    assert line(day, "TX1").why == "ines: scene 12A"
    assert line(day, "RX1").why == "ines, boom: scenes 12A, 14"


def test_a_unit_has_its_serial_its_owner_and_the_case_it_travels_in() -> None:
    """The unit's own case counts before its model's; a hire says whose."""
    units = [
        {"tag": "TX1", "serial": "SN-0417", "case": "pouch"},
        {"tag": "TX2", "owner": "hire-88", "due": "2027-03-20"},
    ]
    a_kit = kit(
        transmitter(units=[units[0]], case="bag", weight_g=62),
        receiver(),
        case("pouch"),
        case("bag"),
    )
    day = worked(a_kit, plan(source("a"), scene("1", "09:00-10:00", "a")))
    its = line(day, "TX1")
    assert (its.serial, its.owner, its.case, its.weight_g) == ("SN-0417", "own", "pouch", 62)


def test_a_units_checks_are_those_that_it_needs() -> None:
    """Power always; firmware where the kit wants a version; card where it records; cells."""
    day = worked(
        kit(
            transmitter(image="main", records=True, card="sd", connector="TA5"),
            adapter("lead", connector="TA3"),
            receiver(),
            firmware={"main": "5.2"},
        ),
        plan(source("a", connector="TA3"), scene("1", "09:00-10:00", "a")),
    )
    assert line(day, "TX1").checks == ("power", "firmware", "card", "cells")
    assert line(day, "RX1").checks == ("power", "cells")
    assert line(day, "lead#1").checks == ("contacts",)


def test_what_travels_with_a_model_goes_with_each_unit_of_it() -> None:
    """Two packs with a pouch each; the pouch is not wanted once more for the day."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], travels_with=["pouch"]),
            receiver(units=["RX1", "RX2"]),
            item("pouch", qty=5),
        ),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
    )
    assert (line(day, "item:pouch").qty, line(day, "item:pouch").why) == (2, "with TX1, TX2")


def test_what_travels_with_units_that_stay_home_stays_home() -> None:
    day = simple_day(
        transmitter("wide", ["TW1"], form="handheld", travels_with=["psu"]), item("psu")
    )
    assert "item:psu" not in keys(day)


def test_an_item_that_has_a_rule_too_goes_by_both() -> None:
    """One a day by its rule, and one with the receiver: 2."""
    day = worked(
        kit(
            transmitter(),
            receiver(travels_with=["lead"]),
            item("lead", per="day"),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert (line(day, "item:lead").qty, line(day, "item:lead").why) == (2, "1 per day; with RX1")


# Items by rule


@pytest.mark.parametrize(
    ("per", "number"),
    [
        ("day", 1),
        ("source", 4),
        ("link", 5),
        ("transmitter", 4),
        ("bodypack", 3),
        ("plug-on", 1),
        ("handheld", 0),
        ("boom-pack", 0),
        ("receiver", 5),
        ("stereo-link", 2),
        ("destination", 3),
        ("listener", 6),
    ],
)
def test_the_number_of_an_item_is_each_times_what_it_is_counted_by(per: str, number: int) -> None:
    """Two of it for each; none is no line."""
    day = two_cameras(item("thing", each=2, per=per, qty=99), listeners=6)
    assert [ln.qty for ln in day.packing if ln.key == "item:thing"] == [2 * number] * bool(number)


def test_a_destination_that_nothing_serves_yet_is_counted() -> None:
    """Its camera rolls all the same. One that no source of a scene goes to is not counted."""
    day = worked(
        kit(transmitter(), receiver(), item("timecode", per="destination")),
        plan(
            *(destination(id) for id in ("rec", "cam-a", "cam-b")),
            source("a", to=["rec", "cam-a"]),
            source("idle", to="cam-b"),
            scene("1", "09:00-10:00", "a"),
        ),
    )
    assert len(day.links) == 1
    assert line(day, "item:timecode").qty == 2


@pytest.mark.parametrize(
    ("spare", "qty"),
    [(0, 3), (0.1, 4), (0.34, 5), (1 / 3, 4), (0.99, 6)],  # 3 + ceil(3 x spare)
)
def test_spares_of_an_item_are_a_share_rounded_up(spare: float, qty: int) -> None:
    """3 bodypacks: 3 x 0.34 is 1.02, so two spare; 3 x 1/3 as written is just under one."""
    day = two_cameras(item("lav", per="bodypack", spare=spare))
    assert line(day, "item:lav").qty == qty


def test_an_item_says_its_rule() -> None:
    day = two_cameras(item("lav", per="bodypack", spare=0.5))
    assert line(day, "item:lav").why == "1 per bodypack (3), 2 spare"


def test_items_that_are_too_few_are_short() -> None:
    day = two_cameras(item("lav", name="Lavalier", per="bodypack", qty=2))
    assert [s.what for s in day.shortfalls if s.kind == "item"] == [
        "Lavalier: 3 to carry (1 per bodypack (3)), 2 held; 1 short"
    ]


# The remote that puts packs in standby


def asleep(*entries: Entry, between: str = "standby", gap: bool = True, **pack: Any) -> WorkedDay:
    """A pack of system d1 with a gap between its scenes, or without one."""
    second = "12:00-13:00" if gap else "10:00-11:00"
    return worked(
        kit(transmitter(**pack), receiver(), *entries),
        plan(
            source("a"),
            scene("1", "09:00-10:00", "a"),
            scene("2", second, "a"),
            between=between,
        ),
    )


REMOTE = item("remote", remote_for=["d1"])


def test_the_remote_goes_along_when_a_pack_is_planned_in_standby() -> None:
    remote = line(asleep(REMOTE, standby=0.15), "item:remote")
    assert (remote.qty, remote.why) == (1, "1 per day, for packs of d1 sleep between scenes")


def test_the_remote_stays_home_when_none_is() -> None:
    """Packs stay on; or have no standby; or have no gap to sleep in; or are of another system."""
    assert "item:remote" not in keys(asleep(REMOTE, standby=0.15, between="on"))
    assert "item:remote" not in keys(asleep(REMOTE))
    assert "item:remote" not in keys(asleep(REMOTE, standby=0.15, gap=False))
    other = item("remote", remote_for=["d2"])
    extra = transmitter("other", ["TX9"], form="handheld", system="d2", standby=0.1)
    assert "item:remote" not in keys(asleep(other, extra, standby=0.15))


def test_without_a_remote_in_the_kit_one_notice_says_by_hand() -> None:
    by_hand = "no remote for d1 in the kit: put packs in standby by hand"
    assert asleep(standby=0.15).notices.count(by_hand) == 1
    assert by_hand not in asleep(REMOTE, standby=0.15).notices
    assert by_hand not in asleep(standby=0.15, between="off").notices


# What goes by number


def test_cells_cards_and_packs_have_a_line_each_with_what_is_held() -> None:
    day = worked(
        kit(
            transmitter(records=True, card="sd", power=[cells(count=2, hours=9)]),
            receiver(power=[dc(11, 17, 20)]),
            thing("stock", cell="C", qty=20, case="bag"),
            thing("stock", card="sd", qty=3, capacity_gb=16, weight_g=2),
            thing("cell", type="C", source="made up", mass_g=17),
            thing("supply", id="batt", volts=[12, 12], wh=30, packs=4, weight_g=600),
            case("bag"),
        ),
        plan(
            destination("rec", supplies=["batt"]),
            source("a"),
            scene("1", "09:00-12:00", "a"),
            spare=1,
        ),
    )
    # A pair and a spare pair at 17 g; one card of 2 g; 60 Wh are two packs of 30 Wh at 600 g.
    assert [
        (line(day, key).qty, line(day, key).held, line(day, key).weight_g, line(day, key).case)
        for key in ("cells:C", "cards:sd", "supply:batt")
    ] == [(4, 20, 68, "bag"), (1, 3, 2, None), (2, 4, 1200, None)]
    assert line(day, "cells:C").why == "2 planned, 2 spare"


def test_lines_are_grouped_by_case_in_the_order_of_the_kit() -> None:
    """Cases z, then a; what has no case comes last."""
    items = (item("one", case="a"), item("two", case="z"), item("three"))
    day = simple_day(*items, case("z"), case("a"))
    assert [ln.case for ln in day.packing if ln.kind == "item"] == ["z", "a", None]


# Weight


def weighed(
    limit_kg: float | None,
    *weights: float | None,
    case_g: float | None = 500,
    others: Sequence[Entry] = (),
) -> WorkedDay:
    """Items of these weights, one of each, in one case; ``others`` are cases that are empty."""
    return simple_day(
        *(
            item(f"i{n}", case="bag", **({} if grams is None else {"weight_g": grams}))
            for n, grams in enumerate(weights)
        ),
        case("bag", weight_g=case_g, limit_kg=limit_kg),
        *others,
    )


def load(day: WorkedDay) -> CaseLoad:
    """The load of the case."""
    return next(load for load in day.cases if load.case == "bag")


def test_a_case_weighs_what_is_in_it_and_itself() -> None:
    """1500 + 2000 + 500 g."""
    assert load(weighed(4, 1500, 2000)) == CaseLoad("bag", "Bag", 4000, 4000, ())


@pytest.mark.parametrize(("last", "over"), [(500, False), (501, True)])
def test_a_case_may_weigh_its_limit_and_no_more(last: float, over: bool) -> None:
    """1500 + 2000 + 500 g, and 500 or 501 of the case, against 4.5 kg."""
    day = weighed(4.5, 1500, 2000, 500, case_g=last)
    assert [s.kind for s in day.shortfalls] == ["weight"] * over


def test_tenths_of_grams_add_up_in_decimal() -> None:
    """0.1 + 0.2 + 999.7 g in a case of 0 g are 1 kg and no more."""
    assert weighed(1, 0.1, 0.2, 999.7, case_g=0).ready


def test_the_shortfall_says_both_weights() -> None:
    day = weighed(3, 1500, 2000)
    assert [s.what for s in day.shortfalls] == [
        "Bag weighs 4.0 kg packed, over its 3 kg; no other case has room for 1.0 kg of it: take "
        "one more, or leave some"
    ]


@pytest.mark.parametrize(
    ("limit", "way"),
    [
        (1.5, "move 1.0 kg of it to Box"),  # 500 g of its own and 1000 g
        (1.4, "no other case has room for 1.0 kg of it: take one more, or leave some"),
    ],
)
def test_what_is_too_much_goes_to_a_case_that_has_room_for_it(limit: float, way: str) -> None:
    box = thing("case", id="box", name="Box", limit_kg=limit, weight_g=500)
    (said,) = weighed(3, 1500, 2000, others=[box]).shortfalls
    assert said.what == f"Bag weighs 4.0 kg packed, over its 3 kg; {way}"


def test_what_has_no_weight_is_named_and_not_guessed() -> None:
    """1500 g known, one item and the case unknown: 1500 g, and both are named."""
    assert load(weighed(4, 1500, None, case_g=None)) == CaseLoad(
        "bag", "Bag", 1500, 4000, ("i1", "the case itself")
    )


def test_what_has_no_case_is_weighed_together_without_a_limit() -> None:
    day = simple_day(item("loose", weight_g=40))
    (loose,) = [load for load in day.cases if load.case is None]
    assert (loose.name, loose.limit_g, loose.weight_g) == ("no case", None, 40)
    assert "loose" not in loose.unknown
    assert {"TX1", "RX1"} < set(loose.unknown)


def test_an_empty_case_is_not_weighed() -> None:
    assert [load.case for load in simple_day(case("empty")).cases] == [None]


# Stock in more cases than one


def cells_from(*stocks: tuple[str, int]) -> PackLine:
    """The line of D, six of which a pack takes, where so many lie in each case."""
    day = worked(
        kit(
            transmitter(power=[cells("D", count=6, hours=9)]),
            receiver(),
            case("a", name="Case A"),
            case("b", name="Case B"),
            thing("cell", type="D", source="made up"),
            *(thing("stock", cell="D", qty=qty, case=where) for where, qty in stocks),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    return line(day, "cells:D")


def test_cells_that_lie_in_two_cases_are_listed_where_most_lie_with_what_each_holds() -> None:
    told = cells_from(("a", 2), ("b", 20))
    assert (told.qty, told.case) == (6, "b")
    assert told.why == "6 planned, 0 spare; held: 20 in Case B, 2 in Case A"


def test_cells_that_lie_in_one_case_need_no_more_words() -> None:
    told = cells_from(("a", 20), ("b", 0))
    assert (told.case, told.why) == ("a", "6 planned, 0 spare")
