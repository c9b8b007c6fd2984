"""A program in parts that no row joins, against the same program in one."""

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.planning.board import Split
from kitprep.planning.brief import brief
from kitprep.planning.parts import in_parts, whole
from kitprep.planning.program import lay_out
from kitprep.planning.solver import Budget, Goal, Program, highs, keeps, total

from .building import adapter, kit, numbered, plan, receiver, scene, source, transmitter


def two_pairs() -> Program:
    """a + b >= 1 and c + d >= 2, which share nothing."""
    program = Program([1] * 4)
    program.at_least({0: 1, 1: 1}, 1)
    program.at_least({2: 1, 3: 1}, 2)
    return program


def test_variables_that_no_row_joins_are_in_parts_of_their_own() -> None:
    assert [sorted(part.numbers) for part in in_parts(two_pairs())] == [[0, 1], [2, 3]]


def test_a_row_joins_parts() -> None:
    program = two_pairs()
    program.at_most({1: 1, 2: 1}, 1)
    assert [sorted(part.numbers) for part in in_parts(program)] == [[0, 1, 2, 3]]


def test_there_are_no_values_before_each_part_has_some() -> None:
    """Nothing taken is no answer here; the goal is asked of the first pair only."""
    parts = in_parts(two_pairs())
    assert whole(parts) is None
    goal = Goal({0: 1, 1: 2}, 3)
    assert all(part.meet([goal], 0, highs, Budget.of(60)) for part in parts)
    assert whole(parts) is None
    assert all(part.meet([Goal({3: 1}, 1)], 0, highs, Budget.of(60)) for part in parts)
    assert whole(parts) == (1, 0, 1, 1)
    assert [part.worth(goal.terms) for part in parts] == [1, 0]


def test_what_is_met_stays_met() -> None:
    """First the least of a, then of b: once a is 0, b cannot be."""
    (part, _) = in_parts(two_pairs())
    for number in (0, 1):
        assert part.meet([Goal({number: 1}, 1)], 0, highs, Budget.of(60))
    assert part.values == (0, 1)


def test_a_part_is_asked_for_what_a_plan_has_there() -> None:
    """A plan with a alone has one of the first pair: b on top of it is not asked for."""
    (part, _) = in_parts(two_pairs())
    part.at_most({0: 1, 1: 1, 2: 1, 3: 1}, {0: 1, 1: 0, 2: 1, 3: 1})
    assert part.meet([Goal({0: -1, 1: -1}, 2)], 0, highs, Budget.of(60))
    assert sum(part.values or ()) == 1


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_the_parts_are_as_good_as_the_program_in_one(data: st.DataObject) -> None:
    """Two goals in order, over up to three blocks of rows and now and then a row between two."""
    program = Program()
    count = data.draw(st.integers(2, 6))
    for _ in range(count):
        program.variable(data.draw(st.integers(1, 2)))
    for _ in range(data.draw(st.integers(1, 4))):
        first = data.draw(st.integers(0, count - 1))
        near = st.integers(first, min(first + 1, count - 1))
        terms = data.draw(st.dictionaries(near, st.integers(1, 2), min_size=1))
        program.at_least(terms, data.draw(st.integers(0, 3)))
    coefficients = st.dictionaries(st.integers(0, count - 1), st.integers(-3, 3), min_size=1)
    goals = [Goal(data.draw(coefficients), 99) for _ in range(2)]

    parts = in_parts(program)
    for goal in (*goals, Goal(dict.fromkeys(range(count), 1), 99)):
        for part in parts:
            part.meet([goal], 0, highs, Budget.of(60))
    found, first_best = whole(parts), highs(program, goals[0].terms, 60)
    if found is None or first_best is None:
        assert (found, first_best) == (None, None)
        return
    assert keeps(program, found)
    assert total(goals[0].terms, found) == total(goals[0].terms, first_best.values)
    program.at_most(goals[0].terms, total(goals[0].terms, found))
    best = highs(program, goals[1].terms, 60)
    assert best is not None
    assert total(goals[1].terms, found) == total(goals[1].terms, best.values)


def parts_of_a_day(far: bool, all_served: bool) -> int:
    """Two sources at once, with packs and receivers of one band, or with one of each on another."""
    other = [[700, 710]] if far else [[500, 600]]
    question = brief(
        kit(
            transmitter("near", ["TX1", "TX2"]),
            transmitter("far", ["TX3"], tuning_mhz=other, weight_g=1),
            receiver("rx", numbered("RX", 2)),
            receiver("rx-far", ["RX3"], tuning_mhz=other, weight_g=1),
            adapter("lead", fits=["near"], connector="TA5"),
        ),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")),
    )
    return len(in_parts(lay_out(question, Split(all_served=all_served)).program))


def test_packs_and_receivers_come_apart_where_all_is_served_and_heard_everywhere() -> None:
    assert parts_of_a_day(far=False, all_served=True) == 2


def test_they_do_not_where_a_link_may_be_left_out() -> None:
    assert parts_of_a_day(far=False, all_served=False) == 1


def test_they_do_not_where_some_pack_is_not_heard_by_some_receiver() -> None:
    assert parts_of_a_day(far=True, all_served=True) == 1


def test_some_links_can_be_taken_for_all_that_is_wanted() -> None:
    """Of three sources at once on two receivers, with the first and the last only."""
    question = brief(
        kit(transmitter(units=numbered("TX", 3)), receiver(units=numbered("RX", 2))),
        plan(*map(source, "abc"), scene("1", "09:00-10:00", "a b c")),
    )
    first, _, last = question.wants
    board = lay_out(question, Split(all_served=True, only=frozenset({first, last})))
    parts = in_parts(board.program)
    assert {want for want, _ in board.heard} == {first, last}
    assert {who for who, _ in board.takes} == {0, 2}
    units = Goal(dict.fromkeys((*board.packs.values(), *board.placed.values()), 1), 9)
    assert all(part.meet([units], 0, highs, Budget.of(60)) for part in parts)
    assert sum(part.worth(units.terms) for part in parts) == 4
