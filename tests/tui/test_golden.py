"""What every screen says, word for word, at three sizes and in both themes.

Plain text, so that a change can be read in a review: KITPREP_GOLDEN=1 writes the files anew. The
words do not depend on the theme; the colours of both are held by test_colour.
"""

import os
import re
from pathlib import Path

import pytest

from kitprep.tui.app import KitprepApp
from kitprep.tui.commands import SCREENS
from kitprep.tui.themes import DARK, LIGHT

from .conftest import Opener
from .seat import Seat

GOLDEN = Path(__file__).parent / "golden"
SIZES = [(80, 24), (120, 40), (60, 20)]
NAMES = [name for name, _, _ in SCREENS]
SHEETS = ("help", "what-if", "moves")


def held(name: str, text: str) -> None:
    """The text is that of its file, or becomes it."""
    file = GOLDEN / f"{name}.txt"
    text = re.sub(r"\d{2}:\d{2}:\d{2}", "hh:mm:ss", text).rstrip() + "\n"
    if os.environ.get("KITPREP_GOLDEN"):
        GOLDEN.mkdir(exist_ok=True)
        file.write_text(text, "utf-8")
    assert file.exists(), f"{file.name} is missing; KITPREP_GOLDEN=1 writes it"
    assert text == file.read_text("utf-8")


async def in_both_themes(name: str, at: Seat) -> None:
    held(name, at.text)
    colours = at.app.export_screenshot()
    assert at.app.theme == DARK.name
    at.app.action_light()
    await at.settle()
    assert at.app.theme == LIGHT.name
    held(name, at.text)
    assert at.app.export_screenshot() != colours


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", NAMES)
async def test_a_screen_says_what_it_always_said(
    name: str, size: tuple[int, int], seat: Opener
) -> None:
    async with seat(name, day=2, size=size) as at:
        await in_both_themes(f"{name}-{size[0]}x{size[1]}", at)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("sheet", SHEETS)
async def test_a_sheet_says_what_it_always_said(
    sheet: str, size: tuple[int, int], seat: Opener
) -> None:
    async with seat("day", day=1, size=size) as at:
        if sheet == "help":
            at.app.action_help()
        else:
            await at.action(sheet.replace("-", "_"))
        await at.settle()
        await at.settle()
        await in_both_themes(f"{sheet}-{size[0]}x{size[1]}", at)


def test_no_file_is_left_over() -> None:
    wanted = {
        *(f"{name}-{w}x{h}" for name in NAMES for w, h in SIZES),
        *(f"{sheet}-{w}x{h}" for sheet in SHEETS for w, h in SIZES),
    }
    assert {file.stem for file in GOLDEN.glob("*.txt")} == wanted
    assert KitprepApp.MODES.keys() == set(NAMES)
