"""Where each value of a TOML text stands, so that a problem can point at its line and column.

Positions are only needed once something is wrong: tomllib reads the file, the models check it,
and `locate` then turns the path of a problem into a place in the text.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from typing import NamedTuple, TypeAlias

Path: TypeAlias = tuple[str | int, ...]

_TRIVIA = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY_PART = re.compile(r"""[A-Za-z0-9_-]+|"(?:\\.|[^"\\])*"|'[^']*'""")
_PLAIN_VALUE = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'  # one or two quotes may stand right before the closing three
    r"|'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\])*"'
    r"|'[^']*'"
    r"|\d{4}-\d\d-\d\d \d\d:[^\s,#\]}]+"
    r"|[^\s,#\]}]+",
    re.DOTALL,
)
_ERROR_PLACE = re.compile(r"\(at line (\d+), column (\d+)\)\Z")


@dataclass(frozen=True, slots=True)
class Span:
    """Where one key and its value stand, as offsets in characters from the start of the text.

    - A written value: `key` is its key's last part, `value` to `end` is the value.
    - An element of a written array: the same, with `key` None.
    - A table with a header, or an element of `[[an.array]]`: `value` to `end` is the header,
      brackets included, and `key` its last part. The array itself is found at its first header.
    - A table that only another key or header implies: the part that names it is the `key`;
      `value` to `end` is that part in `a.b = 1`, and the whole header in `[a.b]`.
    """

    key: int | None
    value: int
    end: int


def locate(text: str) -> dict[Path, Span]:
    """Map the path of every table, array, element and value in `text` to its place.

    The text must be one that `tomllib.loads` accepts: nothing is validated here again. Anything
    else gives spans without meaning, or a ValueError.
    """
    return _Reader(text).read()


def nearest(locations: Mapping[Path, Span], path: Path) -> tuple[Span, bool]:
    """Find `path`, or else the closest table or array around it; the flag says which it was.

    A missing key is thus reported at its table. The empty path is the start of the text.
    """
    for length in range(len(path), 0, -1):
        if span := locations.get(path[:length]):
            return span, length == len(path)
    return Span(key=None, value=0, end=0), not path


def line_column(text: str, offset: int) -> tuple[int, int]:
    """Turn an offset into line and column, both from 1, columns in characters."""
    line_start = text.rfind("\n", 0, offset) + 1
    column = offset - line_start + 1
    if text[offset - 1 : offset + 1] == "\r\n":
        column -= 1  # CR LF is one line end, so both halves share its column
    return text.count("\n", 0, offset) + 1, column


def toml_error_position(error: tomllib.TOMLDecodeError) -> tuple[int, int] | None:
    """Line and column of a syntax error, or None where tomllib only says "end of document"."""
    line, column = getattr(error, "lineno", None), getattr(error, "colno", None)
    if isinstance(line, int) and isinstance(column, int):
        return line, column
    # Before Python 3.14 the message is the only source. Keys quoted in it are the user's own
    # words, hence the anchor at its end.
    place = _ERROR_PLACE.search(str(error))
    return (int(place[1]), int(place[2])) if place else None


class _KeyPart(NamedTuple):
    name: str
    start: int
    end: int


class _Reader:
    """One walk over the text from front to back; `_at` is the offset of what comes next."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._spans: dict[Path, Span] = {}
        self._latest: dict[Path, int] = {}  # array of tables -> index of its newest element

    def read(self) -> dict[Path, Span]:
        table: Path = ()
        while character := self._peek():
            if character == "[":
                table = self._header()
            else:
                self._pair(table)
        return self._spans

    def _header(self) -> Path:
        start = self._at
        brackets = 2 if self._text.startswith("[[", start) else 1
        self._at += brackets
        *parents, last = self._key()
        self._at += brackets

        table: Path = ()
        for part in parents:
            table = self._newest((*table, part.name))
            self._spans.setdefault(table, Span(part.start, start, self._at))
        table = (*table, last.name)
        span = Span(last.start, start, self._at)
        if brackets == 2:
            self._spans.setdefault(table, span)
            self._latest[table] = self._latest.get(table, -1) + 1
            table = self._newest(table)
        self._spans[table] = span  # takes over from a header further up that only implied it
        return table

    def _newest(self, path: Path) -> Path:
        return (*path, self._latest[path]) if path in self._latest else path

    def _pair(self, table: Path) -> None:
        *parents, last = self._key()
        self._at += len("=")
        for part in parents:
            table = (*table, part.name)
            self._spans.setdefault(table, Span(part.start, part.start, part.end))
        self._value((*table, last.name), last.start)

    def _key(self) -> list[_KeyPart]:
        parts = [self._key_part()]
        while self._peek() == ".":
            self._at += 1
            parts.append(self._key_part())
        return parts

    def _key_part(self) -> _KeyPart:
        self._peek()
        start = self._at
        name = self._take(_KEY_PART)
        if name[0] in "\"'":
            # tomllib knows the escapes already.
            name = tomllib.loads(f"name = {name}")["name"] if "\\" in name else name[1:-1]
        return _KeyPart(name, start, self._at)

    def _value(self, path: Path, key: int | None) -> None:
        opening = self._peek()
        start = self._at
        if opening == "[":
            for index in self._items("]"):
                self._value((*path, index), None)
        elif opening == "{":
            for _ in self._items("}"):
                self._pair(path)
        else:
            self._take(_PLAIN_VALUE)
        self._spans[path] = Span(key, start, self._at)

    def _items(self, closing: str) -> Iterator[int]:
        """Stand before each item in turn; the caller steps over it."""
        self._at += 1
        for index in count():
            if self._peek() == closing:
                break
            yield index
            if self._peek() == ",":
                self._at += 1
        self._at += 1

    def _peek(self) -> str:
        """Skip blanks and comments; the character that follows, or "" at the end."""
        self._take(_TRIVIA)
        return self._text[self._at : self._at + 1]

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self._text, self._at)
        if match is None:
            raise ValueError(f"not TOML at offset {self._at}")
        self._at = match.end()
        return match[0]
