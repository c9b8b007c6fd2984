"""Several programs at once: they pack, swap and wrap against each other, and nothing is lost.

By default a few seconds on each database. KITPREP_TEST_SECONDS lets them go on for longer, and then
the figures are printed.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ledger.processes import Child

from kitprep.definitions.loading import load_day
from kitprep.job import Job, Overtaken
from kitprep.ledger.errors import Contested, NotNow
from kitprep.ledger.store import Ledger

from .world import World, served

SECONDS = float(os.environ.get("KITPREP_TEST_SECONDS", "2"))
TAGS = ("TX1", "TX2", "TX3", "TX10", "TX20", "TX21", "AD1", "AD2", "RX1", "RX2")

Send = Callable[[Any], None]


class Acknowledged:
    """The ids of all that a job's ledger said is recorded, and how long it took to say so."""

    def __init__(self, job: Job) -> None:
        self.ids: list[str] = []
        self.longest = 0.0
        self._append = job.ledger.append
        job.ledger.append = self.append  # type: ignore[method-assign]

    def append(self, drafts: Any) -> Any:
        began = time.monotonic()
        recorded = self._append(drafts)
        self.longest = max(self.longest, time.monotonic() - began)
        self.ids += [entry.id for entry in recorded]
        return recorded


def act(job: Job, rng: random.Random) -> str:
    """One thing that someone on the job does; says what came of it."""
    item = rng.choice(TAGS)
    try:
        doing = ("pack", "pack", "count", "out", "swap", "back", "off", "hand", "look", "stage")
        match rng.choice(doing):
            case "stage":
                job.advance(rng.choice(("packing", "out")))
            case "pack":
                for line in rng.sample(job.worked.packing, min(1, len(job.worked.packing))):
                    job.record(line.key, "packed", qty=line.qty)
            case "count":
                job.record("cells:CR123A", "packed", qty=rng.randrange(9))
            case "out":
                job.record(item, "unpacked")
            case "swap":
                in_use = [p for c in served(job).values() for p in c[:3] if p]
                lost = rng.choice(in_use) if in_use else ""
                able = job.substitutes(lost)
                if not able:
                    return "nothing fits"
                job.record(lost, "swapped", by=rng.choice(able), reason="hum")
            case "back":
                outcome = rng.choice(("back", "wet", "with", "not seen"))
                job.record(item, "returned", counts={outcome: 1}, holder="Ines", note="")
            case "off":
                job.record(item, "returned", counts={}, holder=None, note="")
            case "hand":
                holder = rng.choice(("Ines", "Marek"))
                job.record_all([(t, "handed", {"holder": holder}) for t in rng.sample(TAGS, 3)])
            case "look":
                job.refresh()
    except Overtaken:
        return "overtaken"
    except Contested:
        return "contested"
    except NotNow:
        return "not now"
    return "recorded"


def working(plan: Path, url: str, number: int, all_done: Any) -> Callable[[Send], None]:
    """A program that works until the time is over; then, when all have ended, looks once more."""

    def work(send: Send) -> None:
        rng = random.Random(number)
        job = Job(load_day(plan), Ledger.open(url), f"worker {number}", "test")
        acknowledged = Acknowledged(job)
        came: Counter[str] = Counter()
        began = sign = time.monotonic()
        while time.monotonic() < began + SECONDS:
            came[act(job, rng)] += 1
            if time.monotonic() > sign + 10:
                sign = time.monotonic()
                send(None)
        send((acknowledged.ids, came, acknowledged.longest))
        all_done.wait(60)
        job.refresh()
        send((job.name, job.state, job.kit, served(job)))
        job.close()

    return work


def result(child: Child) -> Any:
    """What a child sends in the end, after its signs of life; raises what it raised."""
    while True:
        said = child.receive()
        if said is not None:
            return said


def typing(plan: Path, url: str) -> Callable[[Send], None]:
    """Someone at a command line, who packs by scanning and gives back, again and again."""

    def work(send: Send) -> None:
        until = time.monotonic() + SECONDS
        said: list[tuple[int, str]] = []
        words = [("pack", "TX1", "TX2", "cells:CR123A=8"), ("back", "TX1", "TX2=wet"), ("report",)]
        while not said or time.monotonic() < until:
            command, *things = words[len(said) % len(words)]
            done = subprocess.run(
                [sys.executable, "-m", "kitprep", command, str(plan), "--ledger", url, *things],
                capture_output=True,
                text=True,
                timeout=60,
                check=False,
            )
            said.append((done.returncode, done.stderr))
        send(said)

    return work


def test_programs_that_work_against_each_other_lose_and_double_nothing(
    world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    all_done = multiprocessing.get_context("fork").Event()
    plan, next_day = world.plan(), world.plan("2027-03-15")
    plans = [plan, plan, plan, plan, next_day]
    workers = [Child(working(p, world.url, n, all_done)) for n, p in enumerate(plans)]
    shell = Child(typing(plan, world.url))
    results = [result(worker) for worker in workers]
    (typed,) = shell.rest()
    all_done.set()
    views = [worker.receive() for worker in workers]

    # Nobody failed: who came second was told so, and whoever had to wait has waited.
    assert {status for status, _ in typed} <= {0, 1, 2}
    assert not [words for _, words in typed if "Traceback" in words or "the ledger at" in words]

    acknowledged = [identity for ids, _, _ in results for identity in ids]
    with Ledger.open(world.url) as ledger:
        assert ledger.verify() == []
        recorded = [e.id for name in ledger.jobs() for e in ledger.entries(name)]
        typed_in = [
            e.id
            for name in ledger.jobs()
            for e in ledger.entries(name)
            if not str(e.body["who"]).startswith("worker")
        ]
        head = ledger.head()[0]
    assert sorted(recorded) == sorted([*acknowledged, *typed_in])  # each exactly once
    assert len(recorded) == len(set(recorded)) == head

    for name, state, kit, chains in views:
        fresh = world.job("Cy", plan if name == "small/2027-03-14" else next_day)
        assert (state, kit, chains) == (fresh.state, fresh.kit, served(fresh))

    came = sum((came for _, came, _ in results), Counter[str]())
    assert came["recorded"] > len(workers)
    if "KITPREP_TEST_SECONDS" in os.environ:
        with capsys.disabled():
            longest = max(longest for _, _, longest in results)
            sys.stdout.write(
                f"\n{world.url.partition(':')[0]}: {SECONDS:g} s, {len(workers)} workers and "
                f"{len(typed)} commands: {head} entries, {dict(came)}, longest wait for an append "
                f"{longest:.2f} s\n"
            )
