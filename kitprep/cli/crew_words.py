"""The words of the commands for while the job is out, and for the ledger itself."""

import argparse
from pathlib import Path


def ledger_option(parser: argparse.ArgumentParser) -> None:
    """Where the job's ticks are kept."""
    parser.add_argument(
        "--ledger",
        metavar="URL",
        help="where ticks are kept (default: KITPREP_LEDGER, else a file in your data folder)",
    )


def job_words(parser: argparse.ArgumentParser) -> None:
    """The plan, and where and by whom its ticks are kept."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="day plan, such as day-01.toml")
    ledger_option(parser)
    parser.add_argument(
        "--who", metavar="NAME", help="whose hand it is (default: KITPREP_WHO, else the account)"
    )


def hand_words(parser: argparse.ArgumentParser) -> None:
    """hand PLAN TAG… --to NAME"""
    job_words(parser)
    parser.add_argument(
        "things",
        nargs="*",
        metavar="TAG",
        help="what is handed over, or KEY=NUMBER of what goes by number (item:listener-unit=2)",
    )
    parser.add_argument("--to", metavar="NAME", default="", help="who or what holds it now")


def take_words(parser: argparse.ArgumentParser) -> None:
    """take PLAN TAG…"""
    job_words(parser)
    parser.add_argument(
        "things",
        nargs="+",
        metavar="TAG",
        help="what is taken back, or KEY=NUMBER of what goes by number",
    )
    parser.add_argument(
        "--from", dest="whose", metavar="NAME", default="", help="from whom (default: everyone)"
    )


def cells_words(parser: argparse.ArgumentParser) -> None:
    """cells PLAN TAG…"""
    job_words(parser)
    parser.add_argument(
        "things",
        nargs="*",
        metavar="TAG",
        help="what got a fresh set; supply:ID a fresh pack, supply:ID@DESTINATION the one there",
    )
    parser.add_argument(
        "--at",
        type=_clock,
        metavar="HH:MM",
        help="when it went in, or what is due by then (default: now)",
    )


def standby_words(parser: argparse.ArgumentParser) -> None:
    """standby PLAN TAG…"""
    job_words(parser)
    which = parser.add_mutually_exclusive_group()
    which.add_argument(
        "things", nargs="*", default=[], metavar="TAG", help="packs that were put to sleep"
    )
    which.add_argument(
        "--all", action="store_true", help="every pack that should be asleep and is not"
    )
    parser.add_argument("--wake", action="store_true", help="they were woken, each signal seen")
    parser.add_argument(
        "--at", type=_clock, metavar="HH:MM", help="when it was, or is asked about (default: now)"
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


def replan_words(parser: argparse.ArgumentParser) -> None:
    """replan PLAN --take"""
    job_words(parser)
    parser.add_argument("--take", action="store_true", help="do it; people are moved")


def spares_words(parser: argparse.ArgumentParser) -> None:
    """spares PLAN --take"""
    job_words(parser)
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--take", action="store_true", help="put them on the packing list")
    which.add_argument("--leave", action="store_true", help="take them off it again")


def clear_words(parser: argparse.ArgumentParser) -> None:
    """clear PLAN TAG"""
    job_words(parser)
    parser.add_argument(
        "tag",
        metavar="TAG",
        help="the unit, or what goes by number and was counted again (cells:FR6=24)",
    )
    parser.add_argument("--note", metavar="TEXT", default="", help="what was done")


def stage_words(parser: argparse.ArgumentParser) -> None:
    """stage PLAN STAGE"""
    job_words(parser)
    parser.add_argument(
        "stage", choices=("packed", "out", "returned", "closed"), help="what it has come to"
    )
    parser.add_argument(
        "--accept",
        metavar="REASON",
        default="",
        help="of packed: what was read is not all as wanted, and why it goes all the same",
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
