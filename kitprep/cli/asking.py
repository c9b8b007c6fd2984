"""Questions to the person at the keyboard: on standard error, so that answers stay alone."""

import sys


class NoAnswerComing(Exception):
    """The input ended where an answer was due."""


class Stopped(Exception):
    """The person would rather not."""


def can_ask() -> bool:
    """Whether someone is there to answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask(question: str, usual: str = "") -> str:
    """The answer as typed; Enter alone takes the usual one.

    Raises:
        NoAnswerComing: at the end of the input (Ctrl-D).
    """
    sys.stdout.flush()
    sys.stderr.write(f"{question} [{usual}] " if usual else f"{question} ")
    sys.stderr.flush()
    line = sys.stdin.readline()
    if not line:
        sys.stderr.write("\n")
        raise NoAnswerComing
    return line.strip() or usual
