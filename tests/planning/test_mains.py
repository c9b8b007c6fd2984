"""R7: mains is counted on only where the plan has it."""

from typing import Any

from kitprep.planning.day import work_out
from kitprep.planning.remedies import remedies
from kitprep.planning.results import WorkedDay

from .building import (
    Entry,
    cells,
    dc,
    destination,
    kit,
    plan,
    receiver,
    scene,
    source,
    thing,
    transmitter,
    worked,
)

RACK = receiver(power=[dc(10, 18, 15)])
WALL = thing("supply", id="wall", name="Cart supply", mains=True, volts=[12, 12], watts=60)
BAG = thing("supply", id="bag", name="Bag", volts=[14.4, 14.4], wh=98, packs=4)


def loft_and_quay(
    *entries: Entry, reach: tuple[str, ...] = ("wall", "bag"), **own: Any
) -> WorkedDay:
    """One receiver, 09:00-12:00 in the loft and 14:00-16:00 on the quay."""
    return worked(
        kit(transmitter(), *entries),
        plan(
            destination("rec", supplies=[*reach]),
            source("a"),
            scene("1", "09:00-12:00", "a", place="loft"),
            scene("2", "14:00-16:00", "a", place="quay"),
            **own,
        ),
    )


def on(day: WorkedDay) -> dict[str, tuple[int, int]]:
    """By supply: from which minute to which."""
    return {load.id: (load.on, load.off) for load in day.supplies}


def short(day: WorkedDay) -> list[str]:
    return [s.what for s in day.shortfalls]


def test_a_receiver_that_moves_takes_the_mains_where_it_is_and_the_next_supply_elsewhere() -> None:
    """Mains in the loft, 540 to 720; 15 W x 2 h = 30 of 98 Wh on the quay, 840 to 960."""
    day = loft_and_quay(RACK, WALL, BAG, mains_at=["loft"])
    assert on(day) == {"wall": (540, 720), "bag": (840, 960)}
    assert [load.packs for load in day.supplies] == [0, 1]
    assert [load.scenes for load in day.supplies] == [("1",), ("2",)]
    assert short(day) == []
    assert not [notice for notice in day.notices if "mains" in notice]


def test_with_mains_at_every_place_it_stays_on_the_mains() -> None:
    assert on(loft_and_quay(RACK, WALL, BAG, mains_at=["loft", "quay"])) == {"wall": (540, 960)}


def test_with_mains_nowhere_it_is_on_the_next_supply_all_day() -> None:
    assert on(loft_and_quay(RACK, WALL, BAG, mains_at=[])) == {"bag": (540, 960)}


def test_where_the_plan_does_not_say_where_there_is_mains_it_tells_where_it_counts_on_it() -> None:
    day = loft_and_quay(RACK, WALL, BAG)
    assert on(day) == {"wall": (540, 960)}
    assert (
        "Cart supply: mains is counted on at loft, quay; ask whether there is any, and write "
        "mains_at"
    ) in day.notices


def test_a_plan_that_counts_on_no_mains_asks_for_none() -> None:
    day = loft_and_quay(RACK, BAG, reach=("bag",))
    assert not [notice for notice in day.notices if "mains" in notice]


def test_without_another_supply_it_is_short_there_and_what_would_mend_it_is_said() -> None:
    day = loft_and_quay(RACK, WALL, BAG, reach=("wall",), mains_at=["loft"])
    assert short(day) == [
        "RX1 at rec has no power in scene 2: it runs on 10 to 18 V DC alone, and there is no mains "
        "for Cart supply at quay; a DC lead from Bag (14.4 V, 1 outlet free) would mend it"
    ]


def test_mains_is_no_remedy_where_there_is_none() -> None:
    day = loft_and_quay(RACK, WALL, reach=(), mains_at=[])
    assert short(day) == [
        "RX1 at rec has no power in scenes 1, 2: it runs on 10 to 18 V DC alone, and no supply is "
        "in reach there; no supply of the kit would mend it: bring a power supply where there is "
        "mains, or a pack and a DC lead, for 10 to 18 V DC and 15 W"
    ]


def test_a_receiver_with_cells_runs_on_them_where_there_is_no_mains() -> None:
    """On a cell from 14:00 to 16:00, and on the mains before."""
    portable = receiver(power=[dc(10, 18, 3), cells(hours=10)])
    day = loft_and_quay(portable, WALL, reach=("wall",), mains_at=["loft"])
    (fed,) = [feed for feed in day.feeds if feed.unit == "RX1"]
    assert (fed.on, fed.off, on(day)) == (840, 960, {"wall": (540, 720)})


def test_a_scene_without_a_place_is_at_none_with_mains() -> None:
    day = worked(
        kit(transmitter(), RACK, WALL, BAG),
        plan(
            destination("rec", supplies=["wall", "bag"]),
            source("a"),
            scene("1", "09:00-12:00", "a"),
            mains_at=[],
        ),
    )
    assert on(day) == {"bag": (540, 720)}


def test_a_mains_supply_is_at_one_part_of_a_split_unit() -> None:
    """Cart in the loft and bag on the quay at the same time: the wall is the cart's."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver(units=["RX1", "RX2"], power=[dc(10, 18, 3), cells(hours=10)]),
            thing("supply", id="wall", mains=True, volts=[12, 12], watts=60, outlets=4),
        ),
        plan(
            destination("cart", supplies=["wall"]),
            destination("bag", supplies=["wall"]),
            source("a", "cart"),
            source("b", "bag"),
            scene("1", "09:00-12:00", "a", place="loft"),
            scene("2", "11:00-13:00", "b", place="quay"),
        ),
    )
    assert [load.units for load in day.supplies] == [("RX1",)]
    assert "RX2" in {feed.unit for feed in day.feeds}


def test_the_remedy_for_it_is_tried_and_powers_the_scenes_without_mains() -> None:
    day = loft_and_quay(RACK, WALL, BAG, reach=("wall",), mains_at=["loft"])
    assert day.unfed == ("RX1",)
    (remedy,) = remedies(day, work_out)
    assert (remedy.what, remedy.powers) == ("a DC lead from Bag to rec", ("RX1",))
    assert (remedy.new_short, remedy.still_short) == ((), ())


def test_a_receiver_that_finds_no_outlet_on_the_mains_is_on_its_cells_once_all_day() -> None:
    """One outlet, two receivers: RX2 runs on one cell from 09:00 to 16:00, loft and quay."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver(units=["RX1", "RX2"], power=[dc(10, 18, 3), cells(hours=10)]),
            WALL,
        ),
        plan(
            destination("rec", supplies=["wall"]),
            source("a"),
            source("b"),
            scene("1", "09:00-12:00", "a b", place="loft"),
            scene("2", "14:00-16:00", "a b", place="quay"),
            mains_at=["loft"],
        ),
    )
    fed = [(feed.unit, feed.on, feed.off) for feed in day.feeds if feed.unit.startswith("RX")]
    assert sorted(fed) == [("RX1", 840, 960), ("RX2", 540, 960)]


def quay_house_quay(*entries: Entry, reach: tuple[str, ...]) -> WorkedDay:
    """Quay 08:00-09:00, the house with mains 09:30-17:30, the quay again 18:00-19:00."""
    return worked(
        kit(transmitter(), *entries),
        plan(
            destination("rec", supplies=[*reach]),
            source("a"),
            scene("1", "08:00-09:00", "a", place="quay"),
            scene("2", "09:30-17:30", "a", place="house"),
            scene("3", "18:00-19:00", "a", place="quay"),
            mains_at=["house"],
        ),
    )


def test_a_pack_gives_nothing_while_the_receiver_is_on_the_mains() -> None:
    """15 W x (1 + 1) h on the quay are 30 of 78 Wh: one pack and no swap, not 11 h and three."""
    bag = thing("supply", id="bag", volts=[14.4, 14.4], wh=78, packs=1)
    day = quay_house_quay(RACK, WALL, bag, reach=("wall", "bag"))
    (load,) = [load for load in day.supplies if load.id == "bag"]
    assert (load.packs, load.swaps, load.on, load.off) == (1, (), 480, 1140)
    assert short(day) == []


def test_a_set_gives_nothing_while_the_receiver_is_on_the_mains() -> None:
    """(1 + 1) h of a set of 4 h: no change in the 11 h from first to last scene."""
    portable = receiver(power=[dc(10, 18, 3), cells("D", 4, hours=4)])
    stock = (thing("cell", type="D", source="made up"), thing("stock", cell="D", qty=4))
    day = quay_house_quay(portable, WALL, *stock, reach=("wall",))
    (fed,) = [feed for feed in day.feeds if feed.unit == "RX1"]
    assert (fed.changes, fed.on, fed.off) == ((), 480, 1140)
    assert short(day) == []


def test_through_a_gap_in_which_it_stays_on_the_pack_the_receiver_draws() -> None:
    """No mains at all: 08:00-19:00 on the bag, 11 h x 15 W = 165 of 78 Wh a pack: three."""
    bag = thing("supply", id="bag", volts=[14.4, 14.4], wh=78, packs=3)
    day = quay_house_quay(RACK, bag, reach=("bag",))
    assert [load.packs for load in day.supplies] == [3]


def test_mains_at_another_part_is_not_mended_by_one_more_outlet() -> None:
    """The wall has four outlets, one in use, and is in the loft; the quay has a bag in the kit."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver(units=["RX1", "RX2"], power=[dc(10, 18, 3)]),
            thing(
                "supply", id="wall", name="Wall", mains=True, volts=[12, 12], watts=60, outlets=4
            ),
            BAG,
        ),
        plan(
            destination("cart", supplies=["wall"]),
            destination("quay", supplies=["wall"]),
            source("a", "cart"),
            source("b", "quay"),
            scene("1", "09:00-12:00", "a", place="loft"),
            scene("2", "11:00-13:00", "b", place="quay"),
            mains_at=["loft", "quay"],
        ),
    )
    assert short(day) == [
        "RX2 at quay has no power: it runs on 10 to 18 V DC alone, and Wall is at cart, in another "
        "part of the split unit; a DC lead from Bag (14.4 V, 1 outlet free) would mend it"
    ]
