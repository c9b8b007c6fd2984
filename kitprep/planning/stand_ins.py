"""What can stand in for a unit that fails on a day, and of what cannot, why."""

from collections.abc import Iterable, Mapping, Sequence

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.brief import Brief, brief
from kitprep.planning.choice import Chosen
from kitprep.planning.day import SECONDS, as_chosen
from kitprep.planning.on_set import OnSet
from kitprep.planning.packing import unit_names
from kitprep.planning.pool import ended, pool
from kitprep.planning.solver import Solver, highs
from kitprep.planning.swap import Swap, substitutes
from kitprep.planning.why_not import Hindered, why_not


def stand_ins(
    kit: Kit,
    plan: Plan,
    without: frozenset[str],
    swaps: Sequence[Swap],
    lost: str,
    at_hand: Iterable[str],
    out: OnSet | None = None,
    solver: Solver = highs,
) -> tuple[str, ...]:
    """Units that can stand in for one that fails today, those at hand first."""
    left, chosen = _left(kit, plan, without, swaps, lost, out, solver)
    return substitutes(left, chosen.selection, lost, at_hand)


def why_none(
    kit: Kit,
    plan: Plan,
    without: frozenset[str],
    swaps: Sequence[Swap],
    lost: str,
    out: OnSet | None,
    not_usable: Mapping[str, str],
    solver: Solver = highs,
) -> tuple[Hindered, ...]:
    """What stands in the way of the kit's other units of that kind; ``not_usable`` says it of
    units that the day does not count on."""
    left, chosen = _left(kit, plan, without, swaps, lost, out, solver)
    sold = dict.fromkeys(ended(kit, plan.day), "not in the kit any more")
    failed = dict.fromkeys(pool(kit).tags - left.pool.tags, "failed, or off the plan")
    return why_not(left, chosen.selection, lost, {**failed, **sold, **not_usable})


def _left(
    kit: Kit,
    plan: Plan,
    without: frozenset[str],
    swaps: Sequence[Swap],
    lost: str,
    out: OnSet | None,
    solver: Solver,
) -> tuple[Brief, Chosen]:
    """The day without what failed and one more, and the choice as it stands with that one."""
    whole, _, chosen = as_chosen(kit, plan, without, solver, SECONDS, swaps, out)
    gone = unit_names(kit) - whole.pool.tags | {lost}
    return brief(kit, plan, gone), chosen
