"""R4 against every plan there is, on kits and days small enough to try them all."""

from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitprep.planning.orders import ORDERS
from kitprep.planning.results import WorkedDay

from . import brute_force
from .building import worked
from .contract import Contract, Seat, Sender, Want
from .random_days import random_kit, random_plan


def as_tags(day: WorkedDay) -> tuple[dict[str, Sender], dict[Want, Seat]]:
    """Who has what, from the links that the planner gives."""
    senders = {link.source: (link.transmitter, link.adapter) for link in day.links}
    seats = {
        (link.scene, link.source, link.destination): (link.receiver, link.module)
        for link in day.links
    }
    return senders, seats


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 2**32))
def test_no_plan_is_better_in_any_of_the_orders(seed: int) -> None:
    random = Random(seed)
    a_kit = random_kit(
        random,
        packs=random.randint(1, 4),
        receivers=random.randint(1, 3),
        adapters=random.randint(0, 2),
        models=2,
    )
    a_plan = random_plan(
        random,
        random.randint(1, 4),
        random.randint(1, 4),
        5,
        [model.model for model in a_kit.receivers],
    )
    contract = Contract(a_kit, a_plan)
    day = worked(a_kit, a_plan)
    senders, seats = as_tags(day)

    assert contract.faults(senders, seats) == []
    assert contract.score(senders, seats) == brute_force.best(contract)
    assert day.proven == ORDERS
