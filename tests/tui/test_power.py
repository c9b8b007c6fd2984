"""Power's keys on another day than the job's, and on a split unit: a sheet asks when and where."""

from collections.abc import Callable
from datetime import datetime

import pytest

from kitprep.job import Job
from kitprep.tui.sheets.when import WhenSheet
from kitprep.walks.feeding import sleeping

from .conftest import Opener
from .seat import Seat
from .test_edit import keys, quiet

BETWEEN_SCENES = 8 * 60 + 50
"""A minute between scenes 12A and 12B of day 1."""


@pytest.fixture
def next_evening(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock that is past day 1 and day 2 by more than half a day."""
    monkeypatch.setattr("kitprep.job.local_now", lambda: datetime(2027, 3, 17, 21, 0))


def sheet(at: Seat) -> WhenSheet:
    assert isinstance(at.app.screen, WhenSheet), at.app.screen
    return at.app.screen


async def done(at: Seat, text: str) -> None:
    """Types into the sheet's one field; Enter is done with it."""
    await quiet(at)
    await keys(at, *text, "enter")
    await quiet(at)
    await at.settle()


@pytest.mark.usefixtures("next_evening")
async def test_a_fresh_set_of_another_day_is_asked_for_its_time(seat: Opener) -> None:
    async with seat("power", day=1) as at:
        at.screen.rows.go_to("unit:TX01")
        await at.press("ctrl+f")
        assert "This job's day is Sun 14 Mar; at what time of that day? HH:MM" in at.text
        await done(at, "10:05")
        assert at.app.job.state.item("TX01").fresh_at == (10 * 60 + 5,)
        assert "10:05 TX01 has a fresh set" in at.text
        await at.press("down", "down")
        assert "10:05 TX01 has a fresh set" in at.text  # it stays to be read


@pytest.mark.usefixtures("next_evening")
@pytest.mark.parametrize(
    ("typed", "why"),
    [("soon", "is not a time; write"), ("47:00", "the job's day is over by then; write at most")],
)
async def test_what_is_no_time_of_the_day_is_said_and_asked_again(
    seat: Opener, typed: str, why: str
) -> None:
    async with seat("power", day=1) as at:
        at.screen.rows.go_to("unit:TX01")
        head = at.app.job.state.head
        await at.press("ctrl+f")
        await done(at, typed)
        assert why in " ".join(at.text.split())
        assert sheet(at).would_lose
        await keys(at, "escape")
        await quiet(at)
        assert at.app.job.state.head == head
        assert at.screen.NAME == "power"


@pytest.mark.usefixtures("next_evening")
async def test_all_that_should_have_slept_at_a_time_are_put_to_sleep_with_it(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    before.advance("out")
    sleepers = sleeping(before.worked, before.state, BETWEEN_SCENES).awake
    assert len(sleepers) > 1
    async with seat("power", of=before) as at:
        await at.press("a")
        await done(at, "08:50")
        assert {at.app.job.state.item(tag).sleep for tag in sleepers} == {((BETWEEN_SCENES, True),)}
        assert f"08:50 {len(sleepers)} put to sleep: {sleepers[0]}" in at.text
        at.screen.rows.go_to(f"unit:{sleepers[0]}")
        await at.press("z")
        await done(at, "09:00")
        assert at.app.job.state.item(sleepers[0]).sleep[-1] == (9 * 60, False)
        assert f"09:00 {sleepers[0]} woken" in at.text


async def test_a_fresh_pack_on_a_split_unit_is_asked_for_its_part(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kitprep.job.local_now", lambda: datetime(2027, 3, 15, 10, 5))
    async with seat("power", day=2) as at:
        at.screen.rows.go_to("unit:supply:bag")
        await at.press("ctrl+f")
        assert "at what time" not in at.text  # it is the job's day
        names = {place.id: place.name for place in at.app.now.worked.plan.destinations}
        assert sheet(at).blanks[0].choices == (names["recorder"], names["bag-2"])
        await quiet(at)
        await keys(at, "ctrl+d")
        await quiet(at)
        assert "take one with Space" in " ".join(at.text.split())
        await keys(at, "right", "space", "ctrl+d")
        await quiet(at)
        await at.settle()
        bag = at.app.job.state.item("supply:bag")
        assert (bag.fresh_at, bag.changed_at) == ((10 * 60 + 5,), ("bag-2",))
        assert "10:05 14.4 V packs and distribution for the receivers has a fresh pack" in at.text
