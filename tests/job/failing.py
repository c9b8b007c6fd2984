"""A ledger that fails on request: before what it is asked to record is recorded, or after."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from kitprep.job import Job
from kitprep.ledger.entries import Draft, Entry
from kitprep.ledger.errors import Unusable

When = Literal["before", "after", "blind"]
"""Not recorded; recorded and not said; recorded, said, and then not to be read again."""


class Failing:
    """Stands before a job's ledger; fails as often as told, then is itself again."""

    def __init__(self, job: Job) -> None:
        self.when: list[When] = []
        self.sent: list[list[str]] = []
        self.ledger = job.ledger
        self._append, self._entries = self.ledger.append, self.ledger.entries
        self._blind = False
        self.ledger.append = self.append  # type: ignore[method-assign]
        self.ledger.entries = self.entries  # type: ignore[method-assign]

    def append(self, drafts: Sequence[Draft]) -> tuple[Entry, ...]:
        self.sent.append([draft.id for draft in drafts])
        when = self.when.pop(0) if self.when else None
        if when == "before":
            raise Unusable("the ledger cannot be reached")
        recorded = self._append(drafts)
        if when == "after":
            raise Unusable("the ledger cannot be reached")
        self._blind = when == "blind"
        return recorded

    def entries(self, job: str, after: int = 0) -> tuple[Entry, ...]:
        if self._blind:
            self._blind = False
            raise Unusable("the ledger cannot be read")
        return self._entries(job, after)
