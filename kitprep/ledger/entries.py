"""What an entry of the ledger is, byte for byte, and how a chain of entries is proven.

Pure: no clock, no randomness, no storage, and no opinion on what an event means; a body is a JSON
object and nothing more. Each entry carries a hash over the hash before it and its own stored text,
so whoever noted one hash can tell later whether anything up to it was altered. That shows
tampering; it does not prevent it and does not say who.
"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

GENESIS = "0" * 64
"""The hash before the first entry."""

LONGEST_NAME = 200
"""Characters in a job's or an item's name: an index row of PostgreSQL holds two, even in UTF-8."""

Body = dict[str, Any]
"""A JSON object: text, numbers, true, false, null, lists and objects with text keys."""

_COLUMNS = ("seq", "id", "job", "item", "item_seq")
_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Draft:
    """An event to be recorded, with the id it will keep however often it is sent.

    `seen` is the number of the newest entry for this item in this job that the writer had seen,
    0 for none.
    """

    id: str
    job: str
    item: str
    seen: int
    body: Body


@dataclass(frozen=True, slots=True)
class Entry:
    """A recorded event. `seq` counts the ledger from 1, `item_seq` the item within its job.

    `text` is what is stored and hashed; `body` is read from it.
    """

    seq: int
    id: str
    job: str
    item: str
    item_seq: int
    body: Body
    text: str
    hash: str


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a ledger that is not as it was recorded. `seq` 0 means the storage itself."""

    seq: int
    what: str


def new_id(now_ms: int, random_bytes: bytes) -> str:
    """Make a UUID version 7 (RFC 9562, 5.7) from Unix milliseconds and ten random bytes.

    Raises ValueError for a time outside 48 bits or another number of bytes.
    """
    if not 0 <= now_ms < 1 << 48 or len(random_bytes) != 10:
        raise ValueError("an id takes a time of 48 bits and 10 random bytes")
    random = int.from_bytes(random_bytes, "big")
    rand_a, rand_b = random >> 68, random & ((1 << 62) - 1)
    return str(uuid.UUID(int=now_ms << 80 | 0x7 << 76 | rand_a << 64 | 0b10 << 62 | rand_b))


def canonical(body: Body) -> str:
    """Write a JSON object in the one way that is stored and hashed.

    Raises ValueError for anything that would not come back from JSON as it went in.
    """
    try:
        text = json.dumps(
            body, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
        )
        text.encode()
        same = json.loads(text) == body
    except (TypeError, ValueError, RecursionError) as error:
        raise ValueError(f"not plain JSON: {error}") from error
    if not same or not isinstance(body, dict):
        raise ValueError("not plain JSON: keys must be text, lists must be lists")
    return text


def chain_hash(previous_hash: str, text: str) -> str:
    """Hash a stored text onto the hash before it: SHA-256 in hexadecimal."""
    return hashlib.sha256(f"{previous_hash}\n{text}".encode()).hexdigest()


def fault(draft: Draft) -> str | None:
    """Say why a draft can never be recorded, or None when it can."""
    for name, value, longest in (
        ("id", draft.id, 36),
        ("job", draft.job, LONGEST_NAME),
        ("item", draft.item, LONGEST_NAME),
    ):
        if not 0 < len(value) <= longest:
            return f"its {name} must have 1 to {longest} characters"
        if _UNPRINTABLE.search(value):
            return f"its {name} holds control characters"
    try:
        canonical(draft.body)
    except ValueError as error:
        return f"its body is {error}"
    return None


def record(draft: Draft, item_seq: int, seq: int, previous_hash: str) -> Entry:
    """Make the entry that a draft becomes at this place in the ledger."""
    text = _text(seq, draft.id, draft.job, draft.item, item_seq, draft.body)
    return Entry(
        seq=seq,
        id=draft.id,
        job=draft.job,
        item=draft.item,
        item_seq=item_seq,
        body=draft.body,
        text=text,
        hash=chain_hash(previous_hash, text),
    )


def stored(seq: int, id: str, job: str, item: str, item_seq: int, text: str, hash: str) -> Entry:
    """Read an entry back from its columns.

    A text that cannot be read gives an empty body; `is_sound` and `verify` then report it.
    """
    try:
        body = json.loads(text)["body"]
    except (TypeError, ValueError, KeyError, RecursionError):
        body = None
    return Entry(seq, id, job, item, item_seq, body if isinstance(body, dict) else {}, text, hash)


def same(draft: Draft, entry: Entry) -> bool:
    """Tell whether an entry is this draft, recorded: what was `seen` does not matter."""
    return (draft.id, draft.job, draft.item) == (entry.id, entry.job, entry.item) and canonical(
        draft.body
    ) == canonical(entry.body)


def is_sound(entry: Entry) -> bool:
    """Tell whether an entry's columns are those its text was hashed with."""
    try:
        return entry.text == _text(
            entry.seq, entry.id, entry.job, entry.item, entry.item_seq, entry.body
        )
    except ValueError:
        return False


class Chain:
    """Follows a ledger from its first entry and says of each what is wrong with it."""

    def __init__(self) -> None:
        self.seq = 0
        self.hash = GENESIS
        self._clean = True
        self._newest: dict[tuple[str, str], int] = {}
        self._ids: set[str] = set()

    def follow(self, entry: Entry) -> Problem | None:
        """Take the next entry; return the first thing that is wrong with it, or None.

        It is held against the stored hash before it, so one altered entry does not condemn all
        that come after.
        """
        problem = self._problem(entry)
        # SQLite keeps a word in a column of numbers if it is told to, hence the question.
        self.seq = entry.seq if isinstance(entry.seq, int) else self.seq + 1
        self.hash = entry.hash
        self._clean = self._clean and problem is None
        if self._clean:
            self._newest[entry.job, entry.item] = entry.item_seq
            self._ids.add(entry.id)
        return problem

    def _problem(self, entry: Entry) -> Problem | None:
        expected = self.seq + 1
        if entry.seq != expected:
            return Problem(expected, "it is missing, or not in its place")
        if not is_sound(entry):
            return Problem(expected, "what it says is not what was recorded")
        if entry.hash != chain_hash(self.hash, entry.text):
            return Problem(expected, "its hash does not follow from it and the entry before")
        # After a first problem these two could only repeat it under other numbers.
        if self._clean and entry.item_seq != self._newest.get((entry.job, entry.item), 0) + 1:
            return Problem(expected, "it is not the next entry for its item")
        if self._clean and entry.id in self._ids:
            return Problem(expected, "its id was used before")
        return None


def verify(entries: Iterable[Entry], noted_hash: str | None = None) -> list[Problem]:
    """Check a whole ledger, in order from its first entry; an empty list means all is well.

    Entries cut off the end leave a perfect shorter chain. They show only against a `noted_hash`,
    the head hash written down earlier (on a report, say): it must still be in the ledger.
    """
    chain = Chain()
    problems: list[Problem] = []
    noted = noted_hash in (None, GENESIS)
    for entry in entries:
        problem = chain.follow(entry)
        if problem is not None:
            problems.append(problem)
        noted = noted or entry.hash == noted_hash
    if not noted:
        what = "the hash noted earlier is not in this ledger; entries were cut off or written anew"
        problems.append(Problem(chain.seq, what))
    return problems


def to_lines(entries: Iterable[Entry]) -> Iterator[str]:
    """Write entries as lines of JSON that hold each stored text unchanged.

    A last line names the last entry: without it a file that was cut off would look complete.
    """
    seq, hash = 0, GENESIS
    for entry in entries:
        seq, hash = entry.seq, entry.hash
        yield f'{{"entry":{entry.text},"hash":"{hash}"}}\n'
    yield f'{{"end":{{"hash":"{hash}","seq":{seq}}}}}\n'


def from_lines(lines: Iterable[str]) -> Iterator[Entry]:
    """Read an export's entries, each held against those before, and the end against them all.

    Raises ValueError, with the number of the line, where one is damaged, altered, missing or out
    of order.
    """
    chain = Chain()
    ended = False
    for number, line in enumerate(lines, start=1):
        said = _said(line)
        if said is None or ended:
            raise ValueError(f"line {number} holds something else than an entry")
        if isinstance(said, Entry):
            problem = chain.follow(said)
            if problem is not None:
                raise ValueError(f"line {number} is wrong: entry {problem.seq}: {problem.what}")
            yield said
        elif said == (chain.seq, chain.hash):
            ended = True
        else:
            raise ValueError(f"line {number} names another last entry than came before it")
    if not ended:
        raise ValueError("it is cut off before its end")


def _said(line: str) -> Entry | tuple[object, object] | None:
    """Read a line of an export: an entry, or the `seq` and hash of its end; None for neither."""
    try:
        said = json.loads(line)
        if "end" in said:
            return said["end"]["seq"], said["end"]["hash"]
        entry = said["entry"]
        seq, id, job, item, item_seq = (entry[name] for name in _COLUMNS)
        return stored(seq, id, job, item, item_seq, canonical(entry), said["hash"])
    except (KeyError, TypeError, ValueError, RecursionError):
        return None


def _text(seq: int, id: str, job: str, item: str, item_seq: int, body: Body) -> str:
    # Every column is in the text, so that altering any one of them breaks the hash.
    return canonical(
        {"body": body, "id": id, "item": item, "item_seq": item_seq, "job": job, "seq": seq}
    )
