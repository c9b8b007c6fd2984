"""The words of what belongs to the screens: what-if, serve, keys."""

import argparse
from pathlib import Path

from kitprep.cli.crew_words import job_words, ledger_option


def whatif_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep what-if``."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="day plan, such as day-01.toml")
    parser.add_argument(
        "--without", nargs="+", action="extend", default=[], metavar="TAG", help="a unit is gone"
    )
    parser.add_argument(
        "--scene",
        nargs="+",
        action="extend",
        default=[],
        metavar="SCENE=TIMES",
        help="a scene runs at another time, as in 12A=08:00-10:00",
    )
    parser.add_argument(
        "--channels",
        nargs="+",
        action="extend",
        default=[],
        metavar="SOURCE=N",
        help="a source is mono (1) or stereo (2), as in mix=1",
    )
    parser.add_argument(
        "--drop",
        nargs="+",
        action="extend",
        default=[],
        metavar="SCENE:SOURCE",
        help="a source is not needed in a scene, as in 12A:boom",
    )
    parser.add_argument("--json", action="store_true", help="for a program")
    ledger_option(parser)


def serve_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep serve``."""
    job_words(parser)
    parser.add_argument(
        "--port", type=_port, default=8017, metavar="N", help="the port (default: 8017; 0: any)"
    )
    parser.add_argument(
        "--address",
        metavar="ADDRESS",
        help="serve on another address than 127.0.0.1; only with --yes-others-can-reach-it",
    )
    parser.add_argument(
        "--yes-others-can-reach-it",
        action="store_true",
        help="you know that other machines can reach that address, and that nothing is encrypted",
    )


def _port(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 6 and int(text) < 65536):
        raise argparse.ArgumentTypeError(f"{text} is no port; write a number from 0 to 65535")
    return int(text)


def keys_words(parser: argparse.ArgumentParser) -> None:
    """``kitprep keys``."""
    parser.add_argument("--json", action="store_true", help="for a program")
