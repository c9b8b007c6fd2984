"""A job at night runs into the next day's: what it has then is not counted on there."""

import pytest

from kitprep.definitions.kit import Kit
from kitprep.ledger.claims import Claim, KitState, UnitRecord
from kitprep.ledger.known import known_to
from tests.planning.building import kit, receiver, transmitter


def claim(day: int, on: int, off: int) -> Claim:
    """A job of a day in March 2027, between two hours."""
    return Claim(f"k/{day}", f"2027-03-{day}", 60 * on, 60 * off, "Ana", "")


KIT: Kit = kit(transmitter(units=["TX1"]), receiver(units=["RX1"]))

NIGHT = claim(14, 22, 30)
"""22:00 to 06:00 the next morning."""


@pytest.mark.parametrize(
    ("other", "at_once"),
    [
        (claim(15, 4, 8), True),  # 04:00-06:00
        (claim(15, 6, 8), False),  # one ends as the other starts
        (claim(15, 20, 23), False),
        (claim(16, 4, 8), False),
        (claim(13, 30, 47), True),  # 06:00-23:00 of the 14th
        (claim(13, 22, 46), False),  # until 22:00
        (Claim("k/x", "some day", 0, 9999, "", ""), False),
    ],
)
def test_hours_are_of_the_calendar_and_not_of_each_days_own_midnight(
    other: Claim, at_once: bool
) -> None:
    assert (NIGHT.overlaps(other), other.overlaps(NIGHT)) == (at_once, at_once)


def test_what_the_night_has_at_the_hours_of_the_day_is_claimed() -> None:
    """TX1 is with the night until 06:00: claimed from 04:00 on, only still out from 07:00 on."""
    state = KitState({"TX1": UnitRecord(claims=(NIGHT,))})
    early = known_to(claim(15, 4, 8), KIT, state)
    assert (dict(early.claimed), early.expected) == ({"TX1": NIGHT}, ())
    late = known_to(claim(15, 7, 9), KIT, state)
    assert dict(late.claimed) == {}
    assert late.expected == (
        "still out on k/14, and counted on here: TX1; say at its wrap what has become of them",
    )
