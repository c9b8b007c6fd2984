"""R4 against every plan there is, on kits and days small enough to try them all."""

import os
from random import Random

from hypothesis import example, given, settings
from hypothesis import strategies as st

from kitprep.definitions.kit import Kit, Power
from kitprep.definitions.plan import Plan
from kitprep.planning.orders import ORDERS
from kitprep.planning.solver import Answer, Program, Solver, Terms, highs

from . import brute_force
from .building import as_tags, worked
from .contract import Contract
from .random_days import crowded_day, random_kit, random_plan, relay_day

seeds = st.integers(0, 2**32)

TIMES = int(os.environ.get("KITPREP_TEST_EXAMPLES", "1"))
"""How many times as many days as usual are tried."""


def no_plan_is_better(a_kit: Kit, a_plan: Plan) -> None:
    """The planner's plan keeps every rule, and no other is better in any order."""
    contract = Contract(a_kit, a_plan)
    day = worked(a_kit, a_plan)

    assert contract.faults(*as_tags(day)) == []
    assert contract.score(*as_tags(day)) == brute_force.best(contract)
    assert day.proven == ORDERS


def scarce_day(seed: int) -> tuple[Kit, Plan]:
    """Up to 4 packs, 4 receivers and 2 adapters for up to 4 sources in up to 5 scenes."""
    random = Random(seed)
    a_kit = random_kit(
        random, random.randint(1, 4), random.randint(1, 4), random.randint(0, 2), models=2
    )
    models = [model.model for model in a_kit.receivers]
    return a_kit, random_plan(random, random.randint(2, 4), random.randint(2, 5), 6, models)


@settings(max_examples=150 * TIMES, deadline=None)
@given(seeds)
def test_where_everything_is_scarce(seed: int) -> None:
    no_plan_is_better(*scarce_day(seed))


def cut_off(after: int) -> Solver:
    """A solver that has time for so many programs, and finds nothing for the others."""
    calls = 0

    def solve(program: Program, objective: Terms, seconds: float) -> Answer | None:
        nonlocal calls
        calls += 1
        return highs(program, objective, seconds) if calls <= after else None

    return solve


@settings(max_examples=100 * TIMES, deadline=None)
@given(st.one_of(seeds.map(scarce_day), seeds.map(Random).map(crowded_day)), st.integers(0, 20))
def test_what_is_called_proven_is_so_wherever_the_solver_is_cut_off(
    day: tuple[Kit, Plan], after: int
) -> None:
    contract = Contract(*day)
    cut = worked(*day, solver=cut_off(after))
    assert contract.faults(*as_tags(cut)) == []
    assert cut.proven == ORDERS[: len(cut.proven)]
    score, best = contract.score(*as_tags(cut)), brute_force.best(contract)
    assert score.as_tuple()[: len(cut.proven)] == best.as_tuple()[: len(cut.proven)]


@settings(max_examples=60 * TIMES, deadline=None)
@given(seeds)
def test_where_nobody_knows_how_long_some_sets_last(seed: int) -> None:
    a_kit, a_plan = relay_day(Random(seed))
    blank = {"power": (Power(cell="C"),)}
    models = [model.model_copy(update=blank) for model in a_kit.transmitters[:1]]
    some = (*models, *a_kit.transmitters[1:])
    no_plan_is_better(a_kit.model_copy(update={"transmitters": some}), a_plan)


@settings(max_examples=70 * TIMES, deadline=None)
@given(seeds)
def test_where_sources_must_change_module(seed: int) -> None:
    no_plan_is_better(*crowded_day(Random(seed)))


@example(50)  # on these, counts promised more changes than the cheapest way to share needs
@example(98)
@example(229)
@settings(max_examples=50 * TIMES, deadline=None)
@given(seeds)
def test_where_packs_are_handed_on_half_spent(seed: int) -> None:
    no_plan_is_better(*relay_day(Random(seed)))
