"""A unit drops out on set: nobody else is moved, and what is given anew is the best that there is.

Held against all ways of giving anew: on random days one unit in use is lost, what still works is
held fast, and every pack and module that is left is tried for the rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random

import pytest

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.brief import Brief, Want, brief
from kitprep.planning.checker import BrokenPlan, check_selection
from kitprep.planning.choice import Chosen, choose
from kitprep.planning.mending import mended
from kitprep.planning.naming import Selection
from kitprep.planning.on_set import in_use
from kitprep.planning.solver import highs

from .random_days import crowded_day, random_kit, random_plan, relay_day

MOST_WAYS = 20_000


def small_day(random: Random) -> tuple[Kit, Plan]:
    """Packs and receivers of several bands and systems, with adapters, at two destinations."""
    kit = random_kit(random, packs=4, receivers=3, adapters=2, models=2)
    models = [model.model for model in kit.receivers]
    return kit, random_plan(random, sources=4, scenes=3, most_wants=6, receivers=models)


def served(day: Brief, selection: Selection) -> tuple[int, ...]:
    priorities = [day.sources[want.source].priority for want in selection.modules]
    return tuple(priorities.count(priority) for priority in (1, 2, 3))


def works(day: Brief, selection: Selection) -> bool:
    try:
        check_selection(day, Chosen(selection, ()))
    except (BrokenPlan, StopIteration):
        return False
    return True


def ways(day: Brief, before: Selection, lost: str) -> Iterator[Selection]:
    """Every way to give anew what hung on a lost unit; what did not is held fast."""
    hit = {s for s, tag in before.transmitters.items() if lost in (tag, before.adapters.get(s))}
    kept = {
        w: seat for w, seat in before.modules.items() if w.source not in hit and seat[0] != lost
    }
    open_wants = [w for w in day.wants if w not in kept and day.given_inputs(w)]
    touched = sorted({w.source for w in open_wants if w.source not in before.transmitters} | hit)
    packs = [[None, *_packs(day, source)] for source in touched]
    seats = [[None, *_seats(day, before, want)] for want in open_wants]
    size = 1
    for options in (*packs, *seats):
        size *= len(options)
    if size > MOST_WAYS:
        return
    for given, sat in product(product(*packs), product(*seats)):
        transmitters = {s: t for s, t in before.transmitters.items() if s not in hit}
        adapters = {s: a for s, a in before.adapters.items() if s not in hit}
        for source, pack in zip(touched, given, strict=True):
            if pack is not None:
                transmitters[source] = pack[0]
                if pack[1] is not None:
                    adapters[source] = pack[1]
        modules = kept | {
            w: seat for w, seat in zip(open_wants, sat, strict=True) if seat is not None
        }
        heard = {w.source for w in modules}
        stands: dict[str, str] = {}
        for want, (tag, _) in modules.items():
            stands.setdefault(tag, before.stands.get(tag, want.destination))
        yield Selection(
            {s: t for s, t in transmitters.items() if s in heard},
            {s: a for s, a in adapters.items() if s in heard},
            modules, stands, {}, {}, frozenset(), frozenset(),
        )  # fmt: skip


def _packs(day: Brief, source: int) -> Iterator[tuple[str, str | None]]:
    for sender in day.senders[source]:
        adapters: tuple[str | None, ...] = (None,)
        if sender.adapter is not None:
            adapters = day.pool.adapters[sender.adapter].tags
        yield from product(day.pool.transmitters[sender.transmitter].tags, adapters)


def _seats(day: Brief, before: Selection, want: Want) -> Iterator[tuple[str, int]]:
    for place in day.receivers(want.source, want.destination):
        for tag in day.pool.receivers[place].tags:
            if before.stands.get(tag, want.destination) == want.destination:
                modules = day.pool.receivers[place].model.modules
                yield from ((tag, module) for module in range(1, modules + 1))


@pytest.mark.parametrize("seed", range(60))
def test_as_much_is_served_as_can_be_with_nobody_moved(seed: int) -> None:
    random = Random(seed)
    kit, plan = random.choice((crowded_day, relay_day, small_day, small_day))(random)
    whole = brief(kit, plan)
    before = choose(whole, highs, 5.0).selection
    carried = sorted(in_use(before))
    if not carried:
        return
    lost = random.choice(carried)
    day = brief(kit, plan, frozenset({lost}))
    after = mended(day, before, highs, 5.0)
    check_selection(day, Chosen(after, ()))
    for source, tag in before.transmitters.items():
        pack = (tag, before.adapters.get(source))
        if lost not in pack and source in after.transmitters:
            assert (after.transmitters[source], after.adapters.get(source)) == pack
    for want, seat in before.modules.items():
        pack = (before.transmitters[want.source], before.adapters.get(want.source))
        if lost not in (*pack, seat[0]):
            assert after.modules[want] == seat
    best = max(
        (served(day, way) for way in ways(day, before, lost) if works(day, way)), default=None
    )
    if best is not None:
        assert served(day, after) == best
