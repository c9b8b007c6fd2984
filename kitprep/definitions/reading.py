"""From TOML data to a frozen model, with every mistake of the file told in TOML's own words."""

from collections.abc import Iterator
from typing import Any, Literal, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from kitprep.definitions.fields import Definition
from kitprep.definitions.problems import (
    DefinitionError,
    Keys,
    Problem,
    SourceFile,
    did_you_mean,
    one_of,
)
from kitprep.definitions.text import shown

D = TypeVar("D", bound=Definition)

_KINDS = {
    "string_type": "write text, in quotes",
    "int_type": "write a whole number, without quotes",
    "float_type": "write a number, without quotes",
    "bool_type": "write true or false, without quotes",
    "date_type": "write a date, without quotes, such as 2027-03-14",
    "dict_type": 'write a table, as in { main = "5.2" }',
    "model_type": "write a table, in curly brackets or under a header of its own",
    "finite_number": "write a number",
}
_BOUNDS = {
    "greater_than": ("gt", "write more than {}"),
    "greater_than_equal": ("ge", "write {} or more"),
    "less_than": ("lt", "write less than {}"),
    "less_than_equal": ("le", "write {} or less"),
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
    return [
        _problem(model, file, detail)
        for detail in details
        if not _is_echo(detail, details) and not _is_misspelt(model, detail["loc"], detail, unknown)
    ]


def _problem(model: type[Definition], file: SourceFile, detail: ErrorDetails) -> Problem:
    keys, context = detail["loc"], detail.get("ctx", {})
    at_key = detail["type"] == "extra_forbidden"
    if context.get("at") is not None:
        keys, at_key = (*keys, context["at"]), context["take_out"]
    return Problem(file, keys, _message(model, detail), at_key)


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
    name, given = _name(keys), detail["input"]
    if kind == "kitprep":
        return str(context["message"])
    if kind == "missing":
        return _missing(model, keys)
    if kind == "extra_forbidden":
        known = known_keys(model, keys[:-1])
        word = str(keys[-1])
        return f"unknown key {shown(word)}; " + did_you_mean(word, known, one_of(known))
    if kind == "literal_error":
        return f"{name} cannot be {shown(given)}; " + _one_of_these(str(context["expected"]), given)
    if kind == "tuple_type":
        return f"{name} {_not_a_list(model, keys, given)}"
    if kind == "string_type" and not isinstance(given, list | dict):
        return f'{name} cannot be {shown(given)}; write it in quotes, as in "{shown(given)}"'
    if kind in _KINDS:
        return f"{name} cannot be {shown(given)}; {_KINDS[kind]}"
    if kind in _BOUNDS:
        bound, words = _BOUNDS[kind]
        limit = f"{context[bound]:,}".replace(",", " ").removesuffix(".0")
        return f"{name} cannot be {shown(given)}; " + words.format(limit)
    if kind == "too_short":
        return f"{name} is empty; write at least one"
    if kind == "too_long":
        return f"{name} takes {context['max_length']} numbers, not {context['actual_length']}; " + (
            f"write {context['max_length']}"
        )
    if kind == "string_too_short":
        return f"{name} is empty; write something"
    if kind == "string_too_long":
        return f"{name} is longer than {context['max_length']} characters; shorten it"
    return f"{name}: {detail['msg'][:1].lower()}{detail['msg'][1:]}; write something else"


def _not_a_list(model: type[Definition], keys: Keys, given: object) -> str:
    if not known_keys(model, keys):
        allowed = list(_among(_annotation(model, keys)))
        if allowed and isinstance(given, str) and given not in allowed:
            return f"cannot be {shown(given)}; {one_of(allowed)} in square brackets"
        if _is_range(_annotation(model, keys)):
            return f"cannot be {shown(given)}; write two numbers, the lower first, as in [11.5, 16]"
        example = "…" if isinstance(given, dict) else shown(given)
        return f"cannot be {shown(given)}; write a list, as in [{example}]"
    dotted = ".".join(part for part in keys if isinstance(part, str))
    return f"is a list of tables, even for one; head each [[{dotted}]], or write [{{ … }}]"


def _missing(model: type[Definition], keys: Keys) -> str:
    *above, key = keys
    if isinstance(key, int):
        return f"{_name(keys)} takes two numbers, a lower and a higher; write both"
    names = [part for part in above if isinstance(part, str)]
    where = "the file"
    if names:
        where = f"one of {names[-1]}" if names[-1].endswith("s") else f"this {names[-1]}"
    how = f"write {key} = …"
    if known_keys(model, keys):
        how = f"write {key} = [{{ … }}]" if names else f"head one [[{key}]], as often as you need"
    return f'{where} has no "{key}"; {how}'


def _one_of_these(expected: str, given: object) -> str:
    """The way on from pydantic's "'a', 'b' or 'c'"."""
    names = [name.strip(" '") for name in expected.replace(" or ", ", ").split(",")]
    if not expected.startswith("'"):
        return f"write {expected}"
    return did_you_mean(given, names, one_of(names)) if isinstance(given, str) else one_of(names)


def known_keys(model: type[BaseModel], keys: Keys) -> list[str]:
    """The keys that the table at this place may hold."""
    names = [part for part in keys if isinstance(part, str)]
    inner = next(_definitions_in(_annotation(model, keys)), None) if names else model
    fields = {} if inner is None else inner.model_fields
    return [field.alias or name for name, field in fields.items()]


def _annotation(model: type[BaseModel], keys: Keys) -> Any:
    """The type of the key at this place; None where there is none."""
    annotation: Any = model
    for part in keys:
        if isinstance(part, int):
            continue
        inner = next(_definitions_in(annotation), None)
        fields = {} if inner is None else inner.model_fields
        field = next((f for name, f in fields.items() if part in (f.alias, name)), None)
        if field is None:
            return None
        annotation = field.annotation
    return annotation


def _among(annotation: Any) -> Iterator[str]:
    """The words that a list of some few may hold."""
    if get_origin(annotation) is Literal:
        yield from (word for word in get_args(annotation) if isinstance(word, str))
    else:
        for inner in get_args(annotation):
            yield from _among(inner)


def _is_range(annotation: Any) -> bool:
    if get_origin(annotation) is tuple:
        return Ellipsis not in get_args(annotation)
    return any(_is_range(inner) for inner in get_args(annotation))


def _definitions_in(annotation: Any) -> Iterator[type[Definition]]:
    if isinstance(annotation, type) and issubclass(annotation, Definition):
        yield annotation
    for inner in get_args(annotation):
        yield from _definitions_in(inner)


def _name(keys: Keys) -> str:
    """The key that a problem is about: the innermost that has a name."""
    return next((part for part in reversed(keys) if isinstance(part, str)), "the file")
