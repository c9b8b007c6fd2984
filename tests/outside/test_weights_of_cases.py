"""R10's weights against published limits of bags and lifting."""

import pytest
from planning.building import kit, plan, receiver, scene, source, thing, transmitter, worked


def overweight(limit_kg: float, weight_g: float) -> bool:
    """Whether a case of this weight, all told, is over its limit."""
    day = worked(
        kit(
            transmitter(),
            receiver(),
            thing("case", id="trunk", name="Trunk", limit_kg=limit_kg, weight_g=0),
            thing("item", model="all", name="All", qty=1, case="trunk", weight_g=weight_g),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    return any(short.kind == "weight" for short in day.shortfalls)


@pytest.mark.parametrize(
    ("limit_kg", "weight_g", "over"),
    [
        pytest.param(23, 23_000, False, id="23 kg bag (IATA, quoted at cteleport.com, seen)"),
        pytest.param(23, 23_001, True, id="23 kg bag, a gram over"),
        pytest.param(22.680, 23_000, True, id="50 lb are 22.680 kg: 23 kg is over, worked out"),
        pytest.param(22.680, 22_680, False, id="50 lb to the gram"),
        pytest.param(32, 31_751, False, id="70 lb are 31.751 kg: under 32 kg, worked out"),
        pytest.param(31.751, 32_000, True, id="32 kg are 70.548 lb: over 70 lb, worked out"),
        pytest.param(23, 23_133, True, id="NIOSH 51 lb are 23.133 kg: over 23 kg (ccohs.ca, seen)"),
        pytest.param(25, 25_000, False, id="25 kg, HSE figure for a man (secondary)"),
    ],
)
def test_a_limit_in_pounds_is_not_the_same_in_kilograms(
    limit_kg: float, weight_g: float, over: bool
) -> None:
    assert overweight(limit_kg, weight_g) is over
