"""What may stand under a key, in words, from the JSON Schema of its model."""

from collections.abc import Mapping
from typing import Any

Schema = Mapping[str, Any]

A_SLIP = 50_000
"""Upper bounds from here on only catch slips of the keyboard; they are told once for all."""

TYPES: Mapping[str, str] = {
    "text": "one line, at most 200 characters",
    "short text": "one line, at most 50 characters, not empty",
    "notes": "any number of lines, at most 20 000 characters",
    "id": "small letters, digits and hyphens, at most 50",
    "time": 'hours and minutes in quotes, "07:30"; past midnight they go on counting, to "48:00"',
    "date": "year, month, day, without quotes: 2027-03-14",
    "[low, high]": "two numbers, both within the range",
    "list": "entries in [square brackets] with commas between",
}

_TEXTS = {50: "short text", 200: "text", 20_000: "notes"}


def in_words(schema: Schema) -> str:
    """The type of a value."""
    if "anyOf" in schema:
        one, many = schema["anyOf"]
        if many.get("items") == one:
            return f"{in_words(one)}; or a list of these"
        raise ValueError(f"no words for {schema}")
    if "enum" in schema:
        *first, last = (_quoted(value) for value in schema["enum"])
        return f"{', '.join(first)} or {last}" if first else last
    match schema.get("type"):
        case "string":
            return _text(schema)
        case "boolean":
            return "true or false"
        case "integer":
            return f"whole number{_bounds(schema)}"
        case "number":
            return f"number{_bounds(schema)}"
        case "array":
            return _list(schema)
        case "object":
            return f"{{ key = {in_words(schema['additionalProperties'])}, … }}"
        case ["string", "integer"]:
            return f"{_text(schema)} or whole number"
    raise ValueError(f"no words for {schema}")


def holds_numbers(schema: Schema) -> bool:
    """Whether a value is a number, or a list of numbers."""
    inner = (*schema.get("prefixItems", ()), *schema.get("anyOf", ()))
    items = (*inner, schema["items"]) if "items" in schema else inner
    return schema.get("type") in ("integer", "number") or any(map(holds_numbers, items))


def _quoted(value: object) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value)


def _text(schema: Schema) -> str:
    if "pattern" in schema:
        return "time" if ":" in schema["pattern"] else "id"
    if schema.get("format") == "date":
        return "date"
    return _TEXTS[schema["maxLength"]]


def _bounds(schema: Schema) -> str:
    low, above = schema.get("minimum"), schema.get("exclusiveMinimum")
    high, below = schema.get("maximum"), schema.get("exclusiveMaximum")
    if high is not None and high >= A_SLIP:
        high = None
    if above is not None:
        return f" above {above:g}" if high is None else f" above {above:g}, to {high:g}"
    if low is None:
        return ""
    if below is not None:
        return f" from {low:g}, below {below:g}"
    return f", {low:g} or more" if high is None else f" from {low:g} to {high:g}"


def _list(schema: Schema) -> str:
    if "prefixItems" in schema:
        first, second = schema["prefixItems"]
        same = first == second
        return "[low, high]" if same else f"[{in_words(first)}; {in_words(second)}]"
    items = schema["items"]
    if "$ref" in items:
        return "list of tables"
    return f"list{':' if 'enum' in items else ' of'} {in_words(items)}"
