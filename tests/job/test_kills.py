"""A program that packs is killed (SIGKILL) at any instant: no tick that it showed is lost.

KITPREP_TEST_KILLS is how many times more than by default is killed.
"""

from __future__ import annotations

import os
import pty
import random
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from ledger.processes import Child

from kitprep.definitions.loading import load_day
from kitprep.job import Job
from kitprep.ledger.store import Ledger

from .world import World

TIMES = int(os.environ.get("KITPREP_TEST_KILLS", "1"))
PAIRS = (("TX1", "TX2"), ("TX3", "AD1"), ("RX1", "RX2"))


def shown(job: Job) -> list[tuple[str, int, int]]:
    """What a screen would show: each thing with the count that is in, and of which entry."""
    return sorted((key, state.packed, state.seen) for key, state in job.state.items.items())


def packing(plan: Path, url: str, seed: int) -> Callable[[Callable[[Any], None]], None]:
    """Packs and unpacks two units together, for ever; sends what is shown after each."""

    def work(send: Callable[[Any], None]) -> None:
        rng = random.Random(seed)
        job = Job(load_day(plan), Ledger.open(url), "Ana", "test")
        send("open")
        while True:
            pair = rng.choice(PAIRS)
            kind = "unpacked" if job.state.item(pair[0]).packed else "packed"
            facts = {"qty": 1} if kind == "packed" else {}
            job.record_all([(tag, kind, facts) for tag in pair])
            send(shown(job))

    return work


def test_what_a_killed_program_showed_is_there_and_every_tick_is_whole(world: World) -> None:
    plan, url = world.plan(), world.url
    kills = (24 if url.startswith("sqlite") else 12) * TIMES
    rng = random.Random(3)
    showed = 0
    unseen = 0
    for kill in range(kills):
        child = Child(packing(plan, url, kill))
        said = []
        if kill % 4:  # every fourth may die before it has begun
            said.append(child.receive())
        if kill % 2:  # every other one has shown something
            said.append(child.receive())
        time.sleep(rng.uniform(0, 0.03))
        said = [each for each in (*said, *child.kill()) if isinstance(each, list)]
        showed += len(said)
        job = world.job("Cy", plan)
        if said:
            # What was shown last is there; at most one call more was recorded and not shown.
            before = {key: (packed, seen) for key, packed, seen in said[-1]}
            after = {key: (packed, seen) for key, packed, seen in shown(job)}
            more = {key for key, state in after.items() if state != before.get(key)}
            assert more in (set(), *(set(pair) for pair in PAIRS))
            assert all(after[key][1] == before.get(key, (0, 0))[1] + 1 for key in more)
            unseen += bool(more)
        # Both units of a call or neither, each in its job's stream and in its kit's.
        for one, other in PAIRS:
            assert job.state.item(one).packed == job.state.item(other).packed
            assert job.state.item(one).seen == job.state.item(other).seen
            for tag in (one, other):
                assert job.kit.unit(tag).claimed_by(job.name) == bool(job.state.item(tag).packed)
                assert job.kit.unit(tag).seen == job.state.item(tag).seen
        assert job.ledger.verify() == []
        job.close()
    assert showed > kills / 2
    if TIMES > 1:
        sys.stderr.write(
            f"\n{url.partition(':')[0]}: {kills} kills, {showed} ticks shown before them and none "
            f"lost; {unseen} recorded in the instant of the kill\n"
        )


@contextmanager
def command_line(plan: Path, url: str) -> Iterator[tuple[int, int]]:
    """kitprep pack PLAN - on a terminal of its own: its process, and the terminal."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "kitprep", "pack", str(plan), "-", "--ledger", url],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
    )
    os.close(theirs)
    try:
        yield process.pid, ours
    finally:
        with suppress(ProcessLookupError):
            os.kill(process.pid, signal.SIGKILL)
        process.wait()
        os.close(ours)


def read_until(terminal: int, wanted: int, until: float) -> str:
    """What the terminal shows, until so many ticks are there or a moment has come."""
    text = ""
    while text.count("]") < wanted and (left := until - time.monotonic()) > 0:
        if select.select([terminal], [], [], left)[0]:
            try:
                text += os.read(terminal, 4096).decode()
            except OSError:  # the other end is closed
                break
    return text


def test_what_a_killed_command_had_answered_is_recorded(world: World) -> None:
    plan, url = world.plan(), world.url
    rng = random.Random(4)
    told = 0
    for kill in range(2 * TIMES):
        counts = [kill * 100 + n for n in range(60)]
        with command_line(plan, url) as (pid, terminal):
            typed = "".join(f"cells:CR123A={n}\n" for n in counts)
            os.write(terminal, typed.encode())
            text = read_until(terminal, rng.randrange(1, 20), time.monotonic() + 30)
            time.sleep(rng.uniform(0, 0.02))
            os.kill(pid, signal.SIGKILL)
            text += read_until(terminal, 1000, time.monotonic() + 5)
        # A line that was cut off by the kill was not shown.
        answers = [line for line in text.split("\r\n")[:-1] if line.startswith("[")]
        with Ledger.open(url) as ledger:
            here = [e.body["qty"] for e in ledger.entries("small/2027-03-14")]
            assert ledger.verify() == []
        recorded = [qty for qty in here if qty >= kill * 100]
        assert len(answers) <= len(recorded) <= len(answers) + 1
        assert recorded == counts[: len(recorded)]
        told += len(answers)
    assert told
