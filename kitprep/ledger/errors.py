"""Everything that can go wrong with the ledger, each said in one sentence with the way on.

    LedgerError
    ├── Stale      someone else recorded something for the item first; nothing was written
    ├── Contested  another job has the unit at the same hours; that it was wanted is written
    ├── Refused    what was sent can never be recorded; nothing was written
    │   └── NotNow  it does not go with how the job stands; nothing was written
    └── Unusable   the storage cannot be read or written; what was being sent may be sent again

The database's own errors are told apart by their codes, without importing any database library.
"""

from __future__ import annotations

import errno
import re
from typing import TYPE_CHECKING, ClassVar

if TYPE_CHECKING:
    from kitprep.ledger.entries import Draft, Entry

DAMAGED = "is damaged; put back a good copy, or restore an export into a new ledger"
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


class Contested(LedgerError):
    """Another job has the unit at the same hours; both jobs' logs now say so."""

    exit_code: ClassVar[int] = 1

    def __init__(self, tag: str, job: str, who: str, at: str) -> None:
        self.tag, self.job = tag, job
        super().__init__(
            f"{shown(tag)} is out on {shown(job)}, packed by {shown(who)} at {shown(at)}; "
            "settle it with them, or take another"
        )


class Refused(LedgerError):
    """What was sent contradicts the ledger, or is no entry at all."""


class NotNow(Refused):
    """What happened cannot be said of the job as it stands."""


class Unusable(LedgerError):
    """The ledger cannot be used where it is, or as it is."""


def shown(text: object) -> str:
    """Make text that came from outside (a path, a server's words) safe to show on one line."""
    return _UNSHOWABLE.sub(" ", str(text)).strip()


def unreachable(error: BaseException | None) -> bool:
    """Tell whether psycopg could not reach its server, for which it has a type but no code."""
    return type(error).__name__ == "OperationalError" and getattr(error, "sqlstate", "") is None


def unusable(place: str, error: BaseException, wait_s: float) -> Unusable:
    """Say plainly what a database or operating-system error means for the user.

    `place` names the ledger without any password, `wait_s` is how long a lock was waited for.
    """
    ledger = f"the ledger at {shown(place)}"
    if isinstance(error, ImportError):
        return Unusable(f"{ledger} is on PostgreSQL and its driver is missing; {INSTALL_DRIVER}")
    words = shown(str(error).strip().partition("\n")[0])[:200]
    if unreachable(error):
        return Unusable(f"{ledger} cannot be reached ({words}); {_SEE_TO_SERVER}")
    code = getattr(error, "sqlite_errorname", None) or getattr(error, "sqlstate", None)
    if isinstance(error, OSError):
        code, words = errno.errorcode.get(error.errno or 0), shown(error.strerror)
    for starts, sentence in _SENTENCES:
        if str(code).startswith(starts):
            return Unusable(f"{ledger} {sentence.format(wait=f'{wait_s:g}', words=words)}")
    return Unusable(f"{ledger} cannot be used ({words}); put that right, then try again")


_SEE_TO_SERVER = "check the address, the password, the network and the server, then try again"

# By how SQLite's name of an error, PostgreSQL's SQLSTATE or the system's name of it starts; the
# first that fits counts.
_SENTENCES = (
    (
        ("SQLITE_BUSY", "SQLITE_LOCKED", "55P03"),
        "is locked by another program for more than {wait} s; close it or wait, then try again",
    ),
    (
        ("SQLITE_NOTADB",),
        "is not a database; name another file, or put back a good copy of this one",
    ),
    (
        (
            "SQLITE_CORRUPT",
            "SQLITE_ERROR",
            "SQLITE_IOERR_SHORT_READ",
            "XX001",
            "XX002",
            "42P01",
            "42703",
        ),
        DAMAGED,
    ),
    (
        ("SQLITE_READONLY", "SQLITE_PERM", "42501", "25006"),
        "can be read but not written; allow writing to the file and its folder, or name another",
    ),
    (
        ("SQLITE_CANTOPEN", "EACCES", "EPERM", "EROFS", "ENOENT", "ENOTDIR", "EEXIST", "EISDIR"),
        "cannot be opened; check that the file and its folder are there and yours to write",
    ),
    (
        ("SQLITE_FULL", "53100", "ENOSPC", "EDQUOT"),
        "cannot grow, its disk is full; make room, then try again",
    ),
    (
        ("SQLITE_IOERR", "58030", "EIO"),
        "cannot be written or read, its disk is full, failing or unplugged; see to it, then try "
        "again",
    ),
    (
        ("SQLITE_CONSTRAINT", "23505"),
        "was written by others again and again in between; try again",
    ),
    (
        ("08", "25P03", "57P"),
        "cannot be reached ({words}); " + _SEE_TO_SERVER,
    ),
)
