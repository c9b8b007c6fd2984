"""The one door to the integer solver, and the checker that does not believe it."""

import io
import subprocess
import sys
from contextlib import redirect_stdout
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.planning import solver
from kitprep.planning.brief import brief
from kitprep.planning.checker import BrokenPlan, check_selection
from kitprep.planning.choice import Chosen, choose
from kitprep.planning.solver import (
    LARGEST_COEFFICIENT,
    Budget,
    Goal,
    Program,
    Terms,
    highs,
    in_order,
    keeps,
    total,
)

from .building import kit, plan, receiver, scene, source, transmitter


def test_an_answer_is_the_least_and_says_that_it_is() -> None:
    """x + y >= 3 with x, y at most 2: the least of 5x + 4y is x = 1, y = 2."""
    program = Program()
    x, y = program.variable(2), program.variable(2)
    program.at_least({x: 1, y: 1}, 3)
    answer = highs(program, {x: 5, y: 4}, 10)
    assert answer is not None
    assert (answer.values, answer.proven) == ((1, 2), True)


def test_where_nothing_is_possible_there_is_no_answer() -> None:
    program = Program()
    x = program.variable()
    program.at_least({x: 1}, 2)
    assert highs(program, {x: 1}, 10) is None


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_small_programs_are_solved_as_trying_everything_solves_them(data: st.DataObject) -> None:
    program = Program()
    count = data.draw(st.integers(1, 4))
    for _ in range(count):
        program.variable(data.draw(st.integers(0, 2)))
    coefficients = st.dictionaries(st.integers(0, count - 1), st.integers(-3, 3), min_size=1)
    for _ in range(data.draw(st.integers(0, 3))):
        program.at_most(data.draw(coefficients), data.draw(st.integers(-2, 5)))
    objective = data.draw(coefficients)

    every = [v for v in product(*(range(u + 1) for u in program.upper)) if keeps(program, v)]
    answer = highs(program, objective, 10)
    if not every:
        assert answer is None
    else:
        assert answer is not None
        assert keeps(program, answer.values)
        assert total(objective, answer.values) == min(total(objective, v) for v in every)


def test_nothing_is_said_on_standard_output() -> None:
    """The answer of a command is alone there."""
    lines = (
        "from kitprep.planning.solver import Program, highs",
        "program = Program()",
        "program.variable()",
        "highs(program, {0: 1}, 1)",
    )
    done = subprocess.run(
        [sys.executable, "-c", "\n".join(lines)], capture_output=True, text=True, check=True
    )
    assert (done.stdout, done.stderr) == ("", "")
    with redirect_stdout(io.StringIO()) as out:
        highs(Program([1]), {0: 1}, 1)
    assert out.getvalue() == ""


def test_in_one_objective_a_goal_outweighs_all_that_come_after_it() -> None:
    """Goals that vary by 1, 2 and 3: one of the first is worth 12, of the second 4, of the third 1.

    The second and third together vary by 2 x 4 + 3 = 11, which is less than 12.
    """
    goals = [Goal({0: 1}, 1), Goal({1: 1, 2: 1}, 2), Goal({3: -1, 4: -1, 5: -1}, 3)]
    assert in_order(goals) == [{0: 12, 1: 4, 2: 4, 3: -1, 4: -1, 5: -1}]


def test_goals_whose_sum_would_grow_too_large_stay_apart() -> None:
    """400 x 400 is more than a hundred thousand, so the third goal begins a second objective."""
    goals = [Goal({0: 1}, 1), Goal({1: 1}, 399), Goal({2: 1}, 399)]
    assert in_order(goals) == [{0: 400, 1: 1}, {2: 1}]
    assert in_order([Goal({0: 7}, LARGEST_COEFFICIENT), Goal({1: 1}, 1)]) == [{0: 7}, {1: 1}]


@given(st.lists(st.lists(st.integers(0, 3), min_size=3, max_size=3), min_size=2, max_size=6))
def test_in_order_ranks_as_comparing_goal_by_goal_does(answers: list[list[int]]) -> None:
    """Three goals of 0 to 3 each."""
    (objective,) = in_order(Goal({n: 1}, 3) for n in range(3))
    by_objective = min(answers, key=lambda values: total(objective, tuple(values)))
    assert by_objective == min(answers)


# The time that it may take


class Clocks:
    """The wall's and the thread's own, moved by hand."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.wall = self.own = 1000.0
        monkeypatch.setattr(solver, "monotonic", lambda: self.wall)
        monkeypatch.setattr(solver, "thread_time", lambda: self.own)

    def pass_by(self, wall: float, own: float) -> None:
        """So many seconds of each."""
        self.wall += wall
        self.own += own


@pytest.fixture
def clocks(monkeypatch: pytest.MonkeyPatch) -> Clocks:
    return Clocks(monkeypatch)


def test_on_a_machine_to_itself_a_budget_is_as_long_as_it_says(clocks: Clocks) -> None:
    budget = Budget.of(5)
    assert budget.left == 5
    clocks.pass_by(wall=2, own=2)
    assert budget.left == pytest.approx(3)
    clocks.pass_by(wall=4, own=4)
    assert budget.left == 0


def test_other_work_on_the_machine_takes_nothing_of_a_budget(clocks: Clocks) -> None:
    """With a third of a core, 1 s of work takes 3 s, and the 4 s that are left would take 12."""
    budget = Budget.of(5)
    clocks.pass_by(wall=3, own=1)
    assert budget.left == pytest.approx(12)


def test_a_budget_ends_by_the_wall_clock_however_little_of_it_was_had(clocks: Clocks) -> None:
    """4 times 5 s: after 18 s with a tenth of a core 2 s are left, not the 3.2 s of work left."""
    budget = Budget.of(5)
    clocks.pass_by(wall=18, own=1.8)
    assert budget.left == pytest.approx(2)
    clocks.pass_by(wall=2, own=0.2)
    assert budget.left == 0


def test_before_much_is_done_a_pause_tells_no_pace(clocks: Clocks) -> None:
    """A machine that woke up late is not thought to be slow."""
    budget = Budget.of(5)
    clocks.pass_by(wall=0.05, own=0.001)
    assert budget.left == pytest.approx(4.999)


@pytest.mark.parametrize(("needs", "left"), [(5.0, 0), (1.0, 4)])
def test_once_the_solver_was_cut_off_nothing_is_left(
    clocks: Clocks, needs: float, left: float
) -> None:
    """Not even where it had half a core, and half of the 5 s is still to be had.

    One that finds within 1 s that there is no answer was not cut off.
    """
    budget = Budget.of(5)

    def half_a_core(program: Program, objective: Terms, seconds: float) -> None:
        clocks.pass_by(wall=min(needs, seconds), own=needs / 2 if needs == 5 else needs)

    assert budget.solve(half_a_core, Program([1]), {0: 1}) is None
    assert budget.left == pytest.approx(left)


# The checker


def chosen(handover: str = "11:00") -> tuple[object, Chosen]:
    """Two sources, one after the other or at once, on two packs and two receivers that differ."""
    question = brief(
        kit(
            transmitter("pack", ["TX1", "TX2"]),
            transmitter("far", ["TX3"], tuning_mhz=[[700, 710]]),
            receiver("rx", ["RX1", "RX2"]),
            receiver("rx-far", ["RX3"], tuning_mhz=[[700, 710]]),
        ),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", f"{handover}-12:00", "b"),
        ),
    )
    return question, choose(question, highs, 10)


def tampered(found: Chosen, **changes: object) -> Chosen:
    """The same selection with some of it changed."""
    from dataclasses import replace

    return replace(found, selection=replace(found.selection, **changes))


def test_a_plan_of_the_planner_is_believed() -> None:
    check_selection(*chosen())


@pytest.mark.parametrize(
    ("what", "message"),
    [
        ("pack at once", "transmitter TX1 is in two places at once"),
        ("module at once", "module 1 of RX1 serves two links at once"),
        ("no such module", "RX1 has no module 2"),
        ("no such pack", "TX9 is no usable transmitter"),
        ("not heard", "a is heard on no one frequency"),
        ("idle pack", "a source with no link carries a transmitter"),
    ],
)
def test_a_plan_that_breaks_a_rule_is_not(what: str, message: str) -> None:
    question, found = chosen("09:30")
    selection = found.selection
    first, second = sorted(selection.modules, key=lambda want: want.source)
    seats = dict(selection.modules)
    changed = {
        "pack at once": {"transmitters": {0: "TX1", 1: "TX1"}},
        "module at once": {"modules": dict.fromkeys(seats, ("RX1", 1))},
        "no such module": {"modules": {**seats, first: ("RX1", 2)}},
        "no such pack": {"transmitters": {**selection.transmitters, 0: "TX9"}},
        "not heard": {
            "modules": {**seats, first: ("RX3", 1)},
            "stands": {**selection.stands, "RX3": "rec"},
        },
        "idle pack": {"modules": {second: seats[second]}},
    }[what]
    with pytest.raises(BrokenPlan, match=message):
        check_selection(question, tampered(found, **changed))
