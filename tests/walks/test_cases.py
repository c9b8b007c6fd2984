"""Cases: a lid's code names one, and a count of its pieces shuts it while nothing in it changes."""

import pytest
from small_job import Told, all_packed, small_day, state

from kitprep.walks.cases import is_lid, lid, lid_back, out_of_count, pieces, says_case, shut
from kitprep.walks.lookup import about
from kitprep.walks.pack import CaseView, pack_view
from kitprep.walks.stages import hindrance
from kitprep.walks.wrap import wrap_view

DAY = small_day()
ALL = all_packed(DAY)
POUCH = 1 + 1 + 1 + 2  # TX01, TX02, AD1, two cards


def case(code: str, *told: Told) -> CaseView:
    found = lid(DAY, pack_view(DAY, state(*told)), code).case
    assert found is not None
    return found


def counted(number: int, code: str = "case:pouch") -> Told:
    return (code, "counted", {"qty": number})


# ---- which case a code names


@pytest.mark.parametrize("code", ["case:pouch", " CASE:Pouch "])
def test_a_lids_code_names_its_case_however_it_is_written(code: str) -> None:
    assert is_lid(code)
    assert case(code).name == "Transmitter pouch"


@pytest.mark.parametrize("code", ["TX01", "cards:mini-sd", "showcase:pouch"])
def test_other_codes_are_no_lids(code: str) -> None:
    assert not is_lid(code)


def test_a_case_of_no_such_kit_is_said_with_those_there_are() -> None:
    found = lid(DAY, pack_view(DAY, state()), "case:crate")
    assert found.case is None
    assert found.says == (
        "case:crate is no case of this kit; its cases are case:pouch, case:rx-case, case:power-case"
    )


def test_a_lid_says_how_far_its_case_is_wherever_it_is_scanned() -> None:
    told = (("TX01", "packed", {"qty": 1}), ("cards:mini-sd", "packed", {"qty": 1}))
    says = "Transmitter pouch: 1 of 4 lines packed"
    assert says_case(case("case:pouch", *told)) == says
    assert about(DAY, state(*told), "case:pouch") == says


def test_what_is_left_out_of_a_case_is_counted_apart() -> None:
    told = (*all_packed(DAY, but=["TX02"]), ("TX02", "skipped", {"reason": "lent"}))
    assert says_case(case("case:pouch", *told)) == (
        "Transmitter pouch: 3 of 4 lines packed, 1 left out"
    )


def test_one_line_is_no_lines() -> None:
    assert says_case(case("case:rx-case")) == "Receiver case: 0 of 1 line packed"
    told = (*ALL, ("RX1", "returned", {"counts": {"back": 1}}))
    found = lid_back(DAY, wrap_view(DAY, state(*told)), "case:rx-case")
    assert found.says == "Receiver case: 1 of 1 line with an outcome"


# ---- the count


def test_every_piece_counts_one_and_what_is_not_in_counts_nothing() -> None:
    assert pieces(case("case:pouch", *ALL)) == POUCH
    assert pieces(case("case:pouch", *all_packed(DAY, but=["TX02"]))) == POUCH - 1


def test_the_right_count_shuts_a_case_and_a_wrong_one_does_not() -> None:
    assert shut(case("case:pouch", *ALL)) == ""
    assert shut(case("case:pouch", *ALL, counted(POUCH))) == "shut"
    for wrong in (POUCH - 1, POUCH + 1, 0):
        assert shut(case("case:pouch", *ALL, counted(wrong))) == "differs"


def test_what_is_put_in_or_taken_out_afterwards_opens_it_again() -> None:
    told = (*ALL, counted(POUCH))
    assert shut(case("case:pouch", *told, ("AD1", "unpacked", {}))) == ""
    assert shut(case("case:pouch", *told, ("cards:mini-sd", "packed", {"qty": 3}))) == ""
    assert shut(case("case:pouch", *told, ("RX1", "unpacked", {}))) == "shut"


def test_a_count_that_differs_says_both_numbers_and_keeps_the_job_from_being_packed() -> None:
    told = (*ALL, *CHECKED, counted(4))
    (off,) = out_of_count(pack_view(DAY, state(*told)))
    assert off.name == "Transmitter pouch"
    why = hindrance(DAY, state(*told), "packed") or ""
    assert why.startswith("Transmitter pouch: 4 counted, 5 ticked;")
    assert hindrance(DAY, state(*told, counted(POUCH)), "packed") is None


def test_a_case_need_not_be_counted() -> None:
    assert hindrance(DAY, state(*ALL, *CHECKED), "packed") is None


CHECKED: list[Told] = [
    (line.key, "checked", {"check": check, "value": "yes" if check != "firmware" else "5.2"})
    for line in DAY.packing
    for check in line.checks
]


# ---- at wrap


def test_at_wrap_a_lid_names_what_goes_back_into_its_case() -> None:
    told = (*ALL, ("TX01", "returned", {"counts": {"back": 1}}))
    found = lid_back(DAY, wrap_view(DAY, state(*told)), "case:pouch")
    assert [item.line.key for item in found.items] == ["TX01", "TX02", "AD1", "cards:mini-sd"]
    assert found.says == "Transmitter pouch: 1 of 4 lines with an outcome"


def test_what_someone_still_holds_belongs_to_its_case_too() -> None:
    told = (*ALL, ("TX02", "handed", {"holder": "Ines"}))
    found = lid_back(DAY, wrap_view(DAY, state(*told)), "case:pouch")
    assert "TX02" in [item.line.key for item in found.items]


def test_a_case_that_took_nothing_out_is_said() -> None:
    found = lid_back(DAY, wrap_view(DAY, state()), "case:pouch")
    assert (found.items, found.says) == ((), "Transmitter pouch: nothing of it went out")
