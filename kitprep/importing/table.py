"""A spreadsheet's CSV as rows of text, whatever its separator and its encoding."""

import csv
import io
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from kitprep.definitions.text import clean_line
from kitprep.importing.problems import ImportProblems, Mistake

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}
"""Each separator and its name."""

ENCODINGS = {"utf-8-sig": "UTF-8", "utf-16": "UTF-16", "cp1252": "Windows-1252"}
"""Each encoding and its name."""

_SNIFFED = 50
_SEPARATOR_LINE = "sep="


@dataclass(frozen=True, slots=True)
class Row:
    """One row; ``number`` is the one that the spreadsheet shows beside it."""

    number: int
    cells: tuple[str, ...]

    def cell(self, column: int) -> str:
        """The text of a cell; a row may end early."""
        return self.cells[column] if column < len(self.cells) else ""


@dataclass(frozen=True)
class Table:
    """The headings and the rows under them that hold anything."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    separator: str
    encoding: str


def read_table(content: bytes, name: str) -> Table:
    """The table in a file's bytes; its first row with two texts or more is the headings.

    Raises:
        ImportProblems: where it is no CSV text, or there is nothing under its headings.
    """
    encoding, text = _decoded(content, name)
    separator, text, skipped = _separator(text)
    rows = [
        Row(number + skipped, tuple(clean_line(cell) for cell in cells))
        for number, cells in enumerate(_records(text, separator, name, skipped), 1)
    ]
    filled = [row for row in rows if any(row.cells)]
    at = next((n for n, row in enumerate(filled) if sum(map(bool, row.cells)) > 1), None)
    if at is None or not filled[at + 1 :]:
        message = "there are no rows under headings here; save the sheet with its first row as CSV"
        raise ImportProblems(name, [Mistake(None, None, message)])
    headings, below = filled[at].cells, tuple(filled[at + 1 :])
    _nothing_beside(name, headings, below)
    return Table(name, headings, below, separator, encoding)


def _decoded(content: bytes, name: str) -> tuple[str, str]:
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        message = "this is the spreadsheet program's own file; save it as CSV and import that"
        raise ImportProblems(name, [Mistake(None, None, message)])
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        tried = ["utf-16"]
    else:
        tried = ["utf-8-sig", "cp1252"]
    for encoding in tried:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return encoding, text
    message = "this is no text in UTF-8, UTF-16 or Windows-1252; save it as CSV, UTF-8"
    raise ImportProblems(name, [Mistake(None, None, message)])


def _separator(text: str) -> tuple[str, str, int]:
    """The separator, the text after a line that names it, and how many lines that took."""
    first, line_end, rest = text.partition("\n")
    named = first.strip("\r\"' ")
    if line_end and named.startswith(_SEPARATOR_LINE) and len(named) <= len(_SEPARATOR_LINE) + 1:
        mark = named[len(_SEPARATOR_LINE) :] or "\t"
        if mark in SEPARATORS:
            return mark, rest, 1
    return max(SEPARATORS, key=lambda mark: _fit(text, mark)), text, 0


def _fit(text: str, separator: str) -> tuple[int, int]:
    """How well a separator cuts the first rows: how many come out alike, and how wide."""
    widths: Counter[int] = Counter()
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        for number, cells in enumerate(reader):
            if number >= _SNIFFED:
                break
            if len(cells) > 1:
                widths[len(cells)] += 1
    except csv.Error:
        return 0, 0
    if not widths:
        return 0, 0
    width, rows = max(widths.items(), key=lambda found: (found[1], found[0]))
    return rows, width


def _records(text: str, separator: str, name: str, skipped: int) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = skipped
    while True:
        number += 1
        try:
            cells = next(reader, None)
        except csv.Error as error:
            message = "a quotation mark is left open here, or text follows it; quote the whole cell"
            raise ImportProblems(name, [Mistake(number, None, message)]) from error
        if cells is None:
            return
        yield cells


def _nothing_beside(name: str, headings: tuple[str, ...], rows: tuple[Row, ...]) -> None:
    """A text right of the last heading is a row that was cut wrongly, or a heading forgotten."""
    mistakes = [
        Mistake(row.number, column, "there is no heading above this; write one, or clear the cell")
        for row in rows
        for column, cell in enumerate(row.cells)
        if cell and column >= len(headings)
    ]
    if mistakes:
        raise ImportProblems(name, mistakes, headings)
