"""The commands and their words: one table that help, docs and the program itself read."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from kitprep import __version__

TUI_WORDS = "open"
"""The command behind ``kitprep`` and ``kitprep PLAN``."""


@dataclass(frozen=True, slots=True)
class Command:
    """A command: its one-line help, its longer help, and the words it takes."""

    help: str
    more: str
    words: Callable[[argparse.ArgumentParser], None]
    module: str


def _plan(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", type=Path, metavar="PLAN", help="day plan, such as day-01.toml")


def _ledger(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--ledger",
        metavar="URL",
        help="where ticks are kept (default: KITPREP_LEDGER, else a file in your data folder)",
    )
    parser.add_argument(
        "--who", metavar="NAME", help="whose hand it is (default: KITPREP_WHO, else the account)"
    )


def _open_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "plan", type=Path, metavar="PLAN", nargs="?", help="day plan (default: the demo job)"
    )
    _ledger(parser)


def _demo_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "day", type=int, nargs="?", choices=(1, 2, 3), default=1, help="which demo day"
    )
    parser.add_argument("--where", action="store_true", help="print where its files are, and stop")
    _ledger(parser)


def _check_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", type=Path, nargs="+", metavar="FILE", help="kit, plan or table")


def _needs_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument("--json", action="store_true", help="for a program")


def _list_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument("--format", choices=("text", "json", "csv"), default="text")
    _ledger(parser)


def _status_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument("--json", action="store_true", help="for a program")
    _ledger(parser)


def _pack_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument(
        "things",
        nargs="+",
        metavar="TAG",
        help="a tag, or KEY=COUNT for what is counted (cells:FR6=22); - reads lines from stdin",
    )
    parser.add_argument("--leave-out", metavar="REASON", help="leave these out, with the reason")
    _ledger(parser)


def _confirm_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument(
        "things",
        nargs="*",
        metavar="LINE=ANSWER",
        help="SCENE:SOURCE:DESTINATION:QUESTION=what was seen; none lists the questions",
    )
    _ledger(parser)


def _back_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument(
        "things",
        nargs="+",
        metavar="TAG",
        help="a tag, TAG=OUTCOME (TX02=wet), or KEY=COUNT for what is counted; - reads stdin",
    )
    parser.add_argument("--holder", metavar="NAME", help="who has it, for the outcome with")
    parser.add_argument("--note", metavar="TEXT", default="", help="what there is to say of it")
    _ledger(parser)


def _schema_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("what", choices=("kit", "plan"))


COMMANDS: dict[str, Command] = {
    TUI_WORDS: Command(
        "open the screens on a day plan (so does kitprep PLAN)",
        "With no plan, the demo job opens.",
        _open_words,
        "screens",
    ),
    "demo": Command(
        "open the screens on a day of the demo job",
        "The demo is an invented drama, Harbour of Foxes: day 1 works, day 2 is short of several "
        "things, day 3 is long and cold.",
        _demo_words,
        "screens",
    ),
    "check": Command(
        "check kit, plan and table files",
        "One line an error: file:line:column: what is wrong; what to write.",
        _check_words,
        "files",
    ),
    "needs": Command(
        "work out what a day needs and what is short",
        "Scene by scene, then what is short, then totals. Exit status 1 when anything is short.",
        _needs_words,
        "answers",
    ),
    "list": Command(
        "print the packing list by case",
        "With what has been packed so far.",
        _list_words,
        "answers",
    ),
    "status": Command(
        "say where a job stands and what is open",
        "Exit status 1 while anything is open.",
        _status_words,
        "answers",
    ),
    "pack": Command(
        "tick things off the packing list",
        "Does what the pack screen does, for a shell or a scanner.",
        _pack_words,
        "ticks",
    ),
    "confirm": Command(
        "record what was seen at the line check",
        'Answers are what was seen or heard at the destination; "did not check" is one too.',
        _confirm_words,
        "ticks",
    ),
    "back": Command(
        "record what became of things at wrap",
        "Outcomes: back, with, not seen, faulty, incomplete, wet, another unit's.",
        _back_words,
        "ticks",
    ),
    "schema": Command(
        "print the JSON Schema of a file format, for an editor",
        "Name it in a file's first line: #:schema ./kit.schema.json",
        _schema_words,
        "files",
    ),
}


def parser() -> argparse.ArgumentParser:
    """The parser of all commands; each carries the function to call as ``command``."""
    top = argparse.ArgumentParser(
        prog="kitprep",
        description="Plan, pack, line-check and wrap a location-sound day. "
        "kitprep PLAN opens the screens on a day plan; kitprep alone opens the demo.",
    )
    top.add_argument("--version", action="version", version=f"kitprep {__version__}")
    commands = top.add_subparsers(metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        one = commands.add_parser(name, help=command.help, description=command.more)
        command.words(one)
        one.set_defaults(command=_caller(command.module, name))
    return top


def _caller(module: str, name: str) -> Callable[[argparse.Namespace], int]:
    def call(given: argparse.Namespace) -> int:
        run: Callable[[argparse.Namespace], int] = getattr(
            import_module(f"kitprep.cli.{module}"), f"run_{name}"
        )
        return run(given)

    return call
