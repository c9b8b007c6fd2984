"""What a unit that stands in for another would change, said before it is taken."""

from collections.abc import Iterator

from kitprep.planning.difference import Change, Difference, difference
from kitprep.planning.results import WorkedDay

MOST = 3
"""Things of a kind that one sentence names."""


def says_swap(before: WorkedDay, after: WorkedDay, lost: str, by: str) -> str:
    """The difference in one sentence: what would no longer be served, be short, go along, stay."""
    found = difference(before, after)
    return "; ".join(_says(found, {lost, by})) or "nothing else changes"


def _says(found: Difference, units: set[str]) -> Iterator[str]:
    unserved = [f"{u.source} to {u.destination} in {u.scene}" for u in found.unserved]
    if unserved:
        yield f"not served any more: {_some(unserved)}"
    served = [f"{route.source} to {route.destination} in {route.scene}" for route in found.served]
    if served:
        yield f"served now: {_some(served)}"
    short = [shortfall.what for shortfall in found.newly_short if shortfall.kind != "link"]
    if short:
        yield f"short: {_some(short)}"
    more = [_called(change) for change in found.to_add if change.key not in units]
    if more:
        yield f"to add: {_some(more)}"
    fewer = [_called(change) for change in found.to_leave if change.key not in units]
    if fewer:
        yield f"to leave: {_some(fewer)}"


def _called(change: Change) -> str:
    """A unit by its tag, what is counted by its number."""
    return f"{abs(change.more)} x {change.name}" if ":" in change.key else change.key


def _some(words: list[str]) -> str:
    rest = f" and {len(words) - MOST} more" if len(words) > MOST else ""
    return ", ".join(words[:MOST]) + rest
