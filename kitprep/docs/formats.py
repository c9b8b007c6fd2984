"""The reference of the files: every table and key, from the models that read them."""

from collections.abc import Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from kitprep.definitions.kit import Carried, Kit, Tables, Unit
from kitprep.definitions.plan import Plan
from kitprep.definitions.schema import json_schema
from kitprep.definitions.text import shown
from kitprep.docs.types import holds_numbers, in_words
from kitprep.docs.units import unit_of

Model = type[BaseModel]

TOLD_ONCE: Mapping[Model, str] = {
    Carried: "Anything carried",
    Unit: "A unit",
    Tables: "Any file of a kit",
}
"""Models whose keys others take over, and the heading under which these stand."""


def kit_format() -> str:
    """The kit's tables, the reference tables among them."""
    return _format(Kit, (Tables, Carried))


def plan_format() -> str:
    """The day plan's tables."""
    return _format(Plan, ())


def _format(top: Model, shared: tuple[Model, ...]) -> str:
    parts = [_section(top, "At the top of the file")]
    parts += [_section(model, TOLD_ONCE[model]) for model in shared]
    for model, places in _tables(top).items():
        heading = ", ".join(places)
        if model in TOLD_ONCE:
            heading = f"{TOLD_ONCE[model]}: {heading}"
        parts.append(_section(model, heading))
    return "\n".join(parts)


def _tables(top: Model) -> dict[Model, list[str]]:
    """Each table below a model once, with all places where it is written."""
    places: dict[Model, list[str]] = {}
    for model, place in _below(top, ""):
        places.setdefault(model, []).append(place)
    return places


def _below(model: Model, path: str) -> Iterator[tuple[Model, str]]:
    for name, field in model.model_fields.items():
        inner = _model_in(field.annotation)
        if inner is None:
            continue
        key = field.alias or name
        # An entry of a list has the list's name in the singular, and brackets of its own.
        is_headed = field.alias is not None or not path
        within = f"{path}.{key}" if path else key
        yield inner, f"`[[{within}]]`" if is_headed else f"`{key} = [{{ … }}]` in `[[{path}]]`"
        yield from _below(inner, within)


def _model_in(annotation: Any) -> Model | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(_model_in, get_args(annotation))), None)


def _section(model: Model, heading: str) -> str:
    lines = [f"### {heading}", "", (model.__doc__ or "").split("\n")[0], ""]
    lines += ["| key | type | unit | when left out | meaning |", "| --- | --- | --- | --- | --- |"]
    lines += _rows(model)
    if (base := _told_before(model)) is not None:
        lines += ["", f"And the keys of *{TOLD_ONCE[base]}*."]
    return "\n".join((*lines, ""))


def _told_before(model: Model) -> Model | None:
    """The nearest model whose keys this one takes over and that has a section of its own."""
    return next((base for base in model.__mro__[1:] if base in TOLD_ONCE), None)


def _rows(model: Model) -> Iterator[str]:
    schema = json_schema(model)
    base = _told_before(model)
    own = [name for name in model.model_fields if base is None or name not in base.model_fields]
    for name in sorted(own, key=lambda name: name not in model.__annotations__):
        field = model.model_fields[name]
        key = field.alias or name
        part = schema["properties"][key]
        unit = unit_of(model.__name__, key) if holds_numbers(part) else ""
        cells = (f"`{key}`", in_words(part), unit, _left_out(field), field.description or "")
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _left_out(field: FieldInfo) -> str:
    if field.is_required():
        return "**needed**"
    value = field.get_default(call_default_factory=True)
    if value in (None, "", (), {}):
        return "–"
    entries = [shown(entry) for entry in value] if isinstance(value, tuple) else None
    return f"`[{', '.join(entries)}]`" if entries else f"`{shown(value)}`"
