"""One field of an entry: how its value is shown on a form, and how what is written there is read.

A field left empty is not written into the file. What a value may be is not decided here: the
models of definitions do that, in their own sentences.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, time

from kitprep.definitions.loading import Day
from kitprep.definitions.text import clock, shown

_NUMBER = re.compile(r"[+-]?[0-9]{1,18}")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,15}(?:\.[0-9]{1,15})?")
_RANGE = re.compile(r"([0-9.]+)\s*(?:-|–|to)\s*([0-9.]+)")


class NotReadable(ValueError):
    """What is written in a field is nothing of its kind: what is wrong; what to write."""


Choices = Callable[[Day], Sequence[str]]


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form. ``many`` takes several, apart by commas; ``choices`` are offered.

    ``says`` is what is said of it while it is written; ``only_new`` is fixed once the entry is
    there.
    """

    key: str
    label: str
    says: str
    read: Callable[["Field", str], object]
    choices: Choices | None = None
    many: bool = False
    only_new: bool = False

    def value(self, text: str) -> object:
        """What the file will hold; None where the field is empty.

        Raises:
            NotReadable: where the text is nothing of this field's kind.
        """
        return self.read(self, text.strip()) if text.strip() else None


def shown_text(value: object) -> str:
    """A value of the file as the form shows it."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case str():
            return value.replace("\n", "\\n")
        case date():
            return value.isoformat()
        case time():
            return clock(value.hour * 60 + value.minute)
        case [int() | float() as low, int() | float() as high]:
            return f"{_figure(low)}-{_figure(high)}"
        case list():
            return ", ".join(map(shown_text, value))
        case float():
            return _figure(value)
    return str(value)


def _figure(number: float) -> str:
    return str(int(number)) if float(number).is_integer() else str(number)


# Readers


def as_text(field: Field, text: str) -> object:
    """Text, as it is written."""
    return text


def as_notes(field: Field, text: str) -> object:
    """Text of several lines."""
    return text.replace("\\n", "\n")


def as_number(field: Field, text: str) -> object:
    """A whole number."""
    if not _NUMBER.fullmatch(text):
        raise NotReadable(f"{field.key} cannot be {shown(text)}; write a whole number")
    return int(text)


def as_decimal(field: Field, text: str) -> object:
    """A number."""
    if not _DECIMAL.fullmatch(text):
        raise NotReadable(f"{field.key} cannot be {shown(text)}; write a number, such as 62.5")
    number = float(text)
    return int(number) if number.is_integer() else number


def as_yes_or_no(field: Field, text: str) -> object:
    """Yes or no."""
    if text.casefold() not in ("yes", "no"):
        raise NotReadable(f"{field.key} cannot be {shown(text)}; write yes or no")
    return text.casefold() == "yes"


def as_date(field: Field, text: str) -> object:
    """A date."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise NotReadable(
            f"{field.key} cannot be {shown(text)}; write year, month, day, as in 2027-03-14"
        ) from None


def as_list(field: Field, text: str) -> object:
    """Texts apart by commas."""
    return [part.strip() for part in text.split(",") if part.strip()]


def as_one_or_list(field: Field, text: str) -> object:
    """Texts apart by commas; one stands without brackets."""
    parts = [part.strip() for part in text.split(",") if part.strip()]
    return parts[0] if len(parts) == 1 else parts


def as_ranges(field: Field, text: str) -> object:
    """Ranges of megahertz apart by commas."""
    found = []
    for part in text.split(","):
        match = _RANGE.fullmatch(part.strip())
        try:
            found.append([float(match[1]), float(match[2])] if match else [])
        except ValueError:
            found.append([])
    if not all(found):
        raise NotReadable(
            f"{field.key} cannot be {shown(text)}; write ranges in MHz, such as 518-572, 580-600"
        )
    return found
