"""The command line: reads the words, calls one command, and is the only door to the outputs.

Answers go to standard output, messages to standard error. Exit status: 0 done or ready, 1
understood but something is short or open, 2 bad input. What a command needs is imported when it
runs, so that ``check`` does not wait for the solver, nor ``needs`` for the screens.
"""

import os
import sys
from argparse import Namespace
from collections.abc import Sequence

from kitprep.cli.words import TUI_WORDS, parser

DONE, OPEN, BAD = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command; returns the exit status."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    given = parser().parse_args(words if _names_a_command(words) else [TUI_WORDS, *words])
    try:
        status = _run(given)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has gone; nothing is left to say, and no traceback is wanted.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return 130
    return status


def _names_a_command(words: Sequence[str]) -> bool:
    from kitprep.cli.words import COMMANDS

    return bool(words) and (words[0] in COMMANDS or words[0] in ("-h", "--help", "--version"))


def _run(given: Namespace) -> int:
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


def say(*messages: str) -> None:
    """Messages to the person, on standard error."""
    sys.stdout.flush()
    for message in messages:
        sys.stderr.write(message + "\n")


def answer(text: str) -> None:
    """The answer, on standard output."""
    sys.stdout.write(text)


def answer_json(document: object) -> None:
    """The answer as JSON, alone on standard output; the same input gives the same bytes."""
    import json

    sys.stdout.write(json.dumps(document, indent=1, ensure_ascii=False) + "\n")
