"""The words of the commands for while the job is out, and for the ledger itself."""

import argparse
from pathlib import Path


def job_words(parser: argparse.ArgumentParser) -> None:
    """The plan, and where and by whom its ticks are kept."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="day plan, such as day-01.toml")
    parser.add_argument(
        "--ledger",
        metavar="URL",
        help="where ticks are kept (default: KITPREP_LEDGER, else a file in your data folder)",
    )
    parser.add_argument(
        "--who", metavar="NAME", help="whose hand it is (default: KITPREP_WHO, else the account)"
    )


def hand_words(parser: argparse.ArgumentParser) -> None:
    """hand PLAN TAG… --to NAME"""
    job_words(parser)
    parser.add_argument("things", nargs="*", metavar="TAG", help="what is handed over")
    parser.add_argument("--to", metavar="NAME", default="", help="who or what holds it now")


def take_words(parser: argparse.ArgumentParser) -> None:
    """take PLAN TAG…"""
    job_words(parser)
    parser.add_argument("things", nargs="+", metavar="TAG", help="what is taken back")


def cells_words(parser: argparse.ArgumentParser) -> None:
    """cells PLAN TAG…"""
    job_words(parser)
    parser.add_argument("things", nargs="*", metavar="TAG", help="units that got a fresh set")
    parser.add_argument(
        "--at", type=_clock, metavar="HH:MM", help="say what is due at this time (default: now)"
    )


def _clock(text: str) -> int:
    from kitprep.definitions.text import parse_clock

    try:
        return int(parse_clock(text))
    except Exception as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def swap_words(parser: argparse.ArgumentParser) -> None:
    """swap PLAN TAG --by TAG"""
    job_words(parser)
    parser.add_argument("tag", metavar="TAG", help="the unit that failed")
    which = parser.add_mutually_exclusive_group()
    which.add_argument(
        "--by", metavar="TAG", help="what stands in for it; its own tag takes --nothing back"
    )
    which.add_argument(
        "--nothing", action="store_true", help="nothing does: work the day out without it"
    )
    parser.add_argument("--reason", metavar="TEXT", default="", help="what was wrong with it")


def spares_words(parser: argparse.ArgumentParser) -> None:
    """spares PLAN --take"""
    job_words(parser)
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--take", action="store_true", help="put them on the packing list")
    which.add_argument("--leave", action="store_true", help="take them off it again")


def clear_words(parser: argparse.ArgumentParser) -> None:
    """clear PLAN TAG"""
    job_words(parser)
    parser.add_argument("tag", metavar="TAG", help="the unit")
    parser.add_argument("--note", metavar="TEXT", default="", help="what was done")


def stage_words(parser: argparse.ArgumentParser) -> None:
    """stage PLAN STAGE"""
    job_words(parser)
    parser.add_argument(
        "stage", choices=("packed", "out", "returned", "closed"), help="what it has come to"
    )


def report_words(parser: argparse.ArgumentParser) -> None:
    """report PLAN"""
    job_words(parser)
    parser.add_argument("--json", action="store_true", help="for a program")


def ledger_words(parser: argparse.ArgumentParser) -> None:
    """ledger verify|export|restore"""
    parser.add_argument(
        "what", choices=("verify", "export", "restore"), help="what to do with the ledger"
    )
    parser.add_argument(
        "file", type=Path, nargs="?", default=Path("-"), help="of restore: an export (default: -)"
    )
    parser.add_argument("--head", metavar="HASH", help="of verify: a head noted earlier")
    parser.add_argument("--ledger", metavar="URL", help="which ledger (default: as always)")
