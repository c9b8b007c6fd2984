"""R10: what each case weighs as it is packed, against its limit.

Known weights are added up, and what has none in the kit is named, never taken as nothing. What is
too much for a case is sent only to one that has room for it.
"""

import math
from collections.abc import Sequence
from fractions import Fraction

from kitprep.definitions.kit import Case, Kit
from kitprep.planning.cells import exact
from kitprep.planning.packing import unit_names
from kitprep.planning.results import CaseLoad, PackLine, Shortfall


def case_loads(
    lines: Sequence[PackLine], kit: Kit
) -> tuple[tuple[CaseLoad, ...], tuple[Shortfall, ...]]:
    """Each case's known weight against its limit, and what in it has no weight in the kit."""
    loads = []
    short = []
    tagged = unit_names(kit)
    for case in (*kit.cases, None):
        mine = [line for line in lines if line.case == (case.id if case else None)]
        if not mine:
            continue
        silent = [line for line in mine if line.weight_g is None]
        unknown = [line.key if line.key in tagged else line.name for line in silent]
        if case is not None and case.weight_g is None:
            unknown.append("the case itself")
        weights = [line.weight_g for line in mine] + [case.weight_g if case else None]
        weight = sum((exact(grams) for grams in weights if grams is not None), Fraction(0))
        limit = None if case is None or case.limit_kg is None else 1000 * exact(case.limit_kg)
        name = case.name if case else "no case"
        loads.append(
            CaseLoad(
                case.id if case else None,
                name,
                float(weight),
                None if limit is None else float(limit),
                tuple(dict.fromkeys(unknown)),
            )
        )
        if limit is not None and weight > limit:
            over = math.ceil((weight - limit) / 100) / 10
            room = [other.name for other in kit.cases if _has_room(other, lines, weight - limit)]
            way = f"move {over:.1f} kg of it to {' or '.join(room)}"
            if not room:
                way = (
                    f"no other case has room for {over:.1f} kg of it: take one more, or leave some"
                )
            what = (
                f"{name} weighs {float(weight) / 1000:.1f} kg packed, over its "
                f"{float(limit) / 1000:g} kg; {way}"
            )
            short.append(Shortfall("weight", None, what))
    return tuple(loads), tuple(short)


def _has_room(case: Case, lines: Sequence[PackLine], more: Fraction) -> bool:
    """Whether a case stays within its limit with so much more, as far as weights are known."""
    if case.limit_kg is None:
        return True
    mine = [line.weight_g for line in lines if line.case == case.id]
    weight = sum((exact(g) for g in (*mine, case.weight_g) if g is not None), Fraction(0))
    return weight + more <= 1000 * exact(case.limit_kg)
