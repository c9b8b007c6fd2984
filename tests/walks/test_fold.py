"""A job's state is a fold over its events: nothing is updated in place, and order is everything."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_job import Told, entries, state

from kitprep.ledger.events import CARD_STEPS, STAGES, Hold, JobState, fold, read_event


def test_a_job_with_no_event_is_planned_and_every_item_empty() -> None:
    job = fold([])
    assert job == JobState()
    assert job.stage == "planned"
    assert job.item("TX01").seen == 0
    assert job.item("TX01").packed == 0


def test_an_item_knows_its_newest_entry_and_who_made_it_when() -> None:
    job = state(("TX01", "packed", {}), ("TX02", "packed", {}), ("TX01", "unpacked", {}))
    item = job.item("TX01")
    assert (item.seen, item.last) == (2, 3)
    assert (item.who, item.at) == ("Noor", "2027-03-13T20:03:00.000Z")
    assert job.head == 3


@pytest.mark.parametrize("kind", ["packed", "checked", "skipped"])
def test_the_first_thing_packed_looked_at_or_left_out_begins_the_packing(kind: str) -> None:
    assert state(("TX01", kind, {})).stage == "packing"


@pytest.mark.parametrize("stage", STAGES)
def test_a_stage_is_what_was_last_said(stage: str) -> None:
    assert state(("TX01", "packed", {}), ("job", "stage", {"stage": stage})).stage == stage


def test_a_later_tick_does_not_bring_a_job_back_to_packing() -> None:
    assert state(("job", "stage", {"stage": "out"}), ("TX01", "packed", {})).stage == "out"


def test_a_stage_that_only_a_newer_program_knows_changes_nothing() -> None:
    assert state(("job", "stage", {"stage": "dreamt"})).stage == "planned"


def test_an_event_that_only_a_newer_program_knows_is_kept_and_changes_nothing() -> None:
    job = state(("TX01", "packed", {}), ("TX01", "polished", {"with": "wax"}))
    assert job.item("TX01").packed == 1
    assert job.item("TX01").seen == 2
    assert read_event(entries(("TX01", "polished", {"with": "wax"}))[0]).facts == {"with": "wax"}


def test_the_newest_count_stands() -> None:
    job = state(("cells:FR6", "packed", {"qty": 4}), ("cells:FR6", "packed", {"qty": 6}))
    assert job.item("cells:FR6").packed == 6


def test_what_is_packed_is_no_longer_left_out_and_what_is_taken_out_is_neither() -> None:
    left_out = ("TX01", "skipped", {"reason": "lent"})
    assert state(left_out).item("TX01").skipped == "lent"
    assert state(left_out, ("TX01", "packed", {})).item("TX01").skipped is None
    item = state(left_out, ("TX01", "packed", {}), ("TX01", "unpacked", {})).item("TX01")
    assert (item.packed, item.skipped) == (0, None)


def test_each_check_keeps_its_newest_value() -> None:
    job = state(
        ("TX01", "checked", {"check": "power", "value": "no"}),
        ("TX01", "checked", {"check": "firmware", "value": "5.2"}),
        ("TX01", "checked", {"check": "power", "value": "yes"}),
    )
    assert job.item("TX01").checks == {"power": "yes", "firmware": "5.2"}


def test_a_thing_has_one_holder_since_it_was_handed_over() -> None:
    handed = ("TX01", "handed", {"holder": "Ines"})
    item = state(handed, ("TX01", "handed", {"holder": "Marek"})).item("TX01")
    assert item.held == (Hold("Marek", 1, "2027-03-13T20:02:00.000Z"),)
    item = state(handed, ("TX01", "taken back", {})).item("TX01")
    assert (item.held, item.holder) == ((), None)


def test_what_goes_by_number_is_with_several_people_in_parts() -> None:
    told: list[Told] = [
        ("item:listener", "packed", {"qty": 8}),
        ("item:listener", "handed", {"holder": "Director", "qty": 2}),
        ("item:listener", "handed", {"holder": "Script", "qty": 1}),
        ("item:listener", "handed", {"holder": "Director", "qty": 1}),
    ]
    item = state(*told).item("item:listener")
    assert [(hold.holder, hold.qty) for hold in item.held] == [("Script", 1), ("Director", 3)]
    assert item.handed == 4
    back = ("item:listener", "taken back", {"holder": "Director", "qty": 2})
    item = state(*told, back).item("item:listener")
    assert [(hold.holder, hold.qty) for hold in item.held] == [("Script", 1), ("Director", 1)]
    rest: Told = ("item:listener", "handed", {"holder": "Producer"})  # all that nobody has
    assert state(*told, back, rest).item("item:listener").handed == 8


def test_what_joins_a_job_that_is_out_counts_beside_what_was_packed() -> None:
    item = state(
        ("item:lav", "packed", {"qty": 3}),
        ("item:lav", "added", {"qty": 2}),
    ).item("item:lav")
    assert (item.packed, item.added) == (5, 2)


def test_a_later_outcome_takes_the_place_of_an_earlier_one() -> None:
    job = state(
        ("TX01", "returned", {"counts": {"not seen": 1}, "note": "looked in the van"}),
        ("TX01", "returned", {"counts": {"wet": 1}}),
    )
    item = job.item("TX01")
    assert (item.outcome, item.note) == ({"wet": 1}, "")


def test_card_steps_are_kept_in_the_order_in_which_they_were_taken() -> None:
    job = state(*(("cards:mini-sd", "card", {"step": step}) for step in CARD_STEPS))
    assert job.item("cards:mini-sd").card_steps == CARD_STEPS


KINDS = ["packed", "unpacked", "skipped", "checked", "handed", "taken back", "returned", "card"]
KINDS += ["added"]
KINDS += ["observed", "stage", "cells changed", "standby", "moved", "polished"]
EVENTS = st.lists(
    st.tuples(
        st.sampled_from(["TX01", "cells:FR6", "job"]),
        st.sampled_from(KINDS),
        st.fixed_dictionaries(
            {},
            optional={
                "qty": st.integers(0, 9),
                "counts": st.dictionaries(st.text(max_size=3), st.integers(0, 9), max_size=2),
                "stage": st.sampled_from([*STAGES, "dreamt"]),
                "holder": st.text(max_size=3),
            },
        ),
    ),
    max_size=12,
)


@given(told=EVENTS, cut=st.integers(0, 12))
def test_folding_in_two_parts_is_folding_at_once(told: list[Told], cut: int) -> None:
    whole = entries(*told)
    assert fold(whole[cut:], fold(whole[:cut])) == fold(whole)


@given(told=EVENTS)
def test_folding_changes_nothing_that_was_there(told: list[Told]) -> None:
    before = state(("TX01", "packed", {}))
    again = state(("TX01", "packed", {}))
    fold(entries(*told), before)
    assert before == again


# ---- a company move


def test_some_seen_in_are_a_part_until_all_are_counted_in() -> None:
    packed = ("item:tape", "packed", {"qty": 4})
    part = ("item:tape", "moved", {"to": "quay", "qty": 3})
    item = state(packed, part).item("item:tape")
    assert (item.seen_in, item.part_in) == ((), ("quay", 3))
    item = state(packed, part, ("item:tape", "moved", {"to": "quay", "qty": 4})).item("item:tape")
    assert (item.seen_in, item.part_in) == (("quay",), None)


def test_what_was_not_seen_in_after_all_is_of_the_last_leaving_of_that_place() -> None:
    seen = [("TX01", "moved", {"to": place}) for place in ("quay", "loft", "quay")]
    back = ("TX01", "moved", {"to": "quay", "seen": False})
    assert state(*seen, back).item("TX01").seen_in == ("quay", "loft")
    assert state(back).item("TX01").seen_in == ()
