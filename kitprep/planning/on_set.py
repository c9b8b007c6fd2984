"""R4 once the kit is out: what works stays where it is, and only what a failure touches changes.

What there is to give is what is in the bag: what went out, and what was brought since. Each step is
taken on what the one before it left. To choose all anew among what is in the bag may serve more and
moves people; that is a step by itself, taken only where somebody says so.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from kitprep.planning.brief import Brief, brief
from kitprep.planning.checker import check_selection
from kitprep.planning.choice import Chosen, choose
from kitprep.planning.mending import mended
from kitprep.planning.naming import Selection
from kitprep.planning.packing import unit_names
from kitprep.planning.pool import natural
from kitprep.planning.results import NotCounted
from kitprep.planning.solver import Solver
from kitprep.planning.swap import kept, put

Step = tuple[str, str, str]
"""What happened (swapped, withdrawn, back, added, chosen anew), to which unit, and of a swap what
stands in for it."""


@dataclass(frozen=True)
class OnSet:
    """What went out beside what the day was chosen with, and what has happened since, in turn.

    ``left_out`` are units that were not packed, each with the reason that was given.
    """

    packed: frozenset[str] = frozenset()
    steps: tuple[Step, ...] = ()
    left_out: tuple[tuple[str, str], ...] = ()

    def not_there(self, there: Iterable[str], whole: Iterable[str]) -> tuple[NotCounted, ...]:
        """What of the whole kit is not ``there`` to be used: left out, or never planned."""
        left = dict(self.left_out)
        why = dict.fromkeys(whole, "not in the bag")
        why |= {tag: f"left out at packing, {reason}" for tag, reason in left.items()}
        tags = sorted(why.keys() - frozenset(there), key=natural)
        return tuple(NotCounted(tag, why[tag]) for tag in tags)


def as_it_stands(
    question: Brief, chosen: Chosen, out: OnSet, solver: Solver, seconds: float
) -> tuple[Brief, Chosen]:
    """The day over what is in the bag and works, and the choice as the steps leave it."""
    if not out.steps:
        return question, chosen
    selection = chosen.selection
    bag = {*in_use(selection), *(out.packed & question.pool.tags)}  # what had failed is not there
    gone = set[str]()
    for kind, tag, by in out.steps:
        if kind in ("added", "back"):
            bag.add(tag)
            gone.discard(tag)
        elif kind == "swapped":
            bag.add(by)
            gone.discard(by)
        if kind in ("swapped", "withdrawn"):
            gone.add(tag)
        day = _over(question, bag - gone)
        if kind == "chosen anew":
            selection = choose(day, solver, seconds).selection
            continue
        swapped = kept(day, put(selection, tag, by)) if kind == "swapped" else None
        selection = swapped.selection if swapped else mended(day, selection, solver, seconds)
    same = _who_has_what(selection) == _who_has_what(chosen.selection)
    last = Chosen(selection, chosen.proven if same else ())
    check_selection(day, last)
    return day, last


def _who_has_what(selection: Selection) -> tuple[object, ...]:
    return selection.transmitters, selection.adapters, selection.modules


def in_use(selection: Selection) -> Iterable[str]:
    """Every unit of a selection."""
    yield from selection.transmitters.values()
    yield from selection.adapters.values()
    yield from selection.stands


def _over(question: Brief, there: Iterable[str]) -> Brief:
    """The same day over these units alone."""
    return brief(question.kit, question.plan, unit_names(question.kit) - frozenset(there))
