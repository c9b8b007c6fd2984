"""What a kit's ledger says to one job's plan: what it cannot count on, and what others have.

Of what goes by number a job can count on the kit's figure less what earlier jobs used up or did not
bring back, for as long as the file still has the figure that it had then: another figure there is
somebody's new count. Cells that are not charged again are gone with whatever job has them in its
bag; all else that goes by number is with another job only at its hours. Pure.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from kitprep.definitions.kit import Kit
from kitprep.ledger.claims import Claim, KitState, UnitRecord
from kitprep.planning.held import less_of, named, numbers, used_up
from kitprep.planning.pool import natural
from kitprep.planning.results import NotCounted

_USED = ("spent", "part-used")
"""Outcomes of cells that make them fresh no more, unless they are charged."""


@dataclass(frozen=True)
class Known:
    """What a job's plan hears of the rest of the kit.

    ``claimed`` are units that other jobs have at some of the day's hours; ``expected`` is said of
    what is out on another day's job and is counted on all the same.
    """

    not_counted: tuple[NotCounted, ...] = ()
    claimed: Mapping[str, Claim] = field(default_factory=dict)
    expected: tuple[str, ...] = ()

    @property
    def missing(self) -> frozenset[str]:
        """Units that are not planned with."""
        return frozenset(each.key for each in self.not_counted if each.qty is None)

    @property
    def less(self) -> dict[str, int]:
        """How many fewer there are of what goes by number."""
        return less_of(self.not_counted)


def known_to(day: Claim, kit: Kit, state: KitState) -> Known:
    """What a job hears; ``day`` is its claim on a thing that is wanted for the whole of its day."""
    have, spent = numbers(kit), used_up(kit)
    found: list[NotCounted] = []
    claimed: dict[str, Claim] = {}
    out: dict[str, list[str]] = {}
    for key, record in state.units.items():
        others = [claim for claim in record.claims if claim.job != day.job]
        if key in have:
            found += _left(key, record, day.job, have[key], key in spent)
            found += [
                NotCounted(key, f"{claim.qty} packed by {claim.who}", claim.job, qty=claim.qty)
                for claim in others
                if _at_once(claim, day, key in spent)
            ]
        elif record.unfit_for(day.job):
            found.append(not_usable(key, record))
        elif not record.claimed_by(day.job):
            for claim in others:
                if claim.overlaps(day):
                    claimed[key] = claim
                elif claim.day != day.day:
                    out.setdefault(claim.job, []).append(key)
    found.sort(key=lambda each: (natural(each.key), each.job))
    return Known(tuple(named(found, kit)), claimed, tuple(still_out(out)))


def not_usable(tag: str, record: UnitRecord) -> NotCounted:
    """A unit that came back unfit, or has not come back."""
    holder = f" {record.holder}" if record.holder else ""
    return NotCounted(tag, f"{record.condition}{holder}", record.condition_from, record.note)


def on_another_job(tag: str, claim: Claim) -> NotCounted:
    """A unit that another job has at hours at which this one would want it."""
    return NotCounted(tag, f"packed by {claim.who}", claim.job)


def over_claimed(day: Claim, kit: Kit, state: KitState) -> dict[str, tuple[str, ...]]:
    """What goes by number and this job has packed with others more of than there is: those jobs."""
    have, spent = numbers(kit), used_up(kit)
    found = {}
    for key, record in state.units.items():
        mine = sum(claim.qty for claim in record.claims if claim.job == day.job)
        if key not in have or not mine:
            continue
        others = [c for c in record.claims if c.job != day.job and _at_once(c, day, key in spent)]
        gone = _left(key, record, day.job, have[key], key in spent)
        there = have[key] - sum(each.qty or 0 for each in gone)
        if others and mine + sum(claim.qty for claim in others) > there:
            found[key] = tuple(dict.fromkeys(claim.job for claim in others))
    return found


def _left(
    key: str, record: UnitRecord, job: str, have: int, is_used_up: bool
) -> Iterator[NotCounted]:
    """What other jobs used up or did not bring back, since somebody last counted."""
    for left in record.left:
        counts = {w: n for w, n in left.counts.items() if is_used_up or w not in _USED}
        if counts and left.job != job and left.of in (0, have):
            words = [
                f"{n} {word}{f' {left.holder}' if word == 'with' and left.holder else ''}"
                for word, n in counts.items()
            ]
            says = f"{', '.join(words)}, of {have} in the kit"
            yield NotCounted(key, says, left.job, left.note, sum(counts.values()))


def _at_once(claim: Claim, day: Claim, is_used_up: bool) -> bool:
    """Whether one number cannot be on both jobs."""
    return is_used_up or claim.overlaps(day)


def still_out(out: Mapping[str, list[str]]) -> Iterator[str]:
    """What is out on jobs of other days and is counted on all the same, by job."""
    for job, tags in sorted(out.items()):
        named = sorted(tags, key=natural)
        more = f" and {len(named) - _NAMED} more" if len(named) > _NAMED else ""
        yield (
            f"still out on {job}, and counted on here: {', '.join(named[:_NAMED])}{more}; say at "
            "its wrap what has become of them"
        )


_NAMED = 8
"""Units that one sentence names."""
