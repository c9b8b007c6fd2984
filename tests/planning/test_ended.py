"""A unit that is sold, lost or given back is there until the day on which it ended."""

from datetime import date

import pytest

from kitprep.planning.day import work_out
from kitprep.planning.peak import Asked, job_peak

from .building import kit, packs, plan, receiver, scene, source, transmitter, unserved

ENDED = {"tag": "TX1", "ended": date(2027, 3, 15)}
A_AND_B = (source("a"), source("b"), scene("1", "09:00-10:00", "a b"))
KIT = kit(transmitter(units=[ENDED, "TX2"]), receiver(units=["RX1", "RX2"]))


def on(number: int) -> dict[str, str]:
    return packs(work_out(KIT, plan(*A_AND_B, day=date(2027, 3, number))))


def test_the_day_before_still_has_it() -> None:
    assert on(14) == {"a": "TX1", "b": "TX2"}


@pytest.mark.parametrize("number", [15, 16])
def test_from_its_day_on_it_is_not_there(number: int) -> None:
    assert on(number) == {"a": "TX2"}
    day = work_out(KIT, plan(*A_AND_B, day=date(2027, 3, number)))
    assert list(unserved(day)) == ["1 b>rec"]
    assert [(hire.model, hire.qty) for hire in day.hire] == [("pack", 1)]


def test_of_several_days_only_those_after_it_are_short() -> None:
    days = [work_out(KIT, plan(*A_AND_B, day=date(2027, 3, n))) for n in (14, 15, 16)]
    line = next(
        line
        for line in job_peak([Asked(day, work_out) for day in days]).lines
        if line.model == "pack"
    )
    assert (line.have, line.needed, line.short) == (1, (2, 2, 2), 1)
    assert (line.short_from, line.short_to) == (date(2027, 3, 15), date(2027, 3, 16))
