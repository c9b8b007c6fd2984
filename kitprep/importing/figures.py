"""Numbers, weights and dates as people and spreadsheets write them, where they say one thing only.

What can be read two ways (1,900 or 03/04/2027) is settled by the other cells of the file, or else
by the person; it is never guessed.
"""

import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from typing import Literal

Decimal = Literal[".", ","]
Order = Literal["day-first", "month-first"]

GRAMS = {
    "g": 1.0,
    "gr": 1.0,
    "gram": 1.0,
    "grams": 1.0,
    "kg": 1000.0,
    "kilo": 1000.0,
    "oz": 28.349523125,
    "lb": 453.59237,
    "lbs": 453.59237,
}
"""Grams in one of each unit of weight; the pound is exact by its definition of 1959."""

_BLANKS = {"", "-", "–", "—", "n/a"}
_NUMBER = re.compile(r"([^\d.,+-]*)([+-]?[\d.,]*\d[\d.,]*)((?:[^\d.,]+\.?)?)")
_GAPS = re.compile(r"(?<=\d)[\s'’](?=\d{3})")
_YEAR_FIRST = re.compile(r"(\d{4})[-./](\d{1,2})[-./](\d{1,2})")
_YEAR_LAST = re.compile(r"(\d{1,2})([-./])(\d{1,2})\2(\d{4}|\d\d)")
_TIME = re.compile(r"[T ]00:00(:00(\.0+)?)?Z?$")


class Unclear(Exception):
    """A figure that cannot be read, or in two ways: what is wrong; what to write."""


def is_blank(text: str) -> bool:
    """Whether a cell says that there is nothing to say."""
    return text.strip().casefold() in _BLANKS


def read_number(text: str, decimal: Decimal | None) -> float:
    """The number of a cell; a currency or unit around it is passed over.

    Raises:
        Unclear: where it is no number, or could be two.
    """
    return _parts(text, decimal)[0]


def read_weight(text: str, decimal: Decimal | None, unit: str) -> float:
    """Grams, from a number with a unit behind it, or in the column's own unit.

    Raises:
        Unclear: where it is no weight, or could be two.
    """
    number, behind = _parts(text, decimal)
    named = behind.casefold().strip(" .")
    if named and named not in GRAMS:
        raise Unclear(f'"{text}" is no weight; write grams, such as 62')
    return round(number * GRAMS[named or unit], 1)


def _parts(text: str, decimal: Decimal | None) -> tuple[float, str]:
    plain = _GAPS.sub("", unicodedata.normalize("NFKC", text).strip())
    match = _NUMBER.fullmatch(plain)
    digits = match[2] if match else ""
    # In figures like 1.900,50 the mark that comes last is the decimal one.
    marks = [mark for mark in digits if mark in ".,"]
    if not match or (len(set(marks)) == 2 and marks.count(marks[-1]) > 1):
        raise Unclear(f'"{text}" is no number; write digits, such as 62 or 0.5')
    mark = _decimal_mark(digits, marks)
    if mark == "?":
        if decimal is None:
            point, comma = digits.replace(",", "."), re.sub("[.,]", "", digits)
            raise Unclear(
                f'"{text}" is {point} or {comma}; write it without the mark, or say --decimal '
                "point or --decimal comma"
            )
        mark = decimal if decimal in digits else ""
    whole, _, fraction = digits.rpartition(mark) if mark else (digits, "", "")
    groups = re.split("[.,]", whole)
    if len(groups) > 1 and any(len(group) != 3 for group in groups[1:]):
        raise Unclear(f'"{text}" is no number; write digits, such as 62 or 0.5')
    return float(f"{''.join(groups) or '0'}.{fraction or '0'}"), match[3]


def _decimal_mark(digits: str, marks: list[str]) -> str:
    """The mark that stands before the fraction, "" where none does, "?" where it may be either."""
    if not marks:
        return ""
    if len(set(marks)) == 2:
        return marks[-1]
    if len(marks) > 1:
        return ""
    before, _, after = digits.lstrip("+-").partition(marks[0])
    if len(after) == 3 and 1 <= len(before) <= 3 and not before.startswith("0"):
        return "?"
    return marks[0]


def settle_decimal(cells: Iterable[str], separator: str) -> Decimal | None:
    """Which mark stands before fractions in this file, or None where nothing tells.

    The cells tell it themselves where they can. Else the separator does: spreadsheet programs
    part cells by semicolons exactly where the comma is taken for fractions.
    """
    found: set[Decimal] = set()
    for cell in cells:
        match = _NUMBER.fullmatch(_GAPS.sub("", unicodedata.normalize("NFKC", cell).strip()))
        if match is None:
            continue
        marks = [mark for mark in match[2] if mark in ".,"]
        mark = _decimal_mark(match[2], marks)
        if mark == "." or (not mark and "," in marks):
            found.add(".")
        elif mark == "," or (not mark and "." in marks):
            found.add(",")
    if len(found) == 1:
        return found.pop()
    by_separator: dict[str, Decimal] = {";": ",", ",": "."}
    return None if found else by_separator.get(separator)


def read_date(text: str, order: Order | None) -> date:
    """The day of a cell.

    Raises:
        Unclear: where it is no day, or could be two.
    """
    plain = _TIME.sub("", unicodedata.normalize("NFKC", text).strip())
    if match := _YEAR_FIRST.fullmatch(plain):
        return _day(text, int(match[1]), int(match[2]), int(match[3]))
    match = _YEAR_LAST.fullmatch(plain)
    if match is None:
        raise Unclear(f'"{text}" is no date; write year, month, day, as in 2027-03-14')
    first, second, year = int(match[1]), int(match[3]), int(match[4])
    year += 2000 if year < 100 else 0
    if match[2] == "." or first == second:
        order = "day-first"
    elif first > 12 or second > 12:
        order = "day-first" if first > 12 else "month-first"
    if order is None:
        raise Unclear(
            f'"{text}" is a day in two months; write it as 2027-03-14, or say --dates day-first '
            "or --dates month-first"
        )
    day, month = (first, second) if order == "day-first" else (second, first)
    return _day(text, year, month, day)


def _day(text: str, year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise Unclear(f'"{text}" is no day of any calendar; write a day that there is') from None


def settle_order(cells: Iterable[str]) -> Order | None:
    """Whether days or months come first in this file, or None where nothing tells."""
    found: set[Order] = set()
    for cell in cells:
        match = _YEAR_LAST.fullmatch(_TIME.sub("", cell.strip()))
        if match and match[2] != ".":
            first, second = int(match[1]), int(match[3])
            if first > 12 or second > 12:
                found.add("day-first" if first > 12 else "month-first")
    return found.pop() if len(found) == 1 else None
