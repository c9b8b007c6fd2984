"""Sheets as one HTML page that needs nothing else: it opens offline and prints on A4 and Letter."""

from collections.abc import Iterator
from html import escape
from pathlib import Path

from kitprep.definitions.text import clean_line
from kitprep.reports.paper.sheet import Block, Column, Paper, Sheet, Value
from kitprep.reports.paper.text import shown

_IN_ONE_PIECE = 24
"""Characters of a tag that a column bears unbroken; what is longer breaks like any text."""

_KEPT_TOGETHER = 6
"""Rows that are moved to the next page rather than parted."""

_LONG_NOTE = 400
"""Characters of a note that may itself be parted."""

_STYLE = Path(__file__).with_name("paper.css")

# Nothing is fetched even if a text in here should ever become a tag.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


def html_paper(paper: Paper) -> str:
    """All sheets, each starting on a page of its own."""
    titles = " and ".join(sheet.title.lower() for sheet in paper.sheets)
    name = paper.sheets[0].title if len(paper.sheets) == 1 else "Sheets"
    body = "\n".join(line for sheet in paper.sheets for line in _sheet(paper, sheet))
    return page(f"{name}, {paper.head}", body, titles)


def page(title: str, body: str, about: str, style: str = "") -> str:
    """A whole page around a body that is HTML already."""
    css = _STYLE.read_text("utf-8") + style
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f'<meta name="description" content="{escape(about)}">\n'
        f"<title>{text(title)}</title>\n<style>\n{css}</style>\n</head>\n<body>\n"
        f"{body}\n</body>\n</html>\n"
    )


def _sheet(paper: Paper, sheet: Sheet) -> Iterator[str]:
    yield f'<section class="sheet {sheet.key}">'
    yield f'<header><h1>{escape(sheet.title)}</h1><p dir="auto">{text(paper.head)}</p></header>'
    yield from map(_note, sheet.notes)
    for block in sheet.blocks:
        yield from block_html(block)
    yield "</section>"


def block_html(block: Block, drawing: str = "") -> Iterator[str]:
    """A block; ``drawing`` is HTML that stands at its head."""
    columns, rows = block.paper
    small = len(rows) <= _KEPT_TOGETHER and sum(map(len, block.notes)) <= _LONG_NOTE
    kind = "card" if block.card else "kept" if small else "parted"
    yield f'<section class="{kind}">{drawing}'
    yield f'<h2 dir="auto">{text(block.heading)}</h2>'
    yield from map(_note, block.notes)
    if rows:
        yield "<table>"
        yield f"<thead><tr>{''.join(_heading(column) for column in columns)}</tr></thead>"
        yield "<tbody>"
        for row in rows:
            cells = "".join(_cell(c, value) for c, value in zip(columns, row, strict=True))
            yield f"<tr>{cells}</tr>"
        yield "</tbody></table>"
    yield "</section>"


def _note(note: str) -> str:
    kind = "note" if len(note) <= _LONG_NOTE else "note parted"
    return f'<p class="{kind}" dir="auto">{text(note)}</p>'


def _heading(column: Column) -> str:
    label = ' aria-label="done"' if column.kind == "box" else ""
    return f'<th scope="col" class="{column.kind}"{label}>{escape(column.heading)}</th>'


def _cell(column: Column, value: Value) -> str:
    if column.kind == "box":
        return '<td class="box"><span></span></td>'
    if column.kind == "write":
        return '<td class="write"></td>'
    cell = shown(column, value)
    kind = column.kind if len(cell) <= _IN_ONE_PIECE else f"{column.kind} text"
    return f'<td class="{kind}" dir="auto">{text(cell)}</td>'


def text(written: str) -> str:
    """What people wrote, as text on one line and nothing else."""
    return escape(clean_line(written))
