"""The commands and their words: one table that help, docs and the program itself read."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from kitprep import __version__
from kitprep.cli.crew_words import (
    cells_words,
    clear_words,
    hand_words,
    ledger_option,
    ledger_words,
    replan_words,
    report_words,
    spares_words,
    stage_words,
    standby_words,
    swap_words,
    take_words,
)
from kitprep.cli.examples import HelpFormat, epilog
from kitprep.cli.making_words import (
    compare_words,
    copy_day_words,
    import_words,
    labels_words,
    new_words,
    paper_words,
)
from kitprep.cli.screen_words import keys_words, serve_words, whatif_words

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
    ledger_option(parser)
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
    parser.add_argument(
        "plans",
        type=Path,
        nargs="+",
        metavar="PLAN",
        help="a day plan, or several of one kit for the peak of the job",
    )
    parser.add_argument("--json", action="store_true", help="for a program")
    parser.add_argument(
        "--format", choices=("text", "json", "csv"), default="text", help="csv: of several days"
    )
    ledger_option(parser)


def _list_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument(
        "--format",
        choices=("text", "json", "csv", "html", "md"),
        default="text",
        help="how it is printed",
    )
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
        help="a tag, or KEY=COUNT for what is counted (cells:FR6=22); a lid's code (case:pouch) "
        "takes up that case, with =COUNT it is shut at so many pieces; - reads lines from stdin",
    )
    parser.add_argument("--leave-out", metavar="REASON", help="leave these out, with the reason")
    parser.add_argument(
        "--saw",
        metavar="CHECK=VALUE",
        action="append",
        default=[],
        help="what was read on the unit: power=yes, firmware=5.2, card=yes, cells=3.1",
    )
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
        help="a tag, TAG=OUTCOME (TX02=wet), or KEY=COUNT for what is counted; a lid's code says "
        "what is still to go back into that case; - reads lines from stdin",
    )
    parser.add_argument("--holder", metavar="NAME", help="who has it, for the outcome with")
    parser.add_argument("--note", metavar="TEXT", default="", help="what there is to say of it")
    _ledger(parser)


def _add_words(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument(
        "things", nargs="+", metavar="TAG", help="a tag, or KEY=NUMBER of what goes by number"
    )
    parser.add_argument("--note", metavar="TEXT", default="", help="from where it came")
    _ledger(parser)


def _schema_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("what", choices=("kit", "plan"), help="which kind of file")


def _completion_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=("bash", "zsh", "tcsh"), help="the shell you type in")


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
        "Scene by scene, then what is short and what would mend it, then totals. Of several days, "
        "the most of each model that any day needs. Exit status 1 when anything is short.",
        _needs_words,
        "answers",
    ),
    "list": Command(
        "print the packing list by case",
        "With what has been packed so far, and what is not counted on. Exit status 1 when "
        "anything is short.",
        _list_words,
        "answers",
    ),
    "status": Command(
        "say where a job stands and what is open",
        "Exit status 1 while anything is open or short.",
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
    "add": Command(
        "say what joined the job while it is out",
        "Fetched, lent or bought on the day: it must come back like what was packed.",
        _add_words,
        "ticks",
    ),
    "back": Command(
        "record what became of things at wrap",
        "Outcomes: back, with, not seen, faulty, incomplete, wet, another unit's.",
        _back_words,
        "ticks",
    ),
    "hand": Command(
        "hand things to someone or something, or say who has what",
        "A performer, a camera, a garment, a plant, another unit: whoever holds it now.",
        hand_words,
        "crew",
    ),
    "take": Command(
        "take things back from whoever has them",
        "They are then in their case again, until wrap.",
        take_words,
        "crew",
    ),
    "cells": Command(
        "log fresh sets, or say which changes are due",
        "Against the day's schedule; exit status 1 while a change is overdue.",
        cells_words,
        "feeding",
    ),
    "standby": Command(
        "log packs put to sleep or woken, or say which should be asleep",
        "A pack left awake between its scenes is reckoned as on, and its cells are due earlier; "
        "exit status 1 while one is awake that should sleep, or asleep in a scene.",
        standby_words,
        "feeding",
    ),
    "swap": Command(
        "put a like unit in for one that fails",
        "Without --by, lists what can stand in, what is packed first. Nothing else is moved.",
        swap_words,
        "swaps",
    ),
    "replan": Command(
        "choose anew, while out, among what is in the bag",
        "A failure alone moves nobody else. Says what moving others would serve; --take does it.",
        replan_words,
        "swaps",
    ),
    "spares": Command(
        "show the spares that cover any one failure, and take them along",
        "The fewest of what the kit holds; --take puts them on the packing list.",
        spares_words,
        "swaps",
    ),
    "report": Command(
        "print the day as it went",
        "What went out, came back, was swapped, failed, with times and hands.",
        report_words,
        "crew",
    ),
    "stage": Command(
        "say that a job is packed, out, returned or closed",
        "Refused, with what stands in the way, while anything is open; then exit status 1.",
        stage_words,
        "stages",
    ),
    "clear": Command(
        "let the next plans count on a unit again",
        "After repair, or when it turned up. Of cells and all else that goes by number: that as "
        "many are there again as the kit's file has. Another figure there says the same.",
        clear_words,
        "crew",
    ),
    "ledger": Command(
        "verify, export or restore the ledger",
        "An export is lines of JSON; the head printed by verify and report shows later whether "
        "anything was cut off.",
        ledger_words,
        "crew",
    ),
    "new": Command(
        "make a first kit and a first day",
        "Asks a few questions, each also an option; --yes takes the usual answers. Never writes "
        "over a file.",
        new_words,
        "starting",
    ),
    "import": Command(
        "take units in from a spreadsheet's CSV",
        "Shows what each column is taken for, then writes a file of units for the kit to include.",
        import_words,
        "spreadsheet",
    ),
    "paper": Command(
        "print the day's sheets",
        "Packing, scenes, cells, hire request, return sheet, case lids: as a page to print, or as "
        "data.",
        paper_words,
        "sheets",
    ),
    "labels": Command(
        "print asset tags and case lids with codes to scan",
        "Of a whole kit, or of what one day packs. Needs the extra: pip install 'kitprep[labels]'.",
        labels_words,
        "tags",
    ),
    "copy-day": Command(
        "make another day's plan from this one",
        "Only the day changes, and with --worn who wears what is written in; comments stay.",
        copy_day_words,
        "days",
    ),
    "compare": Command(
        "say what changes from one day to the next",
        "What to add to the bag, what to leave, who wears what. Exit status 1 when the later day "
        "is short.",
        compare_words,
        "days",
    ),
    "what-if": Command(
        "try a day with a unit gone, a scene at another time, a source otherwise",
        "What would then be served, short, hired, packed and worn; nothing is kept. Exit status 1 "
        "when the day would be short.",
        whatif_words,
        "whatif",
    ),
    "serve": Command(
        "open the screens in a browser, on this machine",
        "Prints an address with a token in it; nobody without that token comes in. Needs the "
        "extra: pip install 'kitprep[web]'.",
        serve_words,
        "serve",
    ),
    "keys": Command(
        "print the keys, and where to write your own",
        "Your own keys stand in keys.toml in your settings folder, by the ids that this prints.",
        keys_words,
        "keys",
    ),
    "schema": Command(
        "print the JSON Schema of a file format, for an editor",
        "Name it in a file's first line: #:schema ./kit.schema.json",
        _schema_words,
        "files",
    ),
    "completion": Command(
        "print what makes a shell complete commands, options and files",
        "For the shell to read at its start; Tab then completes plans and kits by *.toml.",
        _completion_words,
        "completion",
    ),
}


def parser(only: str | None = None) -> argparse.ArgumentParser:
    """The parser of all commands, or of one; each carries the function to call as ``command``.

    To lay out the words of two dozen commands costs as much as many a command itself.
    """
    top = argparse.ArgumentParser(
        prog="kitprep",
        description="Plan, pack, line-check and wrap a location-sound day. "
        "kitprep PLAN opens the screens on a day plan; kitprep alone opens the demo.",
        formatter_class=HelpFormat,
    )
    top.add_argument("--version", action="version", version=f"kitprep {__version__}")
    commands = top.add_subparsers(metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        if only not in (None, name):
            continue
        one = commands.add_parser(
            name,
            help=command.help,
            description=f"{command.help[0].upper()}{command.help[1:]}. {command.more}",
            epilog=epilog(name),
            formatter_class=HelpFormat,
        )
        command.words(one)
        one.set_defaults(command=_caller(command.module, name))
    return top


def _caller(module: str, name: str) -> Callable[[argparse.Namespace], int]:
    def call(given: argparse.Namespace) -> int:
        run: Callable[[argparse.Namespace], int] = getattr(
            import_module(f"kitprep.cli.{module}"), f"run_{name.replace('-', '_')}"
        )
        return run(given)

    return call
