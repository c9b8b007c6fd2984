"""What the kit leaves out is named, unit by unit; it is never taken as nothing, nor as fine."""

from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.definitions.kit import Power
from kitprep.definitions.kit_checks import left_out
from kitprep.planning.results import Cells, WorkedDay

from .building import (
    Entry,
    cells,
    dc,
    destination,
    kit,
    numbered,
    packs,
    plan,
    receiver,
    scene,
    source,
    thing,
    transmitter,
    worked,
)
from .random_days import relay_day

ALL_DAY = [source("a"), scene("1", "09:00-17:00", "a")]
RECORDER_ON_BAG = destination("rec", supplies=["bag"])


def day_of(*entries: Entry, **own: Any) -> WorkedDay:
    """One bodypack on one receiver from nine to five."""
    return worked(kit(receiver(), *entries), plan(*ALL_DAY, **own))


def said(day: WorkedDay) -> list[str]:
    return [short.what for short in day.shortfalls]


def cells_of(day: WorkedDay, cell: str) -> Cells:
    return next(line for line in day.cells if line.cell == cell)


def untimed(**own: Any) -> dict[str, Any]:
    """A set of which nobody has said how long it lasts."""
    return cells("D", **own)


CELL_D = thing("cell", type="D", source="made up")
HELD_D = thing("stock", cell="D", qty=20)


# How long a set lasts


def test_a_day_on_cells_of_unknown_life_is_not_ready_and_says_whose() -> None:
    day = day_of(transmitter(name="Old pack", power=[untimed(count=2)]), CELL_D, HELD_D)
    assert packs(day) == {"a": "TX1"}
    assert not day.ready
    assert said(day) == [
        "not known how long TX1 (Old pack) runs on 2 D: one set is counted and no change is "
        "planned; write hours of pack in the kit"
    ]
    assert "how long a set of cells lasts: TX1" in day.unknown


def test_units_of_one_model_are_told_together() -> None:
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], power=[untimed()]),
            receiver(units=["RX1", "RX2"]),
            CELL_D,
            HELD_D,
        ),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
    )
    assert [what.partition(":")[0] for what in said(day)] == [
        "not known how long TX1, TX2 (pack) run on 1 D"
    ]


def test_cells_of_unknown_life_are_counted_at_least() -> None:
    """The set that it starts on, and a spare: both of 2."""
    day = day_of(transmitter(power=[untimed(count=2)]), CELL_D, HELD_D, spare=0.25)
    assert cells_of(day, "D") == Cells("D", 2, 2, 4, 20, 0, at_least=True)
    assert day.changes == ()
    line = next(line for line in day.packing if line.key == "cells:D")
    assert line.why == "at least 2 planned, 2 spare"


def test_cells_that_are_too_few_even_so_are_short_as_ever() -> None:
    day = day_of(transmitter(power=[untimed(count=2)]), CELL_D, thing("stock", cell="D", qty=1))
    assert cells_of(day, "D").short == 2
    assert "2 D to carry in whole sets, 1 held; 2 short" in said(day)


def test_a_receiver_on_cells_of_unknown_life_is_named_too() -> None:
    day = worked(
        kit(transmitter(), receiver(name="Portable", power=[untimed()]), CELL_D, HELD_D),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert [what.partition(":")[0] for what in said(day)] == [
        "not known how long RX1 (Portable) runs on 1 D"
    ]


def test_a_set_of_known_life_goes_before_one_of_unknown() -> None:
    """Even where its cells are short: how many of the others would do cannot be said."""
    pack = transmitter(power=[untimed(), cells("C", hours=5)])
    day = day_of(pack, CELL_D, HELD_D, thing("stock", cell="C", qty=1))
    assert [(feed.unit, feed.cell) for feed in day.feeds] == [("TX1", "C"), ("RX1", "C")]
    assert not any(line.at_least for line in day.cells)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32))
def test_every_unit_of_unknown_life_that_is_used_is_named_and_no_other(seed: int) -> None:
    a_kit, a_plan = relay_day(Random(seed))
    odd = a_kit.transmitters[0].model_copy(update={"power": (Power(cell="C"),)})
    some = a_kit.model_copy(update={"transmitters": (odd, *a_kit.transmitters[1:])})
    day = worked(some, a_plan)
    used = {link.transmitter for link in day.links} & {unit.tag for unit in odd.units}
    named = [what for what in said(day) if what.startswith("not known how long ")]
    tags = {tag for what in named for tag in what.split(" (")[0].split("how long ")[1].split(", ")}
    assert tags == used
    assert {feed.unit for feed in day.feeds if not feed.known} == used


# The cold


def test_cells_without_a_figure_for_the_cold_are_not_known_below_20_degrees() -> None:
    """Hours are rated at 20 °C; what is left at 19 °C stands in the table of cells or nowhere."""
    cold = day_of(transmitter(power=[cells("D", hours=12)]), CELL_D, HELD_D, temperature_c=19)
    assert said(cold) == [
        f"not known what {cell} cells keep at 19 °C, and so how long {unit} runs: one set is "
        f"counted and no change is planned; write capacity_at of {cell} in the kit"
        for cell, unit in [("D", "TX1"), ("C", "RX1")]
    ]
    warm = day_of(transmitter(power=[cells("D", hours=12)]), CELL_D, HELD_D, temperature_c=20)
    assert warm.ready


# Supplies


def bag(**own: Any) -> Entry:
    """Two packs of 100 Wh, or as said; None leaves a figure out."""
    usual = {"id": "bag", "volts": [12, 16], "wh": 100, "packs": 2, "outlets": 4}
    return thing("supply", **{k: v for k, v in (usual | own).items() if v is not None})


def on_the_bag(supply: Entry, *watts: float | None) -> WorkedDay:
    """A receiver for each figure of watts, None where it is left out, from nine to five."""
    models = [
        receiver(
            f"rx-{n}",
            [f"RX{n}"],
            power=[{"dc_v": [10, 18]} if each is None else {"dc_v": [10, 18], "watts": each}],
        )
        for n, each in enumerate(watts, 1)
    ]
    names = [f"s{n}" for n in range(len(watts))]
    return worked(
        kit(transmitter(units=numbered("TX", len(watts))), *models, supply),
        plan(
            RECORDER_ON_BAG,
            *(source(name) for name in names),
            scene("1", "09:00-17:00", " ".join(names)),
        ),
    )


def test_packs_of_unknown_watt_hours_are_counted_at_least_one() -> None:
    day = on_the_bag(bag(wh=None), 10)
    (load,) = day.supplies
    assert (load.load_w, load.hours_per_pack, load.packs, load.at_least) == (10, None, 1, True)
    assert said(day) == [
        "bag: not known what a pack of it holds, and so how long a pack lasts: 1 pack is counted, "
        "for 09:00 to 17:00; write wh of bag in the kit"
    ]
    assert "how long a supply lasts, or what it carries: bag" in day.unknown
    assert "lithium content or watt hours, asked for when flying: C, bag" in day.unknown


def test_a_receiver_of_unknown_draw_leaves_what_is_known_of_the_others() -> None:
    """20 W of one for 8 h: 160 Wh, two packs at the least."""
    day = on_the_bag(bag(), 20, None)
    (load,) = day.supplies
    assert (load.load_w, load.hours_per_pack, load.packs, load.short) == (20, None, 2, 0)
    assert said(day) == [
        "bag: not known what RX2 draws, and so how long a pack lasts: 2 packs are counted, for "
        "09:00 to 17:00; write watts of rx-2 in the kit"
    ]
    line = next(line for line in day.packing if line.key == "supply:bag")
    assert (line.qty, line.why) == (2, "at least 20.0 W for RX1, RX2")


def test_mains_of_a_receiver_of_unknown_draw_cannot_be_said_to_carry_it() -> None:
    wall = thing("supply", id="bag", name="Wall", mains=True, volts=[12, 12], watts=60)
    day = on_the_bag(wall, None)
    (load,) = day.supplies
    assert (load.mains, load.at_least, load.packs) == (True, True, 0)
    assert said(day) == [
        "Wall: not known what RX1 draws, and so whether it carries that; write watts of rx-1 in "
        "the kit"
    ]


def test_all_figures_given_leave_nothing_unknown() -> None:
    day = on_the_bag(bag(), 10)
    assert day.ready
    assert not day.supplies[0].at_least


# The kit by itself


def test_a_kit_says_which_figures_it_leaves_out() -> None:
    found = kit(
        transmitter("old", power=[cells("C", hours=5), untimed()]),
        transmitter("pack", ["TX2"]),
        receiver("rack", power=[{"dc_v": [10, 18]}]),
        bag(wh=None),
        CELL_D,
    )
    assert list(left_out(found)) == ["hours of old", "watts of rack", "wh of bag"]
    assert list(left_out(kit(transmitter(), receiver(power=[dc(10, 18, 5)]), bag()))) == []


# The choice


def test_an_unknown_life_never_wins_a_scene_by_silence() -> None:
    """R4, order 3: a known set that lasts the scene goes before one that nobody can speak for."""
    day = day_of(
        transmitter("odd", ["TX1"], power=[untimed()]),
        transmitter("pack", ["TX2"], power=[cells(hours=9)]),
        CELL_D,
        HELD_D,
    )
    assert packs(day) == {"a": "TX2"}


def test_an_unknown_life_never_wins_by_fewer_changes() -> None:
    """R4, order 5: two changes that are planned go before none that are.

    On from nine to five, and standby is not credited; 3 h a set do for each scene of 2 h.
    """
    day = worked(
        kit(
            receiver(),
            transmitter("odd", ["TX1"], power=[untimed()]),
            transmitter("pack", ["TX2"], power=[cells(hours=3)]),
            CELL_D,
            HELD_D,
        ),
        plan(
            source("a"),
            *(
                scene(n, times, "a")
                for n, times in [("1", "09:00-11:00"), ("2", "12:00-14:00"), ("3", "15:00-17:00")]
            ),
        ),
    )
    assert packs(day) == {"a": "TX2"}
    assert len(day.changes) == 2


def test_a_set_that_dies_in_the_scene_goes_before_an_unknown_one() -> None:
    """Both may die in it; of one it is known when."""
    day = day_of(
        transmitter("odd", ["TX1"], power=[untimed()]),
        transmitter("pack", ["TX2"], power=[cells(hours=3)]),
        CELL_D,
        HELD_D,
    )
    assert packs(day) == {"a": "TX2"}
    assert day.proven == ("served", "modules", "cells", "units", "changes", "weight")


def test_a_unit_of_unknown_life_serves_what_nothing_else_can() -> None:
    """R4, order 1 comes first: a link on such a pack is better than no link."""
    day = worked(
        kit(
            receiver(units=["RX1", "RX2"]),
            transmitter("odd", ["TX1"], power=[untimed()]),
            transmitter("pack", ["TX2"]),
            CELL_D,
            HELD_D,
        ),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
    )
    assert set(packs(day).values()) == {"TX1", "TX2"}


# Charging


@pytest.mark.parametrize(("hours", "at_least"), [(10, False), (None, True)])
def test_what_is_charged_overnight_may_be_more(hours: float | None, at_least: bool) -> None:
    option = untimed() if hours is None else cells("D", hours=hours)
    day = day_of(
        transmitter(power=[option]),
        CELL_D,
        thing("stock", cell="D", qty=20, rechargeable=True),
        thing("item", model="ch", name="Charger", qty=1, charges=["D"], bays=4, charge_hours=2),
        turnaround_h=10,
    )
    assert [(c.name, c.qty, c.at_least) for c in day.charging] == [("D", 1, at_least)]
