"""What if, on screen: keys are never held up, the newest question wins, nothing is kept."""

import asyncio
import threading
from pathlib import Path

import pytest

from kitprep.planning.results import WorkedDay
from kitprep.planning.whatif import WhatIf
from kitprep.tui.sheets.whatif import WORKING, WhatIfSheet

from .conftest import Opener
from .seat import Seat


def sheet_of(at: Seat) -> WhatIfSheet:
    assert isinstance(at.app.screen, WhatIfSheet)
    return at.app.screen


async def answered(at: Seat) -> WhatIfSheet:
    """Once the newest question has its answer."""
    sheet = sheet_of(at)
    for _ in range(500):
        await at.settle()
        if not sheet.is_working:
            break
        await asyncio.sleep(0.01)
    await at.settle()
    return sheet


async def opened(at: Seat) -> WhatIfSheet:
    await at.action("what_if")
    await at.settle()
    return sheet_of(at)


@pytest.mark.parametrize("screen", ["day", "scene"])
async def test_a_key_opens_it_from_the_day_and_from_a_scene(screen: str, seat: Opener) -> None:
    async with seat(screen, day=1) as at:
        await at.press("i")
        assert sheet_of(at).choices.key == "scene:12A"
        assert "All is as planned" in at.text
        await at.press("escape")
        assert screen == at.screen.NAME


async def test_a_scanned_unit_is_gone_and_the_difference_is_shown(seat: Opener) -> None:
    async with seat("day", day=1) as at:
        await opened(at)
        await at.burst("TX01\r")
        sheet = await answered(at)
        assert sheet.what == WhatIf(gone=frozenset({"TX01"}))
        assert "What if: TX01 gone" in at.text
        assert "WORKABLE: nothing would be short" in at.text
        assert "Ines: TX02 (was TX01)" in " ".join(
            "".join(part for part, _ in row.line) for row in sheet.outcome.rows
        )
        assert "+ TX03" in at.text.replace("[+]", "+")


async def test_a_line_under_the_cursor_is_changed_and_changed_back_by_enter(seat: Opener) -> None:
    async with seat("day", day=2) as at:
        sheet = await opened(at)
        sheet.choices.go_to("mix=1")
        await at.burst("\r")
        await answered(at)
        assert sheet.what.channels == {"mix": 1}
        assert "mono (was stereo)" in at.text
        assert sheet.choices.key is not None
        sheet.choices.go_to("mix=2")
        await at.burst("\r")
        await answered(at)
        assert sheet.what.nothing
        assert sheet.found is None
        assert "All is as planned" in at.text


async def test_a_scenes_times_are_written_into_the_field_to_be_changed(seat: Opener) -> None:
    async with seat("scene", day=1) as at:
        sheet = await opened(at)
        await at.burst("\r")
        assert "12A=07:30-08:45" in at.text
        field = sheet.query_one("CodeInput")
        field.value = "12A=07:15-08:30"  # type: ignore[attr-defined]
        await at.burst("\r")
        await answered(at)
        assert sheet.what.times == {"12A": (435, 510)}
        assert "07:15-08:30 (was 07:30-08:45)" in at.text


async def test_what_cannot_be_is_said_and_changes_nothing(seat: Opener) -> None:
    async with seat("day", day=1) as at:
        sheet = await opened(at)
        await at.burst("14=07:30-09:00\r")
        assert "is in scene 12A as well" in " ".join(at.text.split())
        assert sheet.what.nothing
        await at.burst("nosuch\r")
        assert '"nosuch" names nothing of this day' in " ".join(at.text.split())


async def test_keys_go_on_while_a_day_is_worked_out_and_the_newest_question_wins(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with seat("day", day=1) as at:
        sheet = await opened(at)
        asked: list[WhatIf] = []
        go_on = threading.Event()
        slow, really = threading.current_thread(), at.app.job.what_if

        def what_if(what: WhatIf) -> WorkedDay:
            assert threading.current_thread() is not slow
            asked.append(what)
            assert go_on.wait(20)
            return really(what)

        monkeypatch.setattr(at.app.job, "what_if", what_if)
        for word in ("TX01", "TX02", "TX03", "TX01", "TX02"):
            await at.burst(f"{word}\r")
        assert sheet.what.gone == {"TX03"}
        assert WORKING in at.text
        before = sheet.choices.key
        await at.press("down")
        assert sheet.choices.key != before
        go_on.set()
        await answered(at)
        assert [what.gone for what in asked] == [{"TX01"}, {"TX03"}]
        assert sheet.found is not None
        assert sheet.found.nothing  # TX03 stays at home on this day anyway


async def test_nothing_is_kept(seat: Opener, tmp_path: Path) -> None:
    async with seat("day", day=1) as at:
        job = at.app.job
        before = (job.worked, job.state, job.kit, job.day)
        plan = job.day.path.read_bytes()
        await opened(at)
        await at.burst("TX01\r12A:boom\rmix=1\r")
        await answered(at)
        await at.press("escape")
        assert (job.worked, job.state, job.kit, job.day) == before
        assert not job.ledger.entries(job.name)
        assert job.day.path.read_bytes() == plan
        sheet = await opened(at)
        assert sheet.what.nothing


async def test_leaving_while_a_day_is_worked_out_harms_nothing(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with seat("day", day=1) as at:
        await opened(at)
        go_on, really = threading.Event(), at.app.job.what_if

        def what_if(what: WhatIf) -> WorkedDay:
            assert go_on.wait(20)
            return really(what)

        monkeypatch.setattr(at.app.job, "what_if", what_if)
        await at.burst("TX01\r")
        await at.press("escape")
        assert at.screen.NAME == "day"
        go_on.set()
        await at.settle()
        assert at.screen.NAME == "day"


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 12), (12, 5)])
async def test_it_stands_at_any_size(size: tuple[int, int], seat: Opener) -> None:
    async with seat("day", day=2, size=size) as at:
        await opened(at)
        await at.burst("TX01\r")
        await answered(at)
        await at.press("pagedown", "pageup", "down", "up")
        assert sheet_of(at).found is not None
