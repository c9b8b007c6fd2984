"""The field types that every definition is made of: clean text, names, clock times, ranges.

Text that people or spreadsheets wrote is cleaned here once, so that nothing further on can meet an
escape code or a reversed line; it is still only text, and is shown as text.
"""

import re
import unicodedata
from datetime import time
from typing import Annotated, Any, Literal, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    Strict,
    WithJsonSchema,
)
from pydantic_core import CoreSchema, PydanticCustomError, PydanticKnownError

T = TypeVar("T")

# C0 and C1 controls reach a terminal as commands; the bidi marks reorder what is around them; the
# line and paragraph separators break a line where nobody sees a reason.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")
_CONTROL_BUT_NEWLINE = re.compile(_CONTROL.pattern.replace(r"\x00-\x1f", r"\x00-\x09\x0b-\x1f"))
# Two tags that look alike must be alike: a blank is a blank, and what has no width is not there.
_BLANK = re.compile(r"[^\S\n]")
_NO_WIDTH = re.compile(r"[\u00ad\u200b\u2060\ufeff]")
_IDENTIFIER = re.compile(r"[a-z0-9-]+")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})")

LONGEST_SHOWN = 40
"""Characters of a value that a message quotes."""

BITS_OF_AN_INTEGER = 64
"""TOML's integers; Python reads longer ones, and then refuses to write them out."""

MINUTES_A_DAY = 24 * 60
LATEST_MINUTE = 2 * MINUTES_A_DAY
"""Call sheets count past midnight; no shooting day runs past the end of the next one."""


def clean_line(text: str) -> str:
    """The text on one line, NFC, without control or direction marks; any blank is a plain one."""
    return _clean(_CONTROL.sub(" ", text))


def clean_notes(text: str) -> str:
    """As :func:`clean_line`, but line breaks stay."""
    return _clean(_CONTROL_BUT_NEWLINE.sub(" ", text))


def clean_message(text: str) -> str:
    """A message on one line, without what would steer a terminal; its blanks stay, as in a path."""
    return _CONTROL.sub(" ", text)


def _clean(text: str) -> str:
    return unicodedata.normalize("NFC", _NO_WIDTH.sub("", _BLANK.sub(" ", text))).strip()


def shown(value: object) -> str:
    """A value as it is quoted in a message: as TOML writes it, and short."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= LONGEST_SHOWN else f'"{value[:LONGEST_SHOWN]}…"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and value.bit_length() > BITS_OF_AN_INTEGER:
        return "a huge number"
    return str(value)


def wrong(message: str, at: str | None = None, take_out: bool = False) -> PydanticCustomError:
    """An error whose message is ours alone: what is wrong; what to write.

    ``at`` is the key of the table that is to blame; with ``take_out`` the key itself is, not its
    value.
    """
    facts = {"message": message, "at": at, "take_out": take_out}
    return PydanticCustomError("kitprep", "{message}", facts)


def _not_empty(text: str) -> str:
    if not text:
        raise PydanticKnownError("string_too_short", {"min_length": 1})
    return text


def _identifier(text: str) -> str:
    if not _IDENTIFIER.fullmatch(text):
        plain = unicodedata.normalize("NFKD", text.casefold()).encode("ascii", "ignore").decode()
        suggestion = re.sub(r"[^a-z0-9-]+", "-", plain).strip("-") or "a-name"
        raise wrong(
            f"{shown(text)} is not an id; write small letters, digits and hyphens, such as "
            f'"{suggestion}"'
        )
    return text


# Emptiness shows only once the text is clean, so the JSON Schema has to be told of it.
_NOT_EMPTY = Field(json_schema_extra={"minLength": 1})

Line = Annotated[str, Field(max_length=200), AfterValidator(clean_line)]
Name = Annotated[Line, AfterValidator(_not_empty), _NOT_EMPTY]
Notes = Annotated[str, Field(max_length=20_000), AfterValidator(clean_notes)]

Label = Annotated[
    str,
    Field(max_length=50),
    AfterValidator(clean_line),
    AfterValidator(_not_empty),
    _NOT_EMPTY,
]
"""A name by which the ledger knows a thing: three of them and their colons must fit one entry."""

Identifier = Annotated[
    Label, AfterValidator(_identifier), Field(json_schema_extra={"pattern": "^[a-z0-9-]+$"})
]

# The bounds are far from anything that a crew owns. They keep a slip of the keyboard from being
# counted up one by one, and sums from running over.
Share = Annotated[float, Field(ge=0, lt=1, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0, le=1_000_000, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, le=1_000_000_000, allow_inf_nan=False)]
Celsius = Annotated[float, Field(ge=-100, le=100, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=100_000)]
AtLeastOne = Annotated[int, Field(ge=1, le=1_000)]


def _no_truth(value: Any) -> Any:
    if isinstance(value, bool):
        raise PydanticKnownError("int_type")
    return value


Channels = Annotated[Literal[1, 2], BeforeValidator(_no_truth)]

Many = Annotated[tuple[T, ...], Strict(False)]


def parse_clock(value: Any) -> Any:
    """Minutes from the day's midnight of "HH:MM" (25:30 is 01:30 next morning) or a TOML time."""
    if isinstance(value, time):
        if value.second or value.microsecond:
            raise wrong(f'{value} has seconds; write hours and minutes: "{value:%H:%M}"')
        return value.hour * 60 + value.minute
    if not isinstance(value, str):
        raise wrong(f'{shown(value)} is not a time; write "HH:MM", such as "07:30"')
    match = _CLOCK.fullmatch(value.strip())
    if match is None or int(match[2]) > 59:
        raise wrong(f'{shown(value)} is not a time; write "HH:MM", such as "07:30"')
    minutes = int(match[1]) * 60 + int(match[2])
    if minutes > LATEST_MINUTE:
        raise wrong(f'{shown(value)} is past the end of the next day; write at most "48:00"')
    return minutes


def clock(minutes: int) -> str:
    """The call-sheet writing of a minute of the day: 450 is "07:30", 1530 is "25:30"."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


ClockTime = Annotated[
    int,
    BeforeValidator(parse_clock),
    # Editors show a schema a TOML time as text, with its seconds.
    WithJsonSchema(
        {"type": "string", "pattern": "^(([0-3]?[0-9]|4[0-7]):[0-5][0-9]|48:00)(:00)?$"}
    ),
]


class _OneOrManySchema:
    """Tells the JSON Schema that one value may stand for a list of one."""

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        listed = handler(schema)
        return {"anyOf": [listed["items"], listed]}


def _as_list(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


OneOrMany = Annotated[Many[T], Field(min_length=1), BeforeValidator(_as_list), _OneOrManySchema]


def _rising(pair: tuple[float, float]) -> tuple[float, float]:
    low, high = pair
    if high < low:
        raise wrong(f"[{low:g}, {high:g}] runs backwards; write [{high:g}, {low:g}]")
    return pair


Range = Annotated[tuple[Positive, Positive], Strict(False), AfterValidator(_rising)]
"""A closed range [low, high] of one positive quantity."""


def _in_brackets_twice(value: Any) -> Any:
    if isinstance(value, list) and value and all(isinstance(e, int | float) for e in value):
        inner = ", ".join(shown(entry) for entry in value)
        raise wrong(f"each range stands in brackets of its own; write [[{inner}]]")
    return value


Ranges = Annotated[Many[Range], Field(min_length=1), BeforeValidator(_in_brackets_twice)]
"""One range or several: [[518.0, 572.0]], or [[470.0, 516.0], [520.0, 548.0]]."""


class Definition(BaseModel):
    """A frozen table of a definition file; a key that is not known is an error."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, validate_by_name=False, validate_by_alias=True
    )
