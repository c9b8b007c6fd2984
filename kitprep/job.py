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
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from datetime import time as clock_time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.plan import Plan
from kitprep.ledger.claims import Claim, KitState, hours
from kitprep.ledger.entries import Draft, Entry, new_id
from kitprep.ledger.errors import Contested, Refused, Stale
from kitprep.ledger.events import JOB, OF_A_MINUTE, JobState, Stage, fold, with_swap
from kitprep.ledger.kit_stream import KitStream
from kitprep.ledger.known import Known, known_to, on_another_job
from kitprep.ledger.moment import Moment, plan_facts
from kitprep.ledger.names import job_name
from kitprep.ledger.telling import Hand, Overtaken, Told, Unsent, drafts, for_kit
from kitprep.planning.day import stand_ins, work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.held import numbers, with_less
from kitprep.planning.on_set import OnSet
from kitprep.planning.packing import find_units, unit_names
from kitprep.planning.results import NotCounted, WorkedDay
from kitprep.planning.whatif import WhatIf, changed

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
        if self._unsent is not None and self._unsent.drafts[0].id in {e.id for e in newer}:
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
            return replace(before, entries=entries, state=state, kit=kit)
        worked = self._worked(self.day.kit, self.day.plan, known, state)
        now = Moment(self.name, entries, state, kit, self.day.kit, known, worked, False)
        return replace(now, worked=self.one_failure(now), tried=True) if self._tries else now

    def _worked(self, kit: Kit, plan: Plan, known: Known, state: JobState) -> WorkedDay:
        """A kit as its files say, and a plan, worked out with what the ledger says."""
        return self._with_others(with_less(kit, known.less), plan, known, state)

    def _with_others(self, kit: Kit, plan: Plan, known: Known, state: JobState) -> WorkedDay:
        """Without the units that another job has at the hours at which they would be wanted."""
        not_counted = known.not_counted
        while True:
            worked = self._again(kit, plan, not_counted, state)
            taken = [tag for tag in known.claimed if self._clashes(worked, tag, known)]
            if not taken:
                return replace(worked, notices=(*worked.notices, *known.expected))
            not_counted += tuple(on_another_job(tag, known.claimed[tag]) for tag in taken)

    def _clashes(self, worked: WorkedDay, tag: str, known: Known) -> bool:
        """Whether a unit is planned for hours at which another job has it."""
        in_use = {t for x in worked.links for t in (x.transmitter, x.adapter, x.receiver)}
        if tag not in in_use | {line.key for line in worked.packing}:
            return False
        on, off = hours(worked, tag)
        day = worked.plan.day.isoformat()
        return Claim(self.name, day, on, off, self.who, "").clashes(known.claimed[tag])

    def _again(
        self, kit: Kit, plan: Plan, not_counted: tuple[NotCounted, ...], state: JobState
    ) -> WorkedDay:
        swapped_out = frozenset(lost for lost, _ in state.swaps)
        unfit = frozenset(each.key for each in not_counted if each.qty is None)
        gone = unfit | state.withdrawn | swapped_out
        without, swaps, out = self._happened(state)
        return work_out(
            kit,
            plan,
            without=without,
            swaps=swaps,
            spares=state.spares - gone,
            not_counted=not_counted,
            out=out,
        )

    def _happened(
        self, state: JobState
    ) -> tuple[frozenset[str], tuple[tuple[str, str], ...], OnSet | None]:
        """What had failed when the kit went out, or has by now; and once it is out, what since."""
        if state.out is None:
            return state.withdrawn - {lost for lost, _ in state.swaps}, state.swaps, None
        was = state.out
        steps = tuple(s for s in was.steps if s[0] == "chosen anew" or s[1] in self._units)
        out = OnSet(was.packed & self._units, steps)
        return was.withdrawn - {lost for lost, _ in was.swaps}, was.swaps, out

    def work_out(self, kit: Kit, plan: Plan) -> WorkedDay:
        """A kit, as far as it can be counted on, and a plan worked out as this job's day is."""
        return self._with_others(kit, plan, self.now.known, self.now.state)

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
        now = self.now
        return self._worked(kit, plan, now.known, now.state)

    def with_swap(self, lost: str, by: str) -> WorkedDay:
        """The day as it would be with a unit in another's place, but for R11; nothing changes."""
        now = self.now
        state = with_swap(now.state, lost, by)
        return self._worked(self.day.kit, self.day.plan, now.known, state)

    def with_files(self, day: Day) -> WorkedDay:
        """The day as it would be with its files changed, but for R11; nothing here is changed."""
        now = self.now
        return self._worked(day.kit, day.plan, now.known, now.state)

    def on(self, day: Day) -> "Job":
        """Another day's job on the same ledger, or this one's with its files changed."""
        return Job(day, self.ledger, self.who, self.how, self._tries)

    def substitutes(self, lost: str) -> tuple[str, ...]:
        """Units that can stand in for one that fails, what is packed first.

        Last comes the unit that it stood in for itself: so a wrong swap is taken back.
        """
        now = self.now
        packed = [key for key, state in now.state.items.items() if state.packed]
        unfit = frozenset(each.key for each in now.worked.not_counted if each.qty is None)
        without, swaps, out = self._happened(now.state)
        without |= unfit - {lost for lost, _ in swaps}
        able = stand_ins(now.worked.kit, self.day.plan, without, swaps, lost, packed, out)
        claim, unfit = self._claim(lost), now.kit.unusable(self.name)
        here = [tag for tag in able if tag not in unfit and now.kit.clash(tag, claim) is None]
        return (*here, *(was for was, by in now.state.swaps if by == lost))

    def where(self, tag: str) -> str:
        """Where a unit is while the kit is out and it is not with it; empty where it is there."""
        units = find_units(self.day.kit)
        if self.state.stage not in ("out", "returned") or self.state.item(tag).packed:
            return ""
        model, unit = units.get(tag, (None, None))
        case = (unit.case if unit else None) or (model.case if model else None)
        names = {c.id: c.name for c in self.day.kit.cases}
        return "not in the bag: at base" + (f", {names.get(case, case)}" if case else "")

    def chosen_anew(self) -> WorkedDay | None:
        """The day as it would be were all chosen anew among what is in the bag; None where the kit
        is not out, or that serves no more than now."""
        now = self.now
        if now.state.out is None:
            return None
        out = now.state.out.then(("chosen anew", "", ""))
        anew = self._worked(self.day.kit, self.day.plan, now.known, replace(now.state, out=out))
        return anew if _served(anew) > _served(now.worked) else None

    # What is recorded

    def record(self, item: str, kind: str, how: str | None = None, **facts: Any) -> JobState:
        """Records one event and returns the state after it.

        Raises:
            Overtaken: where someone else's event on the item came first; the state then shows it.
            Contested: where another job has the unit at the same hours; both jobs' logs show it.
            LedgerError: where it could not be written; nothing is shown, and :meth:`again` or the
                same call sends the very same once more. Refused where the job is closed.
        """
        return self.record_all([(item, kind, facts)], how)

    def record_all(self, events: Sequence[Told], how: str | None = None) -> JobState:
        """Records events together, all or none; raises as :meth:`record`."""
        if not events:
            return self.state
        if self._unsent is not None and self._unsent.events == list(events):
            return self.again()
        if self.state.stage == "closed":
            raise Refused(
                f"{self.name} is closed, and nothing is added to it; kitprep clear says that a "
                "unit is fit, or back, for the next plans"
            )
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
        item, kind, facts = event
        if kind in OF_A_MINUTE and "minute" not in facts:
            facts = {**facts, "minute": self.minute()}
        yield item, kind, facts
        by = str(facts.get("by", ""))
        out = self.state.stage in ("out", "returned")
        if kind == "swapped" and out and by in self._units and not self.state.item(by).packed:
            yield by, "added", {"qty": 1, "for": item}

    def minute(self) -> int:
        """The minute of the job's day that the wall clock shows; before it, less than 0."""
        midnight = datetime.combine(self.day.plan.day, clock_time())
        return int((local_now() - midnight) // timedelta(minutes=1))

    def _of_kit(self, event: Told) -> list[Told]:
        """What an event says to the whole kit."""
        item = event[0]
        if item not in self._units and item not in self._have:
            return []
        of = None if item in self._units else self._have[item]
        return for_kit(event, self.state.item(item), of, self._claim)

    # Between jobs

    def _claim(self, tag: str) -> Claim:
        return self.now.claim(tag, self.who)

    def _contest(
        self, events: Sequence[Told], hand: Hand, seen: Mapping[str, int]
    ) -> tuple[Contested, list[Draft]] | None:
        """Where another job has a unit that is being claimed: what is said of it in both logs."""
        kit = self.day.kit.kit
        for item, kind, facts in (told for event in events for told in self._of_kit(event)):
            if kind != "claimed" or item not in self._units:
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


def _served(day: WorkedDay) -> tuple[int, ...]:
    """Links served of priority 1, 2 and 3."""
    priority = {source.id: source.priority for source in day.plan.sources}
    return tuple(sum(priority[link.source] == p for link in day.links) for p in (1, 2, 3))


def local_now() -> datetime:
    """The wall clock, without a zone, as call sheets count."""
    return datetime.now()


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _new_id() -> str:
    return new_id(time.time_ns() // 1_000_000, os.urandom(10))
