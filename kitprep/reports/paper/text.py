"""Sheets as plain text that prints on any printer, and as Markdown."""

import re
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence

from kitprep.definitions.text import clean_line
from kitprep.reports.paper.sheet import Block, Column, Paper, Value

WIDTH = 88
"""Columns of a fixed-width letter of 10 points that A4 and Letter both take, upright."""

BOX = "[ ]"
LINE = "________"

_NARROWEST = 8
_MARKDOWN = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~&$^:=])")


def shown(column: Column, value: Value) -> str:
    """A cell as text on one line, without what would steer a terminal."""
    if column.kind == "box":
        return BOX
    if column.kind == "write":
        return LINE
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:g}" if abs(value) < 1e6 else f"{value:.0f}"
    return clean_line(str(value))


def text_paper(paper: Paper) -> str:
    """All sheets, each on a page of its own (they are parted by form feeds)."""
    return "\f".join("\n".join(_sheet_lines(paper, n)) + "\n" for n in range(len(paper.sheets)))


def _sheet_lines(paper: Paper, number: int) -> Iterator[str]:
    sheet = paper.sheets[number]
    title = f"{sheet.title.upper()}  {clean_line(paper.head)}"
    yield from _wrapped(title)
    yield "=" * min(_width(title), WIDTH)
    for note in sheet.notes:
        yield from _wrapped(clean_line(note))
    for block in sheet.blocks:
        yield ""
        yield from _wrapped(clean_line(block.heading).upper())
        for note in block.notes:
            yield from _wrapped(clean_line(note), "  ")
        yield from _table(block)


def _table(block: Block) -> Iterator[str]:
    columns, rows = block.paper
    if not rows:
        return
    head = [column.heading for column in columns]
    cells = [[shown(c, v) for c, v in zip(columns, row, strict=True)] for row in rows]
    widths = _widths(columns, [head, *cells])
    # Numbers of one column stand under each other, and so does what heads them.
    right = [column.kind == "number" for column in columns]
    yield _row_lines(head, widths, right)[0].rstrip()
    for line in cells:
        yield from (part.rstrip() for part in _row_lines(line, widths, right))


def _widths(columns: Sequence[Column], lines: Sequence[Sequence[str]]) -> list[int]:
    """Each column as wide as its widest cell; where that is too much, the widest text gives way."""
    widths = [max(_width(line[n]) for line in lines) for n in range(len(columns))]
    room = WIDTH - 2 - 2 * (len(columns) - 1)
    while sum(widths) > room:
        fixed = {n for n, c in enumerate(columns) if c.kind in ("box", "write")}
        widest = max((n for n in range(len(widths)) if n not in fixed), key=lambda n: widths[n])
        if widths[widest] <= _NARROWEST:
            break
        widths[widest] -= 1
    return widths


def _row_lines(cells: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> list[str]:
    columns = [_cut(cell, width) for cell, width in zip(cells, widths, strict=True)]
    height = max(len(parts) for parts in columns)
    lines = []
    for n in range(height):
        padded = []
        for parts, width, to_right in zip(columns, widths, right, strict=True):
            part = parts[n] if n < len(parts) else ""
            gap = " " * max(width - _width(part), 0)
            padded.append(gap + part if to_right else part + gap)
        lines.append("  " + "  ".join(padded))
    return lines


def _cut(text: str, width: int) -> list[str]:
    """The text in lines of no more than so many columns."""
    if _width(text) <= width:
        return [text]
    lines = [""]
    for word in text.split(" "):
        if _width(lines[-1]) + 1 + _width(word) <= width and lines[-1]:
            lines[-1] += f" {word}"
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if _width(lines[-1]) + _width(letter) > width:
                lines.append("")
            lines[-1] += letter
    return lines


def _width(text: str) -> int:
    """Columns on paper: letters of East Asia take two, marks over letters none."""
    return sum(
        0 if unicodedata.combining(c) else 1 + (unicodedata.east_asian_width(c) in "WF")
        for c in text
    )


def _wrapped(text: str, indent: str = "") -> Iterator[str]:
    yield from textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
    ) or [""]


def markdown_paper(paper: Paper) -> str:
    """All sheets as Markdown tables; what people wrote is text in them, never a mark."""
    lines: list[str] = []
    for sheet in paper.sheets:
        lines += [f"# {sheet.title}", "", _plain(paper.head), ""]
        for note in sheet.notes:
            lines += [_plain(note), ""]
        for block in sheet.blocks:
            lines += [f"## {_plain(block.heading)}", ""]
            for note in block.notes:
                lines += [_plain(note), ""]
            lines += _markdown_table(block)
    return "\n".join(lines)


def _markdown_table(block: Block) -> list[str]:
    columns, rows = block.paper
    if not rows:
        return []
    rules = ["---:" if column.kind == "number" else "---" for column in columns]
    table = [_bars([c.heading for c in columns]), _bars(rules)]
    for row in rows:
        table.append(
            _bars([_markdown_cell(c, value) for c, value in zip(columns, row, strict=True)])
        )
    return [*table, ""]


def _markdown_cell(column: Column, value: Value) -> str:
    text = shown(column, value)
    return text if column.kind in ("box", "write") else _plain(text)


def _bars(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _plain(text: str) -> str:
    return _MARKDOWN.sub(r"\\\1", clean_line(text))
