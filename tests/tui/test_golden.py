"""What every screen says, word for word, and in which colours, at four sizes and in both themes.

Plain text, so that a change can be read in a review: KITPREP_GOLDEN=1 writes the files anew. Words
are in the ``.txt`` files, the same in both themes. A ``.style`` file has a letter for each pair of
styles, dark and light, and each line as runs of those letters: ``4a76b`` is four cells, then 76.
"""

import itertools
import os
import re
import string
from pathlib import Path

import pytest
from rich.style import Style

from kitprep.tui.app import KitprepApp
from kitprep.tui.commands import SCREENS
from kitprep.tui.themes import DARK, LIGHT

from .conftest import Opener
from .seat import Seat

GOLDEN = Path(__file__).parent / "golden"
SIZES = [(80, 24), (120, 40), (60, 20), (200, 60)]
NAMES = [name for name, _, _ in SCREENS]
SHEETS = ("help", "what-if", "moves", "edit", "form")
LETTERS = string.ascii_letters


def held(file_name: str, text: str) -> None:
    """The text is that of its file, or becomes it."""
    file = GOLDEN / file_name
    text = re.sub(r"\d{2}:\d{2}:\d{2}", "hh:mm:ss", text).rstrip() + "\n"
    if os.environ.get("KITPREP_GOLDEN"):
        GOLDEN.mkdir(exist_ok=True)
        file.write_text(text, "utf-8")
    assert file.exists(), f"{file.name} is missing; KITPREP_GOLDEN=1 writes it"
    assert text == file.read_text("utf-8")


def cells(app: KitprepApp) -> list[list[str]]:
    """The style of each cell, row by row."""
    rows = app.screen._compositor.render_strips(app.size)
    return [
        [told(segment.style) for segment in strip for _ in range(segment.cell_length)]
        for strip in rows
    ]


def told(style: Style | None) -> str:
    """A style as it is written in the files."""
    if style is None:
        return "none"
    colours = [
        colour.get_truecolor().hex if colour is not None else "none"
        for colour in (style.color, style.bgcolor)
    ]
    looks = [look for look in ("bold", "dim", "reverse", "underline") if getattr(style, look)]
    return " ".join([colours[0], "on", colours[1], *looks])


def runs(dark: list[list[str]], light: list[list[str]]) -> str:
    """Both themes' styles: the letters with what they stand for, then the lines."""
    pairs: dict[tuple[str, str], str] = {}
    lines = []
    for one, other in zip(dark, light, strict=True):
        line = ""
        for pair, run in itertools.groupby(zip(one, other, strict=True)):
            letter = pairs.setdefault(pair, LETTERS[len(pairs)])
            line += f"{len(list(run))}{letter}"
        lines.append(line)
    legend = [f"{letter}  {of_dark:28} {of_light}" for (of_dark, of_light), letter in pairs.items()]
    return "\n".join([*legend, "", *lines])


async def in_both_themes(name: str, at: Seat) -> None:
    held(f"{name}.txt", at.text)
    assert at.app.theme == DARK.name
    dark = cells(at.app)
    at.app.action_light()
    await at.settle()
    assert at.app.theme == LIGHT.name
    held(f"{name}.txt", at.text)
    held(f"{name}.style", runs(dark, cells(at.app)))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", NAMES)
async def test_a_screen_says_what_it_always_said(
    name: str, size: tuple[int, int], seat: Opener
) -> None:
    async with seat(name, day=2, size=size) as at:
        await at.until(lambda: at.app.now.tried, "what one failure would cost is known")
        await at.settle()
        await in_both_themes(f"{name}-{size[0]}x{size[1]}", at)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("sheet", SHEETS)
async def test_a_sheet_says_what_it_always_said(
    sheet: str, size: tuple[int, int], seat: Opener
) -> None:
    async with seat("day", day=1, size=size) as at:
        if sheet == "help":
            at.app.action_help()
        elif sheet == "form":
            await at.action("edit")
            await at.press("enter")
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
    for kind in ("txt", "style"):
        assert {file.stem for file in GOLDEN.glob(f"*.{kind}")} == wanted
    assert KitprepApp.MODES.keys() == set(NAMES)
