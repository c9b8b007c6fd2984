"""A ledger that another program holds: the screen lives on, and every key has its turn."""

import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from kitprep.job import Job
from kitprep.ledger.store import Ledger

from .conftest import Opener
from .seat import Seat

HOLD = """
import sqlite3, sys
held = sqlite3.connect(sys.argv[1], isolation_level=None)
held.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
held.execute("ROLLBACK")
"""


@contextmanager
def held_by_another(url: str) -> Iterator[Callable[[], None]]:
    """Another process has the ledger until it is told to let go."""
    path = url.removeprefix("sqlite:///")
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, path], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stdout.readline() == b"held\n"

        def let_go() -> None:
            process.stdin.close()  # type: ignore[union-attr]
            process.wait(10)

        try:
            yield let_go
        finally:
            let_go()


def counted(job: Job) -> list[tuple[str, int]]:
    """Lines that are only counted in, with how many go."""
    return [(line.key, line.qty) for line in job.worked.packing if line.kind in ("item", "cable")]


def told(at: Seat) -> list[tuple[str, str]]:
    """What the ledger holds, in its order."""
    job = at.app.job
    return [(e.item, e.body["kind"]) for e in job.ledger.entries(job.name)]


async def test_the_screen_takes_keys_while_a_tick_waits_and_the_tick_is_recorded_once(
    seat: Opener, url: str
) -> None:
    async with seat("pack") as at:
        key, qty = counted(at.app.job)[0]
        with held_by_another(url) as let_go:
            at.type(f"{key}\r{qty}\r")
            await at.until(lambda: at.app.is_writing, "a slow tick is said to be written")
            assert "writing…" in at.text
            assert "0/50 packed" in at.text
            assert at.packed(key).mark == "todo"
            at.app.action_go("day")
            await at.until(lambda: at.app.screen_name == "day", "another screen")
            at.app.action_go("pack")
            await at.until(lambda: at.app.screen_name == "pack", "and back")
            assert at.app.is_writing
            at.type("abc")
            await at.until(lambda: "abc" in at.text, "the field shows what is typed")
            let_go()
        await at.settle()
        assert at.packed(key).mark == "packed"
        assert "1/50 packed" in at.text
        assert "writing" not in at.text
        assert told(at) == [(key, "packed")]


async def test_codes_and_counts_that_came_meanwhile_are_recorded_in_their_order(
    seat: Opener, url: str
) -> None:
    async with seat("pack") as at:
        lines = counted(at.app.job)[:6]
        with held_by_another(url) as let_go:
            for key, qty in lines:
                at.type(f"{key}\r{qty}\r")
            await at.until(lambda: at.app.is_writing, "the first of them waits")
            let_go()
        await at.settle()
        assert told(at) == [(key, "packed") for key, _ in lines]
        assert all(at.packed(key).state.packed == qty for key, qty in lines)


async def test_answers_and_moves_that_came_meanwhile_go_to_the_lines_that_they_were_meant_for(
    seat: Opener, url: str, job: Callable[..., Job]
) -> None:
    async def keys(at: Seat) -> None:
        for key in ("1", "down", "down", "1", "up", "1"):
            await at.pilot.press(key)
        await at.pilot.pause(0.1)

    async with seat("check") as at:
        await keys(at)
        await at.settle()
        expected = told(at)
        assert len(expected) >= 2
    with sqlite3.connect(url.removeprefix("sqlite:///")) as fresh:
        fresh.executescript("DROP TRIGGER entry_remains; DELETE FROM entry;")
    async with seat("check", of=job()) as at:
        with held_by_another(url) as let_go:
            await keys(at)
            assert at.app.is_busy
            let_go()
        await at.settle()
        assert told(at) == expected


async def test_a_letter_that_is_no_answer_is_a_command_when_its_turn_comes(
    seat: Opener, url: str
) -> None:
    async with seat("check") as at:
        await at.answer("5.2")
        assert at.walk.asking is not None
        assert at.walk.asking.answers
        with held_by_another(url) as let_go:
            await at.pilot.press("1", "d")
            await at.pilot.pause(0.1)
            assert at.app.screen_name == "check"
            let_go()
        await at.until(lambda: at.app.screen_name == "day", "the letter's screen")
        await at.settle()
        assert len(told(at)) == 2


async def test_where_the_ledger_fails_what_was_pressed_after_is_dropped(
    seat: Opener, url: str
) -> None:
    async with seat("pack") as at:
        (first, qty), (second, _) = counted(at.app.job)[:2]
        at.app.job.ledger.close()
        at.app.job.ledger = Ledger.open(url, wait_s=1)
        with held_by_another(url):
            at.type(f"{first}\r{qty}\r{second}\r7\r")
            await at.until(lambda: "Nothing was recorded" in at.banner, "it is said")
            assert "what was pressed after it is dropped" in at.banner
            assert "is locked by another program" in at.banner
        await at.settle()
        assert not told(at)
        assert at.walk.asking is not None
        assert at.walk.asking.key == first


@pytest.mark.parametrize("asked_again", [False, True])
async def test_to_quit_waits_for_the_tick_unless_it_is_asked_for_again(
    seat: Opener, url: str, asked_again: bool
) -> None:
    async with seat("pack") as at:
        key, qty = counted(at.app.job)[0]
        with held_by_another(url) as let_go:
            at.type(f"{key}\r{qty}\r")
            await at.until(lambda: at.app.is_writing, "it waits")
            await at.app.action_quit()
            assert at.app.is_running
            assert "being written" in at.banner
            if asked_again:
                await at.app.action_quit()
            else:
                let_go()
            await at.until(lambda: at.app._exit, "it leaves")
        if not asked_again:
            assert told(at) == [(key, "packed")]
