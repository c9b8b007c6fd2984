"""Killed, cut off or crashed at any instant: what was acknowledged is there, once.

KITPREP_TEST_KILLS is how many times more than by default is killed and crashed.
"""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable
from typing import Any

import pytest
import sqlalchemy as sa

from kitprep.ledger.errors import Unusable
from kitprep.ledger.store import Ledger

from .conftest import NewUrl
from .local_postgres import LocalPostgres, binaries
from .making import draft, made_id
from .processes import Child

TIMES = int(os.environ.get("KITPREP_TEST_KILLS", "1"))
BAG = 3


def tick_on(url: str, first: int) -> Callable[[Callable[[Any], None]], None]:
    """Record bags of three, for ever, and send each one's number once it is acknowledged."""

    def work(send: Callable[[Any], None]) -> None:
        with Ledger.open(url) as ledger:
            bag = first
            while True:
                ledger.append([draft(bag * BAG + n, f"{bag}.{n}") for n in range(BAG)])
                send(bag)
                bag += 1

    return work


def bags(ledger: Ledger) -> list[int]:
    """The bags recorded; each must be there whole."""
    found = [entry.item.split(".") for entry in ledger.entries("foxes/day-01")]
    whole = [int(bag) for bag, n in found if n == "0"]
    assert found == [[str(bag), str(n)] for bag in whole for n in range(BAG)]
    return whole


def test_a_kill_loses_nothing_acknowledged_and_leaves_at_most_one_bag_more(url: str) -> None:
    kills = (24 if url.startswith("sqlite") else 12) * TIMES
    rng = random.Random(1)
    acknowledged: list[int] = []
    unacknowledged = 0
    for kill in range(kills):
        first = max(acknowledged, default=0) + unacknowledged + 1
        writer = Child(tick_on(url, first))
        if kill % 2:  # every other one dies at work, the rest perhaps before it has begun
            acknowledged.append(writer.receive())
        time.sleep(rng.uniform(0, 0.05))
        acknowledged += writer.kill()
        with Ledger.open(url) as ledger:
            recorded = bags(ledger)
            assert ledger.verify() == []  # with SQLite's own integrity check
        extra = set(recorded) - set(acknowledged)
        assert set(acknowledged) <= set(recorded)
        assert len(extra) <= 1
        acknowledged += extra
    assert len(acknowledged) >= kills / 2


def test_a_killed_writers_bag_sent_again_is_recorded_once(url: str) -> None:
    rng = random.Random(2)
    for first in range(1, 200, 20):
        writer = Child(tick_on(url, first))
        writer.receive()
        time.sleep(rng.uniform(0, 0.01))
        last = max([first, *writer.kill()])
        with Ledger.open(url) as ledger:
            for bag in (last, last + 1):  # the second may or may not have been recorded
                ledger.append([draft(bag * BAG + n, f"{bag}.{n}") for n in range(BAG)])
            assert bags(ledger).count(last + 1) == 1


class Lost:
    """Breaks a ledger's connection in COMMIT, before or after the server has done it."""

    def __init__(self, ledger: Ledger, when: list[str]) -> None:
        self.when = when
        self._commit = ledger._engine.dialect.do_commit
        ledger._engine.dialect.do_commit = self  # type: ignore[method-assign,assignment]

    def __call__(self, connection: Any) -> None:
        import psycopg

        when = self.when.pop(0) if self.when else "never"
        if when != "before":
            self._commit(connection)
        if when != "never":
            connection.dbapi_connection.close()
            raise psycopg.OperationalError("the connection was lost")


@pytest.mark.parametrize("when", [["after"], ["before"], ["before", "after"], ["after"] * 3])
def test_a_connection_lost_in_commit_is_healed_and_recorded_once(
    new_server_url: NewUrl, when: list[str]
) -> None:
    with Ledger.open(new_server_url()) as ledger:
        Lost(ledger, when)
        (entry,) = ledger.append([draft(1)])
        assert (entry.seq, entry.id) == (1, made_id(1))
        assert ledger.entries("foxes/day-01") == (entry,)


def test_a_network_that_stays_away_is_said_and_the_tick_can_be_sent_again(
    new_server_url: NewUrl,
) -> None:
    with Ledger.open(new_server_url(), wait_s=0.5) as ledger:
        lost = Lost(ledger, ["after"] * 100)
        with pytest.raises(Unusable, match="cannot be reached"):
            ledger.append([draft(1)])
        lost.when.clear()
        ledger.append([draft(1)])
        assert ledger.head()[0] == 1


def test_a_connection_that_died_while_nobody_used_it_is_not_noticed(
    new_server_url: NewUrl, server_url: str
) -> None:
    with Ledger.open(new_server_url()) as ledger:
        with ledger._engine.connect() as connection:
            pid = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar()
        engine = sa.create_engine(server_url)
        with engine.connect() as connection:
            connection.exec_driver_sql(f"SELECT pg_terminate_backend({pid}, 5000)")
        engine.dispose()
        assert ledger.append([draft(1)])[0].seq == 1


@pytest.mark.usefixtures("server_url")
@pytest.mark.skipif(binaries() is None, reason="a server to crash needs PostgreSQL's programs here")
def test_a_crash_of_the_server_loses_nothing_acknowledged() -> None:
    with LocalPostgres() as server:
        acknowledged: list[int] = []
        for crash in range(2 * TIMES):
            writers = [Child(tick_on(server.url, 1000 * (3 * crash + n) + 1)) for n in range(3)]
            acknowledged += [writer.receive() for writer in writers]
            time.sleep(0.2)
            server.crash()
            said = [each for writer in writers for each in writer.kill()]
            acknowledged += [bag for bag in said if not isinstance(bag, Unusable)]
            server.start()
            with Ledger.open(server.url) as ledger:
                assert ledger.verify() == []
                extra = set(bags_in_any_order(ledger)) - set(acknowledged)
                assert set(acknowledged) <= set(bags_in_any_order(ledger))
            assert len(extra) <= 3
            acknowledged += extra


@pytest.mark.usefixtures("server_url")
@pytest.mark.skipif(binaries() is None, reason="a server to crash needs PostgreSQL's programs here")
def test_a_server_that_comes_back_soon_is_waited_for() -> None:
    with LocalPostgres() as server:

        def work(send: Callable[[Any], None]) -> None:
            with Ledger.open(server.url, wait_s=60) as ledger:  # it may be slow to come back
                send("ready")
                for number in range(1, 100_000):
                    send(ledger.append([draft(number, str(number))])[0].seq)

        child = Child(work)
        assert child.receive() == "ready"
        assert child.receive() == 1
        server.crash()
        server.start()
        with Ledger.open(server.url) as ledger:
            before = ledger.head()[0]
        said = [child.receive() for _ in range(before + 5)]
        child.kill()
        assert said == list(range(2, before + 7))


def bags_in_any_order(ledger: Ledger) -> list[int]:
    items = [entry.item.split(".") for entry in ledger.entries("foxes/day-01")]
    assert all(items.count([bag, str(n)]) == 1 for bag, _ in items for n in range(BAG))
    return [int(bag) for bag, n in items if n == "0"]
