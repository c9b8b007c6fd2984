"""A unit that fails is replaced by a like one, and nothing else about the day is moved.

The choice as it stood is kept and one tag put in another's place, for what is worn, rigged and
patched should stay so; the rules are tested again on the result. Only where no single unit will do
is the whole day chosen anew.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from kitprep.planning.brief import Brief
from kitprep.planning.chains import Sender
from kitprep.planning.checker import BrokenPlan, check_selection
from kitprep.planning.choice import Chosen
from kitprep.planning.naming import Selection
from kitprep.planning.packing import find_units
from kitprep.planning.pool import M, UnitClass, natural

Swap = tuple[str, str]
"""What failed, and what stands in for it."""


def swapped(brief: Brief, selection: Selection, swaps: Sequence[Swap]) -> Chosen | None:
    """The selection with each swap made in turn, or None where that breaks a rule.

    ``brief`` is the day without what failed.
    """
    for lost, by in swaps:
        selection = _put(selection, lost, by)
    try:
        chosen = Chosen(_placed(brief, selection), ())
        check_selection(brief, chosen)
    except (BrokenPlan, StopIteration):
        return None
    return chosen


def substitutes(
    brief: Brief, selection: Selection, lost: str, at_hand: Iterable[str]
) -> tuple[str, ...]:
    """Units that can stand in for one that failed: those at hand first, then of its model.

    ``brief`` is the day without what failed.
    """
    pool = brief.pool
    kinds: list[tuple[Iterable[str], list[tuple[str, str]]]] = [
        (selection.transmitters.values(), _tags(pool.transmitters)),
        (selection.adapters.values(), _tags(pool.adapters)),
        (selection.stands, _tags(pool.receivers)),
    ]
    here = set(at_hand)
    model = _model_of(brief, lost)
    for carried, tags in kinds:
        if lost in set(carried):
            fitting = [(t, m) for t, m in tags if swapped(brief, selection, [(lost, t)])]
            fitting.sort(key=lambda tag: (tag[0] not in here, tag[1] != model, natural(tag[0])))
            return tuple(tag for tag, _ in fitting)
    return ()


def _tags(classes: Iterable[UnitClass[M]]) -> list[tuple[str, str]]:
    return [(tag, c.model.model) for c in classes for tag in c.tags]


def _model_of(brief: Brief, tag: str) -> str | None:
    known = find_units(brief.kit)
    return known[tag][0].model if tag in known else tag.rpartition("#")[0] or None


def _put(selection: Selection, lost: str, by: str) -> Selection:
    def instead(tags: Mapping[int, str]) -> dict[int, str]:
        return {source: by if tag == lost else tag for source, tag in tags.items()}

    return replace(
        selection,
        transmitters=instead(selection.transmitters),
        adapters=instead(selection.adapters),
        modules={
            want: (by if tag == lost else tag, module)
            for want, (tag, module) in selection.modules.items()
        },
        stands={by if tag == lost else tag: at for tag, at in selection.stands.items()},
    )


def _placed(brief: Brief, selection: Selection) -> Selection:
    """The selection with each tag's class looked up in the brief's own pool."""
    pool = brief.pool

    def place(classes: Sequence[UnitClass[M]], tag: str) -> int:
        return next(n for n, c in enumerate(classes) if tag in c.tags)

    senders = {
        source: Sender(
            place(pool.transmitters, tag),
            place(pool.adapters, selection.adapters[source])
            if source in selection.adapters
            else None,
        )
        for source, tag in selection.transmitters.items()
    }
    receivers = {tag: place(pool.receivers, tag) for tag in selection.stands}
    return replace(selection, senders=senders, receivers=receivers)
