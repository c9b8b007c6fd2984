"""Two people at two real terminals on one job: they pack, look, swap and wrap against each other.

Every tick that a screen has shown is in the ledger once, with its hand; what a screen said was not
recorded is not there; and in the end both screens and the command line say the same.

By default ten seconds; KITPREP_TEST_SECONDS lets them go on, and the figures are printed.
"""

from __future__ import annotations

import json
import os
import random
import re
import shutil
import subprocess
import sys
import threading
import time
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.job import Job
from kitprep.ledger.events import read_event
from kitprep.planning.day import work_out
from kitprep.planning.packing import find_units
from kitprep.tui.widgets.code_input import ECHO_S
from kitprep.walks.naming import spoken

from .panes import Pane

SECONDS = float(os.environ.get("KITPREP_TEST_SECONDS", "10"))
PLAN = demo_plan(1)

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux")

COUNTED = ("cells:FR6", "item:lav", "item:lav-mount", "cards:mini-sd")
TAGS = ("TX01", "TX02", "TX03", "TX11", "TX12", "TX13", "TX21", "TX41", "RX01", "RX11", "RX21")
ANSWERED = r"\[[?~]\] [a-z]+: (unverified|asked again)|Scene \S+: \d+ "
NOT_RECORDED = ("came first, so nothing was recorded", "settle it with them")

Tick = tuple[str, str, str, str]
"""Who, what (as it is called), kind, and the fact that matters."""


class Person:
    """Someone who does things at a pane, and keeps what the screen said to each."""

    def __init__(self, pane: Pane, seed: int) -> None:
        self.pane = pane
        self.rng = random.Random(seed)
        self.shown: Counter[Tick] = Counter()
        self.came: Counter[str] = Counter()
        self.nonces = 0
        self.waits: list[float] = []

    def work(self, seconds: float) -> None:
        self.pane.wait(lambda text: "WORKABLE" in text)
        until = time.monotonic() + seconds
        acts = [self.count] * 3 + [self.look_at] * 4 + [self.check] * 3 + [self.say_outcome] * 3
        acts += [self.swap, self.take_out, self.take_off]
        while time.monotonic() < until:
            self.rng.choice(acts)()

    # What a screen is asked, and what it says

    def on(self, key: str, name: str) -> None:
        """Another screen, with nothing asked and nothing said before."""
        self.pane.press(key)
        self.pane.wait(lambda text: f"[{key} {name}]" in text)
        self.pane.press("Escape", "Escape")

    def fresh(self) -> None:
        """A word that names nothing: what is said after it was not said before."""
        self.nonces += 1
        word = f"zz{self.nonces}"
        self.pane.type(word)
        self.pane.wait(lambda text: f"{word} is no tag" in text or f"{word} did not go" in text)

    def said(self, pattern: str, *others: str) -> re.Match[str] | None:
        """What was said to the last key; None where nothing was recorded, for a reason told."""
        began = time.monotonic()
        text = self.pane.wait(
            lambda text: (
                re.search(pattern, text) or any(w in text for w in (*NOT_RECORDED, *others))
            )
        )
        self.waits.append(time.monotonic() - began)
        found = re.search(pattern, text)
        told = next((word for word in NOT_RECORDED if word in text), None)
        self.came["recorded" if found and not told else told or "not asked for"] += 1
        return None if told else found

    def tick(self, what: str, kind: str, fact: str) -> None:
        self.shown[self.pane.who, what, kind, fact] += 1

    # What is done

    def count(self) -> None:
        key, number = self.rng.choice(COUNTED), self.rng.randrange(1, 4)
        self.on("F5", "Pack")
        self.fresh()
        self.pane.type(key)
        if "how many are in" not in self.pane.wait(
            lambda text: "how many are in" in text or "is packed already" in text
        ):
            return
        self.pane.type(str(number))
        if self.said(rf"\[~\] {number} of \d+: \d+ missing\. Enter counts again"):
            self.tick(NAMES[key], "packed", str(number))

    def look_at(self) -> None:
        """A unit, check by check, until it is in or someone else was quicker."""
        tag = self.rng.choice(TAGS)
        self.on("F5", "Pack")
        self.fresh()
        self.pane.type(tag)
        text = self.pane.wait(
            lambda text: re.search(
                rf"{tag} (\d)/\d: |{tag} is packed|{tag} \(.*needed|{tag} .* goes", text
            )
        )
        for _ in range(6):
            asked = re.search(rf"{tag} (\d)/(\d): (\S+ \S+)", text)
            if asked is None:
                return
            if asked[3] == "Put it":
                time.sleep(2 * ECHO_S)  # an Enter at once would be the scanner's own
                self.pane.press("Enter")
                if self.said(rf"\[x\] {tag} packed\. "):
                    self.tick(tag, "packed", "1")
                return
            name, value = CHECKS[asked[3]]
            self.pane.type(value)
            # The last reading of what someone else has put in meanwhile is told as packed.
            if not self.said(rf"\[x\] {tag}: {name} {re.escape(value)}|\[x\] {tag} packed\. "):
                return
            self.tick(tag, "checked", f"{name} {value}")
            step = asked[1]
            text = self.pane.wait(lambda text, s=step: f"{tag} {s}/" not in text)

    def take_out(self) -> None:
        self.on("F5", "Pack")
        self.pane.press(*["Up"] * self.rng.randrange(9))
        self.fresh()
        self.pane.press("C-t")
        found = self.said(r"\[ \] (.{3,60}?) is taken out again", "Nothing is ticked on this line")
        if found:
            self.tick(found[1].split()[0] if found[1].split()[0] in UNITS else found[1],
                      "unpacked", "")  # fmt: skip

    def next_scene(self) -> None:
        """The line check of another scene, which takes away what was said in the one before."""
        self.on("F6", "Line check")
        self.pane.press("Right", "C-r")
        self.pane.wait(lambda text: "Which unit of this chain is to be replaced?" in text)
        self.pane.press("Escape")
        self.pane.wait(lambda text: "is to be replaced?" not in text)
        self.pane.wait(lambda text: not re.search(ANSWERED, text))

    def check(self) -> None:
        self.on("F6", "Line check")
        self.pane.press(
            *["Right"] * self.rng.randrange(1, 3)
        )  # which also takes away what was said
        self.pane.wait(lambda text: ": unverified" not in text)
        self.pane.press("C-n")
        # The last of a scene is told by the scene's figures, so ticks are counted and not named.
        if self.said(ANSWERED):
            self.tick("a question", "observed", "did not check")

    def swap(self) -> None:
        self.next_scene()
        self.pane.press("C-r")
        self.pane.wait(lambda text: "Which unit of this chain is to be replaced?" in text)
        self.pane.press("1")
        text = self.pane.wait(lambda text: "What stands in for" in text or "No one unit" in text)
        if "No one unit" in text:
            self.pane.press("2")
            self.pane.wait(lambda text: "stays as it is" in text)
            return
        lost = re.search(r"What stands in for (\S+)\?", text)
        assert lost is not None
        self.pane.press("1")
        self.pane.wait(lambda text: "Take it?" in text)
        self.pane.press("1")
        found = self.said(rf"(\S+) stands in for {lost[1]}; its lines ask again")
        if found:
            self.tick(lost[1], "swapped", found[1])

    def say_outcome(self) -> None:
        """Of the marked line, if it is a unit: not seen, or back."""
        self.on("F7", "Wrap")
        self.pane.press(*["Down"] * self.rng.randrange(4))
        self.fresh()
        self.pane.press("Enter")
        text = self.pane.wait(
            lambda text: (
                "what has become of it?" in text or "to account for" in text or "did not go" in text
            )  # there is nothing to ask about
        )
        asked = re.search(r".*\b([A-Z]+\d+) [^:]*: what has become of it\?", text)
        if asked is None:
            return
        number, word = self.rng.choice((("1", "back"), ("3", "not seen")))
        self.pane.press(number, "Enter")
        if self.said(rf"\[x\] {asked[1]} {word}: "):
            self.tick(asked[1], "returned", word)

    def take_off(self) -> None:
        self.on("F7", "Wrap")
        self.pane.press(*["Down"] * self.rng.randrange(6))
        self.fresh()
        self.pane.press("C-t")
        found = self.said(r"\[ \] (.{3,40}?): its outcome is taken off",
                          "This line has no outcome", "nothing has been packed")  # fmt: skip
        if found:
            self.tick(found[1], "returned", "")


_DAY = load_day(PLAN)
NAMES = spoken(work_out(_DAY.kit, _DAY.plan))
UNITS = frozenset(find_units(_DAY.kit))

CHECKS = {
    "Switch it": ("power", "yes"),
    "Read the": ("firmware", "5.2"),
    "Put the": ("card", "yes"),
    "Put a": ("cells", "3.1"),
    "Look at": ("contacts", "yes"),
}
"""By the first two words of what is asked: the check, and a good answer."""


def ticks(job: Job) -> Counter[Tick]:
    """All that the two have recorded, as their screens would have told it."""
    found: Counter[Tick] = Counter()
    for entry in job.ledger.entries(job.name):
        event = read_event(entry)
        facts: Any = event.facts
        fact = {
            "packed": lambda f: str(f["qty"]),
            "unpacked": lambda f: "",
            "checked": lambda f: f"{f['check']} {f['value']}",
            "observed": lambda f: f["answer"],
            "swapped": lambda f: f["by"],
            "returned": lambda f: next((w for w, n in f["counts"].items() if n), ""),
        }[event.kind](facts)
        what = NAMES.get(event.item, event.item)
        if event.kind == "observed":
            what = "a question"
        found[event.who, what, event.kind, fact] += 1
    return found


def command(url: str, *words: str) -> str:
    """What the command line answers."""
    done = subprocess.run(
        [sys.executable, "-m", "kitprep", *words, "--ledger", url],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def test_two_terminals_lose_and_double_nothing(
    url: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panes = [Pane(who, PLAN, url, tmp_path) for who in ("Ana", "Ben")]
    people = [Person(pane, seed) for seed, pane in enumerate(panes)]
    failed: list[BaseException] = []

    def work(person: Person) -> None:
        try:
            person.work(SECONDS)
        except BaseException as failure:
            failed.append(failure)

    try:
        threads = [threading.Thread(target=work, args=(person,)) for person in people]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert not failed, failed[0]
        time.sleep(2.5)  # each looks once a second
        tops = []
        for pane in panes:
            pane.press("Escape", "Escape", "F5")
            text = pane.wait(lambda text: "[F5 Pack]" in text)
            tops.append(re.search(r"(\w+) (\d+)/(\d+) packed", text))
    finally:
        for pane in panes:
            pane.close()

    job = Job.open(PLAN, url, "Cy", "test")
    shown = sum((person.shown for person in people), Counter[Tick]())
    recorded = ticks(job)
    assert shown == recorded
    assert job.ledger.verify() == []
    status = json.loads(command(url, "status", str(PLAN), "--json"))
    for top in tops:
        assert top is not None
        assert top[1] == status["stage"]
        assert (int(top[2]), int(top[3])) == (status["pack"]["packed"], status["pack"]["lines"])
    report = json.loads(command(url, "report", str(PLAN), "--json"))
    assert len(report["swaps"]) == sum(n for tick, n in shown.items() if tick[2] == "swapped")
    assert report["ledger"]["entries"] == job.ledger.head()[0]
    job.close()
    assert sum(shown.values()) > SECONDS / 5
    if "KITPREP_TEST_SECONDS" in os.environ:
        came = sum((person.came for person in people), Counter[str]())
        waits = sorted(wait for person in people for wait in person.waits)
        kinds = Counter[str]()
        for tick, number in shown.items():
            kinds[tick[2]] += number
        with capsys.disabled():
            sys.stdout.write(
                f"\n{url.partition(':')[0]}: {SECONDS:g} s, two terminals: {sum(shown.values())} "
                f"ticks shown and {sum(recorded.values())} recorded {dict(kinds)}; {dict(came)}; "
                f"shown after {waits[len(waits) // 2]:.2f} s in the middle, {waits[-1]:.2f} s at "
                "most\n"
            )
