"""A job at one moment: what the ledger adds up to, and the day worked out with it."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from kitprep.definitions.kit import Kit
from kitprep.ledger.claims import Claim, KitState, hours
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import JobState
from kitprep.ledger.known import Known, over_claimed
from kitprep.ledger.reckoning import Reckoning
from kitprep.planning.held import names_by_number, numbers
from kitprep.planning.packing import find_units, unit_names
from kitprep.planning.results import WorkedDay


@dataclass(frozen=True)
class Moment:
    """A job's events, the state of it and of its kit, and its day.

    It never changes, so that a screen can be drawn from it while the next one is being made.
    ``entries`` are the job's own; ``files`` is the kit as its files say; ``known`` is what the day
    is worked out with of the rest of the kit; ``tried`` says whether R11 is answered.
    """

    name: str
    entries: tuple[Entry, ...]
    state: JobState
    kit: KitState
    files: Kit
    known: Known
    worked: WorkedDay
    tried: bool

    @property
    def reckoning(self) -> Reckoning:
        """What the day is worked out with."""
        return Reckoning(self.name, self.known, self.state)

    def substitutes(self, lost: str) -> tuple[str, ...]:
        """Units that can stand in for one that fails, what is packed first.

        Last comes the unit that it stood in for itself: so a wrong swap is taken back.
        """
        able = self.reckoning.able_to_stand_in(self.worked, lost)
        claim, unfit = self.claim(lost), self.kit.unusable(self.name)
        here = [tag for tag in able if tag not in unfit and self.kit.clash(tag, claim) is None]
        return (*here, *(was for was, by in self.state.swaps if by == lost))

    def why_none(self, lost: str) -> tuple[str, ...]:
        """Why no other unit can stand in for one that fails: units, and what is in their way."""
        claim = self.claim(lost)
        clashes = {tag: self.kit.clash(tag, claim) for tag in self.kit.units}
        items = self.state.items.items()
        elsewhere = {
            tag: f"left out: {item.skipped}" if item.skipped else "left out at packing"
            for tag, item in items
            if item.skipped is not None and not item.packed
        }
        elsewhere |= dict.fromkeys(self.kit.unusable(self.name), "came back unfit, or not at all")
        elsewhere |= {tag: f"out on {other.job}" for tag, other in clashes.items() if other}
        return tuple(each.says for each in self.reckoning.why_none(self.worked, lost, elsewhere))

    def where(self, tag: str) -> str:
        """Where a unit is while the kit is out and it is not with it, or who has it; empty where it
        is there."""
        state = self.state.item(tag)
        if not self.state.is_out:
            return ""
        if state.packed:
            return f"with {state.holder}" if state.holder else ""
        model, unit = find_units(self.files).get(tag, (None, None))
        case = (unit.case if unit else None) or (model.case if model else None)
        names = {c.id: c.name for c in self.files.cases}
        return "not in the bag: at base" + (f", {names.get(case, case)}" if case else "")

    @property
    def missing(self) -> frozenset[str]:
        """The units that the day is worked out without, for what they came back as elsewhere."""
        return self.known.missing

    @property
    def without(self) -> frozenset[str]:
        """What is not planned with; a unit that was swapped out is, for its place to be taken."""
        not_counted = {each.key for each in self.worked.not_counted if each.qty is None}
        return (self.state.withdrawn | not_counted) - self.swapped_out

    @property
    def swapped_out(self) -> frozenset[str]:
        """The units that others stand in for."""
        return frozenset(lost for lost, _ in self.state.swaps)

    @property
    def gone(self) -> frozenset[str]:
        """What nobody can count on for the whole day, as a spare must be: with what others have at
        hours at which this job does not want it."""
        in_use = {tag for x in self.worked.links for tag in (x.transmitter, x.adapter, x.receiver)}
        here = self.state.out.joined if self.state.out else frozenset()
        elsewhere = self.known.claimed.keys() - in_use - here
        return self.without | self.swapped_out | elsewhere

    @property
    def found_unfit(self) -> dict[str, str]:
        """Units that this job has packed and another job has given back as unfit, with what."""
        return {
            tag: record.condition or ""
            for tag, record in self.kit.units.items()
            if record.claimed_by(self.name) and record.unfit_for(self.name)
        }

    @cached_property
    def contested(self) -> dict[str, tuple[str, ...]]:
        """What this job has packed and another job wanted or has at the same hours, with those
        jobs; of what goes by number, where they have more between them than there is."""
        found = over_claimed(self.claim(""), self.files, self.kit)
        units = unit_names(self.files)
        for tag, record in self.kit.units.items():
            if tag in units and record.claimed_by(self.name):
                other = self.kit.clash(tag, self.claim(tag))
                jobs = [wants for wants, has in record.contests if has == self.name]
                jobs += [other.job] if other else []
                if jobs:
                    found[tag] = tuple(dict.fromkeys(jobs))
        return found

    def says_contested(self, keys: Iterable[str]) -> str:
        """Who else has or wants what this job has packed of these; empty where nobody does."""
        have, said = numbers(self.files), []
        names = names_by_number(self.files)
        for key in dict.fromkeys(keys):
            jobs = self.contested.get(key, ())
            if jobs and key in have:
                claims = [c for c in self.kit.unit(key).claims if c.job in jobs]
                theirs = ", ".join(f"{c.job} has {c.qty}, packed by {c.who}" for c in claims)
                said.append(f"{names[key]}: {have[key]} in the kit, and {theirs}")
            elif jobs:
                said.append(f"{key} is wanted at the same hours by {', '.join(jobs)}")
        return f"{'; '.join(said)}: settle it with them" if said else ""

    def claim(self, tag: str, who: str = "") -> Claim:
        """What the job says of a unit that it packs: its day and hours."""
        on, off = hours(self.worked, tag)
        return Claim(self.name, self.worked.plan.day.isoformat(), on, off, who, "")


def plan_facts(known: Known, state: JobState) -> tuple[object, ...]:
    """What the ledger says that the plan depends on."""
    return known, state.swaps, state.spares, state.withdrawn, state.out
