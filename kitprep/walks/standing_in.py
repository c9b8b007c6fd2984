"""What a unit that stands in for another would change, said before it is taken."""

from collections.abc import Collection, Iterator, Sequence

from kitprep.ledger.events import JobState
from kitprep.planning.difference import Change, Difference, difference, worn
from kitprep.planning.results import WorkedDay

MOST = 3
"""Things of a kind that one sentence names."""


def says_swap(before: WorkedDay, after: WorkedDay, job: JobState, *units: str) -> str:
    """The difference in one sentence: what would no longer be served, be short, go along, stay.

    The ``units`` that are exchanged are told already. Once the kit is out, what would go along is
    only what is not in the bag, and nothing can be left.
    """
    found = difference(before, after)
    return "; ".join(_says(found, job, units)) or "nothing else changes"


def says_moved(before: WorkedDay, after: WorkedDay) -> str:
    """ "Oda from TX02 to TX03, Harbour loudspeaker from TX03 to nothing": whose pack is another."""
    moved = [
        f"{change.name} from {change.before or 'nothing'} to {change.after or 'nothing'}"
        for change in worn(before, after)
    ]
    return _some(moved)


def says_none(lost: str, why: Sequence[str]) -> str:
    """That nothing can stand in, and why of the nearest units; ``kitprep swap`` tells of all."""
    told = "".join(f" {each}." for each in why[:MOST])
    return f"No single unit here can stand in for {lost}.{told}"


def _says(found: Difference, job: JobState, units: Collection[str]) -> Iterator[str]:
    unserved = [f"{u.source} to {u.destination} in {u.scene}" for u in found.unserved]
    if unserved:
        yield f"not served any more: {_some(unserved)}"
    served = [f"{route.source} to {route.destination} in {route.scene}" for route in found.served]
    if served:
        yield f"served now: {_some(served)}"
    short = [shortfall.what for shortfall in found.newly_short if shortfall.kind != "link"]
    if short:
        yield f"short: {_some(short)}"
    is_out = job.out is not None
    more = [
        _called(change, change.after - job.item(change.key).packed if is_out else change.more)
        for change in found.to_add
        if change.key not in units and not (is_out and job.item(change.key).packed >= change.after)
    ]
    if more:
        yield f"{'to fetch' if is_out else 'to add'}: {_some(more)}"
    fewer = [_called(change, -change.more) for change in found.to_leave if change.key not in units]
    if fewer and not is_out:
        yield f"to leave: {_some(fewer)}"


def _called(change: Change, number: int) -> str:
    """A unit by its tag, what is counted by its number."""
    return f"{number} x {change.name}" if ":" in change.key else change.key


def _some(words: list[str]) -> str:
    rest = f" and {len(words) - MOST} more" if len(words) > MOST else ""
    return ", ".join(words[:MOST]) + rest
