"""The words of the commands that make files, for the table of commands in ``words``."""

import argparse
from datetime import date
from pathlib import Path

from kitprep.cli.crew_words import ledger_option


def new_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep new``."""
    parser.add_argument("folder", type=Path, metavar="DIR", help="the folder to make or to fill")
    parser.add_argument("--job", metavar="NAME", help="what the job is called")
    parser.add_argument("--cast", metavar="N", help="how many cast packs, 0 to 16")
    parser.add_argument("--boom", metavar="HOW", help="wired, plug-on or boom-pack")
    parser.add_argument("--hop", metavar="yes|no", help="a stereo hop to a camera")
    parser.add_argument("--receivers", metavar="WHICH", help="rack or portables")
    parser.add_argument("--day", metavar="DATE", help="the first day, as in 2027-03-14")
    parser.add_argument("--first-call", metavar="TIME", help="the first call, as in 07:00")
    parser.add_argument(
        "--yes", action="store_true", help="ask nothing; the usual answer where none is given"
    )


def import_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep import``."""
    parser.add_argument("csv", type=Path, metavar="CSV", help="a spreadsheet saved as CSV")
    parser.add_argument(
        "--kit", type=Path, required=True, metavar="KIT", help="the kit that has the models"
    )
    parser.add_argument(
        "--to", type=Path, metavar="FILE", help="the file to make (default: units.toml by the kit)"
    )
    parser.add_argument(
        "--columns",
        metavar="WHAT=COLUMN,…",
        help="what columns are, by heading or letter: tag=A,model=Type,notes=ignore",
    )
    parser.add_argument(
        "--models",
        metavar="WORD=MODEL,…",
        help="what the sheet's own words for models are: Long pack=long-pack,Old leads=ignore",
    )
    parser.add_argument(
        "--cases",
        metavar="WORD=CASE,…",
        help="the same for cases; new makes one of that name: Lid pouch=pouch,Bag 2=new",
    )
    parser.add_argument("--owner", metavar="REF", help="whose the things are that do not say")
    parser.add_argument(
        "--due", type=_date, metavar="DATE", help="when hired things go back that do not say"
    )
    parser.add_argument(
        "--decimal",
        choices=("point", "comma"),
        help="the mark before fractions, where the file leaves it open",
    )
    parser.add_argument(
        "--dates",
        choices=("day-first", "month-first"),
        help="how dates such as 03/04/2027 are meant, where the file leaves it open",
    )
    parser.add_argument("--dry-run", action="store_true", help="print the file and write nothing")
    parser.add_argument("--yes", action="store_true", help="ask nothing")


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text} is no date; write year, month, day, as in 2027-03-14"
        ) from None


def paper_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep paper``."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="day plan, such as day-01.toml")
    parser.add_argument(
        "--sheet",
        choices=("all", "packing", "scenes", "cells", "hire", "return", "lids"),
        default="all",
        help="which sheet (default: all)",
    )
    parser.add_argument(
        "--format",
        choices=("html", "md", "text", "csv", "json"),
        default="html",
        help="a page to print, or text or data (default: html)",
    )
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help="the file to write (default: the screen)"
    )
    ledger_option(parser)
    parser.set_defaults(who=None)


def labels_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep labels``."""
    parser.add_argument(
        "file", type=Path, metavar="FILE", help="a kit, or a day plan for what that day packs"
    )
    parser.add_argument(
        "--what", choices=("all", "tags", "lids"), default="all", help="tags, case lids, or all"
    )
    parser.add_argument(
        "--only", nargs="+", default=[], metavar="TAG", help="only these tags and cases, by id"
    )
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FILE", help="the file to write (default: the screen)"
    )


def copy_day_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep copy-day``."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the day plan to copy")
    parser.add_argument("new", type=Path, metavar="NEW", help="the file to make")
    parser.add_argument(
        "--date", type=_date, required=True, metavar="DATE", help="its day, as in 2027-03-14"
    )
    parser.add_argument(
        "--worn",
        action="store_true",
        help="carry over who wears what, as planned and as swapped since",
    )
    ledger_option(parser)


def compare_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep compare``."""
    parser.add_argument("before", type=Path, metavar="PLAN", help="the day that is packed for")
    parser.add_argument("after", type=Path, metavar="PLAN", help="the day to pack for")
    parser.add_argument("--json", action="store_true", help="for a program")
    ledger_option(parser)
