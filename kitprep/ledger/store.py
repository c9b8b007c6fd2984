"""The ledger in a database: entries are added and read, never altered or removed.

The same code keeps it in a SQLite file (for one person) and in PostgreSQL (for several). What an
entry is lies in `entries`, what its body means in another layer. Only here is SQLAlchemy imported.

An entry returned by `append` is on disk: neither a kill nor a power cut nor a lost network takes
it back. The writer's ids make every append safe to send again.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any, Self

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError, IntegrityError, SQLAlchemyError

from kitprep.ledger import entries, place
from kitprep.ledger.entries import GENESIS, Draft, Entry, Problem
from kitprep.ledger.errors import DAMAGED, Refused, Stale, Unusable, shown, unreachable, unusable

SCHEMA_VERSION = 1
_TRIES = 6
_PAGE = 500

_METADATA = sa.MetaData()
_ENTRY = sa.Table(
    "entry",
    _METADATA,
    sa.Column("seq", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("id", sa.String(36), nullable=False, unique=True),
    sa.Column("job", sa.String, nullable=False),
    sa.Column("item", sa.String, nullable=False),
    sa.Column("item_seq", sa.BigInteger, nullable=False),
    sa.Column("text", sa.Text, nullable=False),
    sa.Column("hash", sa.String(64), nullable=False),
    sa.UniqueConstraint("job", "item", "item_seq"),
    sa.Index("entry_by_job", "job", "seq"),
)
_SCHEMA = sa.Table(
    "kitprep_ledger",
    _METADATA,
    sa.Column("one", sa.Integer, sa.CheckConstraint("one = 1"), primary_key=True),
    sa.Column("version", sa.Integer, nullable=False),
)


class Ledger:
    """A ledger, made by `open`. Several threads may share it; close it, or use it with `with`.

    Every method raises Unusable where the storage fails.
    """

    def __init__(self, engine: sa.Engine, at: str, wait_s: float) -> None:
        self._engine = engine
        self._at = at
        self._wait_s = wait_s

    @classmethod
    def open(cls, url: str, wait_s: float = 5.0) -> Self:
        """Open the ledger at a database URL, making it where there is none.

        `wait_s` is how long to wait for another writer or for a server to answer. Raises Unusable
        also for a URL that names no such place, a database that holds something else, and a
        ledger written by a newer kitprep.
        """
        parsed = _parse(url)
        at = _where(parsed)
        with _said_plainly(at, wait_s):
            ledger = cls(_engine(parsed, at, wait_s), at, wait_s)
            try:
                ledger._prepare()
            except BaseException:
                ledger.close()
                raise
        return ledger

    def close(self) -> None:
        """Let go of the database. A closed ledger must not be used again."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exception: object) -> None:
        self.close()

    def append(self, drafts: Sequence[Draft]) -> tuple[Entry, ...]:
        """Record all the drafts, or none, and return their entries in the same order.

        A draft whose id is recorded already gives the entry it became, so after Unusable, or after
        a kill, the same drafts can be sent again. Each item's draft must have `seen` its newest
        entry; several for one item in one call follow each other, having seen either that or each
        the one before it. Raises Stale where someone else was first, and Refused where an id is
        recorded with another content or a draft can never be recorded.
        """
        for draft in drafts:
            what = entries.fault(draft)
            if what is not None:
                raise Refused(f"{shown(draft.item)[:80]} cannot be recorded: {what}")
        tried, until = 0, time.monotonic() + self._wait_s
        with _said_plainly(self._at, self._wait_s):
            while True:
                tried += 1
                try:
                    return self._append(drafts)
                except IntegrityError:
                    # Which constraint was hit does not matter: looking again tells by the data.
                    if tried == _TRIES:
                        raise
                except DBAPIError as error:
                    # Whether the commit arrived is unknown, and does not matter: the ids will tell.
                    lost = error.connection_invalidated or unreachable(error.orig)
                    if not lost or time.monotonic() > until:
                        raise
                    time.sleep(min(1.0, 0.05 * 2**tried))

    def entries(self, job: str, after: int = 0) -> tuple[Entry, ...]:
        """Return a job's entries with a `seq` above `after`, in order. Costs by job, not by ledger.

        Raises Unusable where one of them is not what was recorded.
        """
        query = sa.select(_ENTRY).where(_ENTRY.c.job == job, _ENTRY.c.seq > after)
        with _said_plainly(self._at, self._wait_s), self._engine.connect() as connection:
            return self._read(connection, query.order_by(_ENTRY.c.seq))

    def newest(self, job: str, item: str, until: int | None = None) -> Entry | None:
        """Return an item's newest entry in a job, of those up to a `seq`; None where there is none.

        Raises Unusable where it is not what was recorded.
        """
        with _said_plainly(self._at, self._wait_s), self._engine.connect() as connection:
            return self._newest(connection, job, item, until)

    def jobs(self) -> tuple[str, ...]:
        """Return the names of all jobs, sorted."""
        with _said_plainly(self._at, self._wait_s), self._engine.connect() as connection:
            return tuple(sorted(connection.scalars(sa.select(_ENTRY.c.job).distinct())))

    def head(self) -> tuple[int, str]:
        """Return the newest entry's `seq` and hash; 0 and GENESIS for an empty ledger."""
        with _said_plainly(self._at, self._wait_s), self._engine.connect() as connection:
            return self._head(connection)

    def verify(self, head_hash: str | None = None) -> list[Problem]:
        """Check everything; an empty list means that all is as it was recorded.

        With a `head_hash` noted earlier, entries cut off the end are found too.
        """
        problems = entries.verify(self._all(), head_hash)
        if self._engine.dialect.name != "sqlite":
            return problems
        with _said_plainly(self._at, self._wait_s), self._engine.connect() as connection:
            said = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
        return [Problem(0, shown(line)) for line in said if line != "ok"] + problems

    def export(self) -> Iterator[str]:
        """Give the whole ledger as lines of JSON, the same bytes from either database.

        Nothing is locked while the lines are taken. Their last tells `restore` that none is gone.
        """
        return entries.to_lines(self._all())

    def restore(self, lines: Iterable[str]) -> int:
        """Fill this ledger, which must be empty, from an export; return the number of entries.

        All or nothing: raises Refused where the ledger is not empty, or where a line is damaged,
        altered, missing or out of order.
        """
        with _said_plainly(self._at, self._wait_s), self._transaction(place.WRITE) as connection:
            if self._head(connection) != (0, GENESIS):
                raise Refused("this ledger has entries; restore into a new one")
            proven = _proven(lines)
            while page := list(islice(proven, _PAGE)):
                _insert(connection, page)
            return self._head(connection)[0]

    def _append(self, drafts: Sequence[Draft]) -> tuple[Entry, ...]:
        if not drafts:
            return ()
        with self._transaction(place.WRITE) as connection:
            ids = sa.select(_ENTRY).where(_ENTRY.c.id.in_([draft.id for draft in drafts]))
            known = {entry.id: entry for entry in self._read(connection, ids)}
            newest = _newest_of_all(connection, drafts)
            stored = dict(newest)
            seq, hash = self._head(connection)
            fresh: list[Entry] = []
            for draft in drafts:
                # The id comes before staleness, or a success sent again would look like a conflict.
                if draft.id in known:
                    if not entries.same(draft, known[draft.id]):
                        raise Refused(f"the id {draft.id} is recorded with another content")
                    continue
                item = draft.job, draft.item
                if draft.seen not in (stored.get(item, 0), newest.get(item, 0)):
                    raise Stale(draft, self._newest(connection, draft.job, draft.item))
                newest[item] = newest.get(item, 0) + 1
                entry = entries.record(draft, newest[item], seq + 1, hash)
                seq, hash = entry.seq, entry.hash
                known[draft.id] = entry
                fresh.append(entry)
            if fresh:
                _insert(connection, fresh)
        return tuple(known[draft.id] for draft in drafts)

    def _newest(
        self, connection: sa.Connection, job: str, item: str, until: int | None = None
    ) -> Entry | None:
        query = sa.select(_ENTRY).where(_ENTRY.c.job == job, _ENTRY.c.item == item)
        if until is not None:
            query = query.where(_ENTRY.c.seq <= until)
        found = self._read(connection, query.order_by(_ENTRY.c.item_seq.desc()).limit(1))
        return found[0] if found else None

    def _head(self, connection: sa.Connection) -> tuple[int, str]:
        found = self._read(connection, sa.select(_ENTRY).order_by(_ENTRY.c.seq.desc()).limit(1))
        return (found[0].seq, found[0].hash) if found else (0, GENESIS)

    def _read(self, connection: sa.Connection, query: sa.Select[Any]) -> tuple[Entry, ...]:
        found = tuple(entries.stored(*row) for row in connection.execute(query))
        for entry in found:
            if not entries.is_sound(entry):
                at = f"entry {shown(entry.seq)} of the ledger at {shown(self._at)}"
                raise Unusable(f"{at} {DAMAGED}")
        return found

    def _all(self) -> Iterator[Entry]:
        # Entries never change, so a page at a time is one consistent reading, and locks nobody.
        after = 0
        while True:
            query = sa.select(_ENTRY).where(_ENTRY.c.seq > after).order_by(_ENTRY.c.seq)
            with _said_plainly(self._at, self._wait_s), self._engine.connect() as connection:
                page = [entries.stored(*row) for row in connection.execute(query.limit(_PAGE))]
            if not page:
                return
            yield from page
            after = page[-1].seq

    @contextmanager
    def _transaction(self, lock: dict[str, str]) -> Iterator[sa.Connection]:
        """Write in one transaction, with every other writer waiting until it ends."""
        with self._engine.connect() as connection:
            connection.execution_options(lock=lock[self._engine.dialect.name])
            with connection.begin():
                yield connection

    def _prepare(self) -> None:
        if _SCHEMA.name not in sa.inspect(self._engine).get_table_names():
            self._create()
        with self._engine.connect() as connection:
            version = connection.scalar(sa.select(_SCHEMA.c.version))
            if version != SCHEMA_VERSION:
                newer = isinstance(version, int) and version > SCHEMA_VERSION
                what = "was written by a newer kitprep; update kitprep" if newer else DAMAGED
                raise Unusable(f"the ledger at {shown(self._at)} {what}")
            self._head(connection)

    def _create(self) -> None:
        with self._transaction(place.CREATE) as connection:
            there = sa.inspect(connection).get_table_names()
            if _SCHEMA.name in there:  # another program was making it at the same moment
                return
            if there:
                raise Unusable(
                    f"the database at {shown(self._at)} holds something else, not a ledger; name "
                    "an empty one, or a file that is not there yet"
                )
            _METADATA.create_all(connection)
            for statement in place.ONLY_ADDED_TO[self._engine.dialect.name]:
                connection.exec_driver_sql(statement)
            connection.execute(sa.insert(_SCHEMA), {"one": 1, "version": SCHEMA_VERSION})


def _parse(url: str) -> sa.URL:
    try:
        parsed = sa.make_url(url)
        backend, database = parsed.get_backend_name(), parsed.database or ""
        is_file = database and not database.startswith((":", "file:")) and "?" not in url
        if backend == "postgresql" or (backend == "sqlite" and is_file):
            return parsed
    except (SQLAlchemyError, ValueError):
        pass
    secret = not url or "@" in url or "password" in url
    named = "" if secret else f" {shown(url)}"
    raise Unusable(
        f"the ledger cannot be kept at the address{named}; write sqlite:///PATH for a file, or "
        "postgresql://NAME@HOST/DATABASE"
    )


def _where(url: sa.URL) -> str:
    """Name the place for messages, never with a password; for SQLite it is the file's path."""
    if url.get_backend_name() == "sqlite":
        return str(place.file_path(url.database or ""))
    host = url.host or url.query.get("host", "localhost")
    return f"{host}:{url.port or 5432}/{url.database or ''}"


def _engine(url: sa.URL, at: str, wait_s: float) -> sa.Engine:
    if url.get_backend_name() == "sqlite":
        place.make_file(Path(at))
        # A connection for each transaction, by the file's name: one held open would go on writing
        # into a file that was moved away or replaced.
        engine = sa.create_engine(
            url.set(drivername="sqlite"),
            poolclass=sa.NullPool,
            creator=partial(place.connect_file, Path(at), wait_s),
        )
    else:
        engine = sa.create_engine(
            url.set(drivername="postgresql+psycopg"),
            isolation_level="READ COMMITTED",
            pool_pre_ping=True,
            connect_args=place.SERVER_ARGUMENTS | {"connect_timeout": max(2, round(wait_s))},
        )
        sa.event.listen(
            engine, "connect", lambda opened, _: place.settle_server(opened, at, wait_s)
        )
    sa.event.listen(engine, "begin", _lock)
    return engine


def _lock(connection: sa.Connection) -> None:
    if statement := connection.get_execution_options().get("lock"):
        connection.exec_driver_sql(statement)


def _newest_of_all(
    connection: sa.Connection, drafts: Sequence[Draft]
) -> dict[tuple[str, str], int]:
    items = sorted({(draft.job, draft.item) for draft in drafts})
    item = _ENTRY.c.job, _ENTRY.c.item
    query = sa.select(*item, sa.func.max(_ENTRY.c.item_seq)).where(sa.tuple_(*item).in_(items))
    return {(job, name): newest for job, name, newest in connection.execute(query.group_by(*item))}


def _insert(connection: sa.Connection, fresh: Sequence[Entry]) -> None:
    names = _ENTRY.c.keys()
    connection.execute(sa.insert(_ENTRY), [{n: getattr(e, n) for n in names} for e in fresh])


def _proven(lines: Iterable[str]) -> Iterator[Entry]:
    try:
        yield from entries.from_lines(lines)
    except (ValueError, OSError) as error:
        what = f"the export cannot be restored: {shown(error)}; use an untouched copy"
        raise Refused(what) from error


@contextmanager
def _said_plainly(at: str, wait_s: float) -> Iterator[None]:
    """Turn the errors of the database, its driver and the system into Unusable."""
    try:
        yield
    except DBAPIError as error:
        raise unusable(at, error.orig or error, wait_s) from error
    except (SQLAlchemyError, OSError, ImportError) as error:
        raise unusable(at, error, wait_s) from error
