"""The three demo days, against answers worked out by hand from the rules of the design.

The arithmetic stands beside each figure: on + scenes + gaps x standby, in minutes of a fresh set.
What a day's solver may choose freely between equals (which module of a rack) is not looked at.
"""

from functools import cache

import pytest

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.definitions.text import clock
from kitprep.ledger.events import JobState
from kitprep.planning.day import work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.handovers import handovers
from kitprep.planning.results import WorkedDay
from kitprep.walks.out import moves

ALL = ("served", "modules", "cells", "units", "changes", "weight")


@cache
def day(number: int) -> WorkedDay:
    """A demo day, worked out once."""
    loaded = load_day(demo_plan(number))
    return with_one_failure(work_out(loaded.kit, loaded.plan))


def needs(number: int) -> dict[str, tuple[int, int, int]]:
    """By scene: links asked for in mono, in stereo, and the output channels of both."""
    return {n.scene.number: (n.mono, n.stereo, n.outputs) for n in day(number).scenes}


def packs(number: int) -> dict[str, str]:
    """By source: its transmitter, with its adapter."""
    return {
        link.source: link.transmitter + (f" + {link.adapter}" if link.adapter else "")
        for link in day(number).links
    }


def receivers(number: int) -> dict[str, set[str]]:
    """By source: the receivers that hear it, each with where it stands."""
    found: dict[str, set[str]] = {}
    for link in day(number).links:
        found.setdefault(link.source, set()).add(f"{link.receiver} at {link.destination}")
    return found


def inputs(number: int) -> dict[str, tuple[int, ...]]:
    """By source and destination: its inputs."""
    return {f"{link.source} at {link.destination}": link.inputs for link in day(number).links}


def changes(number: int) -> list[tuple[str, str, str]]:
    """Each planned change: the unit, before which scene, by when."""
    return [(change.unit, change.before, clock(change.by)) for change in day(number).changes]


def cells(number: int) -> dict[str, tuple[int, int, int, int, int]]:
    """By type: planned, spare, carry, have, short."""
    return {c.cell: (c.planned, c.spare, c.carry, c.have, c.short) for c in day(number).cells}


def counted(number: int, kind: str) -> dict[str, tuple[int, int]]:
    """Lines of a kind by model: how many are needed and how many are held."""
    return {line.model: (line.qty, line.held) for line in day(number).packing if line.kind == kind}


def units(number: int) -> list[str]:
    """Every tagged or numbered unit of the packing list."""
    kinds = ("transmitter", "receiver", "adapter")
    return [line.key for line in day(number).packing if line.kind in kinds]


def weight(number: int) -> float:
    """Grams of those."""
    return sum(line.weight_g or 0 for line in day(number).packing if line.key in units(number))


@pytest.mark.parametrize("number", [1, 2, 3])
def test_every_order_of_the_choice_is_proven(number: int) -> None:
    assert day(number).proven == ALL


@pytest.mark.parametrize("number", [1, 2, 3])
def test_no_source_changes_its_module(number: int) -> None:
    modules: dict[tuple[str, str], set[tuple[str, int]]] = {}
    for link in day(number).links:
        modules.setdefault((link.source, link.destination), set()).add((link.receiver, link.module))
    assert all(len(places) == 1 for places in modules.values())


# ---- day 1: everything works


def test_day_1_is_ready() -> None:
    assert day(1).ready
    assert day(1).shortfalls == ()
    assert day(1).hire == ()


def test_day_1_scenes_ask_for_mono_stereo_and_outputs() -> None:
    # A stereo link takes two outputs.
    assert needs(1) == {
        "12A": (3, 0, 3),
        "12B": (5, 0, 5),
        "14": (4, 0, 4),
        "15": (3, 1, 5),
        "21": (3, 1, 5),
        "22": (3, 1, 5),
    }


def test_day_1_packs_links_and_peak_are_three_numbers() -> None:
    # Links: 3 + 5 + 4 + 4 + 4 + 4 = 24. Peak: the five of 12B.
    peak = day(1).peak
    assert (peak.packs, peak.links, peak.modules) == (7, 24, 5)


def test_day_1_gives_each_source_its_pack() -> None:
    # The band's pack and adapter pass on: free at 12:30, wanted by the mix at 14:30.
    assert packs(1) == {
        "ines": "TX01",
        "marek": "TX11",
        "oda": "TX02",
        "boom": "TX41",
        "crate": "TX21",
        "auction": "TX31",
        "band": "TX12 + AD1",
        "mix": "TX12 + AD1",
    }


def test_day_1_needs_the_rack_one_portable_and_one_on_the_camera() -> None:
    # Five links at once at the recorder in 12B and the rack has four modules; a rack does not hang
    # on a camera, and only bag-rx-s is stereo there.
    assert set().union(*receivers(1).values()) == {
        "RX01 at recorder",
        "RX21 at recorder",
        "RX11 at cam-a",
    }
    assert receivers(1)["ines"] == {"RX01 at recorder"}
    assert receivers(1)["mix"] == {"RX11 at cam-a"}


def test_day_1_fills_the_recorders_eight_inputs() -> None:
    # The fixed one first, then in the order written, the lowest free.
    assert inputs(1) == {
        "boom at recorder": (1,),
        "ines at recorder": (2,),
        "marek at recorder": (3,),
        "oda at recorder": (4,),
        "crate at recorder": (5,),
        "auction at recorder": (6,),
        "band at recorder": (7, 8),
        "mix at cam-a": (1, 2),
    }


def test_day_1_changes_three_sets() -> None:
    # A slim pack lasts 6 h x 60 x 0.8 = 288, a boom pack 480 and a long pack 480, or 360 in stereo.
    # TX01: 30 + 75 + 15/4 + 60 + 15/4 + 60 + 195/4 = 281.25, and 90 more is past 288.
    # TX02: 30 + 60 + 15/4 + 60 + 15/4 + 60 + 120/4 = 247.5, and 90 more is past 288.
    # TX41: no standby; on from 07:00, so dead at 15:00, within scene 21.
    # TX11: 30 + 75 + 3 + 60 + 18 + 60 + 45 + 90 = 381 of 480.
    # TX12: 30 + 60 + 24 + 90 + 3 + 90 = 297 of 360.
    # TX21: 30 + 60 = 90 of 384. TX31: 30 + 60 = 90 of 312.
    assert changes(1) == [("TX01", "21", "14:30"), ("TX02", "21", "14:30"), ("TX41", "21", "14:30")]


def test_day_1_carries_cells_in_whole_sets() -> None:
    # CR123A: two sets in each of TX01 and TX02, and ceil(2/4) spare.
    # FR6 in pairs: TX11, TX12, TX21 one set, TX41 two, ceil(4/4) spare: (5 + 1) x 2 = 12. In fours:
    # RX11, for cam-a has no supply, 195 min of 384; (1 + 1) x 4 = 8.
    # HR6 in pairs: TX31 and one spare set.
    assert cells(1) == {
        "CR123A": (4, 1, 5, 7, 0),
        "FR6": (14, 6, 20, 32, 0),
        "HR6": (2, 2, 4, 8, 0),
    }


def test_day_1_hangs_two_receivers_on_the_bag() -> None:
    # (2 + 15) W / 0.85 = 20 W; 98 Wh x 0.8 / 20 W = 3.92 h a pack; 07:30 to 17:45 is 10.25 h, so 3.
    (bag,) = day(1).supplies
    assert (bag.id, bag.packs, bag.have, bag.short, bag.outlets) == ("bag", 3, 4, 0, 2)
    assert bag.load_w == pytest.approx(20.0)
    assert bag.hours_per_pack == pytest.approx(3.92)


def test_day_1_swaps_its_packs_between_scenes() -> None:
    # 235 min a pack from 07:30: 11:25 = 685, in the gap before scene 15. The second is empty at
    # 15:20 in scene 21, so it is swapped before that, by 14:30 = 870. The third lasts 195 min.
    found = [(s.supply, s.before, s.by, s.mid_scene, s.units) for s in day(1).supplies[0].swaps]
    assert found == [
        ("bag", "15", 685, False, ("RX01", "RX21")),
        ("bag", "21", 870, False, ("RX01", "RX21")),
    ]


def test_day_1_hands_on_the_stereo_pack_at_lunch() -> None:
    # The dance ends at 12:30 = 750; scene 21 is at 14:30, its lead 30 min: on 14:00 = 840.
    (pack,) = handovers(day(1))
    assert (pack.unit, pack.adapter, pack.source, pack.to) == ("TX12", "AD1", "band", "mix")
    assert (pack.off, pack.on, pack.minutes, pack.before) == (750, 840, 90, "21")


def test_day_1_records_on_four_cards() -> None:
    # The longest is TX12 in stereo, 11:30 to 17:45: 375 x 60 x 48 000 x 3 x 2 = 6.48 GB of 16.
    assert [(c.name, c.carry, c.have, c.short) for c in day(1).cards] == [("mini-sd", 4, 8, 0)]


def test_day_1_cables_follow_each_modules_widest_link() -> None:
    # The rack's four modules: three in mono, one that the band makes stereo: 3 + 2 leads.
    found = {c.name: (c.carry, c.have, c.short) for c in day(1).cables}
    assert found == {"xlr-lead": (5, 10, 0), "ta3-xlr": (1, 4, 0), "ta5-split": (1, 3, 0)}


def test_day_1_updates_firmware_image_by_image() -> None:
    found = [(f.image, f.want, f.units) for f in day(1).firmware]
    assert found == [("boom", "5.2", ("TX41",)), ("main", "5.2", ("TX02",))]


def test_day_1_carries_eleven_units() -> None:
    # 2 x 62 + 2 x 110 + 165 + 310 + 125 = 944; AD1 28; 190 + 260 + 2900 = 3350.
    assert len(units(1)) == 7 + 1 + 3
    assert weight(1) == 944 + 28 + 3350


def test_day_1_items_go_by_their_rules() -> None:
    # 4 bodypacks, 7 transmitters, 3 receivers, 2 destinations, 2 stereo routes, 6 listeners.
    items = counted(1, "item")
    assert items["lav"] == (4 + 2, 14)
    assert items["lav-mount"] == (8 + 4, 30)
    assert items["tx-antenna"] == (7 + 2, 16)
    assert items["rx-antenna"] == (6 + 2, 16)
    assert items["dc-lead"] == (3 + 1, 8)
    assert items["timecode-lead"] == (2 + 1, 6)
    assert items["listener-unit"] == (6 + 2, 10)
    assert items["line-lead"] == (2, 8)
    assert items["rack-psu"] == (1, 1)
    assert items["pack-remote"] == (1, 1)


def test_day_1_one_failure() -> None:
    # There is one handheld. Without the rack every portable together makes 23 of 24.
    # TX03 stands in for any bodypack, for marek can go to a slim one and leave his long pack.
    found = day(1)
    assert {point.unit for point in found.single_points} == {"TX31", "RX21"}
    assert set(found.spares) == {"TX03", "TX22", "AD2", "RX12"}


# ---- day 2: short of several things


def test_day_2_scenes_ask_for_mono_stereo_and_outputs() -> None:
    assert needs(2) == {
        "31": (3, 2, 7),
        "T4": (2, 0, 2),
        "32": (4, 0, 4),
        "33": (5, 2, 9),
        "T5": (1, 1, 3),
        "34": (3, 3, 9),
    }


def test_day_2_serves_22_links_of_26() -> None:
    # The mix does not reach B camera in 31, 33 and 34; the wake in 34 has no chain at all.
    assert day(2).peak.links == 5 + 2 + 4 + 7 + 2 + 6
    unserved = [(u.scene, u.source, u.destination) for n in day(2).scenes for u in n.unserved]
    assert unserved == [
        ("31", "mix", "cam-b"),
        ("33", "mix", "cam-b"),
        ("34", "mix", "cam-b"),
        ("34", "wake", "recorder"),
    ]
    priority = {source.id: source.priority for source in day(2).plan.sources}
    served = [priority[link.source] for link in day(2).links]
    assert [served.count(n) for n in (1, 2, 3)] == [17, 3, 2]


def test_day_2_says_all_that_is_short() -> None:
    found = [(s.kind, s.scene) for s in day(2).shortfalls]
    assert found == [
        ("link", "31"),
        ("link", "33"),
        ("link", "34"),
        ("link", "34"),
        ("cell", "T4"),
        ("cell", None),
        ("item", None),
    ]
    assert not day(2).ready


def test_day_2_names_the_requirement_that_nothing_meets() -> None:
    reason = next(u.reason for n in day(2).scenes for u in n.unserved if u.source == "wake")
    assert reason == "no bodypack or plug-on here gives P48 in stereo"


def test_day_2_is_mended_by_one_stereo_receiver() -> None:
    found = [(hire.model, hire.qty, hire.scenes) for hire in day(2).hire]
    assert found == [("bag-rx-s", 1, ("31", "33", "34"))]


def test_day_2_gives_each_source_its_pack() -> None:
    # The loudspeaker's padded input fits a slim pack too, and a slim pack is lighter.
    assert packs(2) == {
        "ines": "TX01",
        "marek": "TX11",
        "oda": "TX02",
        "boom": "TX41",
        "tannoy": "TX03 + xlr-input#1",
        "mix": "TX12 + AD1",
        "brenna": "TX04",
        "boom-2": "TX21",
        "shanty": "TX13 + AD2",
    }


def test_day_2_wants_one_module_more_than_it_has() -> None:
    # The trawler's bag takes portables alone: the shanty in stereo, the second boom beside it.
    # At 14:00 to 15:00 and 15:20 to 15:45 nine modules are wanted, and B camera's is not there.
    assert receivers(2)["shanty"] == receivers(2)["brenna"] == {"RX12 at bag-2"}
    assert receivers(2)["boom-2"] == {"RX02 at bag-2"}
    assert receivers(2)["mix"] == {"RX11 at cam-a"}
    assert day(2).peak.packs == 9
    assert day(2).peak.modules == 9


def test_day_2_gives_inputs_in_the_order_written() -> None:
    assert inputs(2) == {
        "boom at recorder": (1,),
        "ines at recorder": (2,),
        "marek at recorder": (3,),
        "oda at recorder": (4,),
        "tannoy at recorder": (5,),
        "mix at cam-a": (1, 2),
        "brenna at bag-2": (2,),
        "boom-2 at bag-2": (1,),
        "shanty at bag-2": (3, 4),
    }


def test_day_2_changes_five_sets_one_of_them_at_sea() -> None:
    # TX04: on from 09:00, 288 min, dead at 13:48 in a scene that lasts until 15:00.
    # TX01: 30 + 120 + 15/4 + 90 + 135/4 = 277.5, and 105 more is past 288.
    # TX41: on from 07:30, dead at 15:30, within scene 33.
    # TX21: a plug-on lasts 384; 30 + 330 + 20 = 380, and 60 more is past it.
    # TX12: 30 + 120 + 48 + 105 + 9 = 312, and 90 more is past 360.
    # TX11: 30 + 120 + 48 + 105 + 9 + 90 = 402 of 480. TX13: 30 + 60 = 90 of 360.
    # TX02 and TX03: 30 + 90 + 135/4 + 105 = 258.75 of 288.
    assert changes(2) == [
        ("TX04", "T4", "13:48"),
        ("TX01", "33", "14:00"),
        ("TX41", "33", "14:00"),
        ("TX21", "T5", "15:20"),
        ("TX12", "34", "16:30"),
    ]
    assert [change.unit for change in day(2).changes if change.mid_scene] == ["TX04"]


def test_day_2_is_one_cell_short() -> None:
    # CR123A: TX01 two sets, TX02 and TX03 one, ceil(3 x 0.25) spare; at sea TX04 two, ceil(0.25)
    # spare: 6 + 2, 7 held. FR6 in pairs: TX11 1, TX41 2, TX12 2, ceil(3 x 0.25) spare; at sea
    # TX21 2, TX13 1, ceil(2 x 0.25) spare: (8 + 2) x 2 = 20.
    assert cells(2) == {"CR123A": (6, 2, 8, 7, 1), "FR6": (16, 4, 20, 32, 0)}


def test_day_2_spreads_its_receivers_over_three_supplies() -> None:
    # Mains in the chandlery, 08:00 to 15:45: 2 + 15 W of 60. On the quay those two hang on the bag:
    # 17 / 0.85 = 20 W, 78.4 Wh give 3.92 h, 16:30 to 18:00 is 1.5 h. A pack of its own for the
    # splinter unit: (3.4 + 2) / 0.85 = 6.353 W, 12.34 h, 09:30 to 16:20 is 6.83 h. Camera:
    # 3.4 / 0.85 = 4 W, 19.6 h; 08:00 to 18:00 is 10 h.
    found = {s.id: s for s in day(2).supplies}
    assert {s.id: (s.packs, s.have, s.short, s.outlets) for s in day(2).supplies} == {
        "cart-mains": (0, 0, 0, 2),
        "bag": (2, 4, 0, 4),
        "cam-a-tap": (1, 1, 0, 1),
    }
    assert found["cart-mains"].load_w == pytest.approx(17.0)
    assert (found["cart-mains"].on, found["cart-mains"].off) == (480, 945)
    assert found["bag"].load_w == pytest.approx((5.4 + 17) / 0.85)
    assert found["bag"].hours_per_pack == pytest.approx(3.92)
    assert [(c.destinations, c.packs) for c in found["bag"].courses] == [
        (("recorder",), 1),
        (("bag-2",), 1),
    ]
    assert found["cam-a-tap"].load_w == pytest.approx(4.0)
    assert found["cam-a-tap"].hours_per_pack == pytest.approx(19.6)


def test_day_2_needs_no_mains_on_the_quay_and_takes_its_power_supply_from_the_chandlery() -> None:
    move = next(m for m in moves(day(2), JobState()) if m.coming.place == "quay")
    assert move.leaving.place == "chandlery"
    assert not [need for need in move.needs if "mains" in need]
    plugged = {line.key: line.with_whom for line in move.lines if line.where == "plugged in"}
    assert plugged == {"supply:cart-mains": "RX01, RX21", "supply:cam-a-tap": "RX11"}


def test_day_2_records_on_seven_cards() -> None:
    # Seven packs that record. TX12 from 08:00 to 18:00: 600 x 60 x 48 000 x 3 x 2 = 10.368 GB.
    assert [(c.name, c.carry, c.have, c.short) for c in day(2).cards] == [("mini-sd", 7, 8, 0)]


def test_day_2_cables_follow_each_modules_widest_link() -> None:
    found = {c.name: (c.carry, c.have, c.short) for c in day(2).cables}
    assert found == {"xlr-lead": (4, 10, 0), "ta3-xlr": (2, 4, 0), "ta5-split": (2, 3, 0)}


def test_day_2_updates_firmware_image_by_image() -> None:
    found = [(f.image, f.want, f.units) for f in day(2).firmware]
    assert found == [("boom", "5.2", ("TX41",)), ("main", "5.2", ("TX02",))]


def test_day_2_carries_seventeen_units() -> None:
    # 4 x 62 + 3 x 110 + 165 + 125 = 868; 2 x 28 + 22 = 78; 2 x 190 + 2 x 260 + 2900 = 3800.
    assert len(units(2)) == 9 + 3 + 5
    assert weight(2) == 868 + 78 + 3800


def test_day_2_items_go_by_their_rules() -> None:
    # 7 bodypacks, 9 transmitters, 5 receivers, 2 stereo routes that are served, 12 listeners.
    items = counted(2, "item")
    assert items["lav"] == (7 + 4, 14)
    assert items["lav-mount"] == (14 + 7, 30)
    assert items["tx-antenna"] == (9 + 3, 16)
    assert items["rx-antenna"] == (10 + 3, 16)
    assert items["dc-lead"] == (5 + 2, 8)
    assert items["listener-unit"] == (12 + 3, 10)
    assert items["line-lead"] == (2, 8)


def test_day_2_carries_timecode_for_b_camera_too() -> None:
    # Four destinations in the day plan; whether its link is served, B camera rolls.
    assert counted(2, "item")["timecode-lead"] == (4 + 1, 6)


def test_day_2_loads_the_cart_case_within_its_limit() -> None:
    # 5200 + RX21 2900 + leads 4 x 90 + mains 1400 + 2 x 310 + 650 + 2 x 1100 + 240 = 13 570 g.
    cart = next(load for load in day(2).cases if load.case == "cart-case")
    assert (cart.weight_g, cart.limit_g, cart.unknown) == (13_570, 23_000, ())


def test_day_2_one_failure() -> None:
    """What is at home: TX05, TX14, TX22, TX31, RX03, xlr-input#2; none of it is at both units.

    Nothing like AD1, AD2, RX11, RX12 or RX21 is at home. On the cart TX22 would cover TX41 (boom,
    4 links) and RX03 RX01 (4 links); on the trawler TX21 and RX02 (boom-2, 2 links each): the cart
    has them. Of TX05 and TX14 either covers the bodypacks of the cart (Marek takes any, and so does
    the loudspeaker); on the trawler Brenna's TX04 wants TX05 and the shanty's TX13 wants TX14, one
    link each: the cart has the first, so TX04 is not covered.
    """
    found = day(2)
    nothing_like_it = {"AD1", "AD2", "RX11", "RX12", "RX21"}
    assert {p.unit for p in found.single_points} == nothing_like_it | {"TX21", "RX02", "TX04"}
    assert set(found.spares) == {"RX03", "TX05", "TX14", "TX22", "xlr-input#2"}
    assert found.notices[-1] == (
        "parts of a split unit share no spares: TX05, TX22, xlr-input#2, RX03 with Recorder on the "
        "cart and A camera; TX14 with Splinter recorder, in the bag"
    )


# ---- day 3: long, cold, past midnight


def test_day_3_is_ready() -> None:
    assert day(3).ready
    assert day(3).hire == ()


def test_day_3_scenes_ask_for_mono_stereo_and_outputs() -> None:
    assert needs(3) == {
        "41": (4, 0, 4),
        "42": (3, 1, 5),
        "43": (4, 1, 6),
        "44": (4, 1, 6),
        "45": (4, 1, 6),
    }
    peak = day(3).peak
    assert (peak.packs, peak.links, peak.modules) == (7, 4 + 4 + 5 + 5 + 5, 5)


def test_day_3_gives_each_source_its_pack() -> None:
    # Oda's oilskins take any pack, and a long one spares her two changes in the cold.
    assert packs(3) == {
        "ines": "TX01",
        "marek": "TX11",
        "oda": "TX12",
        "boom": "TX41",
        "stove": "TX21",
        "brenna": "TX13",
        "mix": "TX14 + AD1",
    }


def test_day_3_takes_a_portable_beside_the_rack_so_that_nobody_changes_module() -> None:
    # Four links at once at the recorder at most, and the rack has four modules. But brenna would
    # take in 44 the module that ines wants again in 45; no change of module comes before few units.
    assert set().union(*receivers(3).values()) == {
        "RX01 at recorder",
        "RX21 at recorder",
        "RX11 at cam-a",
    }


def test_day_3_gives_inputs_in_the_order_written() -> None:
    assert inputs(3) == {
        "boom at recorder": (1,),
        "ines at recorder": (2,),
        "marek at recorder": (3,),
        "oda at recorder": (4,),
        "stove at recorder": (5,),
        "brenna at recorder": (6,),
        "mix at cam-a": (1, 2),
    }


def test_day_3_changes_seven_sets_in_the_cold() -> None:
    # At -12 °C CR123A keep 0.65 + 0.25 x 8/20 = 0.75 and FR6 0.70 + 0.25 x 8/20 = 0.80: a slim pack
    # lasts 216, a long one 384, or 288 in stereo, a boom pack 384, a plug-on 307.2.
    # TX01: 30 + 120 + 20/4 = 155, and 100 more is past 216; fresh, 100 + 105/4 = 126.25, and 120
    # more is past it; fresh, 120 + 150/4 = 157.5, and 135 more is past it.
    # TX41: on from 12:30, dead at 18:54 in 43; fresh at 18:45, dead at 25:09 in 45.
    # TX11: 30 + 120 + 45 + 120 + 4 = 319, and 90 more is past 384; then 90 + 8 + 135 = 233.
    # TX14: 30 + 100 + 21 + 120 + 4 = 275, and 90 more is past 288; then 233.
    # TX12: 30 + 100 + 21 + 120 + 4 + 90 = 365 of 384. TX13: 30 + 90 + 8 + 135 = 263 of 384.
    # TX21: 30 + 120 = 150 of 307.2.
    assert changes(3) == [
        ("TX01", "42", "15:20"),
        ("TX01", "43", "18:45"),
        ("TX41", "43", "18:45"),
        ("TX11", "44", "21:05"),
        ("TX14", "44", "21:05"),
        ("TX01", "45", "23:15"),
        ("TX41", "45", "23:15"),
    ]
    assert not any(change.mid_scene for change in day(3).changes)


def test_day_3_carries_cells_in_whole_sets() -> None:
    # CR123A: four sets in TX01 and one spare.
    # FR6 in pairs: TX11 2, TX12 1, TX13 1, TX14 2, TX21 1, TX41 3, ceil(6/4) spare: (10 + 2) x 2.
    assert cells(3) == {"CR123A": (4, 1, 5, 7, 0), "FR6": (20, 4, 24, 32, 0)}


def test_day_3_takes_every_pack_of_the_bag() -> None:
    # 20 W again: 3.92 h a pack; 13:00 to 25:30 is 12.5 h, so 4. Camera: 4 W for 10.17 h.
    found = {s.id: (s.packs, s.have, s.short, s.outlets) for s in day(3).supplies}
    assert found == {"bag": (4, 4, 0, 2), "cam-a-tap": (1, 1, 0, 1)}


def test_day_3_records_on_five_cards() -> None:
    # TX14 from 15:20 to 25:30: 610 x 60 x 48 000 x 3 x 2 = 10.541 GB.
    assert [(c.name, c.carry, c.have, c.short) for c in day(3).cards] == [("mini-sd", 5, 8, 0)]


def test_day_3_cables_follow_each_modules_widest_link() -> None:
    found = {c.name: (c.carry, c.have, c.short) for c in day(3).cables}
    assert found == {"xlr-lead": (4, 10, 0), "ta3-xlr": (1, 4, 0), "ta5-split": (1, 3, 0)}


def test_day_3_updates_only_what_it_uses() -> None:
    # TX02 wants an update, and stays at home.
    assert [(f.image, f.units) for f in day(3).firmware] == [("boom", ("TX41",))]


def test_day_3_carries_eleven_units() -> None:
    # 62 + 4 x 110 + 165 + 125 = 792; AD1 28; 190 + 260 + 2900 = 3350.
    assert len(units(3)) == 7 + 1 + 3
    assert weight(3) == 792 + 28 + 3350


def test_day_3_items_go_by_their_rules() -> None:
    # 5 bodypacks, 7 transmitters, 3 receivers, 2 destinations, 1 stereo route, 3 listeners.
    items = counted(3, "item")
    assert items["lav"] == (5 + 3, 14)
    assert items["lav-mount"] == (10 + 5, 30)
    assert items["tx-antenna"] == (7 + 2, 16)
    assert items["rx-antenna"] == (6 + 2, 16)
    assert items["dc-lead"] == (3 + 1, 8)
    assert items["timecode-lead"] == (2 + 1, 6)
    assert items["listener-unit"] == (3 + 1, 10)
    assert items["line-lead"] == (1, 8)


def test_day_3_one_failure() -> None:
    # The portable is there for comfort: without it the rack serves every link. Without the rack
    # three more portables do.
    found = day(3)
    assert found.single_points == ()
    assert set(found.spares) == {"TX02", "TX22", "AD2", "RX02", "RX03", "RX12"}
