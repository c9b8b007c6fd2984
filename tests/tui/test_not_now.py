"""What cannot be said of the job now is refused at the screens by the same words as elsewhere."""

from collections.abc import Callable
from datetime import datetime

import pytest
from textual import events

from kitprep.job import Job

from .conftest import Opener


@pytest.fixture(autouse=True)
def _on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kitprep.job.local_now", lambda: datetime(2027, 3, 15, 10, 5))


async def test_a_count_of_five_thousand_digits_is_no_count(seat: Opener) -> None:
    async with seat("pack") as at:
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        at.screen.prompt.field.post_message(events.Paste("9" * 5000))
        await at.settle()
        assert "type how many are in, in digits" in at.said
        assert at.app.is_running
        assert at.app.job.state.item("cells:FR6").packed == 0


async def test_mains_take_no_fresh_pack(seat: Opener) -> None:
    async with seat("power", day=2) as at:
        head = at.app.job.state.head
        at.screen.rows.go_to("unit:supply:cart-mains")
        await at.settle()
        await at.screen.action_fresh_set()
        await at.settle()
        assert "takes no cells today" in at.text
        assert at.app.job.state.head == head


async def test_nothing_is_back_before_the_kit_is_out(seat: Opener, job: Callable[..., Job]) -> None:
    opened = job()
    opened.record("TX01", "packed", qty=1)
    async with seat("wrap", of=opened) as at:
        assert "The kit has not gone out" in at.said
        await at.burst("TX01\r")
        assert "say first that it is out" in at.said
        assert at.app.job.state.item("TX01").outcome == {}
