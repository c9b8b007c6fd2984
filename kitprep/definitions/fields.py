"""The field types that every definition is made of: clean text, names, clock times, ranges."""

import re
import unicodedata
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

from kitprep.definitions.text import (
    LONGEST_LABEL,
    LONGEST_LINE,
    clean_line,
    clean_notes,
    parse_clock,
    shown,
)

T = TypeVar("T")

_IDENTIFIER = re.compile(r"[a-z0-9-]+")


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

Line = Annotated[str, Field(max_length=LONGEST_LINE), AfterValidator(clean_line)]
Name = Annotated[Line, AfterValidator(_not_empty), _NOT_EMPTY]
Notes = Annotated[str, Field(max_length=20_000), AfterValidator(clean_notes)]

Label = Annotated[
    str,
    Field(max_length=LONGEST_LABEL),
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


def _clock_time(value: Any) -> int:
    try:
        return parse_clock(value)
    except ValueError as error:
        raise wrong(str(error)) from None


ClockTime = Annotated[
    int,
    BeforeValidator(_clock_time),
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
