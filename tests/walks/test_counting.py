"""A count that was typed, pasted or scanned is a number that a kit can hold, or none."""

import pytest

from kitprep.walks.counting import MOST, read_count


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("0", 0),
        (" 12 ", 12),
        ("007", 7),
        (str(MOST), MOST),
        ("0" * 5000 + "3", 3),  # Python's own int() refuses more than 4300 digits
    ],
)
def test_digits_are_a_number(typed: str, number: int) -> None:
    assert read_count(typed) == number


@pytest.mark.parametrize("typed", ["", "-1", "1.5", "six", "1 2", "²", str(MOST + 1), "9" * 5000])
def test_anything_else_is_none(typed: str) -> None:
    assert read_count(typed) is None
