"""R6, turnaround: rounds on the charger's bays against the hours until call."""

import pytest

from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay

from .building import cells, kit, plan, receiver, scene, source, thing, transmitter


def night(turnaround: float | None, **charger: object) -> WorkedDay:
    """Two packs on two rechargeable H each: 4 to charge."""
    k = kit(
        transmitter(units=["TX1", "TX2"], power=[cells("H", 2, hours=10)]),
        receiver(units=["RX1", "RX2"]),
        thing("cell", type="H", rechargeable=True, source="made up"),
        thing("stock", cell="H", qty=8, rechargeable=True),
        thing("item", model="charger", name="Charger", qty=1, **charger),
    )
    own = {} if turnaround is None else {"turnaround_h": turnaround}
    p = plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"), **own)
    return work_out(k, p)


@pytest.mark.parametrize(
    ("bays", "hours", "turnaround", "rounds", "in_time"),
    [
        (4, 4.0, 10.0, 1, True),  # 4 cells on 4 bays: 1 round of 4 h
        (3, 4.0, 10.0, 2, True),  # ceil(4 / 3) = 2 rounds, 8 h of 10 h
        (3, 5.0, 10.0, 2, True),  # 10 h of 10 h: just
        (1, 3.0, 10.0, 4, False),  # 4 rounds, 12 h of 10 h
    ],
)
def test_rounds_times_the_hours_of_one_charge(
    bays: int, hours: float, turnaround: float, rounds: int, in_time: bool
) -> None:
    day = night(turnaround, charges=["H"], bays=bays, charge_hours=hours)
    (charge,) = day.charging
    assert (charge.qty, charge.rounds, charge.in_time) == (4, rounds, in_time)
    assert day.ready == in_time


def test_no_charger_is_said_and_never_taken_as_charged() -> None:
    day = night(10.0)
    (charge,) = day.charging
    assert (charge.hours, charge.in_time) == (None, False)
    assert [s.what for s in day.shortfalls] == [
        "4 H cells to charge tonight, and no charger here takes them; bring one, or fresh ones"
    ]


def test_a_charger_that_is_too_slow_is_told_with_its_hours() -> None:
    """4 cells on 1 bay: 4 rounds of 3 h."""
    day = night(10.0, charges=["H"], bays=1, charge_hours=3.0)
    assert [s.what for s in day.shortfalls] == [
        "4 H cells take 4 rounds on 1 bay, 12 h of 10 h to the next call; bring another charger, "
        "or fresh ones"
    ]


def test_where_no_turnaround_is_given_nothing_is_asked() -> None:
    assert night(None).charging == ()
