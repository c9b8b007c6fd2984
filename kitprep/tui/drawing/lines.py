"""Lines of text in parts, each with a role that a theme may colour; the words carry the meaning.

Widths are cells of the terminal. All text passes through here, so that a control code in a holder's
name or in a note that another program wrote reaches no terminal.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Literal

from rich.cells import cell_len, set_cell_size

from kitprep.definitions.text import clean_line

Role = Literal["", "dim", "good", "warn", "bad", "head", "key", "bar"]
Part = tuple[str, Role]
Line = tuple[Part, ...]


_TURNS = (0x200E, 0x200F, *range(0x2028, 0x202F), *range(0x2066, 0x206A))

HARMLESS = dict.fromkeys((*range(0x20), *range(0x7F, 0xA0), *_TURNS), " ")
"""The last gate before the terminal: no control code, no turn of the writing direction."""


@dataclass(frozen=True, slots=True)
class Glyphs:
    """The few characters beyond ASCII, and what stands for them where the terminal has no more."""

    across: str
    double: str
    up_down: str
    corners: tuple[str, str, str, str, str, str]
    full: str
    half: str
    short: str
    change: str
    dots: str
    radio: str
    degree: str


UNICODE = Glyphs(
    "─", "═", "│", ("┌", "┬", "┐", "└", "┴", "┘"), "█", "░", "▓", "▼", "…", ")))", "°C"
)
ASCII = Glyphs("-", "=", "|", ("+", "+", "+", "+", "+", "+"), "#", ":", "%", "v", "..", ")))", "C")


POOR_FONTS = ("linux", "vt", "ansi", "cons")
"""How the names of terminals begin whose fonts are a few hundred characters, or unknown."""


def fits(encoding: str | None) -> Glyphs:
    """The glyphs that an output of this encoding can show."""
    try:
        "".join((*UNICODE.corners, UNICODE.full, UNICODE.half, UNICODE.change)).encode(
            encoding or "ascii"
        )
    except (UnicodeEncodeError, LookupError):
        return ASCII
    return UNICODE


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a list; with a key it can be chosen."""

    line: Line
    key: str | None = None


def text(line: Iterable[Part]) -> str:
    """The words of a line."""
    return "".join(part for part, _ in line)


def cut(words: str, width: int, dots: str = "…") -> str:
    """The words in at most so many cells, with dots where something is left out; indents stay."""
    words = " " * (len(words) - len(words.lstrip(" "))) + clean_line(words)
    if cell_len(words) <= width:
        return words
    if width <= cell_len(dots):
        return set_cell_size(words, max(width, 0))
    return set_cell_size(words, width - cell_len(dots)) + dots


def fill(words: str, width: int, dots: str = "…", right: bool = False) -> str:
    """The words in exactly so many cells."""
    words = cut(words, width, dots)
    space = " " * (width - cell_len(words))
    return space + words if right else words + space


def wrapped(words: str, width: int) -> list[str]:
    """The words on as many lines as they need, broken at spaces, or within a word too wide."""
    width = max(width, 1)
    lines: list[str] = []
    now = ""
    for word in clean_line(words).split(" "):
        while cell_len(word) > width:
            if now:
                lines.append(now)
                now = ""
            head = _that_fits(word, width)
            lines.append(head)
            word = word[len(head) :]
        if now and cell_len(now) + 1 + cell_len(word) > width:
            lines.append(now)
            now = word
        else:
            now = f"{now} {word}" if now else word
    if now or not lines:
        lines.append(now)
    return lines


def _that_fits(word: str, width: int) -> str:
    """The beginning of a word in so many cells, one character at the least."""
    end = 1
    while end < len(word) and cell_len(word[: end + 1]) <= width:
        end += 1
    return word[:end]


def paragraph(
    words: str, width: int, role: Role = "", mark: str = "", key: str | None = None
) -> list[Row]:
    """Rows of wrapped words after a mark; the first of them can be chosen."""
    indent = cell_len(mark)
    rows = []
    for number, line in enumerate(wrapped(words, width - indent)):
        lead = mark if number == 0 else " " * indent
        rows.append(Row(((lead, role), (line, role)), key if number == 0 else None))
    return rows


def heading(words: str, width: int, glyphs: Glyphs, note: str = "") -> Row:
    """A line across with a title in it, and a note at its right end."""
    note = f" {cut(note, max(width // 2, 0), glyphs.dots)} " if note and width >= 24 else ""
    title = f" {cut(words, max(width - cell_len(note) - 6, 1), glyphs.dots)} "
    across = max(width - 2 - cell_len(title) - cell_len(note), 0)
    line: Sequence[Part] = (
        (glyphs.across * 2, "dim"),
        (title, "head"),
        (glyphs.across * across, "dim"),
        (note, ""),
    )
    return Row(tuple(part for part in line if part[0]))


def meter(done: int, total: int, width: int, glyphs: Glyphs) -> str:
    """[####....] filled as far as it is done; full only when all is."""
    inner = max(width - 2, 1)
    filled = inner if done >= total else min(inner - 1, inner * done // max(total, 1))
    empty = "." if glyphs is ASCII else "·"
    return f"[{glyphs.full * filled}{empty * (inner - filled)}]"


LEAST_METER = 8
"""Cells below which a bar says nothing."""


def progress(
    says: str, done: int, total: int, width: int, glyphs: Glyphs, mark: Part | None = None
) -> list[Row]:
    """How far a walk is: glyph, words and a bar; where the bar has no room the words alone."""
    so_far: Part = ("[x] ", "good") if done >= total else ("[~] " if done else "[ ] ", "")
    glyph, role = mark or so_far
    room = min(width - cell_len(glyph + says) - 1, 60)
    if room < LEAST_METER:
        return paragraph(says, width, role, glyph)
    return [Row(((glyph, role), (f"{says} ", role), (meter(done, total, room, glyphs), role)))]


APART = 4
"""Cells between what stands side by side."""


def half(width: int) -> int:
    """Cells for each of two that stand side by side."""
    return (width - APART) // 2


def beside(left: Sequence[Row], right: Sequence[Row], width: int) -> list[Row]:
    """Rows drawn for half of a width, side by side; only the left ones can be chosen."""
    rows: list[Row] = []
    for one, other in zip_longest(left, right, fillvalue=Row(())):
        space = " " * max(half(width) + APART - cell_len(text(one.line)), 0)
        rows.append(Row((*one.line, (space, ""), *other.line) if other.line else one.line, one.key))
    return rows
