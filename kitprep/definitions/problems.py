"""Problems in definition files: where, what is wrong, what to write."""

import difflib
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from kitprep.definitions.locator import Span, line_column, locate, nearest
from kitprep.definitions.syntax import not_toml
from kitprep.definitions.text import clean_message

Keys = tuple[str | int, ...]
"""The way from the top of a file to a value: ("transmitter", 2, "unit", 0, "tag")."""


@dataclass(frozen=True)
class SourceFile:
    """A file as it was read; ``name`` is how the user wrote its path."""

    name: str
    text: str

    @cached_property
    def _spans(self) -> dict[Keys, Span]:
        return locate(self.text)

    def position(self, keys: Keys, at_key: bool = False) -> tuple[int, int]:
        """Line and column, from 1, of a value, or of the nearest table that holds it."""
        span, exact = nearest(self._spans, keys)
        offset = span.key if at_key and exact and span.key is not None else span.value
        return line_column(self.text, offset)

    def line(self, keys: Keys) -> str:
        """File and line of a value, as in "kit.toml:41"."""
        return f"{self.name}:{self.position(keys)[0]}"


@dataclass(frozen=True)
class Problem:
    """One mistake of the user's, told by the way to it; a line is worked out only to show."""

    file: SourceFile
    keys: Keys
    message: str
    at_key: bool = False
    at: tuple[int, int] | None = None

    @property
    def position(self) -> tuple[int, int]:
        """Line and column, from 1."""
        return self.at or self.file.position(self.keys, self.at_key)

    def __str__(self) -> str:
        line, column = self.position
        return clean_message(f"{self.file.name}:{line}:{column}: {self.message}")


class DefinitionError(Exception):
    """Files that cannot be used; ``problems`` holds all that was found, in the files' order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(self.lines))

    @property
    def lines(self) -> list[str]:
        """One line a problem, by file and position, each told once."""
        order = {
            name: n for n, name in enumerate(dict.fromkeys(p.file.name for p in self.problems))
        }
        ranked = sorted(self.problems, key=lambda p: (order[p.file.name], p.position))
        return list(dict.fromkeys(str(problem) for problem in ranked))


def read_toml(
    path: Path, name: str, instead: bytes | None = None
) -> tuple[SourceFile, dict[str, object]]:
    """The file's text and its TOML data; ``instead`` is read in place of what the file holds.

    Raises:
        DefinitionError: where it cannot be read, is not UTF-8, or is not TOML.
    """
    raw = _read(path, name) if instead is None else instead
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line_start = before.rfind(b"\n") + 1
        at = (before.count(b"\n") + 1, len(before[line_start:].decode("utf-8-sig")) + 1)
        message = "this character is not UTF-8; save the file as UTF-8 text"
        raise _unread(SourceFile(name, ""), message, at) from error
    file = SourceFile(name, text)
    try:
        return file, tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message, at = not_toml(text, error)
        raise _unread(file, message, at) from error
    except ValueError as error:
        # Python reads no integer of more than 4300 digits, and tomllib lets that through.
        message = "this number is thousands of digits long; shorten it"
        longest = max(re.finditer(r"[0-9_]+", text), key=lambda digits: len(digits[0]))
        raise _unread(file, message, line_column(text, longest.start())) from error
    except RecursionError as error:
        message = "this nests too deep to read; write the tables one after another"
        lines = text.split("\n")
        deepest = max(range(len(lines)), key=lambda n: lines[n].count("[") + lines[n].count("{"))
        raise _unread(file, message, (deepest + 1, 1)) from error


def _read(path: Path, name: str) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError as error:
        message = "there is no such file; write the path of a TOML file"
        raise _unread(SourceFile(name, ""), message) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        message = f"this cannot be read ({reason.lower()}); write the path of a TOML file"
        if path.is_dir():
            message = "this is a folder; write the path of a TOML file in it"
        raise _unread(SourceFile(name, ""), message) from error


def _unread(file: SourceFile, message: str, at: tuple[int, int] = (1, 1)) -> DefinitionError:
    return DefinitionError([Problem(file, (), message, at=at)])


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """What to write in place of a word that is not known: the nearest name, or ``otherwise``."""
    names = sorted(set(known))
    folded = {name.casefold(): name for name in names}
    close = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=0.6)
    return f'did you mean "{folded[close[0]]}"?' if close else otherwise


def one_of(names: Iterable[str]) -> str:
    """ "write one of …" over the known names, or that there are none."""
    known = sorted(set(names))
    if not known:
        return "write its entry first, for there is none yet"
    if len(known) == 1:
        return f'write "{known[0]}", the only one'
    shown = ", ".join(f'"{name}"' for name in known[:8])
    return f"write one of {shown}" + (", …" if len(known) > 8 else "")
