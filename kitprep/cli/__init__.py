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
            sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has gone; nothing is left to say, and no traceback is wanted.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return INTERRUPTED


def _settle_streams() -> None:
    """UTF-8 and plain line ends everywhere, so that the same answer is the same bytes.

    What no UTF-8 can hold, as in the name of a file from an old disk, is shown as an escape.
    """
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

    sys.stdout.flush()
    for message in messages:
        sys.stderr.write(clean_message(message) + "\n")


def answer(text: str) -> None:
    """The answer, on standard output."""
    sys.stdout.write(text)


def answer_json(document: object) -> None:
    """The answer as JSON, alone on standard output; the same input gives the same bytes."""
    import json

    sys.stdout.write(json.dumps(document, indent=1, ensure_ascii=False) + "\n")
