"""R4: which chain serves which link, one order after the other, each proven before the next.

The choice is made over counts of identical units and named afterwards. Where naming cannot keep
what the counts promised, those parts are told apart and the choice is made again. The counts give a
bound that no plan can beat; an order is proven of the named plan where it meets the bound.

First comes only what is served; then plans in which no source changes its module, which are quickly
told; and only where these serve less, all plans. A round asks for what a plan already met and seeks
the rest. Where not all can be served, the links of a plan so far are first taken for all that is
wanted: that is far sooner solved, and a good plan to begin with.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from kitprep.planning.board import Split
from kitprep.planning.brief import Brief
from kitprep.planning.course import CHANGES, Course, Named, beyond, by_orders
from kitprep.planning.goals import goals_of
from kitprep.planning.naming import Selection
from kitprep.planning.orders import ORDERS, Measure
from kitprep.planning.program import lay_out, lay_service, most_served
from kitprep.planning.runs import runs_within
from kitprep.planning.seats import by_source, seats_apart
from kitprep.planning.solver import Budget, Program, Solver

MOST_SEATS = 6_000
"""Seats of a spot's links up to which its modules are told apart: more were never finished."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """A selection, and which of R4's orders are proven best for it."""

    selection: Selection
    proven: tuple[str, ...]


@dataclass
class _Search:
    """The plans named so far, the bounds proven, and which orders were proven by them.

    ``cut_short``: the time was over before all was settled.
    """

    found: list[Named]
    known: Measure
    proven: tuple[str, ...] = ()
    cut_short: bool = False

    @property
    def best(self) -> Named:
        """Of equals the last: it alone is of the lowest tags."""
        return min(reversed(self.found), key=lambda named: named[0])

    def add(self, named: Iterable[Named]) -> None:
        """Takes more plans, of which some may meet what is known."""
        self.found += named
        self.prove(self.known)

    def prove(self, bounds: Measure) -> None:
        """Takes bounds that hold for every plan."""
        self.known = bounds
        self.proven = max(self.proven, _proven(bounds, self.best[0]), key=len)


def choose(brief: Brief, solver: Solver, seconds: float) -> Chosen:
    """The best selection, by R4's orders, within so much processor time (``Budget``)."""
    budget = Budget.of(seconds)
    search = _served(brief, solver, budget)
    if not search.cut_short:
        all_served = -sum(search.known[0]) == len(brief.wants)
        if not all_served:
            _from_some_links(brief, search, solver, budget)
        _in_rounds(brief, Split(all_served=all_served), search, solver, budget)
    # Out of time with tags still to settle: all orders are proven only of what is the same plan on
    # every machine.
    settled = search.proven if not search.cut_short else search.proven[: len(ORDERS) - 1]
    return Chosen(search.best[1], settled)


def _served(brief: Brief, solver: Solver, budget: Budget) -> _Search:
    """Which links can be served, by itself."""
    board = lay_service(brief, Program())
    course = by_orders(board, [("served", most_served(board))], (), 0, None, solver, budget)
    search = _Search(list(course.named), (), cut_short=course.cut_short)
    search.prove(course.bounds)
    return search


def _from_some_links(brief: Brief, search: _Search, solver: Solver, budget: Budget) -> None:
    """Good plans of the links that the first plan serves, and of those that suit the counts best.

    The counts' bounds hold for all plans where no source changes its module, and where they are met
    without a change no other plan is better.
    """
    _with_its_links(brief, search, solver, budget)
    if not budget.left:
        return
    split = Split()
    board, served = lay_out(brief, split), search.known
    course = by_orders(board, goals_of(board), served, 0, None, solver, budget, onward=True)
    search.add(course.named)
    if course.named and not course.cut_short and not _untold(brief, split, course.bounds, served):
        search.prove(course.bounds)
        _with_its_links(brief, search, solver, budget)


def _with_its_links(brief: Brief, search: _Search, solver: Solver, budget: Budget) -> None:
    """Plans of just the links that the last plan serves, as far as counts tell them."""
    plan = search.found[-1]
    some = _Search([plan], search.known[:1])
    only = frozenset(plan[1].modules)
    _in_rounds(brief, Split(all_served=True, only=only), some, solver, budget)
    search.add(some.found[1:])


def _in_rounds(brief: Brief, split: Split, search: _Search, solver: Solver, budget: Budget) -> None:
    """Round by round, each with a finer split, till all is settled or the time is over."""
    while budget.left:
        worth, plan = search.best
        met = len(_proven(search.known, worth))
        if met == 1 and not split.all_served:
            met = 0  # which links to leave out is sought again far sooner than asked for
        board = lay_out(brief, split)
        course = by_orders(board, goals_of(board), search.known, met, plan, solver, budget)
        search.add(course.named)
        search.cut_short = course.cut_short
        finer = _next_split(brief, split, search, course)
        if finer == split or (split.only is not None and finer.apart):
            return
        split = finer
    search.cut_short = True


def _next_split(brief: Brief, split: Split, search: _Search, course: Course) -> Split:
    """What to tell apart next; the split as it is where nothing more is to be had."""
    worth, _ = search.best
    untold = _untold(brief, split, course.bounds, search.known)
    if course.cut_short:
        if course.named and not untold:
            search.prove(course.bounds)
    elif split.in_runs and (not course.bounds or beyond(split, course.bounds)):
        return _dearer(brief, split, worth)
    elif untold:
        search.prove(search.known[:1])
        names = 1 if split.still else 1 + worth[1][0]
        return replace(split, still=False, names=names, in_runs=frozenset(), excess=0)
    elif course.named:
        search.prove(course.bounds)
        return _finer(brief, split, course.bounds, search.found[-1])
    return split


def _untold(brief: Brief, split: Split, bounds: Measure, known: Measure) -> bool:
    """Whether a plan that the split cannot tell may be better: then its bounds are none."""
    if not split.still and not any(by_source(brief, split, spot) for spot in split.apart):
        return False
    return bounds[:1] != known[:1] or (len(bounds) > 1 and bounds[1][0] >= split.names)


def _proven(bounds: Measure, worth: Measure) -> tuple[str, ...]:
    """The orders, up to the first that has no bound or does not meet it."""
    kept = []
    for order, bound, figure in zip(ORDERS, bounds, worth, strict=False):
        if bound != figure:
            break
        kept.append(order)
    return tuple(kept)


def _finer(brief: Brief, split: Split, known: Measure, last: Named) -> Split:
    """The split that also tells apart what stood in naming's way at the first order not kept."""
    figures, named = last
    kept = _proven(known, figures)
    order = next((order for order in ORDERS if order not in kept), None)
    if order == "modules":
        few = {s for s in named.unsettled_spots if seats_apart(brief, split, s) <= MOST_SEATS}
        finer = replace(split, apart=split.apart | few)
        return split if finer == split else replace(finer, in_runs=frozenset(), excess=0)
    if order == "changes" and len(known) > CHANGES:
        told = frozenset(
            place
            for place in split.in_runs | named.unsettled_packs
            if runs_within(brief, place, brief.takers[place], split.excess) is not None
        )
        promised = split.promised if split.in_runs else known[CHANGES][0]
        return replace(split, in_runs=told, promised=promised)
    return split


def _dearer(brief: Brief, split: Split, worth: Measure) -> Split:
    """The split with runs of so much excess that it tells every plan as good as the best.

    No run of such a plan has more of it than the plan has over what is promised. The split as it
    is where those are too many to look at.
    """
    excess = worth[CHANGES][0] - split.promised
    told = (runs_within(brief, place, brief.takers[place], excess) for place in split.in_runs)
    return replace(split, excess=excess) if all(runs is not None for runs in told) else split
