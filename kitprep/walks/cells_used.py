"""What the log knows of cells that went into units: none of those comes back fresh.

A set is known to have gone in where it was read at packing, and where a change was recorded since.
"""

from collections import Counter
from collections.abc import Mapping

from kitprep.definitions.kit import Receiver, Transmitter
from kitprep.ledger.events import NOT_CHECKED, ItemState, JobState
from kitprep.planning.packing import find_units
from kitprep.planning.results import WorkedDay


def put_in(day: WorkedDay, job: JobState) -> Mapping[str, int]:
    """By cell: how many went into units of this job."""
    sets = {feed.unit: (feed.cell, feed.count) for feed in day.feeds}
    models = find_units(day.kit)
    used: Counter[str] = Counter()
    for unit, state in job.items.items():
        if number := _sets(state):
            model, _ = models.get(unit, (None, None))
            cell, count = sets.get(unit) or _only_set(model)
            used[cell] += number * count
    return used


def _sets(state: ItemState) -> int:
    """Sets that went into a unit: the one of packing, and every fresh one since."""
    at_packing = state.packed and state.checks.get("cells", NOT_CHECKED) != NOT_CHECKED
    return bool(at_packing) + len(state.cells_changed)


def _only_set(model: object) -> tuple[str, int]:
    """The set of a unit that serves nothing any more, where its model takes one kind alone."""
    options = model.power if isinstance(model, Transmitter | Receiver) else ()
    kinds = [(option.cell, option.count) for option in options if option.cell is not None]
    return (kinds[0][0], kinds[0][1] or 0) if len(kinds) == 1 else ("", 0)
