"""Edit, on screen: by keyboard alone, the effect before the writing, and nothing behind a back."""

import shutil
import threading
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from textual import events

from kitprep.bundled import bundle, demo_plan
from kitprep.definitions.loading import load_day
from kitprep.editing.proposal import Proposal
from kitprep.job import Job
from kitprep.reports.whatif import SAME
from kitprep.tui.sheets.edit import EditSheet
from kitprep.tui.sheets.entry import EntrySheet
from kitprep.tui.sheets.form import FormSheet
from kitprep.tui.sheets.review import ReviewSheet

from .conftest import Opener
from .seat import Seat, key_event


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo's files to write in."""
    for name in ("kits", "shared"):
        shutil.copytree(bundle() / name, tmp_path / name)
    return tmp_path / "kits" / "harbour-of-foxes"


def files(folder: Path) -> Mapping[Path, bytes]:
    return {path: path.read_bytes() for path in sorted(folder.parent.parent.rglob("*.toml"))}


async def keys(at: Seat, *names: str) -> None:
    """Keys as a terminal sends them, all in one burst; a name of several letters is a key."""
    driver = at.app._driver
    assert driver is not None
    for name in names:
        event = events.Key(name, None) if len(name) > 1 else key_event(name)
        event.set_sender(at.app)
        driver.send_message(event)
    await at.settle()


async def quiet(at: Seat) -> None:
    """Until the form has been looked at and nothing is being worked out."""

    def is_still() -> bool:
        sheet = at.app.screen
        busy = isinstance(sheet, FormSheet) and sheet.is_looking
        return not busy and not at.app.leaves_threads

    await at.settle()
    await at.until(is_still, "the form was looked at")
    await at.settle()


def form(at: Seat) -> EntrySheet:
    assert isinstance(at.app.screen, EntrySheet), at.app.screen
    return at.app.screen


async def opened(at: Seat, name: str) -> EntrySheet:
    """The form of an entry, by its name typed into the list's field."""
    if not isinstance(at.app.screen, EditSheet):
        await at.action("edit")
    await at.answer(name)
    await quiet(at)
    return form(at)


async def go_to(at: Seat, label: str) -> None:
    sheet = form(at)
    names = [blank.label for blank in sheet.blanks]
    await keys(at, *["down"] * names.index(label))


async def review(at: Seat) -> ReviewSheet:
    await keys(at, "ctrl+d")
    await at.until(lambda: isinstance(at.app.screen, ReviewSheet), "the review is open")
    await at.settle()
    assert isinstance(at.app.screen, ReviewSheet)
    return at.app.screen


async def written(at: Seat) -> None:
    """Enter on the review, until the form and it are gone."""
    await keys(at, "enter")
    await at.until(lambda: not isinstance(at.app.screen, ReviewSheet | EntrySheet), "it is written")
    await quiet(at)


def said(sheet: ReviewSheet | EntrySheet | EditSheet) -> str:
    """All lines of a sheet's lists, as one."""
    lists = sheet.query("RowList")
    rows = [row for found in lists for row in found.rows]  # type: ignore[attr-defined]
    return " ".join("".join(part for part, _ in row.line).strip() for row in rows)


# From the list to a form


@pytest.mark.parametrize(
    ("screen", "key", "start"),
    [("day", "e", "scene:12A"), ("scene", "e", "scene:12A"), ("pack", "ctrl+x", "unit:TX01")],
)
async def test_a_key_opens_the_list_on_what_was_looked_at(
    screen: str, key: str, start: str, seat: Opener
) -> None:
    async with seat(screen, day=1) as at:
        await at.press(key)
        sheet = at.app.screen
        assert isinstance(sheet, EditSheet)
        assert sheet.rows.key == start
        await keys(at, "enter")
        assert form(at).form_title == f"{start.partition(':')[0].capitalize()} {start[-3:]}" or (
            form(at).form_title == "Unit TX01"
        )
        await keys(at, "escape", "escape")
        assert screen == at.screen.NAME


async def test_a_scanned_tag_opens_the_form_of_its_unit(seat: Opener) -> None:
    async with seat("day", day=1) as at:
        sheet = await opened(at, "tx02")
        assert sheet.texts["firmware"] == "5.1"
        assert "Serial    SN-0418" in at.text


async def test_what_is_nothing_here_is_said(seat: Opener) -> None:
    async with seat("day", day=1) as at:
        await at.action("edit")
        await at.answer("nosuch")
        assert "nosuch is nothing of this day or its kit" in at.text


# Filling in


async def test_an_edit_by_keyboard_alone_changes_one_line_and_the_day(
    seat: Opener, folder: Path
) -> None:
    plan = folder / "day-01.toml"
    before = plan.read_text("utf-8")
    async with seat("day", plan=plan) as at:
        await opened(at, "22")
        await go_to(at, "End")
        await keys(at, *["backspace"] * 5, *"18:10")
        await quiet(at)
        shown = await review(at)
        assert "-end = " in said(shown)
        assert '+end = "18:10"' in said(shown)
        assert files(folder)[plan] == before.encode()
        await written(at)
        assert load_day(plan).plan.scenes[-1].end == 18 * 60 + 10
        changed = set(plan.read_text("utf-8").splitlines()) ^ set(before.splitlines())
        assert changed == {'end = "18:10"', *(line for line in changed if line[:3] == "end")}
        assert len(changed) == 2
        assert at.app.day.plan.scenes[-1].end == 18 * 60 + 10
        assert at.app.now.worked.plan == at.app.day.plan
        assert isinstance(at.app.screen, EditSheet)
        await keys(at, "escape")
        assert at.screen.NAME == "day"


async def test_letters_behind_an_arrow_go_into_the_next_line(seat: Opener) -> None:
    """A slow link sends keys in bursts; none may land in the line before."""
    async with seat("day", day=1) as at:
        sheet = await opened(at, "TX01")
        await keys(at, *"-b", "down", *"x", "down", "down", "up", *"y", "enter", *"2")
        await quiet(at)
        assert sheet.texts["serial"] == "SN-0417-b"
        assert sheet.texts["firmware"] == "5.2x"
        assert sheet.texts["state"] == "y"
        assert sheet.texts["ended"] == "2"


async def test_choices_are_taken_and_left_by_space(seat: Opener) -> None:
    async with seat("day", day=2) as at:
        sheet = await opened(at, "34")
        await go_to(at, "Sources")
        assert sheet.texts["sources"] == "ines, marek, boom, mix, wake"
        assert ">[x] ines" in at.text
        await keys(at, "right", "space")
        assert sheet.texts["sources"] == "ines, boom, mix, wake"
        await keys(at, "right", "space")
        assert sheet.texts["sources"] == "ines, boom, mix, wake, oda"
        await keys(at, "ctrl+u", *"ma", "ctrl+u", "space")
        assert sheet.texts["sources"] == "marek"  # what was begun to be typed is marked


async def test_a_mistake_is_told_under_its_line_at_once_and_cannot_be_written(
    seat: Opener, folder: Path
) -> None:
    before = files(folder)
    async with seat("day", plan=folder / "day-01.toml") as at:
        sheet = await opened(at, "boom")
        await go_to(at, "Connector")
        await keys(at, "ctrl+u", *"XRL3")
        await quiet(at)
        assert '[!] no connector "XRL3" here; did you mean "XLR3"?' in at.text
        assert "Once nothing is wrong above" in at.text
        await keys(at, "up", "up", "ctrl+d")
        await quiet(at)
        assert at.app.screen is sheet
        assert sheet.rows.key == "connector"
    assert files(folder) == before


async def test_the_effect_on_the_day_is_there_before_anything_is_written(
    seat: Opener, folder: Path
) -> None:
    before = files(folder)
    async with seat("day", plan=folder / "day-01.toml") as at:
        sheet = await opened(at, "TX01")
        await go_to(at, "State")
        await keys(at, *"repair")
        await quiet(at)
        assert "WORKABLE: nothing would be short" in said(sheet)
        assert "Ines: TX02 (was TX01)" in said(sheet)
        shown = await review(at)
        assert "Ines: TX02 (was TX01)" in said(shown)
        assert "What changes in kit.toml" in said(shown)
        assert "A person wrote this file" in said(shown)
        await keys(at, "escape")
        assert at.app.screen is sheet
        assert sheet.texts["state"] == "repair"
        await keys(at, "escape", "escape")
        assert at.screen.NAME == "day"
    assert files(folder) == before


async def test_a_held_enter_goes_through_the_form_and_writes_nothing(
    seat: Opener, folder: Path
) -> None:
    before = files(folder)
    async with seat("day", plan=folder / "day-01.toml") as at:
        sheet = await opened(at, "TX01")
        await keys(at, *"-b", *["enter"] * 40)
        await quiet(at)
        assert at.app.screen is sheet
        assert sheet.rows.key == "notes"
    assert files(folder) == before


async def test_what_was_not_changed_is_not_written(seat: Opener, folder: Path) -> None:
    before = files(folder)
    async with seat("day", plan=folder / "day-01.toml") as at:
        await opened(at, "TX01")
        await keys(at, "ctrl+d")
        await at.until(lambda: isinstance(at.app.screen, EditSheet), "the form is left")
    assert files(folder) == before


async def test_keys_go_on_while_the_form_is_looked_at_and_the_newest_text_wins(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with seat("day", day=1) as at:
        sheet = await opened(at, "TX01")
        seen: list[str] = []
        go_on = threading.Event()
        main, really = threading.current_thread(), sheet.look

        def look(texts: Mapping[str, str]) -> Proposal:
            assert threading.current_thread() is not main
            seen.append(texts["serial"])
            assert go_on.wait(20)
            return really(texts)

        monkeypatch.setattr(sheet, "look", look)
        await keys(at, "ctrl+u", *"SN-1")
        await keys(at, "down", "up")
        assert sheet.texts["serial"] == "SN-1"
        go_on.set()
        await quiet(at)
        assert seen[-1] == "SN-1"
        assert len(seen) <= 3


# Adding, ending, taking out


async def test_a_new_unit_is_added_and_can_be_planned_with(seat: Opener, folder: Path) -> None:
    async with seat("day", plan=folder / "day-02.toml") as at:
        await at.action("edit")
        sheet = at.app.screen
        assert isinstance(sheet, EditSheet)
        sheet.rows.go_to("unit:")
        await keys(at, "enter")
        await quiet(at)
        await keys(at, *"bag-rx-s", "down", *"RX29", "down")
        await quiet(at)
        assert "Served now" in said(form(at))
        await review(at)
        await written(at)
        kit = load_day(folder / "day-02.toml").kit
        stereo = next(r for r in kit.receivers if r.model == "bag-rx-s")
        assert stereo.units[-1].tag == "RX29"
        assert "RX29" in said(sheet)
        assert not [h for h in at.app.now.worked.hire if h.model == "bag-rx-s"]


async def test_a_unit_ends_on_a_day_and_its_past_stays(seat: Opener, folder: Path) -> None:
    plan = folder / "day-01.toml"
    async with seat("day", plan=plan) as at:
        await at.action("edit")
        sheet = at.app.screen
        assert isinstance(sheet, EditSheet)
        sheet.rows.go_to("unit:TX01")
        await keys(at, "ctrl+t")
        await quiet(at)
        assert form(at).rows.key == "ended"
        assert form(at).texts["ended"] == "2027-03-15"  # the day after this one
        assert SAME in said(form(at))
        await review(at)
        await written(at)
        assert "ended 2027-03-15" in said(sheet)
        worn = {link.source: link.transmitter for link in at.app.now.worked.links}
        assert worn["ines"] == "TX01"
    async with seat("day", plan=folder / "day-02.toml") as at:
        assert "TX01" not in {link.transmitter for link in at.app.now.worked.links}


async def test_what_others_need_is_not_taken_out_and_they_are_named(
    seat: Opener, folder: Path
) -> None:
    before = files(folder)
    async with seat("day", plan=folder / "day-02.toml") as at:
        await at.action("edit")
        sheet = at.app.screen
        assert isinstance(sheet, EditSheet)
        sheet.rows.go_to("source:mix")
        await keys(at, "ctrl+t")
        await quiet(at)
        assert "mix is in scenes 31, 33 and 34; take it out of there first" in at.text
        sheet.rows.go_to("scene:T4")
        await keys(at, "ctrl+t")
        await at.until(lambda: isinstance(at.app.screen, ReviewSheet), "the review is open")
        await keys(at, "enter")
        await at.until(lambda: at.app.screen is sheet and at.app.changes, "it is written")
        await quiet(at)
        assert "T4" not in [scene.number for scene in at.app.day.plan.scenes]
        assert "scene:T4" not in [row.key for row in sheet.rows.rows]
    after = files(folder)
    assert [path.name for path in before if before[path] != after[path]] == ["day-02.toml"]


async def test_a_scene_that_is_gone_is_not_looked_at_any_more(seat: Opener, folder: Path) -> None:
    async with seat("scene", plan=folder / "day-02.toml") as at:
        assert at.app.scene == "31"
        await at.action("edit")
        await keys(at, "ctrl+t")
        await at.until(lambda: isinstance(at.app.screen, ReviewSheet), "the review is open")
        await written(at)
        await keys(at, "escape")
        assert at.app.scene == "T4"
        assert "T4" in at.text


# What stands in the way


async def test_what_someone_saved_meanwhile_is_not_written_over_and_nothing_typed_is_lost(
    seat: Opener, folder: Path
) -> None:
    kit = folder / "kit.toml"
    async with seat("day", plan=folder / "day-01.toml") as at:
        sheet = await opened(at, "TX01")
        await keys(at, *"-b")
        await quiet(at)
        await review(at)
        theirs = kit.read_bytes() + b"# mine\n"
        kit.write_bytes(theirs)
        await keys(at, "enter")
        await at.until(lambda: at.app.screen is sheet, "back at the form")
        await quiet(at)
        assert kit.read_bytes() == theirs
        assert sheet.texts["serial"] == "SN-0417-b"
        assert not at.app.changes
        notes = " ".join(note.message for note in at.app._notifications)
        assert "is not what was read any more" in notes


async def test_the_demos_own_files_stay_as_they_are(seat: Opener) -> None:
    before = demo_plan(1).with_name("kit.toml").read_bytes()
    async with seat("day", day=1) as at:
        await opened(at, "TX01")
        await keys(at, *"-b")
        await quiet(at)
        shown = await review(at)
        assert "these are the demo's own files" in said(shown)
        assert "Enter Write it" not in at.text
        await keys(at, "enter")
        assert at.app.screen is shown
    assert demo_plan(1).with_name("kit.toml").read_bytes() == before


async def test_once_the_kit_is_out_no_other_unit_may_go(
    seat: Opener, folder: Path, job: Callable[..., Job]
) -> None:
    before = files(folder)
    out = job(plan=folder / "day-01.toml")
    out.record_all([(line.key, "packed", {"qty": line.qty}) for line in out.worked.packing])
    out.advance("packed")
    out.advance("out")
    async with seat("day", of=out) as at:
        await opened(at, "TX01")
        await go_to(at, "State")
        await keys(at, *"repair")
        await quiet(at)
        shown = await review(at)
        assert "the kit is out, so what went is fixed" in said(shown)
        await keys(at, "enter")
        assert at.app.screen is shown
        assert files(folder) == before
        await keys(at, "escape")
        await keys(at, "ctrl+u", *["down"] * 8, *"seen to")
        await quiet(at)
        await review(at)
        await written(at)
        assert 'notes = "seen to"' in (folder / "kit.toml").read_text("utf-8")


async def test_a_source_with_line_checks_keeps_its_id(seat: Opener, folder: Path) -> None:
    async with seat("day", plan=folder / "day-01.toml") as at:
        await at.app.tell("check:12A:ines:recorder:version", "observed", answer="5.2", chain="x")
        sheet = await opened(at, "ines")
        await keys(at, *"-x")
        await quiet(at)
        assert "1 line check of ines is recorded, and keeps that name" in said(sheet)
        await keys(at, "ctrl+d")
        await quiet(at)
        assert at.app.screen is sheet


# Taking back


async def test_the_last_change_is_taken_back(seat: Opener, folder: Path) -> None:
    before = files(folder)
    async with seat("day", plan=folder / "day-01.toml") as at:
        worked = at.app.now.worked
        await opened(at, "TX01")
        await go_to(at, "State")
        await keys(at, *"repair")
        await quiet(at)
        await review(at)
        await written(at)
        await keys(at, "escape")
        assert files(folder) != before
        assert at.app.now.worked.links != worked.links
        await at.press("u")
        await at.until(lambda: not at.app.changes, "it is taken back")
        await quiet(at)
        assert files(folder) == before
        assert at.app.now.worked.links == worked.links
        await at.press("u")
        await quiet(at)
        assert files(folder) == before


async def test_taking_back_leaves_what_someone_wrote_since(seat: Opener, folder: Path) -> None:
    kit = folder / "kit.toml"
    async with seat("day", plan=folder / "day-01.toml") as at:
        await opened(at, "TX01")
        await keys(at, *"-b")
        await quiet(at)
        await review(at)
        await written(at)
        await keys(at, "escape")
        theirs = kit.read_bytes() + b"# mine\n"
        kit.write_bytes(theirs)
        await at.press("u")
        await quiet(at)
        assert kit.read_bytes() == theirs


# Any terminal, any name


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 12), (12, 5)])
async def test_forms_fit_small_terminals_and_strange_names(
    size: tuple[int, int], seat: Opener, folder: Path
) -> None:
    plan = folder / "day-01.toml"
    name = 'name = "[/] [@click=app.quit]x[/] 日本 \\u0007 tail\\\\"'
    plan.write_text(plan.read_text("utf-8").replace('name = "Ines"', name), "utf-8")
    async with seat("day", size=size, plan=plan) as at:
        sheet = await opened(at, "ines")
        await keys(at, *["down", "up", "down", "down", "space", "right"] * 3, "pagedown")
        await quiet(at)
        assert at.app.screen is sheet
        await keys(at, "ctrl+d")
        await quiet(at)
        await keys(at, "escape", "escape", "escape")
        assert at.app.is_running
    if size == (80, 24):
        async with seat("day", size=size, plan=plan) as at:
            await opened(at, "ines")
            assert "[/] [@click=app.quit]x[/] 日本" in at.text


async def test_files_that_do_not_read_well_are_not_opened_and_it_is_said(
    seat: Opener, folder: Path
) -> None:
    plan = folder / "day-01.toml"
    async with seat("day", plan=plan) as at:
        plan.write_text(plan.read_text("utf-8").replace("inputs = 8", "inputs = eight"), "utf-8")
        await at.action("edit")
        assert at.screen.NAME == "day"
        assert "The files cannot be changed as they are" in at.banner
