"""Where the pieces of a small kit stand, and how a place is named to a reader."""

import tomllib
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.definitions.locator import (
    Span,
    line_column,
    locate,
    nearest,
    toml_error_position,
)

KIT = """\
# the truck
title = "Harbour"
power = [{ cell = "AA" }, { cell = "9V", "per hour" = 2 }]

[[receiver]] # the left rack
name = "RX1"
  [[receiver.unit]]
  tag = "A"

[[receiver]]
name = "RX2"
  [[receiver.unit]]
  tag = "B"
  [receiver.unit.antenna]
  fins = 5
  [[receiver.unit]]
  tag = "C"
  gain.steps = [0, 12]

[bags.left]
zips = 2
"""


@pytest.fixture
def show() -> Callable[..., tuple[str | None, str]]:
    """The words that stand at a path of KIT: from the key to the line's end, and the value."""
    located = locate(KIT)

    def words(*path: str | int) -> tuple[str | None, str]:
        span = located[path]
        key = None if span.key is None else KIT[span.key :].splitlines()[0]
        return key, KIT[span.value : span.end]

    return words


def test_a_value_is_found_with_its_key(show):
    assert show("title") == ('title = "Harbour"', '"Harbour"')


def test_a_value_in_an_inline_table_in_an_array_is_found(show):
    assert show("power", 1, "per hour") == ('"per hour" = 2 }]', "2")


def test_an_element_of_an_array_has_no_key(show):
    assert show("power", 0) == (None, '{ cell = "AA" }')


def test_a_table_is_found_at_its_header(show):
    assert show("bags", "left") == ("left]", "[bags.left]")


def test_a_table_that_only_a_header_implies_is_found_at_its_part_of_that_header(show):
    assert show("bags") == ("bags.left]", "[bags.left]")


def test_a_table_that_only_a_dotted_key_implies_is_found_at_its_part_of_that_key(show):
    assert show("receiver", 1, "unit", 1, "gain") == ("gain.steps = [0, 12]", "gain")


def test_an_array_of_tables_is_found_at_its_first_header(show):
    assert show("receiver") == show("receiver", 0)
    assert locate(KIT)["receiver",] == locate(KIT)["receiver", 0]


def test_each_element_of_an_array_of_tables_has_its_own_header():
    first, second = (locate(KIT)["receiver", index] for index in (0, 1))
    assert line_column(KIT, first.value) == (5, 1)
    assert line_column(KIT, second.value) == (10, 1)


def test_a_sub_header_attaches_to_the_latest_element(show):
    assert show("receiver", 0, "unit", 0, "tag")[1] == '"A"'
    assert show("receiver", 1, "unit", 0, "tag")[1] == '"B"'
    assert show("receiver", 1, "unit", 0, "antenna", "fins")[1] == "5"
    assert show("receiver", 1, "unit", 1, "tag")[1] == '"C"'


def test_a_table_own_header_counts_more_than_one_that_implied_it_earlier():
    text = "[bag.left]\nzips = 2\n[bag]\nweight_g = 900\n"
    assert locate(text)["bag",].value == text.index("[bag]")
    assert locate(text)["bag", "left"].value == 0


def test_a_table_that_several_dotted_keys_imply_is_found_at_the_first():
    text = "gain.low = 1\ngain.high = 2\n"
    assert locate(text)["gain",] == Span(key=0, value=0, end=4)


def test_an_empty_text_has_no_places():
    assert locate("") == locate(" \r\n# nothing yet") == {}


def test_a_text_that_is_not_toml_ends_in_a_value_error():
    with pytest.raises(ValueError, match="offset 8"):
        locate("cells = ")


def test_a_known_path_is_found_exactly():
    located = locate(KIT)
    assert nearest(located, ("title",)) == (located["title",], True)


def test_a_missing_key_is_reported_at_its_table():
    located = locate(KIT)
    assert nearest(located, ("receiver", 1, "band")) == (located["receiver", 1], False)


def test_trailing_parts_are_dropped_until_a_place_is_found():
    located = locate(KIT)
    assert nearest(located, ("title", "str", "[key]")) == (located["title",], False)


def test_a_missing_top_level_key_is_reported_at_the_start():
    assert nearest(locate(KIT), ("day",)) == (Span(None, 0, 0), False)


def test_the_empty_path_is_the_start_of_the_text():
    assert nearest(locate(KIT), ()) == (Span(None, 0, 0), True)


@pytest.mark.parametrize(
    ("text", "offset", "place"),
    [
        ("", 0, (1, 1)),
        ("a = 1", 4, (1, 5)),
        ("a = 1\nb = 2", 5, (1, 6)),
        ("a = 1\nb = 2", 6, (2, 1)),
        ("a = 1\nb = 2", 11, (2, 6)),
        ("\n\n", 2, (3, 1)),
        ('å = "😀" # é', 8, (1, 9)),
    ],
)
def test_lines_and_columns_count_from_one_in_characters(text, offset, place):
    assert line_column(text, offset) == place


def test_a_carriage_return_is_part_of_the_line_end():
    text = "a = 1\r\n\r\nb = 2\r\n"
    assert [line_column(text, offset) for offset in (4, 5, 6)] == [(1, 5), (1, 6), (1, 6)]
    assert line_column(text, text.index("\r\nb")) == (2, 1)
    assert line_column(text, text.index("2")) == (3, 5)
    assert line_column(text, len(text)) == (4, 1)


@given(st.lists(st.text(alphabet="ab😀", max_size=3), min_size=1), st.sampled_from(["\n", "\r\n"]))
def test_each_character_has_the_line_and_column_that_an_editor_shows(lines, line_end):
    text = line_end.join(lines)
    offset = 0
    for number, line in enumerate(lines, start=1):
        for column in range(1, len(line) + 2):
            assert line_column(text, offset + column - 1) == (number, column)
        offset += len(line) + len(line_end)


def syntax_error(text: str) -> tomllib.TOMLDecodeError:
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(text)
    return caught.value


def test_a_syntax_error_has_its_line_and_column():
    assert toml_error_position(syntax_error("a = 1\r\nb = ?\r\n")) == (2, 5)


def test_an_error_at_the_end_of_the_document_has_no_place():
    error = tomllib.TOMLDecodeError("Unterminated string (at end of document)")
    assert toml_error_position(error) is None


def test_attributes_of_the_error_are_preferred_where_python_has_them():
    class PlacedError(tomllib.TOMLDecodeError):
        lineno, colno = 7, 3

    assert toml_error_position(PlacedError("Invalid value (at end of document)")) == (7, 3)


def test_a_place_quoted_from_the_text_is_not_mistaken_for_the_error_place():
    name = "'(at line 8, column 8)'"
    assert toml_error_position(syntax_error(f"[{name}]\n[{name}]\n")) == (2, 25)
