"""Numbers, weights and dates are read where they say one thing, and asked about where two."""

from datetime import date

import pytest

from kitprep.importing.figures import (
    Decimal,
    Order,
    Unclear,
    read_date,
    read_number,
    read_weight,
    settle_decimal,
    settle_order,
)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("62", 62),
        ("0,062", 0.062),
        ("0.062", 0.062),
        (".5", 0.5),
        ("1.900,50", 1900.5),
        ("1,900.50", 1900.5),
        ("1.234.567", 1234567),
        ("1,234,567", 1234567),
        ("1 900", 1900),
        ("1\u00a0900,5", 1900.5),
        ("1'900.50", 1900.5),
        ("€ 1.900,00", 1900),
        ("1.900,00 €", 1900),
        ("USD 2,100.00", 2100),
        ("19,5", 19.5),
        ("1900,5", 1900.5),
        ("12345,678", 12345.678),
        ("６２", 62),
        ("-3", -3),
    ],
)
def test_a_number_that_says_one_thing_is_read(text: str, number: float) -> None:
    assert read_number(text, None) == number


@pytest.mark.parametrize(
    ("text", "decimal", "number"),
    [("1,900", ".", 1900), ("1,900", ",", 1.9), ("1.900", ",", 1900), ("1.900", ".", 1.9)],
)
def test_a_number_that_says_two_things_follows_the_rest_of_the_file(
    text: str, decimal: Decimal, number: float
) -> None:
    assert read_number(text, decimal) == number
    with pytest.raises(Unclear, match=r"is 1\.900 or 1900; write it without the mark, or say"):
        read_number(text, None)


@pytest.mark.parametrize("text", ["many", "1.2.3", "1,23,456", "1.900,50.2", "1,,2", "5 or 6", "."])
def test_what_is_no_number_says_so(text: str) -> None:
    with pytest.raises(Unclear, match="is no number; write digits"):
        read_number(text, ".")


@pytest.mark.parametrize(
    ("text", "unit", "grams"),
    [
        ("62", "g", 62),
        ("62 g", "kg", 62),
        ("0,062", "kg", 62),
        ("0.062kg", "g", 62),
        ("1 lb", "g", 453.6),
        ("2 oz.", "g", 56.7),
    ],
)
def test_a_weight_is_in_the_unit_of_its_cell_or_of_its_heading(
    text: str, unit: str, grams: float
) -> None:
    assert read_weight(text, None, unit) == grams


def test_a_weight_in_unknown_units_says_so() -> None:
    with pytest.raises(Unclear, match='"3 stone" is no weight; write grams, such as 62'):
        read_weight("3 stone", None, "g")


@pytest.mark.parametrize(
    ("cells", "separator", "decimal"),
    [
        (["1,900", "19,5"], ",", ","),
        (["1,900", "19.5"], ";", "."),
        (["1,234,567"], ";", "."),
        (["1.234,5"], ",", ","),
        # Nothing in the cells: semicolons come with decimal commas, commas with decimal points.
        (["1,900"], ",", "."),
        (["1.900"], ";", ","),
        (["1,900"], "\t", None),
        # The cells contradict each other.
        (["1,5", "1.5"], ",", None),
        ([], "\t", None),
    ],
)
def test_the_decimal_mark_is_the_one_that_the_file_shows(
    cells: list[str], separator: str, decimal: Decimal | None
) -> None:
    assert settle_decimal(cells, separator) == decimal


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("2027-03-14", None),
        ("2027/3/14", None),
        ("2027-03-14 00:00:00", None),
        ("14.3.2027", None),
        ("14.03.27", None),
        ("14/03/2027", None),
        ("03/14/2027", None),
        ("3-14-27", None),
    ],
)
def test_a_day_that_says_one_thing_is_read(text: str, order: Order | None) -> None:
    assert read_date(text, order) == date(2027, 3, 14)


def test_a_day_that_says_two_things_follows_the_rest_of_the_file() -> None:
    assert read_date("03/04/2027", "day-first") == date(2027, 4, 3)
    assert read_date("03/04/2027", "month-first") == date(2027, 3, 4)
    assert read_date("04/04/2027", None) == date(2027, 4, 4)
    with pytest.raises(Unclear, match="is a day in two months; write it as 2027-03-14, or say"):
        read_date("03/04/2027", None)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("soon", "is no date; write year, month, day"),
        ("46466", "is no date; write year, month, day"),
        ("30.2.2027", "is no day of any calendar"),
        ("2027-13-20", "is no day of any calendar"),
        ("14/03.2027", "is no date"),
    ],
)
def test_what_is_no_day_says_so(text: str, words: str) -> None:
    with pytest.raises(Unclear, match=words):
        read_date(text, None)


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["03/04/2027", "14/04/2027"], "day-first"),
        (["03/04/2027", "04/14/2027"], "month-first"),
        (["03/04/2027"], None),
        (["14/04/2027", "04/14/2027"], None),
        (["14.04.2027"], None),
    ],
)
def test_the_order_of_days_and_months_is_the_one_that_the_file_shows(
    cells: list[str], order: Order | None
) -> None:
    assert settle_order(cells) == order
