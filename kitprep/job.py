"""A job under way: a day plan, its worked-out answer, and the ledger beside it.

The one place where the clock, the user's name and the ledger meet the pure parts. Every event is in
the ledger, committed, before the state that shows it is returned. What the ledger knows changes the
plan too: units that came back unfit are not planned with, and what was swapped stays swapped. Once
the kit has gone out the list is what went: what other jobs give back changes it no more.
"""

import getpass
import os
import time
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.plan import Plan
from kitprep.ledger.claims import Claim, KitState, hours
from kitprep.ledger.entries import Draft, new_id
from kitprep.ledger.errors import Contested, Refused, Stale
from kitprep.ledger.events import JOB, JobState, Stage, fold
from kitprep.ledger.kit_stream import KitStream
from kitprep.ledger.telling import Hand, Overtaken, Told, Unsent, drafts, for_kit
from kitprep.planning.day import stand_ins, work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.packing import unit_names
from kitprep.planning.results import WorkedDay
from kitprep.planning.whatif import WhatIf, changed

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger

__all__ = ["Job", "Overtaken", "Told", "job_name", "local_now", "user_name"]

_TRIES = 8
"""How often what other jobs say of a unit may come in between before it is given up."""


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
    """A day with its ledger. ``state`` is the fold of all its events read so far."""

    def __init__(self, day: Day, ledger: "Ledger", who: str, how: str) -> None:
        self.day = day
        self.ledger = ledger
        self.name = job_name(day)
        self._units = unit_names(day.kit)
        self.who = who
        self.how = how
        self._unsent: Unsent | None = None
        self.state = fold(ledger.entries(self.name))
        self._kit_stream = KitStream(ledger, day.kit.kit)
        self._missing = self._missing_when_fixed(self.state)
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
        ledger = Ledger.open(url)
        try:
            return cls(day, ledger, who, how)
        except BaseException:
            ledger.close()
            raise

    def close(self) -> None:
        """Lets go of the ledger; nothing is pending, ever."""
        self.ledger.close()

    # What is read

    def refresh(self) -> bool:
        """Takes in what others have recorded; True where there was anything."""
        newer = self.ledger.entries(self.name, after=self.state.head)
        of_kit = self._kit_stream.newer()
        state, missing = fold(newer, self.state), self._missing
        if state.fixed_at != self.state.fixed_at:
            missing = self._missing_when_fixed(state)
        before = self._plan_facts()
        self.state, self._missing = state, missing
        self._kit_stream.take(of_kit)
        if self._plan_facts() != before:
            self.worked = self._work_out()
        if self._unsent is not None and self._unsent.drafts[0].id in {e.id for e in newer}:
            self._unsent = None  # it was recorded after all, and now shows
        return bool(newer or of_kit)

    def _missing_when_fixed(self, state: JobState) -> frozenset[str] | None:
        """What was not usable when the kit went out; None while it has not."""
        if not state.fixed_at:
            return None
        return self._kit_stream.at(state.fixed_at).unusable(self.name)

    @property
    def kit(self) -> KitState:
        """Who has each unit, over all the kit's jobs."""
        return self._kit_stream.state

    @property
    def missing(self) -> frozenset[str]:
        """The units that the day is worked out without, for what they came back as elsewhere."""
        return self.kit.unusable(self.name) if self._missing is None else self._missing

    @property
    def found_unfit(self) -> dict[str, str]:
        """Units that this job has packed and another job has given back as unfit, with what."""
        return {
            tag: record.condition or ""
            for tag, record in self.kit.units.items()
            if record.claimed_by(self.name) and record.unfit_for(self.name)
        }

    @property
    def contested(self) -> dict[str, tuple[str, ...]]:
        """Units of this job that another job wanted or has at the same hours, with those jobs."""
        found = {}
        for tag, record in self.kit.units.items():
            if record.claimed_by(self.name):
                other = self.kit.clash(tag, self._claim(tag))
                jobs = [wants for wants, has in record.contests if has == self.name]
                jobs += [other.job] if other else []
                if jobs:
                    found[tag] = tuple(dict.fromkeys(jobs))
        return found

    def _plan_facts(self) -> tuple[object, ...]:
        """What the ledger says that the plan depends on."""
        state = self.state
        return self.missing, state.swaps, state.spares, state.withdrawn

    @property
    def _swapped_out(self) -> frozenset[str]:
        return frozenset(lost for lost, _ in self.state.swaps)

    @property
    def _without(self) -> frozenset[str]:
        """What is not planned with; a unit that was swapped out is, for its place to be taken."""
        return (self.missing | self.state.withdrawn) - self._swapped_out

    def _work_out(self) -> WorkedDay:
        worked, gone = self._worked(self.day.kit, self.day.plan)
        return with_one_failure(worked, gone)

    def _worked(self, kit: Kit, plan: Plan) -> tuple[WorkedDay, frozenset[str]]:
        """A kit and a plan worked out with what the ledger says, and what that takes away."""
        state, gone = self.state, self._without | self._swapped_out
        worked = work_out(
            kit, plan, without=self._without, swaps=state.swaps, spares=state.spares - gone
        )
        return worked, gone

    def what_if(self, what: WhatIf) -> WorkedDay:
        """The day as it would be, but for R11; nothing is recorded, and nothing here is changed.

        Raises:
            NotPossible: where no day can be so.
        """
        kit, plan = changed(self.day.kit, self.day.plan, what)
        return self._worked(kit, plan)[0]

    def substitutes(self, lost: str) -> tuple[str, ...]:
        """Units that can stand in for one that fails, what is packed first.

        Last comes the unit that it stood in for itself: so a wrong swap is taken back.
        """
        packed = [key for key, state in self.state.items.items() if state.packed]
        kit, plan, swaps = self.day.kit, self.day.plan, self.state.swaps
        able = stand_ins(kit, plan, self._without, swaps, lost, packed)
        claim, unfit = self._claim(lost), self.kit.unusable(self.name)
        here = [tag for tag in able if tag not in unfit and self.kit.clash(tag, claim) is None]
        return (*here, *(was for was, by in swaps if by == lost))

    # What is recorded

    def record(self, item: str, kind: str, how: str | None = None, **facts: Any) -> JobState:
        """Records one event and returns the state after it.

        Raises:
            Overtaken: where someone else's event on the item came first; the state then shows it.
            Contested: where another job has the unit at the same hours; both jobs' logs show it.
            LedgerError: where it could not be written; nothing is shown, and :meth:`again` or the
                same call sends the very same once more.
        """
        return self.record_all([(item, kind, facts)], how)

    def record_all(self, events: Sequence[Told], how: str | None = None) -> JobState:
        """Records events together, all or none; raises as :meth:`record`."""
        if not events:
            return self.state
        if self._unsent is not None and self._unsent.events == list(events):
            return self.again()
        before, hand = self.state, self._hand(how)
        seen = {key: state.seen for key, state in before.items.items()}
        all_told = [told for event in events for told in self._with_what_follows(event)]
        for attempt in range(_TRIES):
            contest = self._contest(all_told, hand, seen)
            sending = contest[1] if contest else self._all_drafts(all_told, hand, seen)
            self._unsent = None if contest else Unsent(list(events), sending)
            try:
                self._append(sending)
            except Overtaken as told:
                others = self._only_others_spoke(told.draft, before, all_told)
                if not others or attempt + 1 == _TRIES:
                    raise
                if told.draft.job == self.name:
                    seen[told.draft.item] = self.state.item(told.draft.item).seen
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
            for event in events
            for item, kind, _ in self._of_kit(event)
        )
        return not (packing and self.kit.unit(draft.item).unfit_for(self.name))

    def again(self) -> JobState:
        """Sends once more what the ledger failed on, under the same ids: it is never there twice.

        Raises as :meth:`record`; with nothing unsent the state is returned as it is.
        """
        if self._unsent is not None:
            self._append(self._unsent.drafts)
        return self.state

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

    def _all_drafts(
        self, events: Sequence[Told], hand: Hand, seen: Mapping[str, int]
    ) -> list[Draft]:
        """The job's own events first, so that who was first on a line shows before its unit."""
        of_kit = [told for event in events for told in self._of_kit(event)]
        kit_seen = {tag: record.seen for tag, record in self.kit.units.items()}
        return [
            *drafts(self.name, events, hand, seen, _new_id),
            *drafts(self.day.kit.kit, of_kit, hand, kit_seen, _new_id),
        ]

    def _hand(self, how: str | None) -> Hand:
        return Hand(self.who, how or self.how, _now())

    def _with_what_follows(self, event: Told) -> Iterator[Told]:
        """What stands in for a unit while the job is out goes out with that, and must come back."""
        yield event
        item, kind, facts = event
        by = str(facts.get("by", ""))
        out = self.state.stage in ("out", "returned")
        if kind == "swapped" and out and by in self._units and not self.state.item(by).packed:
            yield by, "packed", {"qty": 1, "for": item}

    def _of_kit(self, event: Told) -> list[Told]:
        """What an event says of a unit to its whole kit."""
        if event[0] not in self._units:
            return []
        return for_kit(event, bool(self.state.item(event[0]).packed), self._claim)

    # Between jobs

    def _claim(self, tag: str) -> Claim:
        on, off = hours(self.worked, tag)
        return Claim(self.name, self.day.plan.day.isoformat(), on, off, self.who, "")

    def _contest(
        self, events: Sequence[Told], hand: Hand, seen: Mapping[str, int]
    ) -> tuple[Contested, list[Draft]] | None:
        """Where another job has a unit that is being claimed: what is said of it in both logs."""
        kit = self.day.kit.kit
        for item, kind, facts in (told for event in events for told in self._of_kit(event)):
            if kind != "claimed":
                continue
            claim = Claim(self.name, facts["day"], facts["on"], facts["off"], self.who, "")
            other = self.kit.clash(item, claim)
            if other is None:
                continue
            theirs = fold(self.ledger.entries(other.job)).item(item).seen
            by: Sequence[Told] = [(item, "contested", {"by": other.job})]
            wanted: Sequence[Told] = [(item, "wanted", {"by": self.name})]
            of_kit: Sequence[Told] = [(item, "contested", {"job": self.name, "by": other.job})]
            return Contested(item, other.job, other.who, other.at), [
                *drafts(self.name, by, hand, seen, _new_id),
                *drafts(other.job, wanted, hand, {item: theirs}, _new_id),
                *drafts(kit, of_kit, hand, {item: self.kit.unit(item).seen}, _new_id),
            ]
        return None


def local_now() -> datetime:
    """The wall clock, without a zone, as call sheets count."""
    return datetime.now()


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _new_id() -> str:
    return new_id(time.time_ns() // 1_000_000, os.urandom(10))
