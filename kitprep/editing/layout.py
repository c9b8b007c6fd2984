"""How a TOML text is laid out: which lines belong to which table, and whose a comment is.

A comment in the lines right above a header is that entry's own. One that stands apart, or below,
is nobody's, and stays whatever becomes of the entries around it.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from kitprep.definitions.locator import Path as Keys
from kitprep.definitions.locator import Span, locate

_FOR_EDITORS = "#:"
"""How a line begins that names a schema: it is the file's, not an entry's."""

_TO_COMMA = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*,")


@dataclass(frozen=True, slots=True)
class Section:
    """A header and the pairs under it, as offsets.

    ``start`` is where the lines of its own comments begin, ``header`` its bracket, ``written`` the
    start of the line after the last thing written in it. What stands before all headers is one too,
    at ``Layout.top``.
    """

    table: Keys
    start: int
    header: int
    written: int


class Layout:
    """A text and where everything in it stands. The text must be one that tomllib reads."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.spans = locate(text)
        self.newline = "\r\n" if "\r\n" in text[: text.find("\n") + 1] else "\n"
        self.sections = tuple(self._sections())
        first = self.sections[0].header if self.sections else len(text)
        ends = [span.end for span in self.spans.values() if span.end <= first]
        self.top = Section((), 0, -1, self.line_end(max(ends)) if ends else 0)

    def _sections(self) -> Iterator[Section]:
        headers: dict[int, tuple[Keys, Span]] = {}
        for table, span in self.spans.items():
            known = headers.get(span.value)
            if self.is_header(span) and (known is None or len(table) > len(known[0])):
                headers[span.value] = (table, span)
        ends = sorted(span.end for span in self.spans.values())
        order = sorted(headers)
        floor = self._written_before(order[0] if order else len(self.text), ends)
        for number, at in enumerate(order):
            table, span = headers[at]
            following = order[number + 1] if number + 1 < len(order) else len(self.text)
            written = max(self._written_before(following, ends), self.line_end(span.end))
            yield Section(table, self._own_comments(at, floor), at, written)
            floor = written

    def _written_before(self, limit: int, ends: list[int]) -> int:
        """The start of the line after the last thing that is written before an offset."""
        number = bisect_right(ends, limit)
        return self.line_end(ends[number - 1]) if number else 0

    def _own_comments(self, header: int, floor: int) -> int:
        start = self.line_start(header)
        while start > floor:
            above = self.line_start(start - 1)
            line = self.text[above:start].strip()
            if not line.startswith("#") or line.startswith(_FOR_EDITORS):
                break
            start = above
        return start

    def is_header(self, span: Span) -> bool:
        """Whether the span is of a table with a header, and no written value."""
        return span.key is not None and span.value < span.key

    def is_inline(self, keys: Keys) -> bool:
        """Whether a table or list is written as a value, in brackets."""
        span = self.spans.get(keys)
        return span is not None and not self.is_header(span) and self.text[span.value] in "[{"

    def sections_of(self, entry: Keys) -> list[Section]:
        """The entry's own section and those of all below it, in the text's order."""
        return [s for s in self.sections if s.table[: len(entry)] == entry]

    def children(self, keys: Keys) -> list[Keys]:
        """The pairs or elements right inside a table or list, in the text's order."""
        inside = [k for k in self.spans if len(k) == len(keys) + 1 and k[: len(keys)] == keys]
        return sorted(inside, key=lambda k: self.spans[k].value)

    def pair_start(self, keys: Keys) -> int:
        """Where a pair or an element begins."""
        span = self.spans[keys]
        return span.value if span.key is None else span.key

    def line_start(self, at: int) -> int:
        """The start of the line that holds an offset."""
        return self.text.rfind("\n", 0, at) + 1

    def line_end(self, at: int) -> int:
        """The start of the line after the one that holds an offset, or the text's end."""
        end = self.text.find("\n", at)
        return len(self.text) if end < 0 else end + 1

    def indent(self, at: int) -> str:
        """The blanks at the start of the line that holds an offset."""
        start = self.line_start(at)
        line = self.text[start : self.line_end(at)]
        return line[: len(line) - len(line.lstrip(" \t"))]

    def blank_lines(self, at: int, back: bool) -> int:
        """The offset past the blank lines that begin, or with ``back`` end, at a line's start."""
        while True:
            other = self.line_start(at - 1) if back else self.line_end(at)
            low, high = sorted((at, other))
            if low == high or self.text[low:high].strip(" \t\r\n"):
                return at
            at = other

    def comma_after(self, at: int) -> int | None:
        """The offset behind the next comma, where nothing but blanks and comments comes before."""
        match = _TO_COMMA.match(self.text, at)
        return match.end() if match else None
