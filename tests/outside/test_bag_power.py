"""R7 against worked run times of packs, and watt hours against their legal definition.

h = Wh x derate x efficiency / W is an energy balance; its figures are worked out from it and
checked by a second hand. Wh = rated Ah x nominal V: 49 CFR 171.8 (law.cornell.edu, seen).
"""

import pytest
from planning.building import (
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

from kitprep.planning.results import SupplyLoad


def load(wh: float, watts: float, efficiency: float = 1.0, reserve: float = 0.0) -> SupplyLoad:
    """One receiver on one supply from 09:00 to 17:00."""
    day = worked(
        kit(
            transmitter(),
            receiver(power=[dc(11, 17, watts)]),
            thing("supply", id="bag", volts=[14.4, 14.4], wh=wh, packs=9, efficiency=efficiency),
        ),
        plan(
            destination("rec", supplies=["bag"]),
            source("a"),
            scene("1", "09:00-17:00", "a"),
            reserve=reserve,
        ),
    )
    return day.supplies[0]


@pytest.mark.parametrize(
    ("wh", "watts", "factor", "hours", "packs"),
    [
        (98, 20, 0.9, 4.41, 2),  # 8 h / 4.41 h
        (47.52, 6, 0.9, 7.13, 2),  # 8 h / 7.128 h
        (97.92, 18, 0.85, 4.62, 2),  # 8 h / 4.624 h
    ],
)
def test_hours_that_a_pack_lasts(
    wh: float, watts: float, factor: float, hours: float, packs: int
) -> None:
    """The factor as a converter's efficiency, and as a reserve that is never planned on."""
    converted = load(wh, watts, efficiency=factor)
    held_back = load(wh, watts, reserve=round(1 - factor, 2))
    assert converted.hours_per_pack == pytest.approx(hours, abs=0.005)
    assert held_back.hours_per_pack == pytest.approx(hours, abs=0.005)
    assert (converted.packs, held_back.packs) == (packs, packs)


@pytest.mark.parametrize(
    ("watts_out", "efficiency", "watts_in"),
    [
        pytest.param(18, 0.9, 20.0, id="constant power: 1.389 A x 14.4 V, worked out"),
        pytest.param(17, 0.85, 20.0, id="buck-boost converters 80-90 % (a secondary source)"),
    ],
)
def test_a_converter_draws_more_than_it_gives(
    watts_out: float, efficiency: float, watts_in: float
) -> None:
    assert load(98, watts_out, efficiency).load_w == pytest.approx(watts_in, abs=0.005)


@pytest.mark.parametrize(
    ("volts", "amp_hours", "wh"),
    [
        pytest.param(10.8, 2.5, 27.0, id="10.8 V x 2.5 Ah (published example, seen)"),
        pytest.param(11.1, 4.4, 48.84, id="11.1 V x 4.4 Ah (published example, seen)"),
        pytest.param(14.4, 6.8, 97.92, id="14.4 V x 6.8 Ah smart pack (Ah from memory)"),
        pytest.param(14.8, 6.8, 100.64, id="the same cells at 14.8 V: over 100 Wh"),
        pytest.param(14.4, 6.9, 99.36, id="14.4 V x 6.9 Ah: still under 100 Wh"),
        pytest.param(7.2, 6.6, 47.52, id="7.2 V x 6.6 Ah camera pack (label, from memory)"),
        pytest.param(3.7, 2.6, 9.62, id="3.7 V x 2.6 Ah round cell (cell specification, seen)"),
    ],
)
def test_a_pack_of_so_many_watt_hours_gives_its_rated_current_for_its_rated_hours(
    volts: float, amp_hours: float, wh: float
) -> None:
    """At volts x 1 A it lasts as many hours as it has ampere hours."""
    assert load(wh, volts).hours_per_pack == pytest.approx(amp_hours, abs=1e-9)
