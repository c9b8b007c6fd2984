"""``completion``: what makes a shell complete commands, options and files, from the one table."""

import argparse
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

import shtab

from kitprep.cli import DONE, answer
from kitprep.cli.words import parser

DEFINITIONS = ("PLAN", "KIT", "FILE")
"""What is a kit, a plan or a table where it is read; what is written may be any file."""

FILES_TOO = "complete -o bashdefault -o default -F _shtab_kitprep kitprep\n"
"""For ``kitprep day-01.toml``: where no command begins so, bash looks among the files."""


def run_completion(given: Namespace) -> int:
    """The script for a shell to read."""
    top = parser()
    for action in _arguments(top):
        if action.type is Path:
            action.complete = _files(action)  # type: ignore[attr-defined]
    script = shtab.complete(top, given.shell)
    answer(f"{script}\n{FILES_TOO if given.shell == 'bash' else ''}")
    return DONE


def _arguments(one: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    for action in one._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for inner in action.choices.values():
                yield from _arguments(inner)


def _files(action: argparse.Action) -> object:
    """What stands at a place for a path: folders, tables of TOML, spreadsheets, or any file."""
    if action.metavar == "DIR":
        return shtab.DIRECTORY
    if action.metavar == "CSV":
        return shtab.glob("*.csv")
    read = not action.option_strings or action.metavar == "KIT"
    return shtab.glob("*.toml") if read and action.metavar in DEFINITIONS else shtab.FILE
