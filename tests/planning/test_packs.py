"""R7: packs where a unit is split, and when a pack is swapped; all worked out by hand."""

from typing import Any

import pytest

from kitprep.planning.results import PlannedSwap, WorkedDay

from .building import (
    Entry,
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


def bag(**own: Any) -> Entry:
    """A supply of nine packs of 40 Wh at 14.4 V with two outlets, or as said."""
    return thing(
        "supply",
        **{"id": "bag", "volts": [14.4, 14.4], "wh": 40, "packs": 9, "outlets": 2, **own},
    )


def short(day: WorkedDay) -> list[str]:
    return [s.what for s in day.shortfalls]


# A split unit


def two_units(*scenes: Entry, supply: Entry, receivers: int = 1, reserve: float = 0) -> WorkedDay:
    """The cart hears ``a``, the splinter unit's recorder ``b`` and more; 2 W each."""
    sources = ["a", *(f"b{n}" for n in range(receivers))]
    return worked(
        kit(
            transmitter(units=numbered("TX", len(sources))),
            receiver(units=numbered("RX", len(sources)), power=[dc(11, 17, 2)]),
            supply,
        ),
        plan(
            destination("cart", name="Cart", supplies=["bag"]),
            destination("bag-2", supplies=["bag"]),
            *(source(s, "cart" if s == "a" else "bag-2") for s in sources),
            *scenes,
            reserve=reserve,
        ),
    )


IN_THE_LOFT = scene("1", "08:00-16:00", "a", place="loft")
AT_SEA = scene("2", "10:00-14:00", "b0", place="sea")


def test_packs_are_counted_at_each_part_of_a_split_unit() -> None:
    """2 W for 8 h and for 4 h: 16 and 8 of 40 Wh, one pack for both if they were together."""
    day = two_units(IN_THE_LOFT, AT_SEA, supply=bag(packs=1))
    (load,) = day.supplies
    assert (load.packs, load.have, load.short, load.outlets) == (2, 1, 1, 2)
    assert short(day) == [
        "bag: 2 packs for 4.0 W from 08:00 to 16:00 in the parts of a split unit, 1 held; 1 short"
    ]
    assert (
        "bag: in different parts of a split unit, so packs and outlets are counted at each: "
        "Cart (1); bag-2 (1)"
    ) in day.notices


@pytest.mark.parametrize(
    "second",
    [
        scene("2", "10:00-14:00", "b0", place="loft"),  # at the same place
        scene("2", "16:00-18:00", "b0", place="sea"),  # afterwards
        scene("2", "10:00-14:00", "b0"),  # nobody says where
    ],
)
def test_a_unit_that_is_together_shares_its_packs(second: Entry) -> None:
    day = two_units(IN_THE_LOFT, second, supply=bag(packs=1))
    assert (day.supplies[0].packs, short(day)) == (1, [])
    assert not [notice for notice in day.notices if "split unit" in notice]


def test_outlets_are_counted_at_each_part_too() -> None:
    """One outlet: one receiver in the loft, one at sea, and a second at sea finds none."""
    alone = two_units(IN_THE_LOFT, AT_SEA, supply=bag(outlets=1))
    assert alone.supplies[0].units == ("RX1", "RX2")
    crowd = two_units(
        IN_THE_LOFT,
        scene("2", "10:00-14:00", "b0 b1", place="sea"),
        supply=bag(outlets=1),
        receivers=2,
    )
    assert short(crowd) == [
        "RX3 at bag-2 has no power: it runs on 11 to 17 V DC alone, and no outlet is left on bag; "
        "one more outlet on bag would mend it"
    ]


def test_hours_a_pack_are_those_of_the_heaviest_part() -> None:
    """2 W: 20 h a pack; 4 W: 10 h."""
    day = two_units(
        IN_THE_LOFT,
        scene("2", "10:00-14:00", "b0 b1", place="sea"),
        supply=bag(),
        receivers=2,
    )
    assert (day.supplies[0].hours_per_pack, day.supplies[0].load_w) == (10, 6)


def spare_sets(second: Entry) -> int:
    """Spare sets for a pack in the loft and one elsewhere, each on one cell for 9 h."""
    day = worked(
        kit(
            transmitter(units=numbered("TX", 2)),
            receiver(units=numbered("RX", 2), power=[dc(11, 17, 2)]),
            bag(),
        ),
        plan(
            destination("cart", supplies=["bag"]),
            destination("bag-2", supplies=["bag"]),
            source("a", "cart"),
            source("b0", "bag-2"),
            IN_THE_LOFT,
            second,
            spare=0.25,
        ),
    )
    return day.cells[0].spare


def test_spare_sets_of_cells_are_not_shared_between_the_parts_of_a_split_unit() -> None:
    """ceil(0.25 x 2) = 1 for two packs together, ceil(0.25 x 1) = 1 for each of two apart."""
    assert spare_sets(scene("2", "10:00-14:00", "b0", place="loft")) == 1
    assert spare_sets(AT_SEA) == 2


# When a pack is swapped


def one_unit(*scenes: Entry, reserve: float = 0, **own: Any) -> WorkedDay:
    """Receivers of 10 W, so that a pack of 40 Wh lasts one of them 4 h."""
    names = sorted({name for _, one in scenes for name in one["sources"]})
    return worked(
        kit(
            transmitter(units=numbered("TX", len(names))),
            receiver(units=numbered("RX", len(names)), power=[dc(11, 17, 10)]),
            bag(**own),
        ),
        plan(destination("rec", supplies=["bag"]), *map(source, names), *scenes, reserve=reserve),
    )


def swaps(day: WorkedDay) -> list[tuple[str, int, bool]]:
    return [(swap.before, swap.by, swap.mid_scene) for swap in day.supplies[0].swaps]


def test_a_pack_is_swapped_between_scenes_as_late_as_it_lasts() -> None:
    """On at 09:00, empty at 13:00 = 780, in the gap."""
    day = one_unit(scene("1", "09:00-12:00", "a"), scene("2", "14:00-16:00", "a"))
    assert day.supplies[0].swaps == (PlannedSwap("bag", "2", 780, False, ("RX1",)),)
    assert day.supplies[0].packs == 2


def test_a_pack_that_would_be_empty_in_a_scene_is_swapped_before_it() -> None:
    """Empty at 13:00 in scene 2, so before it, by its start at 12:30 = 750."""
    day = one_unit(scene("1", "09:00-12:00", "a"), scene("2", "12:30-16:00", "a"))
    assert swaps(day) == [("2", 750, False)]
    assert short(day) == []


def test_the_reserve_is_never_planned_on() -> None:
    """40 Wh x (1 - 0.2) / 10 W = 3.2 h: empty at 12:12 = 732."""
    day = one_unit(scene("1", "09:00-12:00", "a"), scene("2", "14:00-15:00", "a"), reserve=0.2)
    assert swaps(day) == [("2", 732, False)]


def test_a_scene_longer_than_a_pack_is_short_with_the_minute() -> None:
    """Ten hours on two packs that last 4 h: empty at 12:00 and at 16:00."""
    day = one_unit(scene("1", "08:00-18:00", "a"))
    assert swaps(day) == [("1", 720, True), ("1", 960, True)]
    assert short(day) == [
        f"scene 1 outlasts a pack of bag: empty at {at}, and RX1 goes off while it is swapped "
        "within the scene; bring a larger pack, or break the scene by then"
        for at in ("12:00", "16:00")
    ]


def test_a_receiver_draws_only_from_its_own_first_scene_to_its_last() -> None:
    """RX1 10 W all day; RX2 only in scene 2, 11:00 to 12:00. 09:00 to 11:00 takes 20 Wh, the hour
    of both 20 Wh: empty at 12:00 = 720, in the gap. RX2 is off by then, so only RX1 reboots.
    """
    day = one_unit(
        scene("1", "09:00-10:00", "a"),
        scene("2", "11:00-12:00", "a b"),
        scene("3", "14:00-15:00", "a"),
    )
    assert swaps(day) == [("3", 720, False)]
    assert day.supplies[0].swaps[0].units == ("RX1",)


def test_nothing_is_swapped_on_a_supply_of_which_nobody_knows_how_long_it_lasts() -> None:
    day = one_unit(scene("1", "08:00-18:00", "a"), wh=None)
    assert swaps(day) == []


def test_between_scenes_that_touch_there_is_no_moment_for_a_swap() -> None:
    """A pack lasts 4 h, and scenes of 3 h follow each other at 12:00 without a pause."""
    day = one_unit(scene("1", "09:00-12:00", "a"), scene("2", "12:00-15:00", "a"))
    assert swaps(day) == [("2", 720, False)]
    assert short(day) == [
        "scene 2 follows scene 1 without a pause, and no pack of bag lasts both: leave a pause to "
        "swap it by 12:00"
    ]
