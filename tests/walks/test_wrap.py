"""The wrap: every thing that went out ends with an outcome, and what does not add up is shown."""

import pytest
from small_job import Told, all_packed, small_day, state

from kitprep.ledger.events import CARD_STEPS
from kitprep.walks.wrap import (
    CELL_OUTCOMES,
    COUNT_OUTCOMES,
    UNIT_OUTCOMES,
    WrapItem,
    WrapView,
    next_outcome,
    says_difference,
    says_outcome_missing,
    wrap_view,
)

DAY = small_day()
OUT = all_packed(DAY)


def view(*told: Told) -> WrapView:
    return wrap_view(DAY, state(*OUT, *told))


def item(key: str, *told: Told) -> WrapItem:
    found = view(*told).find(key)
    assert found is not None
    return found


def returned(key: str, **counts: int) -> Told:
    """An outcome; underscores stand for blanks."""
    return (key, "returned", {"counts": {w.replace("_", " "): n for w, n in counts.items()}})


def everything_back() -> list[Told]:
    """Every line back in full, cards through all their steps."""
    told = [
        returned(line.key, **{"spent" if line.kind == "cells" else "back": line.qty})
        for line in DAY.packing
    ]
    return told + [("cards:mini-sd", "card", {"step": step}) for step in CARD_STEPS]


# ---- what is counted


def test_only_what_went_out_is_counted() -> None:
    went = wrap_view(DAY, state(("TX01", "packed", {}), ("TX02", "skipped", {"reason": "lent"})))
    assert [line.line.key for line in went.items] == ["TX01"]


def test_what_went_out_counts_as_many_as_were_packed_not_as_were_wanted() -> None:
    found = wrap_view(DAY, state(("cells:FR6", "packed", {"qty": 5}))).find("cells:FR6")
    assert found is not None
    assert found.went_out == 5


def test_holders_come_first_and_then_the_cases_as_packed() -> None:
    groups = view(
        ("TX02", "handed", {"holder": "The band"}), ("TX01", "handed", {"holder": "Ines"})
    ).groups
    assert [name for name, _ in groups] == [
        "with Ines",
        "with The band",
        "Transmitter pouch",
        "Receiver case",
        "Power case",
        "no case",
    ]


def test_each_kind_of_thing_has_its_outcomes() -> None:
    assert item("TX01").outcomes == UNIT_OUTCOMES
    assert item("cells:FR6").outcomes == CELL_OUTCOMES
    assert item("item:tape").outcomes == COUNT_OUTCOMES


# ---- one line


@pytest.mark.parametrize(
    ("outcome", "mark", "in_hand"),
    [
        ("back", "back", 1),
        ("with", "with", 0),
        ("not_seen", "not seen", 0),
        ("faulty", "look at", 1),
        ("incomplete", "look at", 1),
        ("wet", "look at", 1),
        ("another_unit's", "look at", 1),
    ],
)
def test_an_outcome_settles_a_unit_whatever_it_is(outcome: str, mark: str, in_hand: int) -> None:
    found = item("TX01", returned("TX01", **{outcome: 1}))
    assert (found.mark, found.in_hand, found.settled) == (mark, in_hand, True)


def test_a_line_without_an_outcome_is_out() -> None:
    assert (item("TX01").mark, item("TX01").settled) == ("out", False)


@pytest.mark.parametrize(
    ("counts", "difference", "mark", "says"),
    [
        ({"fresh": 2, "spent": 4}, 0, "back", "all 6 accounted for"),
        ({"fresh": 2, "spent": 3}, -1, "part", "1 of 6 without an outcome"),
        ({"fresh": 2, "spent": 5}, 1, "surplus", "1 more than the 6 that went out"),
        ({"spent": 5, "not_seen": 1}, 0, "not seen", "all 6 accounted for"),
    ],
)
def test_counts_balance_or_the_difference_is_shown(
    counts: dict[str, int], difference: int, mark: str, says: str
) -> None:
    found = item("cells:FR6", returned("cells:FR6", **counts))
    assert (found.difference, found.mark) == (difference, mark)
    assert found.settled is (difference == 0)
    assert says_difference(found) == says


def test_an_outcome_of_nothing_settles_nothing() -> None:
    found = item("TX01", returned("TX01", back=0))
    assert (found.mark, found.settled) == ("part", False)


def test_a_count_asks_outcome_by_outcome_until_it_adds_up() -> None:
    cells = item("cells:FR6")
    assert next_outcome(cells, {}) == "fresh"
    assert next_outcome(cells, {"fresh": 2}) == "part-used"
    assert next_outcome(cells, {"fresh": 2, "part-used": 4}) is None
    assert next_outcome(cells, dict.fromkeys(CELL_OUTCOMES, 0)) is None


# ---- cells that went into units


def read(unit: str, value: str = "1.7") -> Told:
    return (unit, "checked", {"check": "cells", "value": value})


CHANGED: Told = ("TX01", "cells changed", {"minute": 800})


def test_cells_that_went_into_units_are_not_fresh() -> None:
    """6 FR6 out, sets of two: TX01 and TX02 read at packing, TX01 changed since: all 6 are used."""
    cells = item("cells:FR6", returned("cells:FR6", fresh=6), read("TX01"), read("TX02"), CHANGED)
    assert cells.put_in == 6
    assert cells.contradiction == (
        "6 fresh, and 6 of the 6 were put into units: at most 0 can be fresh"
    )
    assert (cells.mark, cells.settled) == ("doubtful", False)


@pytest.mark.parametrize(
    ("told", "most"),
    [
        ((), 6),
        ((read("TX01"),), 4),
        ((read("TX01", "did not check"),), 6),
        ((read("TX01"), CHANGED), 2),
        ((read("TX01"), CHANGED, ("cells:FR6", "added", {"qty": 4})), 6),
    ],
)
def test_at_most_what_was_put_nowhere_is_fresh(told: tuple[Told, ...], most: int) -> None:
    out = item("cells:FR6", *told).went_out
    right = returned("cells:FR6", fresh=most, spent=out - most)
    assert item("cells:FR6", *told, right).settled
    if most < out:
        wrong = returned("cells:FR6", fresh=most + 1, spent=out - most - 1)
        assert item("cells:FR6", *told, wrong).mark == "doubtful"


def test_a_count_against_the_log_stands_where_it_is_said_why() -> None:
    key, kind, facts = returned("cells:FR6", fresh=6)
    told = (key, kind, {**facts, "note": "TX01 never went on"})
    assert item("cells:FR6", read("TX01"), told).settled


def test_a_job_is_not_closed_on_a_count_that_cannot_be() -> None:
    found = view(*everything_back(), read("TX01"), returned("cells:FR6", fresh=6))
    assert [line.line.key for line in found.unsettled] == ["cells:FR6"]
    assert says_outcome_missing(found.unsettled[0]) == (
        "6 fresh, and 2 of the 6 were put into units: at most 4 can be fresh; count again, or say "
        "why it is so"
    )


# ---- cards


def test_cards_that_are_back_are_copied_verified_and_formatted_in_that_order() -> None:
    told = [returned("cards:mini-sd", back=2)]
    for step in CARD_STEPS:
        found = item("cards:mini-sd", *told)
        assert (found.cards_open, found.settled) == (step, False)
        told.append(("cards:mini-sd", "card", {"step": step}))
    found = item("cards:mini-sd", *told)
    assert (found.cards_open, found.settled) == (None, True)


def test_nothing_but_cards_has_steps() -> None:
    assert item("TX01", returned("TX01", back=1)).cards_open is None


def test_cards_that_are_not_in_hand_have_no_steps() -> None:
    found = item("cards:mini-sd", returned("cards:mini-sd", not_seen=2))
    assert (found.cards_open, found.settled) == (None, True)


# ---- the whole


def test_a_job_may_be_closed_when_everything_has_an_outcome() -> None:
    found = view(*everything_back())
    assert found.may_close
    assert found.unsettled == ()
    assert found.still_out == ()


def test_a_job_with_nothing_out_is_not_closed_by_that() -> None:
    assert not wrap_view(DAY, state()).may_close


@pytest.mark.parametrize("key", [line.key for line in DAY.packing])
def test_one_line_without_an_outcome_keeps_a_job_open(key: str) -> None:
    told = [event for event in everything_back() if event[0] != key]
    found = view(*told)
    assert not found.may_close
    assert [line.line.key for line in found.unsettled] == [key]


@pytest.mark.parametrize("step", CARD_STEPS)
def test_cards_short_of_a_step_keep_a_job_open(step: str) -> None:
    told = [event for event in everything_back() if event[2].get("step") != step]
    assert not view(*told).may_close


@pytest.mark.parametrize("counts", [{"spent": 5}, {"spent": 7}])
def test_a_count_that_does_not_balance_keeps_a_job_open(counts: dict[str, int]) -> None:
    assert not view(*everything_back(), returned("cells:FR6", **counts)).may_close


@pytest.mark.parametrize("outcome", ["with", "not_seen"])
def test_what_is_still_out_closes_a_job_and_goes_to_tomorrow(outcome: str) -> None:
    found = view(*everything_back(), returned("TX01", **{outcome: 1}))
    assert found.may_close
    assert [line.line.key for line in found.still_out] == ["TX01"]


def test_what_is_only_to_be_looked_at_is_not_still_out() -> None:
    assert view(*everything_back(), returned("TX01", wet=1)).still_out == ()
