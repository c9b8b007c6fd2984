"""The field types that every definition is made of: clean text, names, clock times, ranges.

Text that people or spreadsheets wrote is cleaned here once, so that nothing further on can meet an
escape code or a reversed line; it is still only text, and is shown as text.
"""

import re
import unicodedata
from datetime import time
from typing import Annotated, Any, TypeVar

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
from pydantic_core import CoreSchema, PydanticCustomError

T = TypeVar("T")

# C0 and C1 controls reach a terminal as commands; the bidi marks reorder what is around them.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_CONTROL_BUT_NEWLINE = re.compile(_CONTROL.pattern.replace(r"\x00-\x1f", r"\x00-\x09\x0b-\x1f"))
_IDENTIFIER = re.compile(r"[a-z0-9-]+")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")

MINUTES_A_DAY = 24 * 60
LATEST_MINUTE = 2 * MINUTES_A_DAY
"""Call sheets count past midnight; no shooting day runs past the end of the next one."""


def clean_line(text: str) -> str:
    """The text on one line, NFC, without control or direction marks."""
    return unicodedata.normalize("NFC", _CONTROL.sub(" ", text)).strip()


def clean_notes(text: str) -> str:
    """As :func:`clean_line`, but line breaks stay."""
    return unicodedata.normalize("NFC", _CONTROL_BUT_NEWLINE.sub(" ", text)).strip()


def wrong(message: str) -> PydanticCustomError:
    """An error whose message is ours alone: what is wrong; what to write."""
    return PydanticCustomError("kitprep", "{message}", {"message": message})


def _not_empty(text: str) -> str:
    if not text:
        raise wrong("is empty; write a name")
    return text


def _identifier(text: str) -> str:
    if not _IDENTIFIER.fullmatch(text):
        suggestion = re.sub(r"[^a-z0-9-]+", "-", text.lower()).strip("-") or "a-name"
        raise wrong(
            f'"{text}" is not an id; write small letters, digits and hyphens, such as '
            f'"{suggestion}"'
        )
    return text


Line = Annotated[str, Field(max_length=200), AfterValidator(clean_line)]
Name = Annotated[Line, AfterValidator(_not_empty)]
Notes = Annotated[str, Field(max_length=20_000), AfterValidator(clean_notes)]
Identifier = Annotated[Name, AfterValidator(_identifier)]

Share = Annotated[float, Field(ge=0, lt=1, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, allow_inf_nan=False)]
Number = Annotated[float, Field(allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0)]
AtLeastOne = Annotated[int, Field(ge=1)]

Many = Annotated[tuple[T, ...], Strict(False)]


def parse_clock(value: Any) -> Any:
    """Minutes from the day's midnight of "HH:MM" (25:30 is 01:30 next morning) or a TOML time."""
    if isinstance(value, time):
        if value.second or value.microsecond:
            raise wrong("has seconds; write hours and minutes")
        return value.hour * 60 + value.minute
    if not isinstance(value, str):
        raise wrong(f'{value!r} is not a time; write "HH:MM", such as "07:30"')
    match = _CLOCK.fullmatch(value.strip())
    if match is None or int(match[2]) > 59:
        raise wrong(f'"{clean_line(value)}" is not a time; write "HH:MM", such as "07:30"')
    minutes = int(match[1]) * 60 + int(match[2])
    if minutes > LATEST_MINUTE:
        raise wrong(f'"{clean_line(value)}" is past the end of the next day; write at most "48:00"')
    return minutes


def clock(minutes: int) -> str:
    """The call-sheet writing of a minute of the day: 450 is "07:30", 1530 is "25:30"."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


ClockTime = Annotated[
    int,
    BeforeValidator(parse_clock),
    WithJsonSchema({"type": "string", "pattern": "^[0-9]{1,2}:[0-5][0-9]$"}),
]


class _OneOrManySchema:
    """Tells the JSON Schema that one value may stand for a list of one."""

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        listed = handler(schema)
        return {"anyOf": [listed.get("items", {}), listed]}


def _as_list(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


OneOrMany = Annotated[
    tuple[T, ...], BeforeValidator(_as_list), Strict(False), Field(min_length=1), _OneOrManySchema
]


def _rising(pair: tuple[float, float]) -> tuple[float, float]:
    low, high = pair
    if high < low:
        raise wrong(f"[{low:g}, {high:g}] runs backwards; write the lower figure first")
    return pair


Range = Annotated[tuple[Positive, Positive], Strict(False), AfterValidator(_rising)]
"""A closed range [low, high] of one positive quantity."""


class Definition(BaseModel):
    """A frozen table of a definition file; a key that is not known is an error."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, validate_by_name=False, validate_by_alias=True
    )
