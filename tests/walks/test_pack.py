"""The pack walk: nothing counts as packed that is not, and nothing is open without being said."""

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from small_job import Told, all_packed, small_day, state

from kitprep.ledger.events import JobState
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.may import packed_no_more
from kitprep.walks.pack import PackItem, PackView, doubts, pack_view, scan
from kitprep.walks.packing_steps import (
    goes_without,
    like_it,
    more_than_held,
    next_open,
    next_step,
    resume_at,
    says_left,
    statement,
    surplus,
)
from kitprep.walks.readings import FreshSet, Wanted

DAY = small_day()
KEYS = ["TX01", "TX02", "AD1", "cards:mini-sd", "RX1", "cells:FR6", "supply:bag", "item:tape"]


def view(*told: Told) -> PackView:
    return pack_view(DAY, state(*told))


def item(key: str, *told: Told) -> PackItem:
    found = view(*told).find(key)
    assert found is not None
    return found


# ---- the list


def test_lines_stand_by_case_in_the_kits_order_and_what_has_none_comes_last() -> None:
    assert [case.name for case in view().cases] == [
        "Transmitter pouch",
        "Receiver case",
        "Power case",
        "no case",
    ]
    assert [line.line.key for line in view().items] == KEYS


def test_a_line_begins_as_something_to_do_and_short_where_too_few_are_held() -> None:
    assert item("TX01").mark == "todo"
    assert (item("item:tape").mark, item("item:tape").line.qty) == ("short", 2)


def test_fewer_than_needed_is_a_part_and_never_packed() -> None:
    assert item("cells:FR6", ("cells:FR6", "packed", {"qty": 5})).mark == "part"
    assert item("cells:FR6", ("cells:FR6", "packed", {"qty": 6})).mark == "packed"


def test_more_than_needed_is_packed() -> None:
    assert item("cells:FR6", ("cells:FR6", "packed", {"qty": 7})).mark == "packed"


def test_a_line_that_was_short_and_is_filled_is_packed() -> None:
    assert item("item:tape", ("item:tape", "packed", {"qty": 2})).mark == "packed"


def test_what_is_left_out_stays_on_the_list_of_open_lines() -> None:
    left_out = item("TX01", ("TX01", "skipped", {"reason": "lent"}))
    assert left_out.mark == "skipped"
    assert left_out.open
    assert left_out.settled


def test_the_list_is_complete_when_everything_is_packed() -> None:
    assert view(*all_packed(DAY)).complete


@pytest.mark.parametrize("key", KEYS)
def test_the_list_is_not_complete_while_one_line_is_open(key: str) -> None:
    assert not view(*all_packed(DAY, but=[key])).complete


@pytest.mark.parametrize("key", KEYS)
def test_the_list_is_complete_when_what_is_open_has_a_reason(key: str) -> None:
    told = all_packed(DAY, but=[key])
    assert view(*told, (key, "skipped", {"reason": "lent to B unit"})).complete


def test_the_list_is_not_complete_while_a_count_is_a_part() -> None:
    told = all_packed(DAY, but=["cells:FR6"])
    assert not view(*told, ("cells:FR6", "packed", {"qty": 5})).complete


def test_an_empty_list_has_nothing_open() -> None:
    assert not PackView(()).unfinished
    assert not PackView(()).complete  # where nothing can be packed, nothing is done
    assert resume_at(PackView(())) is None


def test_lines_packed_and_left_out_are_counted_apart() -> None:
    found = view(("TX01", "packed", {}), ("TX02", "skipped", {"reason": "lent"}))
    assert found.done == 1
    assert [line.line.key for line in found.skipped] == ["TX02"]


# ---- the checks of a unit


def test_a_unit_keeps_the_checks_that_it_needs() -> None:
    # The packs record on cards, run on cells, and the kit wants a version of their image.
    assert item("TX01").unchecked == ("power", "firmware", "card", "cells")
    assert item("AD1").unchecked == ("contacts",)
    assert item("RX1").unchecked == ("power",)


def test_a_packed_unit_is_finished_once_every_check_is_read() -> None:
    told = [("RX1", "packed", {"qty": 1})]
    assert not item("RX1", *told).finished
    assert item("RX1", *told, ("RX1", "checked", {"check": "power", "value": "yes"})).finished


def test_what_does_not_come_on_is_asked_again() -> None:
    checked = item("RX1", ("RX1", "checked", {"check": "power", "value": "no"}))
    assert checked.unchecked == ()
    assert checked.to_read == ("power",)


@pytest.mark.parametrize(
    ("check", "value", "worth"),
    [
        ("power", "yes", None),
        ("power", "no", "in the way"),
        ("firmware", "5.2", None),
        ("firmware", " V5.2 ", None),
        ("firmware", "5.1", "differs"),
        ("cells", "3.1 V", None),  # the table of this kit has no volts
        ("power", NOT_CHECKED, "unverified"),
        ("firmware", NOT_CHECKED, "unverified"),
    ],
)
def test_a_reading_is_worth_what_was_seen(check: str, value: str, worth: str | None) -> None:
    doubt = Wanted(DAY).doubt("TX01", check, value)
    assert (doubt.worth if doubt is not None else None) == worth


def test_a_reading_that_is_mended_leaves_no_doubt_and_the_latest_counts() -> None:
    slip: Told = ("TX01", "checked", {"check": "firmware", "value": "4.0"})
    packed: Told = ("TX01", "packed", {"qty": 1})
    mended: Told = ("TX01", "checked", {"check": "firmware", "value": "5.2"})
    (doubt,) = doubts(view(slip, packed))
    assert (doubt.says, doubt.brief) == ("TX01 firmware reads 4.0, 5.2 wanted", "firmware 4.0")
    assert doubts(view(slip, packed, mended)) == ()
    assert item("TX01", slip, packed, mended).read == ("firmware",)


# ---- fresh cells, by what they read with no load

FR6 = FreshSet("FR6", 1, 1.5, 1.8)
"""1.5 V nominal, up to about 1.8 V fresh (batteryequivalents.com)."""
PAIR = replace(FR6, count=2)


@pytest.mark.parametrize("volts", [1.5, 1.79, 1.8])
def test_a_fresh_lithium_aa_reads_up_to_its_open_circuit_volts(volts: float) -> None:
    assert FR6.wants(volts) is None
    assert PAIR.wants(volts) is None


@pytest.mark.parametrize("volts", [2.0, 3.1, 16.0, 80.0])
def test_no_single_cell_reads_more_than_it_can_give(volts: float) -> None:
    assert FR6.wants(volts) == "1.5 to 1.8 V"


@pytest.mark.parametrize("volts", [3.0, 3.1, 3.58])
def test_a_set_may_be_measured_in_series_where_the_count_fits(volts: float) -> None:
    assert PAIR.wants(volts) is None


@pytest.mark.parametrize("volts", [2.4, 4.2, 31.0])
def test_what_neither_one_nor_the_whole_set_can_read_is_said_with_both(volts: float) -> None:
    # 2.4 V over two is 1.2 V each, which is no fresh cell of 1.5 V.
    assert PAIR.wants(volts) == "1.5 to 1.8 V for one, 3 to 3.6 V for the 2 in series"


def test_a_set_below_one_nominal_cell_is_no_fresh_one() -> None:
    assert PAIR.wants(1.4) == "1.5 V"


@pytest.mark.parametrize(
    ("cell", "volts", "fresh", "wrong"),
    [
        ("LR6", 1.59, True, "a set of two in place of one"),  # 1.58-1.60 V fresh
        ("LR6", 3.1, False, ""),
        ("CR123A", 3.2, True, ""),  # from memory: 3.2-3.3 V
        ("CR123A", 4.1, False, "a rechargeable lithium-ion cell, 4.2 V when full"),
        ("HR6", 1.38, True, ""),  # from memory: about 1.4 V
        ("HR6", 1.6, False, "an alkaline cell"),
    ],
)
def test_the_tables_cells_are_told_from_others_by_their_volts(
    cell: str, volts: float, fresh: bool, wrong: str
) -> None:
    table = tomllib.loads((Path(__file__).parents[2] / "shared/cells.toml").read_text("utf-8"))
    row = next(row for row in table["cell"] if row["type"] == cell)
    one = FreshSet(cell, 1, row["volts"], row["fresh_volts"])
    assert (one.wants(volts) is None) is fresh, wrong


# ---- counts


def test_a_count_above_what_the_kit_holds_says_both_numbers() -> None:
    # 7 FR6 are held.
    assert more_than_held(item("cells:FR6"), 7) == ""
    assert more_than_held(item("cells:FR6"), 8) == (
        "FR6 cells: 8 counted, and the kit has 7 to count on"
    )


def test_more_than_needed_is_a_surplus() -> None:
    assert surplus(item("cells:FR6", ("cells:FR6", "packed", {"qty": 6}))) == ""
    found = item("cells:FR6", ("cells:FR6", "packed", {"qty": 7}))
    assert surplus(found) == "1 more than needed"
    # 2 rolls of tape are needed and 1 is held.
    found = item("item:tape", ("item:tape", "packed", {"qty": 3}))
    assert surplus(found) == "1 more than needed, 2 more than the kit's file has"


# ---- what a tag means


@pytest.mark.parametrize("text", ["TX01", "tx01", "  TX01\n", "SN-1", "sn-1"])
def test_a_tag_or_serial_ticks_its_line_however_it_is_written(text: str) -> None:
    found = scan(DAY, view(), text)
    assert found.item is not None
    assert found.item.line.key == "TX01"


def test_a_model_ticks_its_line_only_where_there_is_one_of_it() -> None:
    receiver = scan(DAY, view(), "rx").item
    assert receiver is not None
    assert receiver.line.key == "RX1"
    assert scan(DAY, view(), "pack").item is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("TX99", "TX99 is no tag of this kit"),
        ("TX03", "TX03 (Pack) is not needed today"),
        ("tx04", "TX04 is in repair in the kit file; leave it"),
        ("TX05", "TX05 is marked missing in the kit file; leave it"),
        ("", " is no tag of this kit"),
    ],
)
def test_a_tag_that_ticks_nothing_says_why(text: str, says: str) -> None:
    found = scan(DAY, view(), text)
    assert found.item is None
    assert found.says == says


def test_a_tag_packed_already_says_by_whom() -> None:
    found = scan(DAY, view(("TX01", "packed", {})), "TX01")
    assert (found.item, found.says) == (None, "TX01 is packed already, by Noor")


def test_a_tag_of_another_case_is_found_and_says_where_it_goes() -> None:
    found = scan(DAY, view(), "RX1", case="pouch")
    assert found.item is not None
    assert found.says == "RX1 goes in Receiver case"


def test_a_thing_without_a_case_goes_in_any() -> None:
    assert scan(DAY, view(), "item:tape", case="pouch").says == "item:tape Tape, roll"


# ---- the order of the walk


def test_a_unit_is_looked_at_first_and_ticked_last() -> None:
    told: list[Told] = []
    for check in ("power", "firmware", "card", "cells"):
        step = next_step(DAY, view(*told), item("TX01", *told))
        assert step is not None
        assert (step.kind, step.name) == ("check", check)
        told.append(("TX01", "checked", {"check": check, "value": "yes"}))
    step = next_step(DAY, view(*told), item("TX01", *told))
    assert step is not None
    assert step.kind == "put in"
    told.append(("TX01", "packed", {"qty": 1}))
    assert next_step(DAY, view(*told), item("TX01", *told)) is None


def test_what_is_taken_by_number_is_counted() -> None:
    step = next_step(DAY, view(), item("cells:FR6"))
    assert step is not None
    assert step.kind == "count"
    assert "6 needed" in step.asks
    told = ("cells:FR6", "packed", {"qty": 6})
    assert next_step(DAY, view(told), item("cells:FR6", told)) is None


def test_the_next_open_line_is_looked_for_around_the_whole_list() -> None:
    told = all_packed(DAY, but=["TX02", "item:tape"])
    told += [
        (line.key, "checked", {"check": check, "value": "yes"})
        for line in DAY.packing
        for check in line.checks
    ]
    found = next_open(view(*told), "cells:FR6")
    assert found is not None
    assert found.line.key == "item:tape"
    found = next_open(view(*told), "item:tape")
    assert found is not None
    assert found.line.key == "TX02"


def test_after_an_interruption_the_case_is_begun_again() -> None:
    assert resume_at(view()) == item("TX01")
    told = ("AD1", "packed", {"qty": 1})
    assert resume_at(view(told)) == item("TX01", told)


def test_the_case_last_worked_on_is_told_by_the_order_of_the_ticks_and_by_no_clock() -> None:
    ahead: Told = ("TX01", "packed", {"at": "2027-03-13T23:59:00.000Z"})
    told: tuple[Told, ...] = (ahead, ("cells:FR6", "packed", {"qty": 5}))
    assert resume_at(view(*told)) == item("cells:FR6", *told)


@pytest.mark.parametrize(
    ("stage", "may"),
    [("planned", True), ("packing", True), ("packed", True), ("out", False), ("closed", False)],
)
def test_nothing_is_packed_once_the_job_is_out(stage: str, may: bool) -> None:
    job: JobState = state(("job", "stage", {"stage": stage}))
    assert (packed_no_more(job, "kitprep back", "kitprep add") == "") is may


def test_a_like_unit_is_in_order_and_not_on_the_list() -> None:
    # TX02 is on the list, TX04 in repair, TX05 missing.
    assert like_it(DAY, item("TX01")) == ("TX03",)


def test_the_statement_names_what_is_left_out_unverified_and_different() -> None:
    told = all_packed(DAY, but=["TX02"])
    told += [
        ("TX02", "skipped", {"reason": "lent"}),
        ("TX01", "checked", {"check": "firmware", "value": "5.1"}),
        ("TX01", "checked", {"check": "power", "value": NOT_CHECKED}),
        ("RX1", "checked", {"check": "power", "value": "yes"}),
    ]
    signed = statement(DAY, view(*told))
    assert signed.packed == len(KEYS) - 1
    assert [line.line.key for line in signed.left_out] == ["TX02"]
    assert [doubt.says for doubt in signed.unverified] == ["TX01 power was not checked"]
    assert [doubt.says for doubt in signed.differs] == ["TX01 firmware reads 5.1, 5.2 wanted"]


def test_the_statement_names_the_cases_that_were_not_counted_and_what_is_too_many() -> None:
    told = [*all_packed(DAY), ("cells:FR6", "packed", {"qty": 7})]
    told.append(("case:pouch", "counted", {"qty": 5}))
    signed = statement(DAY, view(*told))
    assert signed.counts.says == (
        "counted: Transmitter pouch; not counted: Receiver case, Power case"
    )
    assert [line.line.key for line in signed.surplus] == ["cells:FR6", "item:tape"]


def test_whoever_a_unit_serves_goes_without_it_when_it_stays() -> None:
    # TX01 is on Ines in both scenes, TX02 on the band and then on the feeds; cells serve no one.
    assert goes_without(DAY, item("TX01")) == "Ines in scenes 1, 2 goes without it"
    assert goes_without(DAY, item("TX02")) == (
        "The band in scene 1 and Two feeds in scene 2 go without it"
    )
    assert goes_without(DAY, item("cells:FR6")) == ""


def test_what_was_counted_in_part_and_left_at_that_goes_short() -> None:
    left = ("cells:FR6", "skipped", {"reason": "flat"})
    assert says_left(item("cells:FR6", left)) == "left out: flat"
    assert says_left(item("cells:FR6", ("cells:FR6", "packed", {"qty": 5}), left)) == (
        "1 of 6 goes short: flat"
    )
    assert says_left(item("cells:FR6", ("cells:FR6", "packed", {"qty": 4}), left)) == (
        "2 of 6 go short: flat"
    )
