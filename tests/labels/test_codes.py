"""An independent reader finds in every code exactly what the walks know the thing by."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.definitions.text import clean_line
from kitprep.labels.codes import NoLibrary, code, code_svg
from kitprep.labels.labels import lids_of_day, lids_of_kit, tags_of_day, tags_of_kit
from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.day import work_out
from kitprep.walks.pack import pack_view, scan
from kitprep.walks.wrap import scan_back, wrap_view

np = pytest.importorskip("numpy")
zxing = pytest.importorskip("zxingcpp", reason="the independent reader of codes is not installed")

DAY = load_day(demo_plan(1))
WORKED = work_out(DAY.kit, DAY.plan)
PER_MODULE = 4


def read(content: str) -> str:
    """What the reader finds in the code as it is printed, quiet zone included."""
    rows = [[255 * (not dark) for dark in row] for row in code(content).matrix_iter(border=4)]
    image = np.kron(np.array(rows, np.uint8), np.ones((PER_MODULE, PER_MODULE), np.uint8))
    (found,) = zxing.read_barcodes(image)
    return str(found.text)


@pytest.mark.parametrize("label", tags_of_kit(DAY.kit), ids=lambda label: label.tag)
def test_every_tag_of_the_kit_reads_back_as_itself(label) -> None:  # type: ignore[no-untyped-def]
    assert read(label.tag) == label.tag


@pytest.mark.parametrize("lid", lids_of_kit(DAY.kit), ids=lambda lid: lid.code)
def test_every_case_reads_back_as_case_and_id(lid) -> None:  # type: ignore[no-untyped-def]
    assert read(lid.code) == lid.code
    assert lid.code.removeprefix("case:") in {case.id for case in DAY.kit.cases}


TAGS = st.text(st.characters(codec="utf-8"), min_size=1, max_size=50).map(clean_line).filter(bool)


@given(TAGS)
@settings(max_examples=60, deadline=None)
def test_any_tag_reads_back_as_itself(tag: str) -> None:
    assert read(tag) == tag


@pytest.mark.parametrize("tag", ["Ü-1", "été 3", "狐-7", "TX 01", "00012", "a:b/c?d=e&f", "x" * 50])
def test_odd_tags_read_back_as_themselves(tag: str) -> None:
    assert read(tag) == tag


def test_a_scanned_tag_ticks_its_line_at_packing() -> None:
    view = pack_view(WORKED, JobState())
    for label in tags_of_day(WORKED):
        found = scan(WORKED, view, read(label.tag))
        assert found.item is not None
        assert found.item.line.key == label.tag


def test_a_scanned_tag_is_known_at_wrap() -> None:
    packed = {line.key: ItemState(packed=line.qty) for line in WORKED.packing}
    view = wrap_view(WORKED, JobState("out", packed))
    for label in tags_of_day(WORKED):
        assert scan_back(view, read(label.tag)).says.startswith(f"{label.tag} ")


def test_a_third_of_the_code_may_be_gone_from_one_corner_of_its_data() -> None:
    content = "TX01"
    rows = [[255 * (not dark) for dark in row] for row in code(content).matrix_iter(border=4)]
    image = np.kron(np.array(rows, np.uint8), np.ones((8, 8), np.uint8))
    # A scratch three modules wide and six long through the data, clear of the corner marks.
    image[8 * 14 : 8 * 17, 8 * 17 : 8 * 23] = 255
    assert zxing.read_barcodes(image)[0].text == content


def test_the_drawing_has_its_quiet_zone_and_takes_its_size_from_the_page() -> None:
    drawing = code_svg("TX01")
    # A code of version 1 is 21 modules wide, and four light ones stand on either side.
    assert 'viewBox="0 0 29 29"' in drawing
    assert not re.search(r"\b(width|height)=", drawing)
    assert 'fill="#fff"' in drawing


def test_the_drawing_holds_no_word_of_the_tag() -> None:
    assert "TX-secret" not in code_svg("TX-secret")


def test_cards_of_a_day_are_of_its_cases() -> None:
    assert [lid.code for lid in lids_of_day(WORKED)] == [
        f"case:{load.case}" for load in WORKED.cases if load.case is not None
    ]


def test_without_the_library_it_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "segno", None)
    with pytest.raises(NoLibrary, match=r"pip install 'kitprep\[labels\]'"):
        code("TX01")
