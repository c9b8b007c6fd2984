"""A program is killed (SIGKILL) at any instant, at any work: no tick that it showed is lost.

KITPREP_TEST_KILLS is how many times more than by default is killed; the figures are then printed.
"""

from __future__ import annotations

import os
import pty
import random
import select
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import pytest
from ledger.processes import Child

from kitprep.definitions.loading import load_day
from kitprep.job import Job
from kitprep.ledger.events import JobState, fold, read_event
from kitprep.ledger.store import Ledger
from kitprep.planning.packing import unit_names

from .panes import Pane
from .people import WRAPPING, Person, Tick
from .recorded import names_on, ticks
from .world import World, packed, units

TIMES = int(os.environ.get("KITPREP_TEST_KILLS", "1"))
PAIRS = (("TX1", "TX2"), ("TX3", "AD1"), ("RX1", "RX2"))

Work = Literal["packing", "swapping", "wrapping"]
Call = Sequence[tuple[str, str, dict[str, Any]]]
Send = Callable[[Any], None]


def picture(state: JobState) -> list[Any]:
    """What screens would show of a job: each thing with all that is known of it, and the swaps."""
    return [sorted(state.items.items()), state.swaps, state.stage]


def calls(work: Work, job: Job, rng: random.Random) -> Call:
    """What is recorded next, together."""
    if work == "swapping":
        lost = rng.choice(("TX1", "TX2"))
        stands_in = {"TX1": "TX10", "TX2": "TX20"}
        gone = dict(job.state.swaps)
        first, by = (stands_in[lost], lost) if lost in gone else (lost, stands_in[lost])
        return [(first, "swapped", {"by": by, "reason": "hum"})]
    pair = rng.choice(PAIRS)
    if work == "packing":
        is_in = job.state.item(pair[0]).packed
        return [(tag, *(("unpacked", {}) if is_in else ("packed", {"qty": 1}))) for tag in pair]
    if rng.random() < 0.3:
        left = rng.randrange(9)
        counts = {"fresh": left, "spent": 8 - left}
        return [("cells:CR123A", "returned", {"counts": counts, "holder": None, "note": ""})]
    is_back = job.state.item(pair[0]).outcome
    counts = {} if is_back else {"back": 1}
    return [(tag, "returned", {"counts": counts, "holder": None, "note": ""}) for tag in pair]


def at_work(work: Work, plan: Path, url: str, seed: int, *, hasty: bool) -> Callable[[Send], None]:
    """Records for ever, and says of each call what it is and then, once it is shown, how many
    entries there are and what a screen shows. A hasty one shows it before it is recorded."""

    def run(send: Send) -> None:
        rng = random.Random(seed)
        job = Job(load_day(plan), Ledger.open(url), "Ana", "test")
        send("open")
        while True:
            call = calls(work, job, rng)
            send(("doing", [(item, kind) for item, kind, _ in call], None))
            if hasty:
                send(("shown", len(job.now.entries) + len(call), None))
            job.record_all(call)
            if not hasty:
                send(("shown", len(job.now.entries), picture(job.state)))

    return run


def losses(said: Sequence[Any], job: Job) -> list[str]:
    """What a killed program had shown and is not there, or is there by half."""
    told = [each for each in said if isinstance(each, tuple)]
    shown = [each for each in told if each[0] == "shown"]
    entries = job.ledger.entries(job.name)
    found = [str(problem) for problem in job.ledger.verify()]
    if shown:
        _, count, seen = shown[-1]
        if len(entries) < count:
            return [*found, f"{count - len(entries)} ticks shown and not recorded"]
        if seen is not None and picture(fold(entries[:count])) != seen:
            found.append("what was shown is not what is recorded")
        more = [read_event(entry) for entry in entries[count:]]
        of_the_call = [(e.item, e.kind) for e in more if e.kind != "added"]
        if of_the_call not in ([], told[-1][1] if told[-1][0] == "doing" else []):
            found.append(f"half of a call, or more than one: {of_the_call}")
    tags = unit_names(job.now.files)
    for key, state in job.state.items.items():
        is_out = bool(state.packed) and not any(state.outcome.values())
        if key in tags and job.kit.unit(key).claimed_by(job.name) != is_out:
            found.append(f"the kit knows otherwise of {key}")
    return found


@dataclass
class Killed:
    """What came of all kills."""

    kills: int = 0
    shown: int = 0
    unseen: int = 0
    lost: list[str] = field(default_factory=list)


def ready(world: World, work: Work) -> None:
    """The job as the work finds it: nothing packed yet, or all of it out."""
    if work != "packing":
        job = world.job("Cy")
        packed(job, *units(job))
        if job.state.item("cells:CR123A").packed == 0:
            job.record("cells:CR123A", "packed", qty=8)
        for tag in {tag for pair in PAIRS for tag in pair} - set(units(job)):
            job.record(tag, "packed", qty=1)
        for stage in ("packed", "out"):
            job.advance(stage)
        job.close()


def killed(world: World, work: Work, kills: int, *, hasty: bool = False) -> Killed:
    """A program at work is killed again and again, and each time looked after."""
    plan, url = world.plan(), world.url
    ready(world, work)
    rng = random.Random(3)
    sum_of = Killed()
    for kill in range(kills):
        child = Child(at_work(work, plan, url, kill, hasty=hasty))
        said = []
        if kill % 4:  # every fourth may die before it has begun
            said.append(child.receive())
        if kill % 2:  # every other one has shown something
            said += [child.receive(), child.receive()]
        time.sleep(rng.uniform(0, 0.03))
        said += child.kill()
        job = Job.open(plan, url, "Cy", "test")
        before = job.ledger.entries(job.name)
        sum_of.lost += losses(said, job)
        shown = [each for each in said if isinstance(each, tuple) and each[0] == "shown"]
        sum_of.kills += 1
        sum_of.shown += len(shown)
        sum_of.unseen += bool(shown) and len(before) > shown[-1][1]
        job.close()
    return sum_of


@pytest.mark.parametrize("work", ["packing", "swapping", "wrapping"])
def test_what_a_killed_program_showed_is_there_and_every_call_is_whole(
    world: World, work: Work
) -> None:
    kills = (8 if world.url.startswith("sqlite") else 4) * TIMES
    sum_of = killed(world, work, kills)
    assert sum_of.lost == []
    assert sum_of.shown >= kills / 2
    if TIMES > 1:
        sys.stderr.write(
            f"\n{world.url.partition(':')[0]}, {work}: {kills} kills, {sum_of.shown} calls shown "
            f"before them and none lost; {sum_of.unseen} recorded in the instant of the kill\n"
        )


def test_a_program_that_shows_before_it_records_is_found_out(file_world: World) -> None:
    """The harness reports the loss for a way of working that is known to lose."""
    sum_of = killed(file_world, "wrapping", 6 * TIMES, hasty=True)
    assert any("shown and not recorded" in each for each in sum_of.lost)
    if TIMES > 1:
        sys.stderr.write(f"\nhasty: {sum_of.kills} kills, lost: {dict(Counter(sum_of.lost))}\n")


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
        counts = [n % 40 + 1 for n in range(kill, kill + 60)]  # the kit holds 40
        with Ledger.open(url) as ledger:
            before = len(ledger.entries("small/2027-03-14"))
        with command_line(plan, url) as (pid, terminal):
            typed = "".join(f"cells:CR123A={n}\n" for n in counts)
            os.write(terminal, typed.encode())
            text = read_until(terminal, rng.randrange(1, 8), time.monotonic() + 30)
            time.sleep(rng.uniform(0, 0.02))
            os.kill(pid, signal.SIGKILL)
            text += read_until(terminal, 1000, time.monotonic() + 5)
        # A line that was cut off by the kill was not shown.
        answers = [line for line in text.split("\r\n")[:-1] if line.startswith("[")]
        with Ledger.open(url) as ledger:
            here = [e.body["qty"] for e in ledger.entries("small/2027-03-14")]
            assert ledger.verify() == []
        recorded = here[before:]
        assert len(answers) <= len(recorded) <= len(answers) + 1
        assert recorded == counts[: len(recorded)]
        told += len(answers)
    assert told
    if TIMES > 1:
        sys.stderr.write(
            f"\n{url.partition(':')[0]}, kitprep pack: {2 * TIMES} kills, {told} told\n"
        )


def sitting(person: Person, seed: int) -> None:
    """Someone wraps until the program is gone."""
    rng = random.Random(seed)
    with suppress(AssertionError):  # the pane is dead
        while True:
            person.rng.seed(rng.random())
            getattr(person, rng.choice((*WRAPPING, "replace_in_chain")))()


@pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux")
def test_what_killed_screens_showed_is_recorded(world: World, tmp_path: Path) -> None:
    """The screens in a real terminal, killed while someone wraps and replaces."""
    plan = world.plan()
    ready(world, "wrapping")
    rng = random.Random(5)
    shown = Counter[Tick]()
    for kill in range(TIMES):
        pane = Pane("Ana", plan, world.url, tmp_path)
        person = Person(pane, (), names_on(plan), units(world.job("Cy")), ("cells:CR123A",))
        pane.wait(lambda seen: seen.stage == "out")
        hand = threading.Thread(target=sitting, args=(person, kill))
        hand.start()
        time.sleep(rng.uniform(1, 6))
        pane.kill()
        hand.join()
        pane.close()
        shown += person.shown
        job = Job.open(plan, world.url, "Cy", "test")
        recorded = ticks(job, ("Ana",))
        assert shown - recorded == Counter()
        more = recorded - shown
        assert more.total() <= 1, more  # what was recorded in the instant of the kill
        shown += more
        assert job.ledger.verify() == []
        job.close()
    if TIMES > 1:
        sys.stderr.write(
            f"\n{world.url.partition(':')[0]}, screens: {TIMES} kills, {shown.total()} shown\n"
        )
