"""The real program: killed, hung up on, without a terminal; and a scanner at its keys."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kitprep.bundled import demo_plan
from kitprep.job import Job
from kitprep.walks.pack import pack_view

from .terminal import START, Terminal

LEFT = "\x1b[?1049l"


@pytest.fixture
def terminal(url: str) -> Iterator[Callable[..., Terminal]]:
    """Opens the program on day 1 in a terminal: on the day, or where the job was left."""
    opened: list[Terminal] = []

    def start(**env: str) -> Terminal:
        opened.append(Terminal(demo_plan(1), url, **env))
        opened[-1].wait(lambda text: "WORKABLE" in text or "[F5 Pack]" in text, "where it was left")
        return opened[-1]

    yield start
    for each in opened:
        each.close()


@pytest.mark.parametrize("ticks", [1, 7])
def test_killed_while_packing_it_comes_back_with_every_tick_that_was_shown(
    terminal: Callable[..., Terminal], job: Callable[..., Job], ticks: int
) -> None:
    day = job()
    counted = [line for line in day.worked.packing if line.qty and line.kind in ("item", "cable")]
    first = terminal()
    first.type("\x1b[15~")
    first.wait(lambda text: "[F5 Pack]" in text, "the pack screen")
    shown = re.compile(r"\[x\] ((?:(?!\[).)+?) packed\. ")
    by_name = {line.name: line.key for line in counted}
    for number, line in enumerate(counted[:ticks], 1):
        first.type(f"{line.key}\r{line.qty}\r")
        first.wait(lambda text, n=number: len(shown.findall(text)) >= n, "a tick")
    first.type("".join(f"{line.key}\r{line.qty}\r" for line in counted[ticks : ticks + 6]))
    first.read(0.02 * ticks)
    first.signal(signal.SIGKILL)
    assert first.ended() == -signal.SIGKILL
    seen = shown.findall(first.plain)
    assert len(seen) >= ticks
    again = job()
    view = pack_view(again.worked, again.state)
    for name in seen:
        item = view.find(by_name[" ".join(name.split())])
        assert item is not None
        assert item.mark == "packed", name
    second = terminal()
    second.type("\x1b[15~")
    second.wait(lambda text: f"{view.done}/{len(view.items)} packed" in text, "the ticks again")
    second.wait(lambda text: "You were in" in text, "where it was")
    day.close()
    again.close()


@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_ends_it_and_leaves_the_terminal_as_it_was(
    terminal: Callable[..., Terminal], number: int, status: int
) -> None:
    at = terminal()
    at.signal(number)
    assert at.ended() == status
    assert LEFT.encode() in at.raw


def test_a_terminal_that_goes_away_ends_it(terminal: Callable[..., Terminal]) -> None:
    at = terminal()
    os.close(at.master)
    at.master = os.open(os.devnull, os.O_RDWR)
    assert at.process.wait(timeout=8) is not None


def test_codes_in_one_burst_reach_the_bench_one_by_one(
    terminal: Callable[..., Terminal],
) -> None:
    at = terminal()
    at.type("\x1b[15~")
    at.wait(lambda text: "[F5 Pack]" in text, "the pack screen")
    at.type("AA1\rTX02\rTX01\n")
    at.wait(lambda text: "on the bench, after TX02" in text, "the bench")
    assert "TX02 1/5" in at.plain
    at.type("\x11")
    assert at.ended() == 0
    assert LEFT.encode() in at.raw


@pytest.mark.parametrize("term", ["dumb", "xterm"])
def test_without_a_terminal_it_says_so_and_exits_2(url: str, term: str, tmp_path: Path) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", START, str(demo_plan(1)), url],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={**os.environ, "TERM": term},
        check=False,
    )
    assert ended.returncode == 2
    assert "the screens need a terminal" in ended.stderr
    assert ended.stdout == ""


def test_a_terminal_with_no_more_than_ascii_gets_ascii(url: str) -> None:
    at = Terminal(demo_plan(1), url, PYTHONIOENCODING="ascii", PYTHONUTF8="0", LC_ALL="C")
    at.wait(lambda text: "WORKABLE" in text, "the day")
    at.type("\x1bOR")
    at.wait(lambda text: "[F3 Scene]" in text, "the scene")
    at.wait(lambda text: "--))) mono" in text, "a path of plain characters")
    at.type("\x11")
    at.ended()
    at.close()
    assert at.plain.isascii()
