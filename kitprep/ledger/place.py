"""Where the ledger is, and all in which its two databases differ.

Both can be told to answer before the disk has the data. So each connection is set here, and what
it answers is read back; a place that will not be set so is refused.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from kitprep.ledger.errors import Unusable, shown

if TYPE_CHECKING:
    import sqlite3

VARIABLE = "KITPREP_LEDGER"
"""The environment variable that names another ledger, as a database URL."""

# DELETE keeps every entry in the one file that people copy (WAL would leave the day's entries in
# a second one); EXTRA also syncs the folder once the journal is gone, without which a power cut
# brings the journal back and takes the last entry away. Mac disks need fullfsync to sync at all.
_FILE_SETTINGS = (
    ("journal_mode", "DELETE", "delete"),
    ("synchronous", "EXTRA", 3),
    ("fullfsync", "ON", 1),
)

# A writer that vanishes in mid-transaction (a closed laptop) would hold up everyone until the
# server noticed, hours later; it is put out after this many times the wait for a lock.
_IDLE_WAITS = 2
_SET_SERVER = """
    SELECT set_config('lock_timeout', %s, false),
           set_config('idle_in_transaction_session_timeout', %s, false),
           set_config('synchronous_commit', CASE current_setting('synchronous_commit')
               WHEN 'off' THEN 'on' ELSE current_setting('synchronous_commit') END, false)
"""
_READ_SERVER = """
    SELECT current_setting('fsync'), current_setting('full_page_writes'),
           current_setting('synchronous_commit') <> 'off', current_setting('server_encoding')
"""

SERVER_ARGUMENTS: dict[str, Any] = {
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 30_000,
}
"""A network that died silently is noticed in half a minute, not in hours."""

# The third SQLite trigger is for INSERT OR REPLACE, which removes rows without a DELETE.
ONLY_ADDED_TO = {
    "sqlite": (
        "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry "
        "BEGIN SELECT RAISE(ABORT, 'a ledger is only added to'); END",
        "CREATE TRIGGER entry_remains BEFORE DELETE ON entry "
        "BEGIN SELECT RAISE(ABORT, 'a ledger is only added to'); END",
        "CREATE TRIGGER entry_yields BEFORE INSERT ON entry WHEN EXISTS (SELECT 1 FROM entry"
        " WHERE seq = NEW.seq OR id = NEW.id"
        " OR (job = NEW.job AND item = NEW.item AND item_seq = NEW.item_seq)) "
        "BEGIN SELECT RAISE(ABORT, 'a ledger is only added to'); END",
    ),
    "postgresql": (
        "CREATE FUNCTION entry_only_added_to() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'a ledger is only added to'; END $$",
        "CREATE TRIGGER entry_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON entry "
        "FOR EACH STATEMENT EXECUTE FUNCTION entry_only_added_to()",
    ),
}

# Writers queue for the whole transaction. Without this SQLite would refuse a writer that began by
# reading, without waiting; PostgreSQL would let it collide on `seq` and try again, unfairly.
WRITE = {
    "sqlite": "BEGIN IMMEDIATE",
    "postgresql": "SELECT pg_advisory_xact_lock('entry'::regclass::oid::bigint)",
}
CREATE = WRITE | {"postgresql": "SELECT pg_advisory_xact_lock(73907)"}


def default_url() -> str:
    """Return the ledger's URL: from KITPREP_LEDGER, else `ledger.db` in the user's data folder."""
    said = os.environ.get(VARIABLE, "").strip()
    if said:
        return said
    from platformdirs import user_data_dir

    return file_url(Path(user_data_dir("kitprep", appauthor=False)) / "ledger.db")


def file_url(path: Path) -> str:
    """Return the URL of a ledger in a file; a bare `?` in its path would end it there."""
    return "sqlite:///" + str(path).replace("%", "%25").replace("?", "%3F")


def may_be_there(url: str) -> bool:
    """Return whether there may be a ledger: False only of a file that is not there yet."""
    backend, _, database = url.partition(":///")
    if not backend.startswith("sqlite") or not database or database.startswith((":", "file:")):
        return True
    return "?" in database or file_path(unquote(database)).exists()


def file_path(database: str) -> Path:
    """Return the whole path of the file that such a URL names; `~` is the user's home."""
    path = Path(database)
    return (path.expanduser() if path.parts[:1] == ("~",) else path).absolute()


def make_file(path: Path) -> None:
    """Make an empty file for a new ledger, and the folders above it, where missing.

    New folders are the user's alone (mode 0700). Their names are synced to disk: a synced ledger
    could still vanish together with a folder that was not. Raises OSError.
    """
    missing = [folder for folder in path.parents if not folder.exists()]
    for folder in reversed(missing):
        folder.mkdir(mode=0o700, exist_ok=True)
        _sync(folder.parent)
    if not path.exists():
        path.touch()


def connect_file(path: Path, wait_s: float) -> sqlite3.Connection:
    """Open a ledger's file with the settings that keep it, and prove that they took.

    A file that is gone is never made anew, so nothing is recorded in a place that no longer
    holds the ledger. Raises Unusable, or sqlite3.Error.
    """
    import sqlite3

    connection = sqlite3.connect(
        f"{path.as_uri()}?mode=rw",
        uri=True,
        timeout=wait_s,
        isolation_level=None,  # transactions are begun by name, or a read could not lead a write
        check_same_thread=False,
    )
    # A damaged text must reach `verify` as a wrong text, not as a failure to read it.
    connection.text_factory = _read_text
    try:
        for name, value, expected in _FILE_SETTINGS:
            connection.execute(f"PRAGMA {name}={value}")
            (found,) = connection.execute(f"PRAGMA {name}").fetchone()
            if found != expected:
                raise Unusable(
                    f"the ledger at {shown(path)} stays at {name}={found} where {value} is needed "
                    "to keep entries through a power cut; close what else has it open"
                )
    except BaseException:
        connection.close()
        raise
    return connection


def settle_server(connection: Any, place: str, wait_s: float) -> None:
    """Set a fresh PostgreSQL connection (DB-API) likewise, and prove what only its owner can set.

    Raises Unusable, or the driver's own errors.
    """
    wait_ms = int(wait_s * 1000)
    with connection.cursor() as cursor:
        cursor.execute(_SET_SERVER, (str(wait_ms), str(wait_ms * _IDLE_WAITS)))
        cursor.execute(_READ_SERVER)
        found = cursor.fetchone()
    connection.commit()
    wanted = (("fsync", "on"), ("full_page_writes", "on"), ("synchronous_commit", True))
    for (name, expected), value in zip((*wanted, ("encoding", "UTF8")), found, strict=True):
        if value != expected:
            raise Unusable(
                f"the ledger at {shown(place)} has {name} {value} on its server, which can lose or "
                "alter entries; have it set right, or name another database"
            )


def _read_text(stored: bytes) -> str:
    return stored.decode(errors="replace")


def _sync(folder: Path) -> None:
    if os.name == "nt":  # a folder cannot be opened there, and needs no sync
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
