"""The day worked out with what the ledger says.

Units that came back unfit are not planned with, and what was swapped stays swapped. Once the kit
has gone out its day is the one that went, with what happened since taken in turn. Pure.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.ledger.claims import Claim, hours
from kitprep.ledger.events import NOT_CHECKED, JobState, with_swap
from kitprep.ledger.known import Known, on_another_job, still_out
from kitprep.planning.day import work_out
from kitprep.planning.firmware import as_read
from kitprep.planning.held import with_less
from kitprep.planning.on_set import OnSet
from kitprep.planning.packing import unit_names
from kitprep.planning.pool import natural
from kitprep.planning.results import NotCounted, VersionRead, WorkedDay
from kitprep.planning.stand_ins import stand_ins, why_none
from kitprep.planning.why_not import Hindered


@dataclass(frozen=True)
class Reckoning:
    """What a job's day is worked out with: what is known of the rest of the kit, and its events."""

    job: str
    known: Known
    state: JobState

    def day(self, kit: Kit, plan: Plan) -> WorkedDay:
        """A kit as its files say, and a plan, worked out, but for R11."""
        return self.counted(with_less(kit, self.known.less), plan)

    def counted(self, kit: Kit, plan: Plan) -> WorkedDay:
        """The same of a kit as far as it can be counted on.

        Without the units that another job has at the hours at which they would be wanted.
        """
        not_counted = self.known.not_counted
        while True:
            worked = self._without(kit, plan, not_counted)
            named = {each.key for each in not_counted}
            taken = [t for t in self.known.claimed.keys() - named if self._clashes(worked, t)]
            if not taken:
                return self._told(worked)
            not_counted += tuple(
                on_another_job(tag, self.known.claimed[tag]) for tag in sorted(taken, key=natural)
            )

    def _told(self, worked: WorkedDay) -> WorkedDay:
        """The day with what is said beside it. What has joined since the kit went out was elsewhere
        when it was chosen, and is here now."""
        here = self.state.out.joined if self.state.out else frozenset()
        there = tuple(each for each in worked.not_counted if each.key not in here)
        notices = (*worked.notices, *self.known.expected)
        told = replace(worked, notices=notices, not_counted=there)
        return as_read(told, versions_read(self.state))

    def swapped(self, lost: str, by: str) -> "Reckoning":
        """The same after a swap."""
        return replace(self, state=with_swap(self.state, lost, by))

    def chosen_anew(self) -> "Reckoning | None":
        """The same after all was chosen anew among what is in the bag; None before it is out."""
        if self.state.out is None:
            return None
        out = self.state.out.then(("chosen anew", "", ""))
        return replace(self, state=replace(self.state, out=out))

    def able_to_stand_in(self, worked: WorkedDay, lost: str) -> tuple[str, ...]:
        """Units that could take a unit's place in the day as worked out, what is packed first."""
        packed = [key for key, state in self.state.items.items() if state.packed]
        without, swaps, out = self._failed(worked)
        return stand_ins(worked.kit, worked.plan, without, swaps, lost, packed, out)

    def why_none(
        self, worked: WorkedDay, lost: str, elsewhere: Mapping[str, str]
    ) -> tuple[Hindered, ...]:
        """What stands in the way of the other units of a lost one's kind.

        ``elsewhere`` says of units that other jobs have, or gave back unfit, what of them.
        """
        without, swaps, out = self._failed(worked)
        unfit = {each.key: each.what for each in worked.not_counted if each.qty is None}
        return why_none(worked.kit, worked.plan, without, swaps, lost, out, {**unfit, **elsewhere})

    def _failed(
        self, worked: WorkedDay
    ) -> tuple[frozenset[str], Sequence[tuple[str, str]], OnSet | None]:
        """What cannot take another's place, beside what happened."""
        unfit = frozenset(each.key for each in worked.not_counted if each.qty is None)
        without, swaps, out = self._happened(worked.kit)
        return without | (unfit - {was for was, _ in swaps}), swaps, out

    def _clashes(self, worked: WorkedDay, tag: str) -> bool:
        """Whether a unit is planned for hours at which another job has it."""
        if tag not in _planned(worked):
            return False
        on, off = hours(worked, tag)
        day = worked.plan.day.isoformat()
        return Claim(self.job, day, on, off, "", "").overlaps(self.known.claimed[tag])

    def _still_out(self, worked: WorkedDay) -> Iterator[str]:
        """Units on a job of another day that runs into this one, and done by when they are wanted
        here."""
        out: dict[str, list[str]] = {}
        for tag in self.known.claimed.keys() & _planned(worked):
            claim = self.known.claimed[tag]
            if claim.day != worked.plan.day.isoformat():
                out.setdefault(claim.job, []).append(tag)
        return still_out(out)

    def _without(self, kit: Kit, plan: Plan, not_counted: tuple[NotCounted, ...]) -> WorkedDay:
        state = self.state
        swapped_out = frozenset(lost for lost, _ in state.swaps)
        unfit = frozenset(each.key for each in not_counted if each.qty is None)
        without, swaps, out = self._happened(kit)
        return work_out(
            kit,
            plan,
            without=without,
            swaps=swaps,
            spares=state.spares - (unfit | state.withdrawn | swapped_out),
            not_counted=not_counted,
            out=out,
        )

    def _happened(self, kit: Kit) -> tuple[frozenset[str], Sequence[tuple[str, str]], OnSet | None]:
        """What had failed when the kit went out, or has by now; and once it is out, what since."""
        state = self.state
        if state.out is None:
            return state.withdrawn - {lost for lost, _ in state.swaps}, state.swaps, None
        was, units = state.out, unit_names(kit)
        steps = tuple(s for s in was.steps if s[0] == "chosen anew" or s[1] in units)
        left_out = tuple(
            (tag, item.skipped)
            for tag, item in sorted(state.items.items())
            if tag in units and item.skipped is not None and not item.packed
        )
        return (
            was.withdrawn - {lost for lost, _ in was.swaps},
            was.swaps,
            OnSet(was.packed & units, steps, left_out),
        )


def _planned(day: WorkedDay) -> set[str]:
    """What a day has in use or on its list."""
    in_use = {t for x in day.links for t in (x.transmitter, x.adapter, x.receiver) if t}
    return in_use | {line.key for line in day.packing}


def served(day: WorkedDay) -> tuple[int, ...]:
    """Links served of priority 1, 2 and 3."""
    priority = {source.id: source.priority for source in day.plan.sources}
    return tuple(sum(priority[link.source] == p for link in day.links) for p in (1, 2, 3))


def versions_read(state: JobState) -> dict[str, VersionRead]:
    """What units showed when they were looked at for this job, by tag."""
    return {
        tag: VersionRead(tag, item.checks["firmware"], item.checked_at["firmware"])
        for tag, item in state.items.items()
        if item.checks.get("firmware", NOT_CHECKED) != NOT_CHECKED
    }
