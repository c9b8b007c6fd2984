"""The power goes at any instant: nothing that was acknowledged is missing, nothing is damaged.

The statements are those that the ledger really sends, from making its tables on, recorded on
their way into Python's sqlite3. They are played to SQLite once more on a file system that notes
every write, and every disk a power cut could have left is opened again. The same must report loss
for settings that are known to lose, or it would prove nothing.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import apsw
import pytest

from kitprep.ledger import entries
from kitprep.ledger.store import Ledger

from .making import draft
from .powercut import Disk, Recorder, disks

BAGS = 36
DRAFTS = [
    [draft(number, f"TX{number}") for number in range(bag * 3, bag * 3 + 1 + bag % 3)]
    for bag in range(BAGS)
]
EXPECTED = [[made.id for made in bag] for bag in DRAFTS]

# WAL shares memory between connections, which is no file of the recording file system; so there is
# one connection, and it shares nothing.
USE_WAL = {"PRAGMA journal_mode=DELETE": "PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=WAL"}


@dataclass(frozen=True)
class Step:
    """What the ledger did: open, close, send a statement, or acknowledge a bag."""

    what: str
    statement: str = ""


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> list[Step]:
    """All that a ledger does while bags of one to three are recorded."""
    made: list[Step] = []
    connect = sqlite3.connect

    class Watched(sqlite3.Connection):
        def close(self) -> None:
            super().close()
            made.append(Step("close"))

    def watched(*arguments: Any, **options: Any) -> sqlite3.Connection:
        made.append(Step("open"))
        connection: sqlite3.Connection = connect(*arguments, **options, factory=Watched)
        connection.set_trace_callback(lambda statement: made.append(Step("send", statement)))
        return connection

    folder = tmp_path_factory.mktemp("recorded")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sqlite3, "connect", watched)
        with Ledger.open(f"sqlite:///{folder}/ledger.db") as ledger:
            for bag in DRAFTS:
                ledger.append(bag)
                made.append(Step("acknowledge"))
    # A trigger is traced as the statement that set it off, right after that statement.
    return [
        step
        for before, step in pairwise([Step(""), *made])
        if step != before or not step.statement.startswith("INSERT")
    ]


def play(steps: list[Step], folder: Path, changed: dict[str, str], stay_open: bool) -> Recorder:
    """Do the same on the recording file system, with some statements changed."""
    recorder = Recorder(f"powercut-{folder.name}")
    connection = None
    for step in steps:
        if step.what == "open" and connection is None:
            connection = apsw.Connection(str(folder / "ledger.db"), vfs=recorder.name)
        elif step.what == "close" and connection is not None and not stay_open:
            connection.close()
            connection = None
        elif step.what == "acknowledge":
            recorder.mark()
        elif step.what == "send" and connection is not None:
            connection.execute(changed.get(step.statement, step.statement)).fetchall()
    if connection is not None:
        connection.close()
    return recorder


def outcome(disk: Disk, folder: Path) -> str:
    """Open what the power cut left, as the next start would: "ok", "lost" or "damaged"."""
    for name, content in disk.files:
        (folder / name).write_bytes(content)
    connection = sqlite3.connect(folder / "ledger.db")
    try:
        connection.execute("PRAGMA synchronous=OFF")
        made = connection.execute("SELECT 1 FROM sqlite_schema WHERE name = 'entry'").fetchone()
        rows = connection.execute("SELECT * FROM entry ORDER BY seq").fetchall() if made else []
        whole = connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    except sqlite3.DatabaseError:
        return "damaged"
    finally:
        connection.close()
        for path in folder.iterdir():
            path.unlink()
    found = [entries.stored(*row) for row in rows]
    if not whole or entries.verify(found):
        return "damaged"
    ids = [entry.id for entry in found]
    acknowledged = [id for bag in EXPECTED[: disk.marks] for id in bag]
    with_the_next = [id for bag in EXPECTED[: disk.marks + 1] for id in bag]
    return "ok" if ids in (acknowledged, with_the_next) else "lost"


def outcomes(
    steps: list[Step], folder: Path, changed: dict[str, str] | None = None, stay_open: bool = False
) -> Iterator[str]:
    """Give the outcome of every power cut there could have been."""
    played, opened = folder / "played", folder / "opened"
    played.mkdir()
    opened.mkdir()
    recorder = play(steps, played, changed or {}, stay_open)
    return (outcome(disk, opened) for disk in disks(recorder.notes))


def test_the_recorded_steps_are_the_ledgers_own(steps: list[Step]) -> None:
    sent = [step.statement for step in steps]
    assert sent.count("PRAGMA journal_mode=DELETE") == steps.count(Step("open"))
    assert sent.count("PRAGMA synchronous=EXTRA") == steps.count(Step("open"))
    assert sent.count("BEGIN IMMEDIATE") == sent.count("COMMIT") == 1 + BAGS
    assert sum("INSERT INTO entry" in statement for statement in sent) == sum(map(len, EXPECTED))


def test_no_power_cut_loses_or_damages_an_acknowledged_entry(
    steps: list[Step], tmp_path: Path
) -> None:
    found = Counter(outcomes(steps, tmp_path))
    assert found.keys() == {"ok"}
    assert found["ok"] > 2000


@pytest.mark.parametrize(
    ("journal", "synchronous", "seen"),
    [
        ("DELETE", "FULL", "lost"),  # SQLite's own default
        ("DELETE", "NORMAL", "lost"),
        ("DELETE", "OFF", "damaged"),
        ("WAL", "NORMAL", "lost"),
    ],
)
def test_the_same_harness_sees_what_weaker_settings_lose(
    steps: list[Step], tmp_path: Path, journal: str, synchronous: str, seen: str
) -> None:
    changed = {"PRAGMA synchronous=EXTRA": f"PRAGMA synchronous={synchronous}"}
    if journal == "WAL":
        changed |= USE_WAL
    assert seen in outcomes(steps, tmp_path, changed, stay_open=journal == "WAL")


def test_the_ledger_goes_on_after_a_power_cut(steps: list[Step], tmp_path: Path) -> None:
    (tmp_path / "played").mkdir()
    recorder = play(steps, tmp_path / "played", {}, stay_open=False)
    for number, disk in enumerate(list(disks(recorder.notes))[::401]):
        folder = tmp_path / str(number)
        folder.mkdir()
        for name, content in disk.files:
            (folder / name).write_bytes(content)
        with Ledger.open(f"sqlite:///{folder}/ledger.db") as ledger:
            for bag in DRAFTS:
                ledger.append(bag)
            assert ledger.verify() == []
            assert ledger.head()[0] == sum(map(len, EXPECTED))
        shutil.rmtree(folder)
