"""Everything that can go wrong with the ledger, each said in one sentence with the way on.

    LedgerError
    ├── Stale      someone else recorded something for the item first; nothing was written
    ├── Refused    what was sent can never be recorded; nothing was written
    └── Unusable   the storage cannot be read or written; what was being sent may be sent again

The database's own errors are told apart by their codes, without importing any database library.
"""

from __future__ import annotations

import re
from typing import ClassVar

from kitprep.ledger.entries import Draft, Entry

INSTALL_DRIVER = 'pip install "kitprep[crew]"'

# Control characters, and those that turn the writing direction, would let a file's name steer the
# terminal; lone surrogates (undecodable names) cannot be printed at all.
_UNSHOWABLE = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]+"
)


class LedgerError(Exception):
    """Anything the ledger could not do. `str()` of it is a sentence for the user."""

    exit_code: ClassVar[int] = 2

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)


class Stale(LedgerError):
    """The item has a newer entry than the writer had seen; `newest` says who and when.

    `newest` is None where the item has no entry at all, though the writer thought it had.
    """

    exit_code: ClassVar[int] = 1

    def __init__(self, draft: Draft, newest: Entry | None) -> None:
        self.draft = draft
        self.newest = newest
        now = "has no entry" if newest is None else f"is at entry {newest.item_seq}"
        super().__init__(
            f"{shown(draft.item)} {now} and you saw {draft.seen}; look at it again, then decide"
        )


class Refused(LedgerError):
    """What was sent contradicts the ledger, or is no entry at all."""


class Unusable(LedgerError):
    """The ledger cannot be used where it is, or as it is."""


def shown(text: object) -> str:
    """Make text that came from outside (a path, a server's words) safe to show on one line."""
    return _UNSHOWABLE.sub(" ", str(text)).strip()


def unusable(place: str, error: BaseException, wait_s: float) -> Unusable:
    """Say plainly what a database or operating-system error means for the user.

    `place` names the ledger without any password, `wait_s` is how long a lock was waited for.
    """
    ledger = f"the ledger at {shown(place)}"
    code = getattr(error, "sqlite_errorname", None) or getattr(error, "sqlstate", None)
    if isinstance(error, ImportError):
        return Unusable(f"{ledger} is on PostgreSQL and its driver is missing; {INSTALL_DRIVER}")
    words = shown(str(error).strip().splitlines()[-1] if str(error).strip() else "")[:200]
    if isinstance(error, OSError) and error.filename is not None:
        words = f"{shown(error.filename)}: {error.strerror}"
    for prefix, sentence in _SENTENCES:
        if str(code).startswith(prefix):
            return Unusable(f"{ledger} " + sentence.format(wait=f"{wait_s:g}", words=words))
    if code is None and type(error).__module__.startswith("psycopg"):
        return Unusable(
            f"{ledger} cannot be reached ({words}); check the address, the network and that the "
            "server runs, then try again"
        )
    return Unusable(f"{ledger} cannot be used ({words}); put that right, then try again")


# By the start of SQLite's error name or PostgreSQL's SQLSTATE; the first that fits counts.
_SENTENCES = (
    (
        ("SQLITE_BUSY", "SQLITE_LOCKED", "55P03", "57014"),
        "is locked by another program for more than {wait} s; close it or wait, then try again",
    ),
    (
        ("SQLITE_NOTADB",),
        "is not a database; name another file, or put back a good copy of this one",
    ),
    (
        ("SQLITE_CORRUPT", "SQLITE_IOERR_SHORT_READ", "XX001", "XX002", "42P01", "42703"),
        "is damaged ({words}); put back a good copy, or restore an export into a new ledger",
    ),
    (
        ("SQLITE_READONLY", "SQLITE_PERM", "42501", "25006"),
        "can be read but not written; allow writing to the file and its folder, or name another",
    ),
    (
        ("SQLITE_CANTOPEN", "SQLITE_AUTH"),
        "cannot be opened; check that the file and its folder are there and yours to write",
    ),
    (
        ("SQLITE_FULL", "53100"),
        "cannot grow, its disk is full; make room, then try again",
    ),
    (
        ("SQLITE_IOERR", "58030"),
        "cannot be written or read, its disk is full, failing or unplugged; see to it, then try "
        "again",
    ),
    (("3D000",), "does not exist on that server; create the database, then try again"),
    (("53300",), "has no free connection on its server; close a program there, then try again"),
    (
        ("28",),
        "did not let you in ({words}); check the name and the password, then try again",
    ),
    (
        ("08", "57P"),
        "cannot be reached ({words}); check the network and that the server runs, then try again",
    ),
)
