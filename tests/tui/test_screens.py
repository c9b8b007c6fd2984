"""What each screen answers at a glance, and what it says when the ledger gets in the way."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

import kitprep.job as job_module
from kitprep.definitions.text import clock
from kitprep.job import Job
from kitprep.ledger.errors import Unusable
from kitprep.walks import cautions
from kitprep.walks.feeding import sleeping

from .conftest import Opener


async def test_the_day_says_that_it_is_workable(seat: Opener) -> None:
    async with seat("day", day=1) as at:
        assert "[x] WORKABLE: 6 of 6 scenes served, nothing short" in at.text
        assert "[x] 12A   quay" in at.text
        assert "3 links served" in at.text
        assert "Lunch" in at.text
        assert "Company move" in at.text
        assert "cell changes" in at.text
        await at.press(*["pagedown"] * 3)
        assert "operator's duty" in at.text


async def test_the_day_says_what_is_short_and_what_to_hire(seat: Opener) -> None:
    async with seat("day", day=2, size=(120, 40)) as at:
        day = at.app.job.worked
        short, unserved = len(day.shortfalls), sum(len(n.unserved) for n in day.scenes)
        says = f"[!] NOT YET: {short} things are short, {unserved} links not served; 1 unit to hire"
        assert says in at.text
        at_sea = next(s for s in day.shortfalls if s.kind == "cell" and s.scene == "T4")
        assert at_sea.what.startswith("scene T4 ")
        assert f"[!] cell: {at_sea.what}"[:100] in at.text
        assert "[+] hire 1 x Portable receiver, mono and stereo: scenes 31, 33, 34" in at.text
        (first,) = (needs for needs in day.scenes if needs.scene.number == "31")
        assert f"{len(first.unserved)} of {first.mono + first.stereo} links short" in at.text


async def test_the_clock_of_a_day_counts_on_past_midnight(seat: Opener) -> None:
    async with seat("day", day=3, size=(120, 40)) as at:
        assert "23:15-25:30" in at.text
        axis = next(line for line in at.text.splitlines() if " 13 " in line and " 24 " in line)
        assert axis.rstrip().endswith("25")


async def test_enter_on_a_shortfall_opens_its_scene(seat: Opener) -> None:
    async with seat("day", day=2) as at:
        keys = [row.key for row in at.screen.rows.rows if row.key]
        key = next(key for key in keys if key.startswith("scene:T4#"))
        at.screen.rows.go_to(key)
        await at.press("enter")
        assert at.screen.NAME == "scene"
        assert at.app.scene == "T4"
        assert "TRAWLER AT SEA" in at.text


async def test_a_scene_is_drawn_from_source_to_input(seat: Opener) -> None:
    async with seat("scene", day=1, size=(120, 40)) as at:
        await at.press("right", "right", "n")
        text = at.text
        assert "Scene 15" in text
        path = next(line for line in text.splitlines() if "TX12 + AD1" in line)
        assert "Dance music, playback feed ══ TX12 + AD1" in path
        assert "))) stereo RX21" in path
        assert path.rstrip().endswith("7+8")
        assert "│L band       │R band       │" in text  # the name has no room there
        assert "│TX12         │TX12         │" in text
        assert "(Ines)" in text
        await at.press("p")
        assert "Scene 14" in at.text


async def test_a_scene_names_the_link_that_is_not_served(seat: Opener) -> None:
    async with seat("scene", day=2, size=(120, 40)) as at:
        at.app.scene = "34"
        at.screen.repaint()
        await at.settle()
        assert f"[!] {len(at.screen.needs.unserved)} links not served" in at.text  # type: ignore[attr-defined]
        assert "no bodypack or plug-on here gives P48 in stereo" in at.text


async def test_power_marks_changes_and_gives_its_cautions(seat: Opener) -> None:
    async with seat("power", day=2, size=(120, 60)) as at:
        text = " ".join(at.text.split())
        day = at.app.job.worked
        (dies,) = (change for change in day.changes if change.mid_scene)
        assert f"[!] short {clock(dies.by)} {dies.unit} (Brenna) CR123A: dead by then" in text
        short = [cells for cells in day.cells if cells.short]
        assert short
        for cells in short:
            assert f"{cells.carry} {cells.have} {cells.short} short" in text
        for image in day.firmware:
            assert f"image {image.image}, 5.2 wanted on {', '.join(image.units)}" in text
        assert "Load only the image of the model" in text
        for caution in (cautions.LITHIUM, cautions.MAINS, cautions.SKIN):
            assert caution in text


async def test_a_change_of_cells_is_ticked_on_the_power_screen(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job_module, "local_now", lambda: datetime(2027, 3, 14, 10, 5))
    async with seat("power", day=1, size=(120, 60)) as at:
        at.screen.rows.go_to("unit:TX01")
        await at.press("ctrl+f")
        assert len(at.app.job.state.item("TX01").cells_changed) == 1
        assert "[x] made    10:05 TX01 (Ines) CR123A, a fresh set" in at.text


async def test_packs_are_put_to_sleep_and_woken_on_the_power_screen(
    seat: Opener, job: Callable[..., Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    # Between scenes 12A and 12B.
    monkeypatch.setattr(job_module, "local_now", lambda: datetime(2027, 3, 14, 8, 50))
    before = job()
    before.advance("out")
    async with seat("power", of=before, size=(120, 60)) as at:
        sleepers = sleeping(at.app.job.worked, at.app.job.state, 8 * 60 + 50).awake
        assert len(sleepers) > 1
        says = f"[~] {len(sleepers)} not put to sleep, so reckoned as on: {', '.join(sleepers)}"
        assert says in at.text
        await at.press("a")
        assert f"[x] {len(sleepers)} asleep: {', '.join(sleepers)}" in at.text
        at.screen.rows.go_to(f"unit:{sleepers[0]}")
        await at.press("z")
        assert f"[~] 1 not put to sleep, so reckoned as on: {sleepers[0]}" in at.text


async def test_the_log_has_every_event_the_newest_first(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    before.record("AD1", "checked", check="contacts", value="yes")
    before.record("AD1", "packed", qty=1)
    async with seat("log", of=before) as at:
        lines = [line for line in at.text.splitlines() if "AD1" in line]
        assert "AD1 packed" in lines[0]
        assert "AD1 contacts: yes" in lines[1]
        assert "Ana" in lines[0]
        assert await at.app.tell("TX01", "packed", qty=1)
        await at.settle()
        assert "TX01 packed" in at.text


async def test_what_others_tick_appears(seat: Opener, job: Callable[..., Job]) -> None:
    async with seat("pack") as at:
        ben = job(who="Ben")
        ben.record("TX01", "packed", qty=1)
        at.app.look()
        await at.app.workers.wait_for_complete()
        await at.settle()
        assert "[x] packed    TX01" in at.text
        ben.close()


async def test_someone_else_first_is_named_and_nothing_is_ticked(
    seat: Opener, job: Callable[..., Job]
) -> None:
    async with seat("pack") as at:
        ben = job(who="Ben")
        ben.record("cells:FR6", "packed", qty=19)
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("20")
        assert "Ben at " in at.banner
        assert "FR6 cells packed: 19" in at.banner
        assert "nothing was recorded for you" in at.banner
        assert at.packed("cells:FR6").state.packed == 19
        assert "[~] part" in at.text
        ben.close()


async def test_a_ledger_that_fails_is_told_and_nothing_is_ticked(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with seat("pack") as at:

        def full(drafts: object) -> None:
            raise Unusable("the ledger cannot grow, its disk is full; make room, then try again")

        monkeypatch.setattr(at.app.job.ledger, "append", full)
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("20")
        assert "Nothing was recorded: the ledger cannot grow" in at.banner
        assert at.packed("cells:FR6").mark == "todo"
        assert "[!] Nothing was recorded" in at.text
        await at.go("day")
        assert "Nothing was recorded" in at.banner
        await at.press("escape")
        assert at.banner == ""


async def test_a_ledger_that_cannot_be_read_is_told_once_and_its_return_too(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with seat("day") as at:
        ledger = at.app.job.ledger

        def gone(job: str, after: int = 0) -> None:
            raise Unusable("the ledger cannot be reached")

        with monkeypatch.context() as patch:
            patch.setattr(ledger, "entries", gone)
            at.app.look()
            await at.app.workers.wait_for_complete()
            await at.settle()
            assert "cannot be seen now" in at.banner
        at.app.look()
        await at.app.workers.wait_for_complete()
        await at.settle()
        assert at.banner == ""


async def test_a_scan_on_any_screen_says_what_the_thing_is(seat: Opener) -> None:
    async with seat("day") as at:
        await at.burst("SND-99\r")
        await at.burst("TX12\r")
        await at.pilot.pause(0.06)
        assert at.screen.NAME == "day"
        notes = [str(note.message) for note in at.app._notifications]
        assert any("SND-99 is no tag of this kit" in note for note in notes)
        assert any("TX12 Two-cell bodypack: Dance music, playback feed" in note for note in notes)


async def test_a_unit_that_another_job_has_cannot_be_packed(
    seat: Opener, job: Callable[..., Job], tmp_path: Path
) -> None:
    ben = job(day=3, who="Ben")
    ben.record("TX01", "packed", qty=1)
    async with seat("pack") as at:
        await at.burst("TX01\r")
        await at.answer("1", "5.2", "1", "3.1")
        await at.enter()
        assert "TX01 is out on foxes-a/2027-03-16, packed by Ben" in at.banner
        assert at.packed("TX01").mark == "todo"
        await at.go("day")
        await at.press(*["pagedown"] * 3)
    ben.close()
