"""R4's orders, measured on named units: the lower of two measures is the better plan.

The solver promises something of counts; what a plan is worth is measured here, on its tags. An
order is proven where the two agree.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import gcd

from kitprep.planning.brief import Brief, Want
from kitprep.planning.naming import Selection
from kitprep.planning.pool import Pool

ORDERS = ("served", "modules", "cells", "units", "changes", "weight")
"""The orders that a plan reports as proven; the last of R4, lowest tags, only settles ties."""

Measure = tuple[tuple[int, ...], ...]
"""A figure or more for each of ORDERS; of ``served``, minus the links of priority 1, 2 and 3."""


@dataclass(frozen=True, slots=True)
class Weights:
    """Tenths of a gram over their greatest common divisor, by class."""

    transmitters: tuple[int, ...]
    adapters: tuple[int, ...]
    receivers: tuple[int, ...]


def class_weights(pool: Pool) -> Weights:
    """What one unit of each class weighs; a weight left out counts as the heaviest in the kit."""
    given = [
        [c.weight_g for c in pool.transmitters],
        [c.weight_g for c in pool.adapters],
        [c.weight_g for c in pool.receivers],
    ]
    heaviest = max((w for kind in given for w in kind if w is not None), default=0.0)
    tenths = [[round(10 * (heaviest if w is None else w)) for w in kind] for kind in given]
    common = gcd(*(w for kind in tenths for w in kind)) or 1
    return Weights(*(tuple(w // common for w in kind) for kind in tenths))


def measure(brief: Brief, selection: Selection) -> Measure:
    """The selection's figure for each of ORDERS."""
    return (
        _served(brief, selection.modules),
        (_module_changes(selection),),
        (_outlasting(brief, selection),),
        (_units(selection),),
        (_cell_changes(brief, selection),),
        (_weight(brief, selection),),
    )


def _served(brief: Brief, wants: Iterable[Want]) -> tuple[int, ...]:
    priorities = [brief.sources[want.source].priority for want in wants]
    return tuple(-priorities.count(priority) for priority in (1, 2, 3))


def _module_changes(selection: Selection) -> int:
    """Changes of module for a source at a destination, from one served scene to its next."""
    last: dict[tuple[int, str], tuple[str, int]] = {}
    changes = 0
    for want, seat in sorted(selection.modules.items(), key=lambda entry: entry[0].scene):
        route = (want.source, want.destination)
        changes += last.get(route, seat) != seat
        last[route] = seat
    return changes


def _outlasting(brief: Brief, selection: Selection) -> int:
    pool = brief.pool.transmitters
    return sum(
        brief.outlasted(source, pool[sender.transmitter].model)
        for source, sender in selection.senders.items()
    )


def _units(selection: Selection) -> int:
    carried = (selection.transmitters.values(), selection.adapters.values(), selection.stands)
    return sum(len(set(tags)) for tags in carried)


def _cell_changes(brief: Brief, selection: Selection) -> int:
    runs: dict[str, list[int]] = defaultdict(list)
    for source, tag in selection.transmitters.items():
        runs[tag].append(source)
    pool = brief.pool.transmitters
    return sum(
        brief.planned_changes(run, pool[selection.senders[run[0]].transmitter].model)
        for run in runs.values()
    )


def _weight(brief: Brief, selection: Selection) -> int:
    weights = class_weights(brief.pool)
    senders = selection.senders
    packs = {tag: senders[source].transmitter for source, tag in selection.transmitters.items()}
    adapters = {tag: senders[source].adapter for source, tag in selection.adapters.items()}
    return (
        sum(weights.transmitters[place] for place in packs.values())
        + sum(weights.adapters[place] for place in adapters.values() if place is not None)
        + sum(weights.receivers[selection.receivers[tag]] for tag in selection.stands)
    )
