"""Several people at one ledger: nobody overwrites, nothing is lost, everybody is told."""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from kitprep.ledger import entries
from kitprep.ledger.entries import Draft, Entry
from kitprep.ledger.errors import Stale, Unusable
from kitprep.ledger.store import Ledger

from .conftest import NewUrl
from .making import draft, made_id
from .processes import Child

WRITERS = 6
ATTEMPTS = 30
ITEMS = 4


def test_of_two_who_take_the_same_item_one_wins_and_the_other_is_told(url: str) -> None:
    with Ledger.open(url) as ledger:
        ledger.append([draft(1)])

    def take(number: int) -> Callable[[Callable[[Any], None]], None]:
        def work(send: Callable[[Any], None]) -> None:
            with Ledger.open(url) as ledger:
                try:
                    send(ledger.append([draft(number, seen=1, to=f"unit {number}")])[0])
                except Stale as stale:
                    send(("told", stale.newest))

        return work

    said = [answer for child in [Child(take(2)), Child(take(3))] for answer in child.rest()]
    (winner,) = [each for each in said if isinstance(each, Entry)]
    assert said.count(("told", winner)) == 1
    assert winner.body["to"] in ("unit 2", "unit 3")


def test_many_writers_leave_no_gap_and_lose_no_entry(url: str) -> None:
    Ledger.open(url).close()
    writers = [Child(_busy(url, writer)) for writer in range(WRITERS)]
    acknowledged = [entry for writer in writers for entry in writer.rest()]
    with Ledger.open(url) as ledger:
        recorded = ledger.entries("foxes/day-01")
        assert ledger.verify() == []
    assert [entry.seq for entry in recorded] == list(range(1, len(recorded) + 1))
    assert sorted(acknowledged, key=lambda entry: entry.seq) == list(recorded)
    assert len(recorded) >= ATTEMPTS


def _busy(url: str, writer: int) -> Callable[[Callable[[Any], None]], None]:
    """Tick items that others tick too, one in ten sent twice, some seen too long ago."""

    def work(send: Callable[[Any], None]) -> None:
        rng = random.Random(writer)
        with Ledger.open(url) as ledger:
            for attempt in range(ATTEMPTS):
                item = f"TX{rng.randrange(ITEMS)}"
                seen = sum(entry.item == item for entry in ledger.entries("foxes/day-01"))
                made = draft(writer * 1000 + attempt, item, max(0, seen - (rng.random() < 0.1)))
                try:
                    (entry,) = ledger.append([made])
                except Stale:
                    continue
                send(entry)
                if rng.random() < 0.1:
                    assert ledger.append([made]) == (entry,)

    return work


def test_writers_who_open_a_new_ledger_at_once_make_one(url: str) -> None:
    def work(number: int) -> Callable[[Callable[[Any], None]], None]:
        def open_and_tick(send: Callable[[Any], None]) -> None:
            with Ledger.open(url) as ledger:
                send(ledger.append([draft(number, f"TX{number}")])[0].seq)

        return open_and_tick

    writers = [Child(work(number)) for number in range(1, 9)]
    assert sorted(seq for writer in writers for seq in writer.rest()) == list(range(1, 9))


def test_a_writer_waits_for_another_instead_of_failing(file: Path, file_url: str) -> None:
    def hold(send: Callable[[Any], None]) -> None:
        holder = sqlite3.connect(file, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        send("holding")
        time.sleep(0.5)
        send(time.monotonic())
        holder.execute("COMMIT")

    child = Child(hold)
    child.receive()
    with Ledger.open(file_url) as ledger:
        ledger.append([draft(1)])
    recorded = time.monotonic()
    (released,) = child.rest()
    assert recorded > released


def intrude(server_url: str, ledger: Ledger, made: list[Draft]) -> None:
    """Have a program that does not queue write each draft just before the ledger's own insert."""
    other = sa.create_engine(server_url)

    @sa.event.listens_for(ledger._engine, "before_cursor_execute")
    def _(_connection: sa.Connection, _cursor: Any, statement: str, *_rest: Any) -> None:
        if statement.startswith("INSERT INTO entry") and made:
            with Ledger.open(server_url) as honest:
                seq, hash = honest.head()
                taken = made.pop(0)
                entry = entries.record(taken, taken.seen + 1, seq + 1, hash)
            row = (
                entry.seq,
                entry.id,
                entry.job,
                entry.item,
                entry.item_seq,
                entry.text,
                entry.hash,
            )
            with other.begin() as connection:
                values = "INSERT INTO entry VALUES (%s, %s, %s, %s, %s, %s, %s)"
                connection.exec_driver_sql(values, row)


def test_a_number_taken_by_a_program_that_does_not_queue_is_passed_over(
    new_server_url: NewUrl,
) -> None:
    url = new_server_url()
    with Ledger.open(url) as ledger:
        intrude(url, ledger, [draft(100, "TX09"), draft(101, "TX08")])
        (entry,) = ledger.append([draft(1, "TX01")])
        assert (entry.seq, entry.id) == (3, made_id(1))
        assert ledger.verify() == []


def test_an_item_taken_by_a_program_that_does_not_queue_makes_the_tick_stale(
    new_server_url: NewUrl,
) -> None:
    url = new_server_url()
    with Ledger.open(url) as ledger:
        intrude(url, ledger, [draft(100, "TX01", to="camera B")])
        with pytest.raises(Stale) as caught:
            ledger.append([draft(1, "TX01")])
        assert caught.value.newest is not None
        assert caught.value.newest.body["to"] == "camera B"


def test_a_writer_does_not_try_for_ever(new_server_url: NewUrl) -> None:
    url = new_server_url()
    with Ledger.open(url) as ledger:
        intrude(url, ledger, [draft(100 + number, f"RX{number}") for number in range(50)])
        with pytest.raises(Unusable, match="by others again and again"):
            ledger.append([draft(1, "TX01")])
        assert ledger.verify() == []
