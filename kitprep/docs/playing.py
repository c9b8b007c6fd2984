"""Plays a page of commands: each is really run, and what it printed is put below it.

A page is Markdown whose code blocks say what they are:

- ``toml PATH`` is written to that file; ``toml PATH:12`` replaces that file's lines from 12 on, and
  ``toml PATH:include`` from the first on that begins so.
- ``console`` holds commands after ``$``, run one after the other in the folder of the last ``cd``.
  A command ends with exit status 0, or as its comment says: ``# exit status 1``. Lines that start
  with ``|`` say how the parts of the answer begin that are kept: its paragraphs, or the lines of an
  answer that is only one.
- ``screen PLAN NAME`` shows a screen.

Times of ticks and the ledger's head are never the same twice. They are shown as ``TIME`` and
``HEAD``, and ``HEAD`` in a command stands for the true one.
"""

import contextlib
import io
import os
import re
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import cast

from kitprep.cli import main
from kitprep.docs.screens import Visit, picture, words
from kitprep.tui.commands import ScreenName

WHO = "Robin"
TIME = "2027-03-16 --:--"
HEAD = "5f0c…e1"
CUT = "…"

_TIME = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d\b")
_HEAD = re.compile(r"\b[0-9a-f]{64}\b")
_FENCE = re.compile(r"```(.*)")
_STATUS = re.compile(r"# exit status (\d)")


class NotAsWritten(Exception):
    """The page does not come out: a command ended otherwise, or a part is not there."""


def play(page: str, folder: Path, ledger: str) -> str:
    """The page with every answer in it, played in a folder of its own with a ledger of its own.

    Raises:
        NotAsWritten: where the page and the program disagree.
    """
    stage = _Stage(folder, ledger)
    with contextlib.chdir(folder), _surroundings(KITPREP_LEDGER=ledger, KITPREP_WHO=WHO):
        return "\n".join(stage.played(page.splitlines())) + "\n"


@contextlib.contextmanager
def _surroundings(**named: str) -> Iterator[None]:
    before = {name: os.environ.get(name) for name in named}
    os.environ.update(named)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


class _Stage:
    """A page under way."""

    def __init__(self, folder: Path, ledger: str) -> None:
        self.folder = folder
        self.ledger = ledger
        self.head = ""

    def played(self, lines: Sequence[str]) -> Iterator[str]:
        """The page's lines, with the answers."""
        coming = iter(lines)
        for line in coming:
            fence = _FENCE.fullmatch(line)
            if fence is None:
                yield line
                continue
            kind, *more = fence[1].split() or [""]
            yield f"```{'text' if kind == 'screen' else kind}"
            yield from self._block(kind, more, list(iter(lambda: next(coming), "```")))
            yield "```"

    def _block(self, kind: str, more: Sequence[str], block: Sequence[str]) -> Iterator[str]:
        if kind == "console":
            return self._console(block)
        if kind == "screen":
            return self._screen(more)
        if kind == "toml" and more:
            self._write(more[0], block)
        return iter(block)

    def _write(self, where: str, block: Sequence[str]) -> None:
        name, _, at = where.partition(":")
        path = self.folder / name
        lines = path.read_text("utf-8").splitlines() if at else []
        start = int(at) - 1 if at.isdecimal() else _first(lines, at)
        lines[start : start + len(block)] = block
        path.write_text("\n".join(lines) + "\n", "utf-8")

    def _console(self, block: Sequence[str]) -> Iterator[str]:
        rest = list(block)
        while rest:
            command = [rest.pop(0)]
            while command[-1].endswith("\\"):
                command.append(rest.pop(0))
            kept = []
            while rest and rest[0].startswith("|"):
                kept.append(rest.pop(0).removeprefix("|").removeprefix(" "))
            yield from command
            yield from _parts(self._run("\n".join(command).removeprefix("$ ")), kept)

    def _run(self, command: str) -> str:
        on_one_line = command.replace("\\\n", " ").replace(HEAD, self.head)
        program, *words = shlex.split(on_one_line, comments=True)
        if program == "cd":
            os.chdir(words[0])
            return ""
        if program != "kitprep":
            raise NotAsWritten(f"only kitprep and cd can be played, not {program}")
        status, said = _answer(words)
        expected = _STATUS.search(command)
        if status != (int(expected[1]) if expected else 0):
            raise NotAsWritten(f"{command}\nended with exit status {status}:\n{said}")
        return self._steady(said)

    def _steady(self, said: str) -> str:
        for head in _HEAD.findall(said):
            self.head = self.head or head
            if head != self.head:
                raise NotAsWritten("the page shows the ledger's head at two moments; show one")
        return _HEAD.sub(HEAD, _TIME.sub(TIME, said))

    def _screen(self, more: Sequence[str]) -> Iterator[str]:
        plan, screen = more
        visit = Visit(Path(plan), self.ledger, WHO, cast(ScreenName, screen))
        return iter(words(picture(visit)).splitlines())


def _answer(words: Sequence[str]) -> tuple[int, str]:
    """How a command ends, and what it prints, its messages among the answer as in a terminal."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            status = main(words)
        except SystemExit as end:
            status = int(end.code or 0)
    return status, said.getvalue()


def _first(lines: Sequence[str], beginning: str) -> int:
    return next((number for number, line in enumerate(lines) if line.startswith(beginning)), 0)


def _parts(said: str, kept: Sequence[str]) -> Iterator[str]:
    """The parts of an answer that begin as given, with ``CUT`` where others were."""
    if not kept:
        yield from said.splitlines()
        return
    paragraphs = said.strip("\n").split("\n\n")
    parts, between = (paragraphs, [""]) if len(paragraphs) > 1 else (said.splitlines(), [])
    for beginning in kept:
        if not any(part.startswith(beginning) for part in parts):
            raise NotAsWritten(f"no part begins with {beginning!r} in:\n{said}")
    was_kept = True
    for number, part in enumerate(parts):
        is_kept = part.startswith(tuple(kept))
        if is_kept:
            yield from [*between, *part.splitlines()] if number else part.splitlines()
        elif was_kept:
            yield CUT
        was_kept = is_kept
