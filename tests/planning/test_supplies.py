"""R7: what receivers run on, and how many packs are carried for it."""

from typing import Any

import pytest

from kitprep.planning.results import WorkedDay

from .building import (
    Entry,
    cells,
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


def bag(id: str = "bag", **own: Any) -> Entry:
    """A supply of one 98 Wh pack at 14.4 V, or as said."""
    return thing("supply", **{"id": id, "volts": [14.4, 14.4], "wh": 98, "packs": 1, **own})


def mains(watts: float, **own: Any) -> Entry:
    """A mains supply at 12 V."""
    return thing("supply", id="wall", mains=True, volts=[12, 12], watts=watts, **own)


def day_of(
    *entries: Entry,
    reach: list[str],
    receivers: int = 1,
    times: tuple[str, ...] = ("09:00-10:00",),
    reserve: float = 0,
) -> WorkedDay:
    """So many receivers at the recorder, each in every scene."""
    names = [f"s{n}" for n in range(receivers)]
    return worked(
        kit(transmitter(units=numbered("TX", receivers)), *entries),
        plan(
            destination("rec", supplies=reach),
            *(source(name) for name in names),
            *(scene(str(n), span, " ".join(names)) for n, span in enumerate(times)),
            reserve=reserve,
        ),
    )


def power_shortfalls(day: WorkedDay) -> list[str]:
    """What is said to be short of power."""
    return [short.what for short in day.shortfalls if short.kind == "supply"]


# Which supply


@pytest.mark.parametrize(
    ("volts", "suits"),
    [
        ([11.0, 16.8], True),  # the very range
        ([12.0, 14.4], True),
        ([10.9, 16.8], False),  # falls below
        ([11.0, 16.9], False),  # starts above
        ([5.0, 5.0], False),
    ],
)
def test_a_supply_suits_where_its_voltages_lie_within_the_receivers(
    volts: list[float], suits: bool
) -> None:
    day = day_of(receiver(power=[dc(11.0, 16.8, 3)]), bag(volts=volts), reach=["bag"])
    assert [load.id for load in day.supplies] == (["bag"] if suits else [])
    given = "5 V" if volts == [5, 5] else f"{volts[0]:g} to {volts[1]:g} V"
    if not suits:
        assert power_shortfalls(day) == [
            f"RX1 at rec has no power: it runs on 11 to 16.8 V DC alone, and bag gives {given} "
            "there; no supply of the kit would mend it: bring a power supply where there is mains, "
            "or a pack and a DC lead, for 11 to 16.8 V DC and 3 W"
        ]


def test_the_first_supply_of_the_destination_that_suits_is_taken() -> None:
    things = (receiver(power=[dc(11, 17, 3)]), bag("a"), bag("b"), bag("low", volts=[5, 5]))
    assert day_of(*things, reach=["b", "a"]).supplies[0].id == "b"
    assert day_of(*things, reach=["low", "a", "b"]).supplies[0].id == "a"


def test_a_supply_out_of_reach_is_not_taken() -> None:
    day = day_of(receiver(power=[dc(11, 17, 3)]), bag(), reach=[])
    assert power_shortfalls(day) == [
        "RX1 at rec has no power: it runs on 11 to 17 V DC alone, and no supply is in reach there; "
        "a DC lead from bag (14.4 V, 1 outlet free) would mend it"
    ]


def test_a_supply_without_an_outlet_left_is_passed_over() -> None:
    """Three receivers, two outlets, then one: the third goes on the second supply."""
    day = day_of(
        receiver(units=numbered("RX", 3), power=[dc(11, 17, 3)]),
        bag("a", outlets=2),
        bag("b", outlets=1),
        reach=["a", "b"],
        receivers=3,
    )
    assert [(load.id, load.outlets, load.units) for load in day.supplies] == [
        ("a", 2, ("RX1", "RX2")),
        ("b", 1, ("RX3",)),
    ]


def test_outlets_are_shared_between_destinations() -> None:
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver(units=["RX1", "RX2"], power=[dc(11, 17, 3)]),
            bag(outlets=1),
        ),
        plan(
            destination("rec", supplies=["bag"]),
            destination("cam", supplies=["bag"]),
            source("a", "rec"),
            source("b", "cam"),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    assert power_shortfalls(day) == [
        "RX2 at cam has no power: it runs on 11 to 17 V DC alone, and no outlet is left on bag; "
        "one more outlet on bag would mend it"
    ]


def test_a_receiver_that_finds_no_supply_runs_on_its_cells() -> None:
    day = day_of(
        receiver(power=[dc(11, 17, 3), cells(count=2, hours=9)]), bag(volts=[5, 5]), reach=["bag"]
    )
    assert (day.supplies, power_shortfalls(day)) == ((), [])
    assert ("RX1", "C", 2) in [(feed.unit, feed.cell, feed.count) for feed in day.feeds]


def test_a_receiver_on_a_supply_takes_no_cells() -> None:
    day = day_of(receiver(power=[cells(hours=9), dc(11, 17, 3)]), bag(), reach=["bag"])
    assert "RX1" not in [feed.unit for feed in day.feeds]


def test_watts_are_those_of_the_input_that_the_supply_suits() -> None:
    """5 V at 2 W or 12 V at 6 W; the bag is at 14.4 V and only the second takes it."""
    day = day_of(receiver(power=[dc(4.5, 5.5, 2), dc(11, 17, 6)]), bag(), reach=["bag"])
    assert day.supplies[0].load_w == 6


# What would mend a receiver without power


def rack_without_power(*entries: Entry, reach: tuple[str, ...] = ()) -> str:
    """What is said of a rack on DC alone, 15 W at 10 to 18 V, on from nine to five."""
    day = day_of(receiver(power=[dc(10, 18, 15)]), *entries, reach=[*reach], times=("09:00-17:00",))
    (what,) = power_shortfalls(day)
    start = "RX1 at rec has no power: it runs on 10 to 18 V DC alone, and "
    assert what.startswith(start)
    return what.removeprefix(start)


def test_of_mains_and_a_dc_lead_the_one_that_the_kit_has_is_named() -> None:
    no_supply = "no supply is in reach there; "
    assert rack_without_power(mains(60)) == (
        no_supply + "mains there with wall (12 V, 1 outlet free) would mend it"
    )
    assert rack_without_power(bag(packs=2)) == (
        no_supply + "a DC lead from bag (14.4 V, 1 outlet free) would mend it"
    )


def test_where_both_would_do_both_are_named() -> None:
    """120 Wh for 8 h of 15 W: two packs of 98 Wh."""
    assert rack_without_power(mains(60, name="Cart supply", outlets=3), bag(packs=2)) == (
        "no supply is in reach there; mains there with Cart supply (12 V, 3 outlets free) or a DC "
        "lead from bag (14.4 V, 1 outlet free) would mend it"
    )


def test_where_neither_would_do_what_to_bring_is_said() -> None:
    """Mains of too few watts, packs of too many volts."""
    assert rack_without_power(mains(14.9), bag(volts=[22, 29])) == (
        "no supply is in reach there; no supply of the kit would mend it: bring a power supply "
        "where there is mains, or a pack and a DC lead, for 10 to 18 V DC and 15 W"
    )


def test_packs_that_are_too_few_for_it_are_named_with_what_they_lack() -> None:
    assert rack_without_power(bag(packs=0)) == (
        "no supply is in reach there; a DC lead from bag (14.4 V, 1 outlet free) and 2 more packs "
        "would mend it"
    )


def test_a_supply_whose_outlets_are_taken_elsewhere_would_not_mend_it() -> None:
    """The bag's one outlet feeds the receiver at the camera."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver(units=["RX1", "RX2"], power=[dc(10, 18, 15)]),
            bag(packs=4),
            mains(60),
        ),
        plan(
            destination("cam", supplies=["bag"]),
            destination("cart", name="Sound cart"),
            source("a", "cam"),
            source("b", "cart"),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    assert power_shortfalls(day) == [
        "RX2 at Sound cart has no power: it runs on 10 to 18 V DC alone, and no supply is in reach "
        "there; mains there with wall (12 V, 1 outlet free) would mend it"
    ]


def test_a_supply_in_reach_of_other_volts_is_named_with_them() -> None:
    assert rack_without_power(bag(volts=[6, 8.4]), mains(60), reach=("bag",)) == (
        "bag gives 6 to 8.4 V there; mains there with wall (12 V, 1 outlet free) would mend it"
    )


# How many packs


def test_the_load_is_the_watts_of_all_over_the_efficiency() -> None:
    """3 receivers of 6 W at 0.9: 18 / 0.9 = 20 W; 98 Wh / 20 W = 4.9 h a pack."""
    day = day_of(
        receiver(units=numbered("RX", 3), power=[dc(11, 17, 6)]),
        bag(efficiency=0.9, outlets=3),
        reach=["bag"],
        receivers=3,
    )
    (load,) = day.supplies
    assert (load.load_w, load.hours_per_pack, load.outlets) == (20.0, 4.9, 3)


@pytest.mark.parametrize(("end", "packs"), [("12:55", 1), ("12:56", 2), ("16:50", 2), ("16:51", 3)])
def test_packs_are_the_hours_on_over_the_hours_a_pack_rounded_up(end: str, packs: int) -> None:
    """98 Wh x (1 - 0.2) / 20 W = 3.92 h = 3 h 55.2 min a pack; on from 09:00."""
    day = day_of(
        receiver(power=[dc(11, 17, 20)]),
        bag(packs=9),
        reach=["bag"],
        times=(f"09:00-{end}",),
        reserve=0.2,
    )
    assert day.supplies[0].packs == packs


def test_a_pack_that_lasts_the_day_to_the_minute_is_enough() -> None:
    """0.1 W from 0.3 Wh is 3 h exactly, though 0.3 / 0.1 in binary is a little less."""
    day = day_of(
        receiver(power=[dc(11, 17, 0.1)]), bag(wh=0.3), reach=["bag"], times=("09:00-12:00",)
    )
    assert day.supplies[0].packs == 1


def test_a_supply_is_on_from_its_first_receivers_first_scene_to_the_last_ones_last() -> None:
    """09:00 to 15:00 with a gap between: 6 h x 20 W = 120 Wh are two packs of 98 Wh."""
    day = day_of(
        receiver(power=[dc(11, 17, 20)]),
        bag(),
        reach=["bag"],
        times=("09:00-10:00", "14:00-15:00"),
    )
    (load,) = day.supplies
    assert (load.on, load.off, load.packs, load.have, load.short) == (540, 900, 2, 1, 1)
    assert power_shortfalls(day) == ["bag: 2 packs for 20.0 W from 09:00 to 15:00, 1 held; 1 short"]


def test_held_packs_beyond_the_need_are_no_shortfall() -> None:
    day = day_of(receiver(power=[dc(11, 17, 20)]), bag(packs=5), reach=["bag"])
    assert (day.supplies[0].packs, day.supplies[0].short) == (1, 0)


# Mains


@pytest.mark.parametrize(("watts", "enough"), [(20, True), (19.9, False)])
def test_mains_must_give_the_watts_of_all(watts: float, enough: bool) -> None:
    """Two receivers of 10 W."""
    day = day_of(
        receiver(units=["RX1", "RX2"], power=[dc(11, 17, 10)]),
        mains(watts, outlets=2),
        reach=["wall"],
        receivers=2,
    )
    says = "wall gives 19.9 W at the most, and 20.0 W hang on it; bring one that gives 20.0 W"
    short = [] if enough else [says]
    assert power_shortfalls(day) == short
    assert (day.supplies[0].packs, day.supplies[0].hours_per_pack) == (0, None)


def test_what_mains_gives_is_counted_at_its_outlets() -> None:
    """20 W of receivers on a supply that gives 20 W, whatever it draws from the wall itself."""
    day = day_of(receiver(power=[dc(11, 17, 20)]), mains(20, efficiency=0.8), reach=["wall"])
    assert power_shortfalls(day) == []


def test_a_receiver_is_moved_only_to_a_supply_that_carries_it() -> None:
    """20 W on a wall of 19.9 W; one receiver's 10 W x 1 h are within the 98 Wh of the bag."""
    two = receiver(units=["RX1", "RX2"], power=[dc(11, 17, 10)])
    day = day_of(two, mains(19.9, outlets=2), bag(), reach=["wall"], receivers=2)
    assert power_shortfalls(day) == [
        "wall gives 19.9 W at the most, and 20.0 W hang on it; move RX1 to bag or RX2 to bag"
    ]
    empty = day_of(two, mains(19.9, outlets=2), bag(packs=0), reach=["wall"], receivers=2)
    assert power_shortfalls(empty)[0].endswith("bring one that gives 20.0 W")


# Packs that take no cells


def test_a_pack_on_dc_alone_is_short_for_nobody_says_what_feeds_it() -> None:
    """The bag suits and has an outlet, but it is at the recorder, and the hop is not."""
    day = worked(
        kit(transmitter(power=[dc(11, 17, 5)]), receiver(), bag(outlets=4)),
        plan(
            destination("rec", supplies=["bag"]),
            source("a"),
            scene("1", "09:00-10:00", "a"),
        ),
    )
    assert power_shortfalls(day) == [
        "not known what powers TX1: it runs on 11 to 17 V DC alone, and supplies feed receivers at "
        "destinations, not a pack at its source; take a pack that runs on cells, or write the "
        "cells that it takes under power of pack"
    ]
