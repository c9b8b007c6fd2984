"""Colour is the third cue: states are read without it, and both themes have contrast enough."""

import itertools
import locale
from collections.abc import Callable

import pytest
from rich.cells import cell_len
from textual.color import Color
from textual.theme import Theme

from kitprep.job import Job
from kitprep.tui.commands import SCREENS
from kitprep.tui.drawing.lines import ASCII, UNICODE, fits
from kitprep.tui.marks import CHECK, PACK, WRAP
from kitprep.tui.themes import DARK, LIGHT

from .conftest import Opener

LEAST = 4.5


def luminance(colour: Color) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in colour.normalized
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, as WCAG 2.2 defines it."""
    light, dark = sorted((luminance(Color.parse(c)) for c in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=lambda theme: theme.name)
def test_every_role_stands_out_on_every_ground(theme: Theme) -> None:
    grounds = [theme.background, theme.surface, theme.panel, theme.variables["kp-cursor"]]
    roles = [theme.foreground, *(v for k, v in theme.variables.items() if k != "kp-cursor")]
    for ground, role in itertools.product(grounds, roles):
        ratio = contrast(role or "", ground or "")
        assert ratio >= LEAST, (theme.name, role, ground, round(ratio, 2))


@pytest.mark.parametrize("marks", [PACK, CHECK, WRAP])
def test_every_state_is_a_glyph_and_a_word(marks: dict[str, tuple[str, str, str]]) -> None:
    words = [word for _, word, _ in marks.values()]
    assert all(words)
    assert len(set(words)) == len(words)
    for glyph, word, _ in marks.values():
        assert glyph.isascii()
        assert len(glyph) == 3
        assert len(word) <= 10


@pytest.mark.parametrize("colour", ["", "1"])
async def test_states_are_read_without_colour(
    seat: Opener, job: Callable[..., Job], colour: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    if colour:
        monkeypatch.setenv("NO_COLOR", colour)
    before = job()
    before.record("TX01", "packed", qty=1)
    before.record("TX02", "skipped", reason="flat")
    before.record("cards:mini-sd", "packed", qty=2)
    async with seat("pack", of=before) as at:
        text = at.text
        assert "[x] packed    TX01" in text
        assert "[-] left out  TX02" in text
        assert "[ ] to do     TX11" in text
        assert "[~] part      2 of 4" in text
        assert [line for line in text.splitlines() if line.startswith("> ")]
        assert "[F5 Pack]" in text


async def test_the_light_theme_is_one_key_away(seat: Opener) -> None:
    async with seat("day") as at:
        assert at.app.theme == DARK.name
        await at.press("f9")
        assert at.app.theme == LIGHT.name
        assert "[x] WORKABLE" in at.text


def test_a_poor_terminal_gets_plain_characters() -> None:
    assert fits("utf-8") is UNICODE
    for encoding in ("ascii", "latin-1", None, "no-such-encoding"):
        assert fits(encoding) is ASCII
    plain = "".join(str(part) for part in (ASCII.across, ASCII.double, *ASCII.corners, ASCII.dots))
    assert plain.isascii()


@pytest.mark.parametrize("poor", [("TERM", "vt100"), ("TERM", "linux"), ("locale", "ascii")])
async def test_on_a_poor_terminal_everything_is_plain_characters_with_a_bar_beside_the_list(
    seat: Opener, monkeypatch: pytest.MonkeyPatch, poor: tuple[str, str]
) -> None:
    if poor[0] == "TERM":
        monkeypatch.setenv(*poor)
    else:
        monkeypatch.setattr(locale, "getencoding", lambda: poor[1])
    async with seat("day", day=2) as at:
        for name, _, _ in SCREENS:
            await at.go(name)
            assert at.text.isascii(), name
        await at.go("day")
        ends = [line[79:80] for line in at.text.splitlines()[2:23]]
        assert set(ends) == {"#", "|"}
        assert ends == sorted(ends), "what is in sight is at the top"
        await at.press("pagedown", "pagedown", "pagedown", "pagedown")
        ends = [line[79:80] for line in at.text.splitlines()[2:23]]
        assert ends == sorted(ends, reverse=True), "and then at the bottom"
        at.app.look_up("TX01")
        at.app.action_command_palette()
        await at.settle()
        await at.pilot.pause(0.2)
        assert at.text.isascii()


def test_each_glyph_is_one_cell_wide() -> None:
    for glyphs in (ASCII, UNICODE):
        for glyph in (glyphs.across, glyphs.double, glyphs.up_down, *glyphs.corners, glyphs.full):
            assert cell_len(glyph) == 1


async def test_plain_characters_on_every_screen(seat: Opener) -> None:
    async with seat("day") as at:
        at.app.glyphs = ASCII
        for name in ("day", "scene", "power", "pack", "check", "wrap", "log"):
            await at.go(name)
            at.screen.repaint()
            await at.settle()
            assert at.text.replace("°", "").isascii() or name == "day", name
