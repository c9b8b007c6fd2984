"""A job under way: a day plan, its worked-out answer, and the ledger beside it.

The one place where the clock, the user's name and the ledger meet the pure parts. Every event is in
the ledger, committed, before the state that shows it is returned. What the ledger knows changes the
plan too: units that came back unfit are not planned with, and what was swapped stays swapped. Once
the kit has gone out the list is what went: what other jobs give back changes it no more.
"""

import getpass
import os
import time
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from datetime import time as clock_time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.plan import Plan
from kitprep.ledger.claims import Claim, KitState
from kitprep.ledger.entries import Draft, Entry, new_id
from kitprep.ledger.errors import NotNow, Refused, Stale
from kitprep.ledger.events import JOB, JobState, Stage, fold
from kitprep.ledger.kit_stream import KitStream
from kitprep.ledger.known import Known, known_to
from kitprep.ledger.moment import Moment, plan_facts
from kitprep.ledger.names import job_name
from kitprep.ledger.reckoning import Reckoning, served, versions_read
from kitprep.ledger.telling import (
    Hand,
    Overtaken,
    Telling,
    Told,
    Unsent,
    drafts,
    in_its_minute,
)
from kitprep.planning.failure import with_one_failure
from kitprep.planning.firmware import as_read
from kitprep.planning.held import numbers
from kitprep.planning.packing import unit_names
from kitprep.planning.results import WorkedDay
from kitprep.planning.whatif import WhatIf, changed
from kitprep.walks.may import why_not

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger

__all__ = ["Job", "Moment", "Overtaken", "Told", "job_name", "local_now", "user_name"]

_TRIES = 8
"""How often what other jobs say of a unit may come in between before it is given up."""


def user_name() -> str:
    """Who is at the keyboard: KITPREP_WHO, else the account's name."""
    try:
        return os.environ.get("KITPREP_WHO", "").strip() or getpass.getuser()
    except (KeyError, OSError):
        return "someone"


class Job:
    """A day with its ledger. ``now`` is the job as far as its events have been read.

    One thread at a time may record and refresh; ``now`` may be read, and :meth:`what_if`,
    :meth:`substitutes` and :meth:`one_failure` asked, by any other meanwhile.
    """

    def __init__(self, day: Day, ledger: "Ledger", who: str, how: str, tries: bool = True) -> None:
        self.day = day
        self.ledger = ledger
        self.name = job_name(day)
        self._units = unit_names(day.kit)
        self._have = numbers(day.kit)
        self.who = who
        self.how = how
        self._tries = tries
        self._unsent: Unsent | None = None
        entries = ledger.entries(self.name)
        state = fold(entries)
        self._kit_stream = KitStream(ledger, day.kit.kit)
        self._known = self._known_when_fixed(state)
        self.now = self._moment(entries, state)

    @classmethod
    def open(cls, plan: Path, url: str, who: str, how: str) -> "Job":
        """Loads the plan and opens the ledger.

        Raises:
            DefinitionError: where the plan or its kit is wrong.
            LedgerError: where the ledger cannot be used.
        """
        return cls.open_day(load_day(plan), url, who, how)

    @classmethod
    def open_day(cls, day: Day, url: str, who: str, how: str, tries: bool = True) -> "Job":
        """Opens the ledger beside a day; without ``tries`` R11 waits for :meth:`take_failures`.

        Raises:
            LedgerError: where the ledger cannot be used.
        """
        from kitprep.ledger.store import Ledger

        ledger = Ledger.open(url)
        try:
            return cls(day, ledger, who, how, tries)
        except BaseException:
            ledger.close()
            raise

    def close(self) -> None:
        """Lets go of the ledger; nothing is pending, ever."""
        self.ledger.close()

    # What is read

    @property
    def state(self) -> JobState:
        """The fold of all the job's events read so far."""
        return self.now.state

    @property
    def kit(self) -> KitState:
        """Who has each unit, over all the kit's jobs."""
        return self.now.kit

    @property
    def missing(self) -> frozenset[str]:
        """The units that the day is worked out without, for what they came back as elsewhere."""
        return self.now.missing

    @property
    def worked(self) -> WorkedDay:
        """The day, worked out with what the ledger says."""
        return self.now.worked

    @property
    def found_unfit(self) -> dict[str, str]:
        """Units that this job has packed and another job has given back as unfit, with what."""
        return self.now.found_unfit

    @property
    def contested(self) -> dict[str, tuple[str, ...]]:
        """Units of this job that another job wanted or has at the same hours, with those jobs."""
        return self.now.contested

    def refresh(self) -> bool:
        """Takes in what others have recorded; True where there was anything."""
        newer = self.ledger.entries(self.name, after=self.state.head)
        of_kit = self._kit_stream.newer()
        if not newer and not of_kit:
            return False
        state, known = fold(newer, self.state), self._known
        if state.fixed_at != self.state.fixed_at:
            known = self._known_when_fixed(state)
        self._known = known
        self._kit_stream.take(of_kit)
        self.now = self._moment((*self.now.entries, *newer), state, self.now)
        if self._unsent is not None and self._unsent.id in {e.id for e in newer}:
            self._unsent = None  # it was recorded after all, and now shows
        return True

    def _known_when_fixed(self, state: JobState) -> Known | None:
        """What was known of the kit when it went out; None while it has not."""
        if not state.fixed_at:
            return None
        return known_to(self._whole_day(), self.day.kit, self._kit_stream.at(state.fixed_at))

    def _whole_day(self) -> Claim:
        """What the job says of a thing that it wants for as long as it wants anything."""
        plan = self.day.plan
        on = min(scene.start for scene in plan.scenes) - plan.lead_min
        off = max(scene.end for scene in plan.scenes)
        return Claim(self.name, plan.day.isoformat(), on, off, self.who, "")

    def _moment(
        self, entries: tuple[Entry, ...], state: JobState, before: Moment | None = None
    ) -> Moment:
        """The job after these events; the day is worked out anew only where they change it."""
        kit, known = self._kit_stream.state, self._known
        if known is None:
            known = known_to(self._whole_day(), self.day.kit, kit)
        if before and plan_facts(before.known, before.state) == plan_facts(known, state):
            read, now = versions_read(state), replace(before, entries=entries, state=state, kit=kit)
            if read == versions_read(before.state):
                return now
            return replace(now, worked=as_read(now.worked, read))
        worked = Reckoning(self.name, known, state).day(self.day.kit, self.day.plan)
        now = Moment(self.name, entries, state, kit, self.day.kit, known, worked, False)
        return replace(now, worked=self.one_failure(now), tried=True) if self._tries else now

    def work_out(self, kit: Kit, plan: Plan) -> WorkedDay:
        """A kit, as far as it can be counted on, and a plan worked out as this job's day is."""
        return self.now.reckoning.counted(kit, plan)

    @staticmethod
    def one_failure(now: Moment) -> WorkedDay:
        """The day of a moment with R11 answered; it takes a while, and changes nothing here."""
        return with_one_failure(now.worked, now.gone)

    def take_failures(self, of: WorkedDay, answered: WorkedDay) -> None:
        """Takes in the answer to R11, unless the day is another by now."""
        if self.now.worked is of:
            self.now = replace(self.now, worked=answered, tried=True)

    def what_if(self, what: WhatIf) -> WorkedDay:
        """The day as it would be, but for R11; nothing is recorded, and nothing here is changed.

        Raises:
            NotPossible: where no day can be so.
        """
        kit, plan = changed(self.day.kit, self.day.plan, what)
        return self.now.reckoning.day(kit, plan)

    def with_swap(self, lost: str, by: str) -> WorkedDay:
        """The day as it would be with a unit in another's place, but for R11; nothing changes."""
        return self.now.reckoning.swapped(lost, by).day(self.day.kit, self.day.plan)

    def with_files(self, day: Day) -> WorkedDay:
        """The day as it would be with its files changed, but for R11; nothing here is changed."""
        return self.now.reckoning.day(day.kit, day.plan)

    def on(self, day: Day) -> "Job":
        """Another day's job on the same ledger, or this one's with its files changed."""
        return Job(day, self.ledger, self.who, self.how, self._tries)

    def substitutes(self, lost: str) -> tuple[str, ...]:
        """Units that can stand in for one that fails, what is packed first; see Moment."""
        return self.now.substitutes(lost)

    def why_none(self, lost: str) -> tuple[str, ...]:
        """Why no other unit can stand in for one that fails: units, and what is in their way."""
        return self.now.why_none(lost)

    def where(self, tag: str) -> str:
        """Where a unit is while the kit is out, where it is not with it; see Moment."""
        return self.now.where(tag)

    def chosen_anew(self) -> WorkedDay | None:
        """The day as it would be were all chosen anew among what is in the bag; None where the kit
        is not out, or that serves no more than now."""
        then = self.now.reckoning.chosen_anew()
        if then is None:
            return None
        anew = then.day(self.day.kit, self.day.plan)
        return anew if served(anew) > served(self.now.worked) else None

    # What is recorded

    def record(self, item: str, kind: str, how: str | None = None, **facts: Any) -> JobState:
        """Records one event and returns the state after it.

        Raises:
            Overtaken: where someone else's event on the item came first; the state then shows it.
            Contested: where another job has the unit at the same hours; both jobs' logs show it.
            LedgerError: where it could not be written, and nothing is shown. The same call again
                finds what was written after all, and never writes it twice. Refused where the job
                is closed, NotNow where that cannot be said of the job as it stands.
        """
        return self.record_all([(item, kind, facts)], how)

    def record_all(self, events: Sequence[Told], how: str | None = None) -> JobState:
        """Records events together, all or none; raises as :meth:`record`."""
        if not events:
            return self.state
        before, minute = self.state, self.minute()
        events = [in_its_minute(event, minute) for event in events]
        if self._unsent is not None and self._unsent.events == events:
            self.refresh()
            if self._unsent is None:
                return self.state  # it was recorded after all
        if self.state.stage == "closed":
            raise Refused(
                f"{self.name} is closed, and nothing is added to it; kitprep clear says that a "
                "unit is fit, or back, for the next plans"
            )
        for item, kind, facts in events:
            if why := why_not(self.worked, self.state, item, kind, facts):
                raise NotNow(why)
        telling = self._telling(how)
        seen = {key: state.seen for key, state in before.items.items()}
        all_told = [told for event in events for told in telling.with_what_follows(event)]
        for attempt in range(_TRIES):
            contest = telling.contest(all_told, seen, self._seen_by)
            sending = contest[1] if contest else telling.drafts(all_told, seen)
            self._unsent = None if contest else Unsent(events, sending[0].id)
            try:
                self._append(sending)
            except Overtaken as told:
                others = self._only_others_spoke(told.draft, before, all_told)
                if not others or attempt + 1 == _TRIES:
                    raise
                if told.draft.job == self.name:
                    seen[told.draft.item] = self.state.item(told.draft.item).seen
                telling = replace(telling, now=self.now)
                continue
            if contest:
                raise contest[0]
            break
        return self.state

    def _only_others_spoke(self, draft: Draft, before: JobState, events: Sequence[Told]) -> bool:
        """Whether what came first is another job's word on a unit, which is no word on our line.

        That a unit which is being packed was found unfit is one all the same.
        """
        if draft.job == self.name:
            return self.state.item(draft.item).ours == before.item(draft.item).ours
        packing = any(
            kind == "claimed" and item == draft.item
            for item, kind, _ in self._telling(None).of_kit(events)
        )
        return not (packing and self.kit.unit(draft.item).unfit_for(self.name))

    def advance(self, stage: Stage, note: str = "") -> JobState:
        """Records that the job has reached a stage."""
        return self.record(JOB, "stage", stage=stage, note=note)

    def clear(self, tag: str, note: str) -> None:
        """Records that a unit that came back unfit can be planned with again."""
        seen = {tag: self.kit.unit(tag).seen}
        told: Sequence[Told] = [(tag, "cleared", {"note": note})]
        self._append(drafts(self.day.kit.kit, told, self._hand(None), seen, _new_id))

    def _append(self, sending: Sequence[Draft]) -> None:
        try:
            self.ledger.append(sending)
        except Stale as stale:
            self._unsent = None
            self.refresh()
            raise Overtaken(stale) from stale
        except Refused:
            self._unsent = None
            raise
        self.refresh()
        self._unsent = None
        self._kit_stream.sum_up(self._summary)

    def _summary(self, stream: str, item: str, seen: int, facts: Mapping[str, Any]) -> Draft:
        told: Sequence[Told] = [(item, "summed up", facts)]
        return drafts(stream, told, self._hand(None), {item: seen}, _new_id)[0]

    def _telling(self, how: str | None) -> Telling:
        return Telling(self.now, self._units, self._have, self._hand(how), _new_id)

    def _seen_by(self, job: str, item: str) -> int:
        """The newest entry of another job on an item."""
        return fold(self.ledger.entries(job)).item(item).seen

    def _hand(self, how: str | None) -> Hand:
        return Hand(self.who, how or self.how, _now())

    def minute(self) -> int:
        """The minute of the job's day that the wall clock shows; before it, less than 0."""
        midnight = datetime.combine(self.day.plan.day, clock_time())
        return int((local_now() - midnight) // timedelta(minutes=1))


def local_now() -> datetime:
    """The wall clock, without a zone, as call sheets count."""
    return datetime.now()


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _new_id() -> str:
    return new_id(time.time_ns() // 1_000_000, os.urandom(10))
