"""From TOML data to a frozen model, with every mistake of the file told in TOML's own words."""

from collections.abc import Iterator
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from kitprep.definitions.problems import (
    DefinitionError,
    Keys,
    Problem,
    SourceFile,
    did_you_mean,
    one_of,
)
from kitprep.definitions.text import Definition

D = TypeVar("D", bound=Definition)

_KINDS = {
    "string_type": 'needs text; write it in quotes, such as "…"',
    "int_type": "needs a whole number",
    "int_from_float": "needs a whole number",
    "float_type": "needs a number, without quotes",
    "bool_type": "needs true or false, without quotes",
    "tuple_type": "needs a list; write it in brackets, such as [ … ]",
    "date_type": "needs a date, without quotes; write it as 2027-03-14",
    "dict_type": "needs a table; write it as { … }",
    "model_type": "needs a table; write it as { … }, or under a [[header]] of its own",
    "finite_number": "needs a finite number",
}
_BOUNDS = {
    "greater_than": ("gt", "too low; write more than {}"),
    "greater_than_equal": ("ge", "too low; write {} or more"),
    "less_than": ("lt", "too high; write less than {}"),
    "less_than_equal": ("le", "too high; write {} or less"),
}


def read_model(model: type[D], file: SourceFile, data: dict[str, object]) -> D:
    """The data as a ``model``.

    Raises:
        DefinitionError: with all of the file's mistakes.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise DefinitionError(_problems(model, file, error)) from error


def _problems(model: type[Definition], file: SourceFile, error: ValidationError) -> list[Problem]:
    details = error.errors(include_url=False)
    unknown = {d["loc"] for d in details if d["type"] == "extra_forbidden"}
    problems = []
    for detail in details:
        keys = detail["loc"]
        if _is_echo(detail, details) or _is_misspelt(model, keys, detail, unknown):
            continue
        message = _message(model, detail)
        problems.append(Problem(file, keys, message, at_key=detail["type"] == "extra_forbidden"))
    return problems


def _is_echo(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """A list is called too short as well when it is its entries that are wrong."""
    keys = detail["loc"]
    return detail["type"] == "too_short" and any(
        len(other["loc"]) > len(keys) and other["loc"][: len(keys)] == keys for other in details
    )


def _is_misspelt(
    model: type[Definition], keys: Keys, detail: ErrorDetails, unknown: set[Keys]
) -> bool:
    """A missing key whose misspelling stands beside it is told once, at the misspelling."""
    if detail["type"] != "missing":
        return False
    return any(
        other[:-1] == keys[:-1]
        and f'"{keys[-1]}"' in did_you_mean(str(other[-1]), known_keys(model, keys[:-1]), "")
        for other in unknown
    )


def _message(model: type[Definition], detail: ErrorDetails) -> str:
    kind, keys, context = detail["type"], detail["loc"], detail.get("ctx", {})
    if kind == "kitprep":
        return str(context["message"])
    if kind == "missing":
        return f'{_table(keys[:-1])} has no "{keys[-1]}"; write {keys[-1]} = …'
    if kind == "extra_forbidden":
        known = known_keys(model, keys[:-1])
        return f'unknown key "{keys[-1]}"; ' + did_you_mean(str(keys[-1]), known, one_of(known))
    if kind == "literal_error":
        allowed = str(context["expected"]).replace("'", '"').replace(" or ", ", ")
        names = [name.strip(' "') for name in allowed.split(",")]
        given = detail["input"]
        if isinstance(given, str):
            return f'"{given}" is not one of {allowed}; ' + did_you_mean(
                given, names, one_of(names)
            )
        return f"{_shown(given)} is not one of {allowed}; write one of these"
    if kind in _KINDS:
        return f"{_named(keys)}{_KINDS[kind]}, not {_shown(detail['input'])}"
    if kind in _BOUNDS:
        bound, words = _BOUNDS[kind]
        return f"{_named(keys)}{_shown(detail['input'])} is " + words.format(f"{context[bound]:g}")
    if kind == "too_short":
        return f"{_named(keys)}is empty; write at least one"
    if kind == "too_long" and "actual_length" in context:
        return (
            f"{_named(keys)}has {context['actual_length']} entries; write {context['max_length']}"
        )
    if kind == "string_too_long":
        return f"{_named(keys)}is longer than {context['max_length']} characters; shorten it"
    return f"{_named(keys)}{detail['msg'][:1].lower()}{detail['msg'][1:]}; mend the value"


def known_keys(model: type[BaseModel], keys: Keys) -> list[str]:
    """The keys that the table at this place may hold."""
    for part in keys:
        if isinstance(part, int):
            continue
        fields = {(field.alias or name): field for name, field in model.model_fields.items()}
        if part not in fields:
            return []
        inner = next(_definitions_in(fields[part].annotation), None)
        if inner is None:
            return []
        model = inner
    return [field.alias or name for name, field in model.model_fields.items()]


def _definitions_in(annotation: Any) -> Iterator[type[Definition]]:
    if isinstance(annotation, type) and issubclass(annotation, Definition):
        yield annotation
    for inner in get_args(annotation):
        yield from _definitions_in(inner)


def _table(keys: Keys) -> str:
    names = [str(part) for part in keys if isinstance(part, str)]
    return f"[[{'.'.join(names)}]]" if names else "the file"


def _named(keys: Keys) -> str:
    name = next((part for part in reversed(keys) if isinstance(part, str)), None)
    return f"{name} " if name else ""


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value[:40]}"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return str(value)[:40]
