"""R4: which chain serves which link, order by order; each case worked by hand."""

from random import Random

import pytest

from kitprep.planning.orders import ORDERS
from kitprep.planning.solver import Answer, Program, Solver, Terms, highs

from .building import (
    adapter,
    adapters,
    as_tags,
    cells,
    destination,
    kit,
    modules,
    numbered,
    packs,
    plan,
    receiver,
    scene,
    served,
    source,
    span,
    stereo_receiver,
    transmitter,
    unserved,
    worked,
)
from .contract import Contract

# (1) the most links served


def test_a_stereo_module_is_never_wasted_on_a_mono_link() -> None:
    """One mono and one stereo module: a can sit on either, the pair only on the stereo one."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], channels=2),
            stereo_receiver(units=["A-STEREO"]),
            receiver(units=["B-MONO"]),
        ),
        plan(source("a"), source("pair", channels=2), scene("1", "09:00-10:00", "a pair")),
    )
    assert modules(day) == {"1 a>rec": "B-MONO/1", "1 pair>rec": "A-STEREO/1"}


def test_a_stereo_module_does_serve_a_mono_link_where_that_costs_nothing() -> None:
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), stereo_receiver(), receiver()),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
    )
    assert len(day.links) == 2


def test_one_link_of_priority_1_outweighs_any_number_of_lower_ones() -> None:
    """The one pack: must (priority 1, one link) against should (priority 2, three links)."""
    day = worked(
        kit(transmitter(), receiver()),
        plan(
            source("should", priority=2),
            source("must", priority=1),
            scene("1", "09:00-09:30", "should"),
            scene("2", "09:30-10:00", "should must"),
            scene("3", "10:00-10:30", "should"),
        ),
    )
    assert served(day) == ["2 must>rec"]


def test_among_equals_in_priority_1_the_most_of_priority_2_are_served() -> None:
    """Two packs. must has one; of x (one link) and y (two links), y gets the other."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"])),
        plan(
            source("x", priority=2),
            source("y", priority=2),
            source("must"),
            scene("1", "09:00-10:00", "must x y"),
            scene("2", "10:00-11:00", "y"),
        ),
    )
    assert served(day) == ["1 must>rec", "1 y>rec", "2 y>rec"]


def test_a_pack_that_suits_both_goes_where_the_other_cannot() -> None:
    """TX1 tunes to both receivers, TX2 only to RX1: b, which may only have TX1, gets it."""
    day = worked(
        kit(
            transmitter("any", ["TX1"]),
            transmitter("low", ["TX2"], tuning_mhz=[[500, 510]]),
            receiver(units=["RX1", "RX2"]),
        ),
        plan(
            source("a"),
            source("b", tuning_mhz=[[550, 560]]),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    assert packs(day) == {"a": "TX2", "b": "TX1"}


# (2) the fewest changes of module


def test_a_source_stays_on_its_module_from_scene_to_scene() -> None:
    """Two receivers that differ; c and a share no scene, so nobody ever has to move."""
    day = worked(
        kit(transmitter(units=numbered("TX", 3)), receiver("r", ["RX1"]), receiver("s", ["RX2"])),
        plan(
            source("a"),
            source("b"),
            source("c"),
            scene("1", "09:00-10:00", "b a"),
            scene("2", "10:00-11:00", "b c"),
            scene("3", "11:00-12:00", "b a"),
        ),
    )
    on = modules(day)
    assert on["1 b>rec"] == on["2 b>rec"] == on["3 b>rec"]
    assert on["1 a>rec"] == on["3 a>rec"] == on["2 c>rec"] != on["1 b>rec"]


def test_a_ring_of_three_on_two_modules_costs_exactly_one_change() -> None:
    """Scenes a+b, b+c, c+a. If none moved, a, b, c would each be on another of two modules."""
    day = worked(
        kit(transmitter(units=numbered("TX", 3)), receiver(units=["RX1", "RX2"])),
        plan(
            source("a"),
            source("b"),
            source("c"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "10:00-11:00", "b c"),
            scene("3", "11:00-12:00", "c a"),
        ),
    )
    on = modules(day)
    moved = [
        on["1 a>rec"] != on["3 a>rec"],
        on["1 b>rec"] != on["2 b>rec"],
        on["2 c>rec"] != on["3 c>rec"],
    ]
    assert len(day.links) == 6
    assert sum(moved) == 1
    assert day.proven == ORDERS


def test_a_third_receiver_is_carried_rather_than_a_module_changed() -> None:
    """The same ring with a third receiver at hand: changes (2) come before units (4)."""
    day = worked(
        kit(transmitter(units=numbered("TX", 3)), receiver(units=numbered("RX", 3))),
        plan(
            source("a"),
            source("b"),
            source("c"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "10:00-11:00", "b c"),
            scene("3", "11:00-12:00", "c a"),
        ),
    )
    by_source = {(key.split()[1], module) for key, module in modules(day).items()}
    assert len(by_source) == 3
    assert len(day.stands) == 3


def test_a_change_across_a_scene_that_is_not_served_counts_too() -> None:
    """a is heard in 1 and 3 and must give way to z in 2; it comes back to the same module."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver("r", ["RX1"]), receiver("s", ["RX2"])),
        plan(
            destination("rec", receivers=["r", "s"]),
            source("a", priority=2),
            source("z"),
            source("y"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:00-11:00", "a z"),
            scene("3", "11:00-12:00", "a"),
        ),
    )
    assert {module for key, module in modules(day).items() if " a>" in key} == {"RX1/1"}


# (3) scenes that outlast a fresh set


def test_the_long_running_pack_goes_to_the_long_scene() -> None:
    """A set lasts 2 h in TX1 and 6 h in TX2; only b's scene is longer than 2 h."""
    day = worked(
        kit(
            transmitter("short", ["TX1"], power=[cells(hours=2)]),
            transmitter("long", ["TX2"], power=[cells(hours=6)]),
            receiver(units=["RX1", "RX2"]),
        ),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "09:00-13:00", "b"),
        ),
    )
    assert packs(day) == {"a": "TX1", "b": "TX2"}
    assert day.shortfalls == ()


@pytest.mark.parametrize(("end", "pack"), [("13:00", "TX1"), ("13:01", "TX2")])
def test_a_set_that_lasts_the_scene_to_the_minute_does_not_outlast(end: str, pack: str) -> None:
    """TX1 lasts 4 h and has the lowest tag, so b has it for 4:00, and not for 4:01."""
    day = worked(
        kit(
            transmitter("short", ["TX1"], power=[cells(hours=4)]),
            transmitter("long", ["TX2"], power=[cells(hours=6)]),
            receiver(units=["RX1", "RX2"]),
        ),
        plan(
            source("b"),
            source("a"),
            scene("1", "09:00-10:00", "a"),
            scene("2", f"09:00-{end}", "b"),
        ),
    )
    assert packs(day)["b"] == pack


def test_a_pack_that_lasts_is_carried_even_at_the_price_of_an_adapter() -> None:
    """The short pack takes a by itself, the long one needs the lead: (3) comes before (4)."""
    day = worked(
        kit(
            transmitter("short", ["TX1"], connector="TA3", power=[cells(hours=1)]),
            transmitter("long", ["TX2"], connector="TA5", power=[cells(hours=6)]),
            adapter("lead", fits=["long"], connector="TA3"),
            receiver(),
        ),
        plan(source("a", connector="TA3"), scene("1", "09:00-11:00", "a")),
    )
    assert (packs(day), adapters(day)) == ({"a": "TX2"}, {"a": "lead#1"})


# (4) the fewest units carried


def test_one_rack_of_four_is_carried_rather_than_four_receivers() -> None:
    day = worked(
        kit(
            transmitter(units=numbered("TX", 4)),
            receiver("a-single", numbered("RX", 4)),
            receiver("rack", ["RY1"], modules=4),
        ),
        plan(*(source(f"s{n}") for n in range(4)), scene("1", "09:00-10:00", "s0 s1 s2 s3")),
    )
    assert day.stands == {"RY1": "rec"}


def test_one_pack_serves_two_sources_in_turn_rather_than_two() -> None:
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"), source("b"), scene("1", "09:00-10:00", "a"), scene("2", "11:00-12:00", "b")
        ),
    )
    assert packs(day) == {"a": "TX1", "b": "TX1"}


def test_a_pack_that_needs_no_adapter_is_taken_rather_than_one_that_does() -> None:
    day = worked(
        kit(
            transmitter("needs", ["TX1"], connector="TA5"),
            adapter("lead", fits=["needs"], connector="TA3"),
            transmitter("own", ["TX2"], connector="TA3"),
            receiver(),
        ),
        plan(source("a", connector="TA3"), scene("1", "09:00-10:00", "a")),
    )
    assert (packs(day), adapters(day)) == ({"a": "TX2"}, {"a": None})


# (5) the fewest planned changes of cells


def test_of_packs_that_last_each_scene_the_one_with_fewer_changes_is_taken() -> None:
    """3 scenes of 2 h: TX1 (3 h a set) is changed twice, TX2 (6 h) never."""
    day = worked(
        kit(
            transmitter("short", ["TX1"], power=[cells(hours=3)]),
            transmitter("long", ["TX2"], power=[cells(hours=6)]),
            receiver(),
        ),
        plan(
            source("a"),
            scene("1", "09:00-11:00", "a"),
            scene("2", "11:00-13:00", "a"),
            scene("3", "13:00-15:00", "a"),
        ),
    )
    assert packs(day) == {"a": "TX2"}
    assert day.changes == ()


def test_a_pack_that_two_sources_have_in_turn_counts_as_one_device() -> None:
    """Off between: one set of 2 h serves a's hour and b's hour. Two packs are needed for c.

    With c's 2 h on a pack of its own nothing is changed; c after a, or b, would need a change.
    """
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], power=[cells(hours=2)]),
            receiver(units=["RX1", "RX2"]),
        ),
        plan(
            source("a"),
            source("b"),
            source("c"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:30-11:30", "b"),
            scene("3", "10:30-12:30", "c"),
            between="off",
        ),
    )
    assert packs(day) == {"a": "TX1", "b": "TX1", "c": "TX2"}
    assert day.changes == ()


def test_every_source_that_a_pack_goes_to_has_its_lead() -> None:
    """Stereo empties a set in 48 min, mono in 288 min; a lead of 30 min goes before each source.

    The pair wants 30 + 35 = 65 min of 48 by itself, and as much after a or x, for whoever wires it
    listens to it first: one change in any plan, before scene 2. Two packs are enough for the four.
    """
    day = worked(
        kit(
            transmitter(
                units=["TX1", "TX2"], channels=2, power=[cells(hours=4.8, hours_stereo=0.8)]
            ),
            stereo_receiver(units=["RX1", "RX2"]),
        ),
        plan(
            source("a"),
            source("x"),
            source("y"),
            source("pair", channels=2),
            scene("1", "09:00-09:30", "a x"),
            scene("2", "12:00-12:35", "pair y"),
            lead_min=30,
            between="off",
        ),
    )
    assert packs(day)["pair"] in (packs(day)["a"], packs(day)["x"])
    assert len(set(packs(day).values())) == 2
    assert [(change.unit, change.before) for change in day.changes] == [(packs(day)["pair"], "2")]
    assert day.proven == ORDERS


# (6) the least weight, (7) the lowest tags


def test_of_two_packs_that_do_the_lighter_is_carried() -> None:
    day = worked(
        kit(
            transmitter("heavy", ["TX1"], weight_g=110),
            transmitter("light", ["TX2"], weight_g=62.5),
            receiver(),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert packs(day) == {"a": "TX2"}


def test_a_units_own_weight_counts_before_its_models() -> None:
    day = worked(
        kit(
            transmitter(units=["TX1", {"tag": "TX2", "weight_g": 55}], weight_g=60),
            receiver(),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert packs(day) == {"a": "TX2"}


def test_a_weight_left_out_is_never_taken_for_light() -> None:
    """It counts as the heaviest in the kit: 110 g here."""
    day = worked(
        kit(
            transmitter("unknown", ["TX1"]),
            transmitter("known", ["TX2"], weight_g=110),
            receiver(weight_g=1),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert packs(day) == {"a": "TX1"}  # equal at 110 g, so the lowest tag
    day = worked(
        kit(
            transmitter("unknown", ["TX1"]),
            transmitter("known", ["TX2"], weight_g=110),
            receiver(weight_g=1),
            transmitter("other", ["TX3"], form="handheld", weight_g=111),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert packs(day) == {"a": "TX2"}


def test_the_lowest_tags_go_to_the_sources_written_first() -> None:
    day = worked(
        kit(transmitter(units=["TX10", "TX2", "TX1"]), receiver(units=["RX10", "RX9", "RX1"])),
        plan(source("b"), source("a"), source("c"), scene("1", "09:00-10:00", "a b c")),
    )
    assert packs(day) == {"b": "TX1", "a": "TX2", "c": "TX10"}
    assert modules(day) == {"1 b>rec": "RX1/1", "1 a>rec": "RX9/1", "1 c>rec": "RX10/1"}


def test_a_pack_handed_on_goes_to_the_source_written_first() -> None:
    """Either a or c, which are together, can leave its pack to b; the lower tag is a's."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"])),
        plan(
            source("a"),
            source("b"),
            source("c"),
            scene("1", "08:00-09:30", "c"),
            scene("2", "09:00-10:00", "a"),
            scene("3", "11:00-12:00", "b"),
        ),
    )
    assert packs(day) == {"a": "TX1", "b": "TX1", "c": "TX2"}


def test_the_order_of_models_and_units_in_the_file_does_not_matter() -> None:
    """The tags decide, not the places in the file."""
    things = (
        transmitter("x", ["TX3", "TX1"]),
        transmitter("y", ["TX4", "TX2"]),
        receiver("r", ["RX2"]),
        receiver("s", ["RX1"]),
    )
    turned = (
        receiver("s", ["RX1"]),
        receiver("r", ["RX2"]),
        transmitter("y", ["TX2", "TX4"]),
        transmitter("x", ["TX1", "TX3"]),
    )
    day_plan = plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"))
    one, other = worked(kit(*things), day_plan), worked(kit(*turned), day_plan)
    assert (packs(one), modules(one)) == (packs(other), modules(other))


def test_the_same_input_gives_the_same_answer() -> None:
    a_kit = kit(
        transmitter("x", numbered("TX", 4), channels=2),
        transmitter("y", numbered("TY", 4)),
        receiver("r", numbered("RX", 3), modules=2),
        stereo_receiver("s", numbered("RS", 3)),
    )
    day_plan = plan(
        *(source(f"s{n}", channels=1 + n % 2, priority=1 + n % 3) for n in range(6)),
        *(
            scene(str(n), f"{9 + n}:00-{9 + n}:50", f"s{n} s{(n + 1) % 6} s{(n + 3) % 6}")
            for n in range(6)
        ),
    )
    first = worked(a_kit, day_plan)
    assert all(worked(a_kit, day_plan) == first for _ in range(3))


# What is said to be proven


def _late(after: int) -> Solver:
    """A solver that proves so many objectives, and then only finds the worst answer it can."""
    calls = 0

    def solve(program: Program, objective: Terms, seconds: float) -> Answer | None:
        nonlocal calls
        calls += 1
        if calls <= after:
            return highs(program, objective, seconds)
        worst = highs(program, {v: -c for v, c in objective.items()}, seconds)
        return worst and Answer(worst.values, False)

    return solve


@pytest.mark.parametrize("after", range(7))
def test_an_order_that_ran_out_of_time_is_not_called_proven(after: int) -> None:
    """What is called proven is a beginning of R4's list, and is as good as with all the time."""
    a_kit = kit(
        transmitter("x", numbered("TX", 3), weight_g=60, power=[cells(hours=2)]),
        transmitter("y", numbered("TY", 2), weight_g=90, power=[cells(hours=8)]),
        receiver("r", ["RX1"], weight_g=300),
        receiver("s", ["RX2"], weight_g=200),
    )
    day_plan = plan(
        *(source(name) for name in "abc"),
        scene("1", "09:00-12:00", "a b"),
        scene("2", "12:00-15:00", "b c"),
        scene("3", "15:00-18:00", "c a"),
    )
    best, day = worked(a_kit, day_plan), worked(a_kit, day_plan, solver=_late(after))
    assert best.proven == ORDERS
    assert day.proven == ORDERS[: len(day.proven)]
    assert len(day.proven) <= after
    contract = Contract(a_kit, day_plan)
    score, best_score = (contract.score(*as_tags(d)).as_tuple() for d in (day, best))
    assert score[: len(day.proven)] == best_score[: len(day.proven)]


@pytest.mark.parametrize("after", range(6))
def test_a_plan_proven_in_all_orders_is_the_same_however_much_time_there_was(after: int) -> None:
    """Weight is equal everywhere here, so the last solver's answers only settle the lowest tags."""
    a_kit = kit(
        transmitter("x", numbered("TX", 2), weight_g=60),
        transmitter("y", numbered("TY", 2), weight_g=60),
        receiver("r", ["RX1"], weight_g=200),
        receiver("s", ["RX2"], weight_g=200),
    )
    day_plan = plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"))
    best, day = worked(a_kit, day_plan), worked(a_kit, day_plan, solver=_late(after))
    assert best.proven == ORDERS
    assert day == best or day.proven != ORDERS


@pytest.mark.parametrize("after", range(1, 12))
def test_what_was_found_is_kept_when_time_runs_out_in_a_later_round(after: int) -> None:
    """The ring of three: its modules are told apart in a second round, which may find nothing."""
    day = worked(
        kit(transmitter(units=numbered("TX", 3)), receiver(units=["RX1", "RX2"])),
        plan(
            *(source(name) for name in "abc"),
            scene("1", "09:00-10:00", "a b"),
            scene("2", "10:00-11:00", "b c"),
            scene("3", "11:00-12:00", "c a"),
        ),
        solver=_cut_off(after),
    )
    assert len(day.links) == 6
    assert "served" in day.proven


def _cut_off(after: int) -> Solver:
    """A solver that finds so many answers, and then none."""
    calls = 0

    def solve(program: Program, objective: Terms, seconds: float) -> Answer | None:
        nonlocal calls
        calls += 1
        return highs(program, objective, seconds) if calls <= after else None

    return solve


def test_with_no_time_at_all_nothing_is_served_and_nothing_is_proven() -> None:
    day = worked(
        kit(transmitter(), receiver()),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
        solver=lambda program, objective, seconds: None,
    )
    assert (day.links, day.proven) == ((), ())
    assert list(unserved(day)) == ["1 a>rec"]


def test_a_thousand_links_that_change_modules_are_named_too() -> None:
    """Forty at a time on forty modules, drawn from 120 people over 26 scenes: 1 040 links."""
    draw = Random(1)
    people = [f"s{n}" for n in range(120)]
    hours = [span(6 * 60 + 30 * n, 6 * 60 + 30 * n + 25) for n in range(26)]
    day = worked(
        kit(
            transmitter(units=numbered("TX", 120), power=[cells(hours=30)]),
            receiver(units=numbered("RX", 10), modules=4),
        ),
        plan(
            destination(inputs=120),
            *(source(name) for name in people),
            *(
                scene(f"{n}", hour, " ".join(draw.sample(people, 40)))
                for n, hour in enumerate(hours)
            ),
        ),
        seconds=2,
    )
    assert len(day.links) == 26 * 40
