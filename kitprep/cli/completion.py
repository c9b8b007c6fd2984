"""``completion``: what makes a shell complete commands, options and files, from the one table."""

import argparse
from argparse import Namespace
from collections.abc import Iterator, Mapping
from pathlib import Path

import shtab

from kitprep.cli import DONE, answer
from kitprep.cli.words import COMMANDS, parser

READ = ("PLAN", "KIT", "FILE")
"""Arguments that name a kit, a plan or a table; what is written may have any name."""

# Each with its capitals too: zsh would take a single pattern for something else.
TOML = shtab.glob("*.toml", "*.TOML")
CSV = shtab.glob("*.csv", "*.CSV")

IN_PLACE: Mapping[str, tuple[tuple[str, str], ...]] = {
    # For `kitprep day-01.toml`: where no command begins so, look among the files.
    "bash": (("complete -o bashdefault -F", "complete -o bashdefault -o default -F"),),
    "zsh": (
        ("commands' _commands", f"commands' _commands || {TOML['zsh']}"),
        # zsh's sign for "any number of these"; the library's allows one.
        ('"(*):', '"*:'),
    ),
    "tcsh": (),
}
"""What each shell needs otherwise than the library has it."""


def run_completion(given: Namespace) -> int:
    """The script for a shell to read."""
    top = parser()
    for action in _arguments(top):
        if action.type is Path:
            action.complete = _files(action)  # type: ignore[attr-defined]
    script = shtab.complete(top, given.shell)
    for theirs, ours in IN_PLACE[given.shell]:
        script = script.replace(theirs, ours)
    answer(f"{script}\n")
    return DONE


def _arguments(top: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """The arguments of every command, each command described in its one line."""
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, command in action.choices.items():
                command.description = COMMANDS[name].help
                yield from command._actions


def _files(action: argparse.Action) -> object:
    if action.metavar == "DIR":
        return shtab.DIRECTORY
    if action.metavar == "CSV":
        return CSV
    is_read = not action.option_strings or action.metavar == "KIT"
    return TOML if is_read and action.metavar in READ else shtab.FILE
