"""A job under way: a day plan, its worked-out answer, and the ledger beside it.

The one place where the clock, the user's name and the ledger meet the pure parts. Every event is in
the ledger, committed, before the state that shows it is returned. What the ledger knows changes the
plan too: units that came back unfit are not planned with, and what was swapped stays swapped.
"""

import getpass
import os
import time
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.definitions.loading import Day, load_day
from kitprep.ledger.claims import Claim, KitState, fold_kit
from kitprep.ledger.entries import Draft, new_id
from kitprep.ledger.errors import Contested, Stale
from kitprep.ledger.events import JOB, Event, JobState, Stage, fold
from kitprep.planning.day import stand_ins, work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.packing import unit_names
from kitprep.planning.results import WorkedDay

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger

Told = tuple[str, str, Mapping[str, Any]]
"""An event to record: item, kind, facts."""


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
    """A day with its ledger. ``state`` and ``kit`` are the folds of all events read so far."""

    def __init__(self, day: Day, ledger: "Ledger", who: str, how: str) -> None:
        self.day = day
        self.ledger = ledger
        self.name = job_name(day)
        self._units = unit_names(day.kit)
        self.who = who
        self.how = how
        self.state = fold(ledger.entries(self.name))
        self.kit: KitState = fold_kit(ledger.entries(day.kit.kit))
        self.worked: WorkedDay = self._work_out()

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
        of_kit = self.ledger.entries(self.day.kit.kit, after=self.kit.head)
        before = self._plan_facts()
        self.state = fold(newer, self.state)
        self.kit = fold_kit(of_kit, self.kit)
        if self._plan_facts() != before:
            self.worked = self._work_out()
        return bool(newer or of_kit)

    def _plan_facts(self) -> tuple[object, ...]:
        """What the ledger says that the plan depends on."""
        return self.kit.unusable(self.name), self.state.swaps, self.state.spares

    def _work_out(self) -> WorkedDay:
        missing = self.kit.unusable(self.name)
        worked = work_out(
            self.day.kit,
            self.day.plan,
            without=missing,
            swaps=self.state.swaps,
            spares=self.state.spares,
        )
        return with_one_failure(worked, missing | {lost for lost, _ in self.state.swaps})

    def record(self, item: str, kind: str, how: str | None = None, **facts: Any) -> JobState:
        """Records one event and returns the state after it.

        Raises:
            Stale: where someone else's event on the item came first; the state then shows it.
            Contested: where another job has the unit at the same hours; both jobs' logs show it.
            LedgerError: where it could not be written; nothing has changed.
        """
        return self.record_all([(item, kind, facts)], how)

    def record_all(self, events: Sequence[Told], how: str | None = None) -> JobState:
        """Records events together, all or none; raises as :meth:`record`."""
        self._refuse_clashes(events, how)
        drafts = self._drafts(self.name, events, how, dict(self._seen()))
        kit_events = [told for event in events for told in self._of_kit(event)]
        kit_seen = {tag: record.seen for tag, record in self.kit.units.items()}
        drafts += self._drafts(self.day.kit.kit, kit_events, how, kit_seen)
        self._append(drafts)
        return self.state

    def advance(self, stage: Stage, note: str = "") -> JobState:
        """Records that the job has reached a stage."""
        return self.record(JOB, "stage", stage=stage, note=note)

    def substitutes(self, lost: str) -> tuple[str, ...]:
        """Units that can stand in for one that fails, what is packed first."""
        packed = [key for key, state in self.state.items.items() if state.packed]
        return stand_ins(
            self.day.kit,
            self.day.plan,
            self.kit.unusable(self.name),
            self.state.swaps,
            lost,
            packed,
        )

    def clear(self, tag: str, note: str) -> None:
        """Records that a unit that came back unfit can be planned with again."""
        seen = {tag: self.kit.unit(tag).seen}
        self._append(self._drafts(self.day.kit.kit, [(tag, "cleared", {"note": note})], None, seen))

    @property
    def contested(self) -> dict[str, tuple[str, ...]]:
        """Units of this job that another job wanted at the same hours, with those jobs."""
        return {
            tag: record.contested_by
            for tag, record in self.kit.units.items()
            if record.contested_by and any(claim.job == self.name for claim in record.claims)
        }

    def _append(self, drafts: Sequence[Draft]) -> None:
        try:
            self.ledger.append(drafts)
        except Stale:
            self.refresh()
            raise
        self.refresh()

    def _seen(self) -> dict[str, int]:
        return {key: state.seen for key, state in self.state.items.items()}

    def _drafts(
        self, job: str, events: Sequence[Told], how: str | None, seen: dict[str, int]
    ) -> list[Draft]:
        drafts = []
        for item, kind, facts in events:
            event = Event(kind, item, _now(), self.who, how or self.how, facts)
            newest = seen.get(item, 0)
            seen[item] = newest + 1
            identity = new_id(time.time_ns() // 1_000_000, os.urandom(10))
            drafts.append(Draft(identity, job, item, newest, event.body))
        return drafts

    def _of_kit(self, event: Told) -> list[Told]:
        """What an event says of a unit to its whole kit: claimed, or released."""
        item, kind, facts = event
        if not self._is_unit(item):
            return []
        if kind == "packed":
            claim = self._claim(item)
            told = {"job": self.name, "day": claim.day, "on": claim.on, "off": claim.off}
            return [(item, "claimed", told)]
        if kind == "unpacked":
            return [(item, "released", {"job": self.name, "outcome": "back"})]
        if kind == "returned":
            outcome = next((word for word, n in facts.get("counts", {}).items() if n), "back")
            note = facts.get("note", "")
            return [(item, "released", {"job": self.name, "outcome": outcome, "note": note})]
        return []

    def _is_unit(self, item: str) -> bool:
        return item in self._units

    def _claim(self, tag: str) -> Claim:
        """The job's hours of a unit: from its first scene's lead to the end of its last."""
        plan = self.day.plan
        numbers = {
            link.scene
            for link in self.worked.links
            if tag in (link.transmitter, link.receiver, link.adapter)
        }
        # A spare is wanted for as long as anything is.
        scenes = [s for s in plan.scenes if s.number in numbers] or list(plan.scenes)
        on = min(scene.start for scene in scenes) - plan.lead_min
        off = max(scene.end for scene in scenes)
        return Claim(self.name, plan.day.isoformat(), on, off, self.who, "")

    def _refuse_clashes(self, events: Sequence[Told], how: str | None) -> None:
        for item, kind, _ in events:
            if kind != "packed" or not self._is_unit(item):
                continue
            other = self.kit.clash(item, self._claim(item))
            if other is None:
                continue
            told = [(item, "contested", {"by": other.job})]
            drafts = self._drafts(self.name, told, how, self._seen())
            seen = {item: self.kit.unit(item).seen}
            of_kit: Sequence[Told] = [(item, "contested", {"job": self.name})]
            self._append(drafts + self._drafts(self.day.kit.kit, of_kit, how, seen))
            raise Contested(item, other.job, other.who, other.at)


def local_now() -> datetime:
    """The wall clock, without a zone, as call sheets count."""
    return datetime.now()


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
