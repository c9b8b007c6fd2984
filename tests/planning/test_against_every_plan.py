"""R4 against every plan there is, on kits and days small enough to try them all."""

from random import Random

from hypothesis import example, given, settings
from hypothesis import strategies as st

from kitprep.definitions.kit import Kit, Power
from kitprep.definitions.plan import Plan
from kitprep.planning.orders import ORDERS

from . import brute_force
from .building import as_tags, worked
from .contract import Contract
from .random_days import crowded_day, random_kit, random_plan, relay_day

seeds = st.integers(0, 2**32)


def no_plan_is_better(a_kit: Kit, a_plan: Plan) -> None:
    """The planner's plan keeps every rule, and no other is better in any order."""
    contract = Contract(a_kit, a_plan)
    day = worked(a_kit, a_plan)

    assert contract.faults(*as_tags(day)) == []
    assert contract.score(*as_tags(day)) == brute_force.best(contract)
    assert day.proven == ORDERS


@settings(max_examples=150, deadline=None)
@given(seeds)
def test_where_everything_is_scarce(seed: int) -> None:
    random = Random(seed)
    a_kit = random_kit(
        random, random.randint(1, 4), random.randint(1, 4), random.randint(0, 2), models=2
    )
    models = [model.model for model in a_kit.receivers]
    no_plan_is_better(
        a_kit, random_plan(random, random.randint(2, 4), random.randint(2, 5), 6, models)
    )


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_where_nobody_knows_how_long_some_sets_last(seed: int) -> None:
    a_kit, a_plan = relay_day(Random(seed))
    blank = {"power": (Power(cell="C"),)}
    models = [model.model_copy(update=blank) for model in a_kit.transmitters[:1]]
    some = (*models, *a_kit.transmitters[1:])
    no_plan_is_better(a_kit.model_copy(update={"transmitters": some}), a_plan)


@settings(max_examples=70, deadline=None)
@given(seeds)
def test_where_sources_must_change_module(seed: int) -> None:
    no_plan_is_better(*crowded_day(Random(seed)))


@example(50)  # on these, counts promised more changes than the cheapest way to share needs
@example(98)
@example(229)
@settings(max_examples=50, deadline=None)
@given(seeds)
def test_where_packs_are_handed_on_half_spent(seed: int) -> None:
    no_plan_is_better(*relay_day(Random(seed)))
