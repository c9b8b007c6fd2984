"""A form on screen: one line a field, what is wrong with one right under it, choices below."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rich.cells import cell_len

from kitprep.tui.drawing.lines import Glyphs, Part, Row, fill, heading, paragraph


@dataclass(frozen=True, slots=True)
class Blank:
    """A line to fill in. ``choices`` are offered; with ``many`` several of them may be taken.

    With ``needed`` one of them always is.
    """

    key: str
    label: str
    says: str
    choices: tuple[str, ...] = ()
    many: bool = False
    needed: bool = False


def taken(text: str) -> list[str]:
    """The parts of a line that several choices are in."""
    return [part.strip() for part in text.split(",") if part.strip()]


def toggled(blank: Blank, text: str, choice: str) -> str:
    """The line once a choice has been taken, or left where it was taken already.

    What is written behind a colon goes with its choice, as in recorder:3.
    """
    if not blank.many:
        if text.strip() != choice:
            return choice
        after = (blank.choices.index(choice) + 1) % len(blank.choices)
        return blank.choices[after] if blank.needed else ""
    parts = taken(text)
    kept = [part for part in parts if part.partition(":")[0] != choice]
    return ", ".join(kept if len(kept) < len(parts) else [*parts, choice])


def form_rows(
    title: str,
    blanks: Sequence[Blank],
    texts: Mapping[str, str],
    wrong: Mapping[str, str],
    width: int,
    glyphs: Glyphs,
) -> list[Row]:
    """Every line of the form with what is in it, under the form's title."""
    label = min(max((len(blank.label) for blank in blanks), default=0), max(width // 3, 6))
    rows = [heading(title, width, glyphs)]
    for blank in blanks:
        text = texts.get(blank.key, "")
        room = max(width - label - 2, 1)
        parts: tuple[Part, ...] = (
            (f"{fill(blank.label, label, glyphs.dots)}  ", "key"),
            (fill(text, room, glyphs.dots), "bad" if blank.key in wrong else ""),
        )
        rows.append(Row(parts, blank.key))
        if blank.key in wrong:
            rows += paragraph(wrong[blank.key], width, "bad", "  [!] ")
    return rows


def choice_lines(blank: Blank, text: str, marked: int, width: int, glyphs: Glyphs) -> list[Row]:
    """What is said of a line, and its choices, those around the marked one where many are."""
    rows = paragraph(blank.says, width, "dim", " ")
    if not blank.choices:
        return rows
    chosen = {part.partition(":")[0] for part in taken(text)} if blank.many else {text.strip()}
    words = [f"{'[x]' if c in chosen else '[ ]'} {c}" for c in blank.choices]
    first, last = _around(words, marked, max(width - 6, 1))
    parts: list[Part] = [(f" {glyphs.dots if first else ' '}", "dim")]
    for number in range(first, last + 1):
        here = number == marked
        parts.append((f"{'>' if here else ' '}{words[number]} ", "key" if here else ""))
    if last + 1 < len(words):
        parts.append((glyphs.dots, "dim"))
    return [*rows, Row(tuple(parts))]


def _around(words: Sequence[str], marked: int, width: int) -> tuple[int, int]:
    """The first and the last that are shown: as many as fit, the marked one among them."""
    sizes = [cell_len(word) + 2 for word in words]
    first = last = marked
    room = width - sizes[marked]
    while True:
        if last + 1 < len(words) and sizes[last + 1] <= room:
            last += 1
            room -= sizes[last]
        elif first > 0 and sizes[first - 1] <= room:
            first -= 1
            room -= sizes[first]
        else:
            return first, last
