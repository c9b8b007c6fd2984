"""What all sheets have: help over them, and the way to another screen that loses nothing."""

import pytest

from kitprep.tui.commands import SCREENS
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.sheets.days import DaysSheet
from kitprep.tui.sheets.edit import EditSheet
from kitprep.tui.sheets.entry import EntrySheet
from kitprep.tui.sheets.help import SHEETS, HelpSheet, SheetHelp
from kitprep.tui.sheets.new import NewSheet
from kitprep.tui.sheets.whatif import WhatIfSheet
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.note import Note

from .conftest import Opener
from .seat import Seat

KEYS = {"e": EditSheet, "i": WhatIfSheet, "c": DaysSheet, "j": NewSheet, "question_mark": HelpSheet}


async def opened(at: Seat, key: str) -> Sheet[object]:
    await at.press(key)
    await at.until(lambda: isinstance(at.app.screen, KEYS[key.lower()]), "the sheet opens")
    await at.settle()
    assert isinstance(at.app.screen, Sheet)
    return at.app.screen


def toasts(at: Seat) -> str:
    return " ".join(note.message for note in at.app._notifications)


@pytest.mark.parametrize("key", ["e", "i", "c", "j"])
async def test_help_lies_over_a_sheet_and_leaves_it_as_it_was(key: str, seat: Opener) -> None:
    async with seat("day") as at:
        sheet = await opened(at, key)
        await at.press("f1")
        help_sheet = at.app.screen
        assert isinstance(help_sheet, SheetHelp)
        await at.settle()
        words = " ".join("".join(p for p, _ in row.line) for row in help_sheet.painted.rows)  # type: ignore[attr-defined]
        assert SHEETS[sheet.ABOUT][0].split(".")[0][:40] in " ".join(words.split())
        assert "Esc" in words
        await at.press("f1")
        assert at.app.screen is sheet


@pytest.mark.parametrize("key", ["e", "i", "c", "j", "question_mark"])
async def test_the_key_of_a_screen_leaves_a_sheet_on_which_nothing_is_lost(
    key: str, seat: Opener
) -> None:
    async with seat("day") as at:
        await opened(at, key)
        await at.press("f4")
        await at.until(lambda: at.app.screen_name == "power", "the screen opens")


async def test_what_was_typed_is_not_lost_by_the_key_of_a_screen(seat: Opener) -> None:
    async with seat("day") as at:
        await opened(at, "e")
        await at.press("enter")
        form = at.app.screen
        assert isinstance(form, EntrySheet)
        await at.press("x", "f4")
        assert at.app.screen is form
        assert form.texts["number"] == "12Ax"
        assert "^D keeps it, Esc drops it; then F4 opens Power" in toasts(at)
        await at.press("backspace", "f4")
        await at.until(lambda: at.app.screen_name == "power", "the screen opens")


async def test_the_palette_is_left_for_a_screen_too(seat: Opener) -> None:
    async with seat("day") as at:
        at.app.action_command_palette()
        await at.settle()
        await at.press("f3")
        await at.until(lambda: at.app.screen_name == "scene", "the screen opens")


async def test_the_way_out_stands_at_the_foot_of_a_narrow_sheet(seat: Opener) -> None:
    async with seat("day", size=(60, 20)) as at:
        sheet = await opened(at, "i")
        await at.settle()
        words = "".join(word for word, _, _ in sheet.query_one("#sheet-foot", Bar).fitted(58))
        assert words.endswith("Esc Drop it all ")
        assert "…" not in words


async def test_a_capital_does_what_its_letter_does(seat: Opener) -> None:
    async with seat("day") as at:
        for letter, name in (("S", "scene"), ("O", "power"), ("G", "log"), ("D", "day")):
            await at.press(letter)
            assert name == at.screen.NAME
        assert {name for name, _, _ in SCREENS} >= {"scene", "power", "log", "day"}
        await opened(at, "E")
        await at.press("X")
        assert at.app.screen.query_one("#edit-code").value == "X"  # type: ignore[attr-defined]
        await at.press("backspace", "escape", "C")
        await at.until(lambda: isinstance(at.app.screen, DaysSheet), "days")


async def test_a_greeting_has_a_line_of_its_own_until_a_key_is_pressed(seat: Opener) -> None:
    async with seat("day", greeting="This is the demo job. {app.help} is help") as at:
        assert "    This is the demo job. F1 is help" in at.text
        clock = next(line for line in at.text.splitlines() if " 08 09 10 " in line)
        await at.press("down")
        assert "This is the demo job" not in at.text
        assert clock in at.text
        assert not at.app.query(Note).filter("Toast")
