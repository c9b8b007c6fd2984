"""A job under way: a day plan, its worked-out answer, and the ledger beside it.

The one place where the clock, the user's name and the ledger meet the pure parts. Every event is in
the ledger, committed, before the state that shows it is returned.
"""

import getpass
import os
import time
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.definitions.loading import Day, load_day
from kitprep.ledger.entries import Draft, new_id
from kitprep.ledger.events import JOB, Event, JobState, Stage, fold
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger


def job_name(day: Day) -> str:
    """The name under which a day's events are kept: its kit, its date, and its own name if any."""
    name = f"{day.kit.kit}/{day.plan.day.isoformat()}"
    return f"{name}/{day.plan.job}" if day.plan.job else name


def user_name() -> str:
    """Who is at the keyboard: KITPREP_WHO, else the account's name."""
    try:
        return os.environ.get("KITPREP_WHO", "").strip() or getpass.getuser()
    except (KeyError, OSError):
        return "someone"


class Job:
    """A day with its ledger. ``state`` is the fold of all events read so far."""

    def __init__(self, day: Day, ledger: "Ledger", who: str, how: str) -> None:
        self.day = day
        self.ledger = ledger
        self.name = job_name(day)
        self.who = who
        self.how = how
        self.worked: WorkedDay = work_out(day.kit, day.plan)
        self.state = fold(ledger.entries(self.name))

    @classmethod
    def open(cls, plan: Path, url: str, who: str, how: str) -> "Job":
        """Loads the plan and opens the ledger.

        Raises:
            DefinitionError: where the plan or its kit is wrong.
            LedgerError: where the ledger cannot be used.
        """
        from kitprep.ledger.store import Ledger

        day = load_day(plan)
        return cls(day, Ledger.open(url), who, how)

    def close(self) -> None:
        """Lets go of the ledger; nothing is pending, ever."""
        self.ledger.close()

    def refresh(self) -> bool:
        """Takes in what others have recorded; True where there was anything."""
        newer = self.ledger.entries(self.name, after=self.state.head)
        if newer:
            self.state = fold(newer, self.state)
        return bool(newer)

    def record(self, item: str, kind: str, how: str | None = None, **facts: Any) -> JobState:
        """Records one event and returns the state after it.

        Raises:
            Stale: where someone else's event on the item came first; the state then shows it.
            LedgerError: where it could not be written; nothing has changed.
        """
        return self.record_all([(item, kind, facts)], how)

    def record_all(
        self, events: Sequence[tuple[str, str, Mapping[str, Any]]], how: str | None = None
    ) -> JobState:
        """Records events on items together, all or none."""
        from kitprep.ledger.errors import Stale

        drafts = []
        seen: dict[str, int] = {}
        for item, kind, facts in events:
            event = Event(kind, item, _now(), self.who, how or self.how, facts)
            newest = seen.get(item, self.state.item(item).seen)
            seen[item] = newest + 1
            identity = new_id(time.time_ns() // 1_000_000, os.urandom(10))
            drafts.append(Draft(identity, self.name, item, newest, event.body))
        try:
            self.ledger.append(drafts)
        except Stale:
            self.refresh()
            raise
        self.refresh()
        return self.state

    def advance(self, stage: Stage, note: str = "") -> JobState:
        """Records that the job has reached a stage."""
        return self.record(JOB, "stage", stage=stage, note=note)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
