"""The ledger's speed at 10 000 and at 1 000 000 events. A script, never a timed test.

    python tests/benchmarks/bench_ledger.py [--quick]

Prints a Markdown table; PostgreSQL takes part where KITPREP_TEST_POSTGRES names a database (see
tests/ledger/local_postgres.py). Each job has 400 events, 120 of them in its kit's own stream. With
12 jobs a kit, one job and its kit are the same in the small ledger and in the large one, and so
must be what it takes to open them; a third ledger is all of one kit, with its long past. A bare
INSERT puts the same row into the same table and indexes under the same promise that it is on disk,
over a connection that stays open, with nothing read, proven or chained. Figures are medians, with
the least and the most of the repeats' medians.
"""

import argparse
import os
import sqlite3
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from itertools import islice
from pathlib import Path

import sqlalchemy as sa

from kitprep.ledger import entries, kit_stream, place
from kitprep.ledger.claims import KitState, fold_kit
from kitprep.ledger.entries import Draft, Entry
from kitprep.ledger.events import Event, fold
from kitprep.ledger.kit_stream import KitStream
from kitprep.ledger.store import Ledger

REPEATS = 5
APPENDS = 100
"""In each repeat, at each size."""

UNITS = [f"TX{n:02d}" for n in range(1, 61)]
PER_JOB = 400
OF_KIT = 2 * len(UNITS)

Shape = tuple[str, int, int]
"""What a ledger is called, how many events it has, and how many jobs each of its kits has."""

SHAPES: tuple[Shape, ...] = (
    ("10 000", 10_000, 12),
    ("1 000 000", 1_000_000, 12),
    ("1 000 000, one kit", 1_000_000, 1_000_000),
)
QUICK: tuple[Shape, ...] = (
    ("10 000", 10_000, 12),
    ("40 000", 40_000, 12),
    ("40 000, one kit", 40_000, 1_000_000),
)


def job_of(number: int, jobs_of_a_kit: int) -> str:
    """The name of the ledger's so-and-so-many-eth job."""
    day = date(2027, 3, 1) + timedelta(days=number % jobs_of_a_kit)
    return f"kit-{number // jobs_of_a_kit:04d}/{day.isoformat()}"


def events(jobs_of_a_kit: int) -> Iterator[tuple[str, str, Event]]:
    """Kit after kit, job after job: stream, item, event; a claim and a release for each unit."""
    number = 0
    while True:
        job = job_of(number, jobs_of_a_kit)
        kit = job.partition("/")[0]
        number += 1
        for n in range(PER_JOB - OF_KIT):
            item = UNITS[n % len(UNITS)]
            if n % 2:
                yield job, item, made("checked", {"check": "power", "value": "yes"}, item)
            else:
                yield job, item, made("packed", {"qty": 1}, item)
            if n < len(UNITS):
                told = {"job": job, "day": job[-10:], "on": 450, "off": 1130}
                yield kit, item, made("claimed", told, item)
        for item in UNITS:
            yield kit, item, made("released", {"job": job, "outcome": "back", "note": ""}, item)


def made(kind: str, facts: dict[str, object], item: str) -> Event:
    return Event(kind, item, "2027-03-14T18:00:00.000Z", "Ines Brandt", "scan", facts)


class Chained:
    """The first so many events, as the entries that they become, with the kits' summaries."""

    def __init__(self) -> None:
        self.seq, self.hash = 0, entries.GENESIS
        self.newest: dict[tuple[str, str], int] = {}
        self.kits: dict[str, tuple[KitState, list[Entry]]] = {}

    def entries(self, size: int, jobs_of_a_kit: int) -> Iterator[Entry]:
        for job, item, event in islice(events(jobs_of_a_kit), size):
            entry = self.next(job, item, event)
            yield entry
            if "/" not in job:
                state, since = self.kits.get(job, (KitState(), []))
                since.append(entry)
                if len(since) == kit_stream.EVERY:
                    state, since = fold_kit(since, state), []
                    stream, name = kit_stream.where(job)
                    facts = kit_stream.summary(state)
                    yield self.next(stream, name, made("summed up", facts, name))
                self.kits[job] = state, since

    def next(self, job: str, item: str, event: Event) -> Entry:
        self.newest[job, item] = self.newest.get((job, item), 0) + 1
        self.seq += 1
        draft = Draft(new_id(), job, item, 0, event.body)
        entry = entries.record(draft, self.newest[job, item], self.seq, self.hash)
        self.hash = entry.hash
        return entry


def new_id() -> str:
    return entries.new_id(time.time_ns() // 1_000_000, os.urandom(10))


# What is measured


def seconds(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def opening(url: str, job: str) -> None:
    """What a program does before it can show a job: all of the job and of its kit, proven."""
    with Ledger.open(url) as ledger:
        fold(ledger.entries(job))
        KitStream(ledger, job.partition("/")[0])


class Appends:
    """Appends to a ledger and bare INSERTs into another of the same kind, turn by turn."""

    def __init__(self, url: str, bare: Callable[[tuple[object, ...]], None]) -> None:
        self.url = url
        self.ledger = Ledger.open(url)
        self.bare = bare
        self.seen = 0

    def one(self) -> tuple[float, float]:
        body = made("packed", {"qty": 1}, "TX01").body
        draft = Draft(new_id(), "bench/2027-03-14", "TX01", self.seen, body)
        self.seen += 1
        appended = seconds(lambda: self.ledger.append([draft]))
        entry = entries.record(draft, self.seen, self.seen, entries.GENESIS)
        row = (entry.seq, entry.id, entry.job, entry.item, entry.item_seq, entry.text, entry.hash)
        return appended, seconds(lambda: self.bare(row))

    def repeat(self) -> tuple[float, float]:
        pairs = [self.one() for _ in range(APPENDS)]
        return statistics.median(a for a, _ in pairs), statistics.median(b for _, b in pairs)


class Files:
    """Ledgers in files of a folder that is gone afterwards."""

    name = "SQLite"

    def __init__(self, keep: ExitStack) -> None:
        self.folder = Path(keep.enter_context(tempfile.TemporaryDirectory()))

    def new(self) -> str:
        return f"sqlite:///{self.folder}/{uuid.uuid4().hex}.db"

    def bare(self, url: str) -> Callable[[tuple[object, ...]], None]:
        Ledger.open(url).close()
        connection: sqlite3.Connection = place.connect_file(Path(url[10:]), 5.0)
        connection.isolation_level = None

        def insert(row: tuple[object, ...]) -> None:
            connection.execute("BEGIN IMMEDIATE")
            connection.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)", row)
            connection.execute("COMMIT")

        return insert


class Schemas:
    """Ledgers in schemas of a database, which are gone afterwards."""

    name = "PostgreSQL"

    def __init__(self, keep: ExitStack, server: str) -> None:
        self.server = sa.make_url(server)
        self.engine = sa.create_engine(server, isolation_level="AUTOCOMMIT")
        self.made: list[str] = []
        keep.callback(self.drop)

    def new(self) -> str:
        self.made.append(f"bench_{uuid.uuid4().hex}")
        with self.engine.connect() as connection:
            connection.exec_driver_sql(f"CREATE SCHEMA {self.made[-1]}")
        query = {"options": f"-csearch_path={self.made[-1]}"}
        return self.server.update_query_dict(query).render_as_string(False)

    def bare(self, url: str) -> Callable[[tuple[object, ...]], None]:
        import psycopg

        Ledger.open(url).close()
        plain = url.replace("+psycopg", "")
        connection = psycopg.connect(plain, autocommit=True)

        def insert(row: tuple[object, ...]) -> None:
            connection.execute("INSERT INTO entry VALUES (%s, %s, %s, %s, %s, %s, %s)", row)

        return insert

    def drop(self) -> None:
        with self.engine.connect() as connection:
            for schema in self.made:
                connection.exec_driver_sql(f"DROP SCHEMA {schema} CASCADE")
        self.engine.dispose()


# The table


def figure(found: Sequence[float], unit: float, digits: int) -> str:
    low, middle, high = min(found), statistics.median(found), max(found)
    return (
        f"{middle * unit:,.{digits}f} ({low * unit:,.{digits}f}–{high * unit:,.{digits}f})".replace(
            ",", " "
        )
    )


def in_memory(size: int) -> tuple[str, str]:
    """Folding so many events of one job, with nothing read: whole, and for each event."""
    few = [e for e in Chained().entries(PER_JOB, 12) if "/" in e.job]
    job = [replace(few[n % len(few)], seq=n + 1, item_seq=n + 1) for n in range(size)]
    found = [seconds(lambda: fold(job)) for _ in range(REPEATS)]
    return figure(found, 1, 2), figure([each / size for each in found], 1e6, 1)


def rows_for(where: Files | Schemas, shapes: tuple[Shape, ...]) -> Iterator[tuple[str, ...]]:
    appends: dict[Shape, Appends] = {}
    for shape in shapes:
        name, size, jobs_of_a_kit = shape
        url = where.new()
        lines = entries.to_lines(Chained().entries(size, jobs_of_a_kit))
        with Ledger.open(url) as ledger:
            began = time.perf_counter()
            ledger.restore(lines)
            took = time.perf_counter() - began
        print(f"{where.name}: {name} restored in {took:.0f} s", file=sys.stderr)
        yield where.name, name, "restore an export, s", f"{took:.0f}"
        appends[shape] = Appends(url, where.bare(where.new()))
    opened: dict[Shape, list[float]] = {shape: [] for shape in shapes}
    pairs: dict[Shape, list[tuple[float, float]]] = {shape: [] for shape in shapes}
    for _ in range(REPEATS):  # turn by turn, so that the machine's other work falls on all alike
        for shape, (_, size, jobs_of_a_kit) in zip(shapes, shapes, strict=True):
            # A job of a whole kit in the midst of the ledger; where all is one kit, its last.
            at = size // PER_JOB - 1
            if jobs_of_a_kit < size:
                at = at // 2 // jobs_of_a_kit * jobs_of_a_kit + jobs_of_a_kit // 2
            job, url = job_of(at, jobs_of_a_kit), appends[shape].url
            times = [seconds(partial(opening, url, job)) for _ in range(3)]
            opened[shape].append(statistics.median(times))
            pairs[shape].append(appends[shape].repeat())
    for shape in shapes:
        ours, theirs = zip(*pairs[shape], strict=True)
        ratio = [a / b for a, b in pairs[shape]]
        yield where.name, shape[0], "open one job, ms", figure(opened[shape], 1000, 1)
        yield where.name, shape[0], "append one event, ms", figure(ours, 1000, 2)
        yield where.name, shape[0], "bare INSERT, ms", figure(theirs, 1000, 2)
        yield where.name, shape[0], "append / bare INSERT", figure(ratio, 1, 2)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="10 000 and 40 000 events")
    shapes = QUICK if parser.parse_args().quick else SHAPES
    server = os.environ.get("KITPREP_TEST_POSTGRES")
    began = os.getloadavg()[0]
    rows: list[tuple[str, ...]] = []
    with ExitStack() as keep:
        places: list[Files | Schemas] = [Files(keep)]
        if server:
            places.append(Schemas(keep, server))
        for where in places:
            rows += rows_for(where, shapes)
    for name, size, _ in shapes[:2]:
        whole, each = in_memory(size)
        rows.append(("in memory", name, "fold all events of one job, s", whole))
        rows.append(("in memory", name, "fold, µs an event", each))
    print("| where | events in the ledger | what | median (least–most) |")
    print("| --- | ---: | --- | ---: |")
    for row in rows:
        print(f"| {' | '.join(row)} |")
    print(f"\n{REPEATS} repeats; {os.cpu_count()} cores; load {began:.1f} before", end="")
    print(f" and {os.getloadavg()[0]:.1f} after.")


if __name__ == "__main__":
    main()
