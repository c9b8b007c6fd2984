"""R4 and R5 against another solver on a model of every unit, and against matching in graphs."""

from itertools import combinations_with_replacement
from random import Random

import networkx as nx
import pytest

from kitprep.definitions.kit import Kit
from kitprep.planning.orders import ORDERS

from . import cp_sat
from .building import (
    as_tags,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    transmitter,
    worked,
)
from .contract import Contract
from .random_days import random_kit, random_plan, usual_day


@pytest.mark.parametrize("seed", range(8))
def test_a_middling_day_is_as_good_as_another_solver_makes_it(seed: int) -> None:
    """6 to 10 sources, 4 to 6 scenes, 14 to 23 units, all scarce."""
    random = Random(seed)
    a_kit = random_kit(random, random.randint(7, 10), random.randint(5, 9), random.randint(2, 4), 4)
    a_plan = random_plan(
        random,
        random.randint(6, 10),
        random.randint(4, 6),
        40,
        [model.model for model in a_kit.receivers],
    )
    contract = Contract(a_kit, a_plan)
    day = worked(a_kit, a_plan)
    score = contract.score(*as_tags(day))

    assert contract.faults(*as_tags(day)) == []
    assert day.proven == ORDERS
    assert (score.served, score.modules, score.cells, score.units) == cp_sat.orders(a_kit, a_plan)


@pytest.mark.parametrize("seed", range(12))
def test_the_hire_list_is_the_first_of_all_lists_that_serve_the_most(seed: int) -> None:
    """Every list of units, by number, then value, then name, until one serves all that any can."""
    random = Random(seed)
    a_kit = _valued(random, random_kit(random, 2, 2, 1, 2))
    a_plan = random_plan(random, 3, 3, 6, [model.model for model in a_kit.receivers])
    day = worked(a_kit, a_plan)

    value = {model.model: model.value or 0 for model in cp_sat.models(a_kit)}
    most = cp_sat.most_served(cp_sat.with_hired(a_kit, dict.fromkeys(value, 5)), a_plan)
    lists = sorted(
        (
            hired
            for number in range(6)
            for hired in combinations_with_replacement(sorted(value), number)
        ),
        key=lambda hired: (len(hired), sum(value[model] for model in hired), hired),
    )
    first = next(
        hired
        for hired in lists
        if cp_sat.most_served(cp_sat.with_hired(a_kit, _counted(hired)), a_plan) == most
    )
    assert {hire.model: hire.qty for hire in day.hire} == _counted(first)


def _valued(random: Random, a_kit: Kit) -> Kit:
    """The kit with a value for every model."""
    return a_kit.model_copy(
        update={
            name: tuple(
                model.model_copy(update={"value": random.choice([100.0, 100.0, 250.0])})
                for model in things
            )
            for name, things in (
                ("transmitters", a_kit.transmitters),
                ("receivers", a_kit.receivers),
                ("adapters", a_kit.adapters),
            )
        }
    )


def _counted(hired: tuple[str, ...]) -> dict[str, int]:
    return {model: hired.count(model) for model in sorted(set(hired))}


@pytest.mark.parametrize("seed", range(40))
def test_one_mono_scene_is_a_matching_of_sources_packs_and_receivers(seed: int) -> None:
    """Each source with one pack of its own and one module: a flow of ones through all three.

    Every receiver hears every pack, so that which pack a source has does not matter to receivers.
    """
    random = Random(seed)
    forms = ["bodypack", "plug-on", "handheld", "boom-pack"]
    a_kit = kit(
        *(transmitter(f"m{n}", [f"TX{n}"], form=random.choice(forms)) for n in range(7)),
        receiver(units=numbered("RX", random.randint(1, 4)), modules=2),
    )
    wanted = {f"s{n}": random.sample(forms, random.randint(1, 2)) for n in range(8)}
    day = worked(
        a_kit,
        plan(
            *(source(name, form=mine) for name, mine in wanted.items()),
            scene("1", "09:00-10:00", " ".join(wanted)),
        ),
    )

    graph = nx.DiGraph()
    for name, mine in wanted.items():
        graph.add_edge("all", name, capacity=1)
        for model in a_kit.transmitters:
            if model.form in mine:
                graph.add_edge(name, model.model, capacity=1)
    for model in a_kit.transmitters:
        graph.add_edge(model.model, "modules", capacity=1)
    graph.add_edge("modules", "heard", capacity=2 * len(a_kit.receivers[0].units))
    assert len(day.links) == nx.maximum_flow_value(graph, "all", "heard")


@pytest.mark.parametrize("seed", range(30))
def test_packs_that_differ_are_matched_to_sources_as_in_any_bipartite_graph(seed: int) -> None:
    """As many modules as sources, each pack with a model of its own: a maximum matching."""
    random = Random(seed)
    packs = [f"m{n}" for n in range(random.randint(3, 7))]
    wanted = {f"s{n}": random.sample(packs, random.randint(1, 2)) for n in range(8)}
    day = worked(
        kit(
            *(transmitter(model, [f"TX-{model}"]) for model in packs),
            receiver(units=numbered("RX", 8)),
        ),
        plan(
            *(source(name, model=mine) for name, mine in wanted.items()),
            scene("1", "09:00-10:00", " ".join(wanted)),
        ),
    )
    graph = nx.Graph((name, model) for name, mine in wanted.items() for model in mine)
    matching = nx.bipartite.maximum_matching(graph, top_nodes=list(wanted))
    assert len(day.links) == len(matching) // 2


@pytest.mark.parametrize("seed", range(6))
def test_a_usual_day_is_always_proven_in_time(seed: int) -> None:
    """12 sources, 10 scenes, 60 units, in the 5 s that the planner takes by default."""
    a_kit, a_plan = usual_day(Random(seed))
    held = sum(len(m.units) for m in cp_sat.models(a_kit))
    assert (len(a_plan.sources), len(a_plan.scenes), held) == (12, 10, 60)
    day = worked(a_kit, a_plan, seconds=5)
    assert Contract(a_kit, a_plan).faults(*as_tags(day)) == []
    assert day.proven == ORDERS
