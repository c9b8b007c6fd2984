"""A unit that fails is replaced by a like one, and nothing else about the day is moved.

The choice as it stood is kept and one tag put in another's place, for what is worn, rigged and
patched should stay so; the rules are tested again on the result. Only where that breaks one is the
whole day chosen anew; what is swapped after that is swapped in the new choice.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from kitprep.planning.brief import Brief, brief
from kitprep.planning.chains import Sender
from kitprep.planning.checker import BrokenPlan, check_selection
from kitprep.planning.choice import Chosen, choose
from kitprep.planning.naming import Selection
from kitprep.planning.packing import find_units, unit_names
from kitprep.planning.pool import M, UnitClass, natural
from kitprep.planning.solver import Solver, highs

Swap = tuple[str, str]
"""What failed, and what stands in for it."""


SECONDS = 5.0
"""What the choice may take where a swap breaks a rule and the day is chosen anew."""


def swapped(
    left: Brief,
    selection: Selection,
    swaps: Sequence[Swap],
    solver: Solver = highs,
    seconds: float = SECONDS,
) -> Chosen:
    """The selection with each swap made in turn, each on what the one before it left.

    ``left`` is the day without all that failed, ``selection`` the choice from before.
    """
    failed = {lost for lost, _ in swaps}
    gone = unit_names(left.kit) - left.pool.tags - failed
    chosen = Chosen(selection, ())
    for lost, by in swaps:
        gone |= {lost}
        then = brief(left.kit, left.plan, gone)
        same = kept(then, put(chosen.selection, lost, by))
        chosen = same or choose(then, solver, seconds)
    return chosen


def kept(day: Brief, selection: Selection) -> Chosen | None:
    """The selection as it is, or None where it breaks a rule."""
    try:
        chosen = Chosen(_placed(day, selection), ())
        check_selection(day, chosen)
    except (BrokenPlan, StopIteration):
        return None
    return chosen


def substitutes(
    left: Brief, selection: Selection, lost: str, at_hand: Iterable[str]
) -> tuple[str, ...]:
    """Units that can stand in for one that failed: those at hand first, then of its model.

    ``left`` is the day without what failed.
    """
    pool = left.pool
    kinds: list[tuple[Iterable[str], list[tuple[str, str]]]] = [
        (selection.transmitters.values(), _tags(pool.transmitters)),
        (selection.adapters.values(), _tags(pool.adapters)),
        (selection.stands, _tags(pool.receivers)),
    ]
    here = set(at_hand)
    model = _model_of(left, lost)
    for carried, tags in kinds:
        if lost in set(carried):
            fitting = [(t, m) for t, m in tags if kept(left, put(selection, lost, t))]
            fitting.sort(key=lambda tag: (tag[0] not in here, tag[1] != model, natural(tag[0])))
            return tuple(tag for tag, _ in fitting)
    return ()


def _tags(classes: Iterable[UnitClass[M]]) -> list[tuple[str, str]]:
    return [(tag, c.model.model) for c in classes for tag in c.tags]


def _model_of(day: Brief, tag: str) -> str | None:
    known = find_units(day.kit)
    return known[tag][0].model if tag in known else tag.rpartition("#")[0] or None


def put(selection: Selection, lost: str, by: str) -> Selection:
    """The selection with one unit in another's place."""

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


def _placed(day: Brief, selection: Selection) -> Selection:
    """The selection with each tag's class looked up in the day's own pool."""
    pool = day.pool

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
