"""The command line: reads the words, calls one command, and is the only door to the outputs.

Answers go to standard output, messages to standard error. Exit status: 0 done or ready, 1
understood but something is short or open, 2 bad input. What a command needs is imported when it
runs, so that ``check`` does not wait for the solver, nor ``needs`` for the screens.
"""

import io
import os
import sys
from collections.abc import Sequence

from kitprep.cli.words import COMMANDS, TUI_WORDS, parser

DONE, OPEN, BAD = 0, 1, 2
INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command; returns the exit status."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    _settle_streams()
    try:
        try:
            return _run(words)
        finally:
            _hand_over()
    except KeyboardInterrupt:
        return INTERRUPTED
    except Unanswered as error:
        say(f"kitprep: the answer could not be written: {error}")
        return BAD


def _settle_streams() -> None:
    """UTF-8 and plain line ends everywhere, so that the same answer is the same bytes.

    What no UTF-8 can hold, as in the name of a file from an old disk, is shown as an escape. A
    stream that is closed leads nowhere, or the next file to be opened would take its place.
    """
    for descriptor in (0, 1, 2):
        try:
            os.fstat(descriptor)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(encoding="utf-8-sig", errors="replace")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")


def _run(words: Sequence[str]) -> int:
    first = words[0] if words else ""
    is_command = first in COMMANDS or first in ("-h", "--help", "--version")
    if first and not is_command and not first.startswith("-") and not _is_there(first):
        say(_no_such_word(first))
        return BAD
    named = [*words] if is_command else [TUI_WORDS, *words]
    given = parser(named[0] if named[0] in COMMANDS else None).parse_args(named)

    from kitprep.definitions.problems import DefinitionError
    from kitprep.ledger.errors import LedgerError

    try:
        status: int = given.command(given)
    except DefinitionError as error:
        say(*error.lines)
        return BAD
    except LedgerError as error:
        say(f"kitprep: {error}")
        return error.exit_code
    return status


def _is_there(word: str) -> bool:
    # Path.exists() raises where a name is too long for the disk.
    return os.path.exists(word)  # noqa: PTH110


def _no_such_word(word: str) -> str:
    from kitprep.definitions.problems import did_you_mean
    from kitprep.definitions.text import shown

    way_on = did_you_mean(word, COMMANDS, "kitprep --help lists the commands")
    return f"kitprep: no command and no file {shown(word)} here; {way_on}"


def say(*messages: str) -> None:
    """Messages to the person, on standard error."""
    from kitprep.definitions.text import clean_message

    _hand_over()
    if sys.stderr is None:
        return
    for message in messages:
        sys.stderr.write(clean_message(message) + "\n")


class Unanswered(Exception):
    """Standard output takes nothing."""


def answer(text: str) -> None:
    """The answer, on standard output.

    Raises:
        Unanswered: where that cannot be written.
    """
    if sys.stdout is None:
        raise Unanswered("standard output is closed")
    _hand_over(text)


def answer_json(document: object) -> None:
    """The answer as JSON, alone on standard output; the same input gives the same bytes."""
    import json

    answer(json.dumps(document, indent=1, ensure_ascii=False) + "\n")


def _hand_over(text: str | None = None) -> None:
    """Writes to standard output, or hands on what is left there."""
    if sys.stdout is None:
        return
    try:
        if text is None:
            sys.stdout.flush()
        else:
            sys.stdout.write(text)
    except BrokenPipeError:
        # The reader (head, less) has gone: no traceback is wanted, and the status still counts.
        _to_nowhere()
    except OSError as error:
        _to_nowhere()
        raise Unanswered(error.strerror) from error


def _to_nowhere() -> None:
    """What is left to write, now and at the end, goes nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
