"""A job of one's own, the next day, and two days held side by side, all from the screens."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from kitprep.bundled import bundle
from kitprep.definitions.loading import load_day
from kitprep.editing.fields import shown_text
from kitprep.starter.answers import questions
from kitprep.tui.drawing.form import Blank, toggled
from kitprep.tui.sheets.copy_day import CopySheet
from kitprep.tui.sheets.days import ComparisonSheet, DaysSheet
from kitprep.tui.sheets.new import FOLDER, NewSheet, answered

from .conftest import Opener
from .seat import Seat
from .test_edit import keys, quiet


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo's files to write in."""
    for name in ("kits", "shared"):
        shutil.copytree(bundle() / name, tmp_path / name)
    return tmp_path / "kits" / "harbour-of-foxes"


def words(sheet: ComparisonSheet | DaysSheet) -> str:
    return "\n".join("".join(part for part, _ in row.line) for row in sheet.painted.rows)  # type: ignore[attr-defined]


# New


async def new(at: Seat) -> NewSheet:
    await at.press("j")
    await at.until(lambda: isinstance(at.app.screen, NewSheet), "the questions are there")
    await quiet(at)
    assert isinstance(at.app.screen, NewSheet)
    return at.app.screen


async def test_a_job_of_ones_own_is_made_by_keyboard_and_opened(
    seat: Opener, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with seat("power", day=1) as at:
        sheet = await new(at)
        assert sheet.texts[FOLDER] == str(tmp_path / "my-first-job")
        await keys(at, "ctrl+u", *"Night ferry", "down", "ctrl+u", *"3", "down", "right", "space")
        await keys(at, "down", "space", "down", "down", "ctrl+u", *"2027-05-02")
        await quiet(at)
        assert not sheet.wrong
        assert sheet.texts["boom"] == "plug-on"
        assert sheet.texts["hop"] == "yes"  # Space on the answer there is takes the other
        await keys(at, "ctrl+d")
        plan = tmp_path / "my-first-job" / "day-01.toml"
        await at.until(lambda: at.app.day.path == plan, "the new day is open")
        await quiet(at)
        assert at.screen.NAME == "day"
        day = load_day(plan)
        assert (day.kit.name, day.plan.day) == ("Night ferry", date(2027, 5, 2))
        assert len(day.plan.sources) == 3 + 1 + 1
        assert at.app.job.name == "night-ferry/2027-05-02"
        assert "Night ferry" in at.text
        # The new job's ticks are its own.
        assert await at.app.tell("TX01", "packed", qty=1)
        assert at.app.job.ledger.entries("night-ferry/2027-05-02")
        assert not at.app.job.ledger.entries("foxes-a/2027-03-14")


async def test_what_is_there_is_not_written_over(
    seat: Opener, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    there = tmp_path / "my-first-job" / "kit.toml"
    there.parent.mkdir()
    there.write_text("mine")
    async with seat("day", day=1) as at:
        sheet = await new(at)
        assert "has kit.toml already" in sheet.wrong[FOLDER]
        await keys(at, "ctrl+d")
        await quiet(at)
        assert at.app.screen is sheet
        await keys(at, "escape")
        assert at.screen.NAME == "day"
    assert there.read_text() == "mine"
    assert list(there.parent.iterdir()) == [there]


def test_each_answer_is_told_by_itself_and_then_all_together(tmp_path: Path) -> None:
    today = date(2027, 3, 14)
    usual = {question.key: question.usual for question in questions(today)}
    texts = {**usual, FOLDER: str(tmp_path / "x")}
    assert answered(texts, today).answers is not None
    found = answered({**texts, "cast": "40", "day": "soon"}, today)
    assert found.wrong == {
        "cast": 'cast cannot be "40"; write a number from 0 to 16',
        "day": '"soon" is no date; write year, month, day, as in 2027-03-14',
    }
    found = answered({**texts, "cast": "0"}, today)
    assert found.wrong == {}
    assert "nothing to hear by radio" in found.elsewhere
    assert answered({**texts, FOLDER: " "}, today).wrong == {
        FOLDER: "no folder is named; write one"
    }


# Days


async def days(at: Seat) -> DaysSheet:
    await at.press("c")
    await at.until(lambda: isinstance(at.app.screen, DaysSheet), "the days are there")
    await quiet(at)
    assert isinstance(at.app.screen, DaysSheet)
    return at.app.screen


async def test_another_day_is_opened(seat: Opener, folder: Path) -> None:
    async with seat("scene", plan=folder / "day-01.toml") as at:
        sheet = await days(at)
        assert sheet.rows.key == str(folder / "day-01.toml")
        assert "Sun 14 Mar" in words(sheet)
        await keys(at, "down", "enter")
        await at.until(lambda: at.app.day.path.name == "day-02.toml", "day 2 is open")
        await quiet(at)
        assert at.screen.NAME == "day"
        assert at.app.job.name == "foxes-a/2027-03-15"
        assert at.app.scene == "31"
        assert "chandlery" in at.text


async def test_two_days_are_compared_with_what_was_swapped(seat: Opener, folder: Path) -> None:
    async with seat("day", plan=folder / "day-01.toml") as at:
        await days(at)
        await keys(at, "down", "down", "c")
        await at.until(lambda: isinstance(at.app.screen, ComparisonSheet), "it is compared")
        await quiet(at)
        sheet = at.app.screen
        assert isinstance(sheet, ComparisonSheet)
        assert "ADD TO THE BAG" in words(sheet)
        # On day 1 no stereo pack is apart from the cast's; on the cold day 3 two more packs go.
        assert "TX13" in words(sheet)
        await keys(at, "escape", "escape")
        assert at.screen.NAME == "day"


async def test_the_next_day_is_made_and_each_keeps_what_they_wear(
    seat: Opener, folder: Path
) -> None:
    plan = folder / "day-01.toml"
    before = plan.read_text("utf-8")
    async with seat("day", plan=plan) as at:
        # Ines wore TX01; it failed on the day, and TX03 stood in for it.
        assert await at.app.tell("TX01", "swapped", by="TX03", reason="crackles")
        await days(at)
        await keys(at, "n")
        sheet = at.app.screen
        assert isinstance(sheet, CopySheet)
        await quiet(at)
        assert sheet.texts["day"] == "2027-03-17"  # the next on which there is no day yet
        assert sheet.texts["file"] == "day-04.toml"
        await keys(at, "down", "ctrl+u", *"Day 4", "ctrl+d")
        new = folder / "day-04.toml"
        await at.until(lambda: at.app.day.path == new, "the next day is open")
        await quiet(at)
        copy = load_day(new).plan
        assert (copy.day, copy.title) == (date(2027, 3, 17), "Day 4")
        wears = {source.id: source.wears for source in copy.sources}
        assert wears["ines"] == "TX03"
        worn = {link.source: link.transmitter for link in at.app.now.worked.links}
        assert worn["ines"] == "TX03"
        text = new.read_text("utf-8")
        assert all(line in text for line in before.splitlines() if line.startswith("#"))
    assert plan.read_text("utf-8") == before


async def test_a_date_that_another_plan_has_would_be_the_same_job(
    seat: Opener, folder: Path
) -> None:
    async with seat("day", plan=folder / "day-01.toml") as at:
        await days(at)
        await keys(at, "n")
        await quiet(at)
        await keys(at, "ctrl+u", *"2027-03-15")
        await quiet(at)
        assert "day-02.toml is that day already, and both would be one job" in at.text
        await keys(at, "ctrl+d")
        await quiet(at)
        assert isinstance(at.app.screen, CopySheet)
    assert not (folder / "day-04.toml").exists()


async def test_plans_that_share_a_jobs_ticks_are_told_so_under_their_days(
    seat: Opener, folder: Path
) -> None:
    shutil.copy(folder / "day-02.toml", folder / "day-02b.toml")
    async with seat("day", plan=folder / "day-01.toml") as at:
        told = " ".join(words(await days(at)).split())
        one_job = "are one job to the ledger, foxes-a/2027-03-15; write job ="
        assert f"[!] day-02.toml and day-02b.toml {one_job}" in told
        assert f"[!] day-02b.toml and day-02.toml {one_job}" in told
        assert "[!] day-01.toml" not in told


# Choices


def test_a_choice_taken_twice_is_left_and_takes_its_input_along() -> None:
    to = Blank("to", "To", "", ("recorder", "cam-a"), many=True)
    assert toggled(to, "", "cam-a") == "cam-a"
    assert toggled(to, "recorder:3", "cam-a") == "recorder:3, cam-a"
    assert toggled(to, "recorder:3, cam-a", "recorder") == "cam-a"
    one = Blank("state", "State", "", ("ok", "repair"))
    assert toggled(one, "", "repair") == "repair"
    assert toggled(one, "repair", "repair") == ""
    needed = Blank("hop", "Hop", "", ("yes", "no"), needed=True)
    assert toggled(needed, "no", "no") == "yes"


def test_figures_are_shown_as_they_are_written() -> None:
    assert shown_text([[470.125, 516.0]]) == "470.125-516"
    assert shown_text(12345678.5) == "12345678.5"
    assert shown_text("one\ntwo") == r"one\ntwo"


async def test_no_day_is_written_into_the_demos_own_folder(seat: Opener) -> None:
    before = sorted(bundle().joinpath("kits").rglob("*"))
    async with seat("day", day=1) as at:
        await days(at)
        await keys(at, "n")
        await quiet(at)
        assert "this is the demo's own folder" in at.text
        await keys(at, "ctrl+d")
        await quiet(at)
        assert isinstance(at.app.screen, CopySheet)
    assert sorted(bundle().joinpath("kits").rglob("*")) == before
