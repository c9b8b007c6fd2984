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


def shared(**more_chargers: object) -> WorkedDay:
    """Two packs on two H each, two receivers on two I each, all rechargeable: 4 and 4."""
    k = kit(
        transmitter(units=["TX1", "TX2"], power=[cells("H", 2, hours=10)]),
        receiver(units=["RX1", "RX2"], power=[cells("I", 2, hours=10)]),
        *(thing("cell", type=kind, rechargeable=True, source="made up") for kind in "HI"),
        *(thing("stock", cell=kind, qty=8, rechargeable=True) for kind in "HI"),
        thing("item", model="both", name="B", qty=1, charges=["H", "I"], bays=4, charge_hours=4.0),
        *(
            thing("item", model=f"only-{kind.lower()}", name="O", qty=1, charges=[kind], **own)
            for kind, own in more_chargers.items()
        ),
    )
    p = plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"), turnaround_h=6.0)
    return work_out(k, p)


def test_kinds_that_share_a_charger_take_turns_in_its_bays() -> None:
    """4 H and 4 I on 4 bays: 2 rounds of 4 h, 8 h of 6 h, though either alone would be in time."""
    day = shared()
    assert [(c.name, c.rounds, c.hours, c.in_time) for c in day.charging] == [
        ("H", 2, 8.0, False),
        ("I", 2, 8.0, False),
    ]
    assert (
        "4 H cells, with I in the same charger, take 2 rounds on 4 bays, 8 h of 6 h to the next "
        "call; bring another charger, or fresh ones"
    ) in [s.what for s in day.shortfalls]


@pytest.mark.parametrize(("bays", "rounds"), [(4, 1), (2, 2), (1, 2)])
def test_a_charger_of_its_own_takes_a_kind_off_the_shared_one(bays: int, rounds: int) -> None:
    """4 H on its own bays and what is left of 8 on the shared four, in the fewest rounds."""
    day = shared(H={"bays": bays, "charge_hours": 4.0})
    assert {c.rounds for c in day.charging} == {rounds}


def chargers(*held: dict[str, object], turnaround: float = 10.0) -> WorkedDay:
    """Four H to charge on these chargers, c1, c2, …"""
    k = kit(
        transmitter(units=["TX1", "TX2"], power=[cells("H", 2, hours=10)]),
        receiver(units=["RX1", "RX2"]),
        thing("cell", type="H", rechargeable=True, source="made up"),
        thing("stock", cell="H", qty=8, rechargeable=True),
        *(
            thing("item", model=f"c{n}", name="C", **{"charges": ["H"], "qty": 1, **own})
            for n, own in enumerate(held, start=1)
        ),
    )
    p = plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"), turnaround_h=turnaround)
    return work_out(k, p)


def test_a_slow_charger_beside_a_fast_one_takes_nothing_away() -> None:
    """4 on 2 bays of 1 h: 2 rounds, 2 h. A bay of 10 h beside them is not waited for."""
    fast, slow = {"bays": 2, "charge_hours": 1.0}, {"bays": 1, "charge_hours": 10.0}
    for day in (chargers(fast, turnaround=8), chargers(fast, slow, turnaround=8)):
        (charge,) = day.charging
        assert (charge.bays, charge.rounds, charge.hours, charge.in_time) == (2, 2, 2.0, True)


def test_a_slow_charger_helps_where_it_is_sooner_done_than_the_fast_one() -> None:
    """4 on 1 bay of 3 h and 1 bay of 6 h: in 9 h three and one, where the fast alone takes 12."""
    day = chargers({"bays": 1, "charge_hours": 3.0}, {"bays": 1, "charge_hours": 6.0})
    (charge,) = day.charging
    assert (charge.bays, charge.rounds, charge.hours) == (2, 3, 9.0)


@pytest.mark.parametrize(
    ("turnaround", "packed", "hours"),
    [
        (12.0, 1, 12.0),  # the one that the rule packs: 2 bays, 2 rounds of 6 h
        (11.0, 2, 6.0),  # a second: 4 bays, 1 round
        (5.0, 3, 6.0),  # not in time with all three: all go along
    ],
)
def test_as_many_chargers_are_packed_as_the_night_needs(
    turnaround: float, packed: int, hours: float
) -> None:
    """Three held of 2 bays and 6 h each, one of them packed each day; 4 H to charge."""
    day = chargers({"bays": 2, "charge_hours": 6.0, "qty": 3}, turnaround=turnaround)
    (line,) = [line for line in day.packing if line.key == "item:c1"]
    (charge,) = day.charging
    assert (line.qty, charge.hours) == (packed, hours)
    assert charge.bays == 2 * packed
