"""Rows to units of the kit's models, with every mistake of every row."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from kitprep.definitions.added_units import TAGGED, why_not
from kitprep.definitions.kit import AddedUnit
from kitprep.definitions.kit_checks import counted_names
from kitprep.definitions.problems import DefinitionError, SourceFile, did_you_mean, one_of
from kitprep.definitions.reading import read_model
from kitprep.definitions.text import shown
from kitprep.importing.columns import IGNORE, Columns, complain_of_missing
from kitprep.importing.figures import (
    Decimal,
    Order,
    Unclear,
    is_blank,
    read_date,
    read_number,
    read_weight,
    settle_decimal,
    settle_order,
)
from kitprep.importing.problems import ImportProblems, Mistake
from kitprep.importing.table import Row, Table
from kitprep.importing.words import NEW, Meanings, Names, as_said, case_id, lists_of

_KEYS = {"weight": "weight_g"}
"""The key of a unit where it is not the role's own word."""

_STATES = {
    "ok": ("", "ok", "good", "working", "works", "fine", "in order", "available", "gut", "bon"),
    "repair": (
        "repair", "in repair", "faulty", "broken", "defect", "defective", "service", "defekt",
        "reparatur", "en panne",
    ),
    "missing": ("missing", "lost", "not seen", "not found", "fehlt", "manquant"),
}  # fmt: skip

_SHORTENED = re.compile(r"\d([.,]\d+)?E\+\d+")
_SHEET_ERRORS = ("#N/A", "#REF!", "#NAME?", "#VALUE!", "#DIV/0!", "#NULL!", "#NUM!")


@dataclass(frozen=True)
class Wishes:
    """What a person says about all rows: who owns those that do not say, how figures are meant."""

    owner: str | None = None
    due: date | None = None
    decimal: Decimal | None = None
    dates: Order | None = None


@dataclass(frozen=True)
class _Known:
    """What the kit has to say to a row."""

    names: Names
    meanings: Meanings
    tags: Mapping[str, str]
    decimal: Decimal | None
    order: Order | None
    weight_unit: str

    def meaning(self, role: str, word: str) -> str | None:
        """What a word was settled to stand for, where it was."""
        return self.meanings.get(role, {}).get(word.casefold())


@dataclass
class _Reading:
    """One row under way: its facts, and the mistakes found so far."""

    row: Row
    facts: dict[str, Any] = field(default_factory=dict)
    mistakes: list[Mistake] = field(default_factory=list)

    def wrong(self, column: int | None, message: str) -> None:
        self.mistakes.append(Mistake(self.row.number, column, message))


def units_of(
    table: Table,
    columns: Columns,
    names: Names,
    wishes: Wishes,
    meanings: Meanings,
    instead_of: Iterable[str] = (),
) -> tuple[AddedUnit, ...]:
    """The rows as units, but for those of a model that is left out.

    ``instead_of`` are tags of the kit that this import takes the place of.

    Raises:
        ImportProblems: with every mistake of every row.
    """
    complain_of_missing(table, columns)
    known = _known(table, columns, names, wishes, meanings, instead_of)
    units: list[AddedUnit] = []
    mistakes: list[Mistake] = []
    rows_of_tags: dict[str, int] = {}
    for row in table.rows:
        if known.meaning("model", row.cell(columns.by_role["model"])) == IGNORE:
            continue
        reading = _read(row, columns, known, wishes)
        unit = _unit(reading, columns)
        _used_once(reading, columns, known, rows_of_tags)
        mistakes += reading.mistakes
        if unit is not None:
            units.append(unit)
    if mistakes:
        raise ImportProblems(table.name, _once(mistakes), table.headings)
    return tuple(units)


def _once(mistakes: Iterable[Mistake]) -> Iterator[Mistake]:
    """Each mistake at its first row; the same again in other rows is only counted."""
    rows: dict[tuple[int | None, str], list[Mistake]] = {}
    for mistake in mistakes:
        rows.setdefault((mistake.column, mistake.message), []).append(mistake)
    for first, *more in rows.values():
        again = f" (and in {len(more)} more rows)" if len(more) > 1 else " (and in one more row)"
        yield replace(first, message=first.message + again) if more else first


def how_read(table: Table, columns: Columns, names: Names, wishes: Wishes) -> dict[str, str]:
    """What the first figure or day of a column is taken for, by role, for a person to see."""
    known = _known(table, columns, names, wishes, {})
    found = {}
    for role, unit in (("weight", " g"), ("value", ""), ("due", "")):
        column = columns.by_role.get(role, len(table.headings))
        text = next((row.cell(column) for row in table.rows if not is_blank(row.cell(column))), "")
        try:
            value = _READERS[role](text, known)
        except Unclear:
            continue
        if value is not None:
            found[role] = (f"{value:g}" if isinstance(value, float) else str(value)) + unit
    return found


def _known(
    table: Table,
    columns: Columns,
    names: Names,
    wishes: Wishes,
    meanings: Meanings,
    instead_of: Iterable[str] = (),
) -> _Known:
    kit = names.kit
    replaced = {tag.casefold() for tag in instead_of}
    tags = {
        unit.tag.casefold(): model.model
        for attribute, _ in TAGGED
        for model in getattr(kit, attribute)
        for unit in model.units
        if unit.tag.casefold() not in replaced
    }
    for adapter in kit.adapters:
        tags |= {name.casefold(): adapter.model for name in counted_names(adapter)}
    at = columns.by_role
    numbers = [at[role] for role in ("weight", "value") if role in at]
    figures = [row.cell(column) for column in numbers for row in table.rows]
    days = [row.cell(at["due"]) for row in table.rows] if "due" in at else []
    return _Known(
        names,
        meanings,
        tags,
        wishes.decimal or settle_decimal(figures, table.separator),
        wishes.dates or settle_order(days),
        columns.weight_unit,
    )


def _read(row: Row, columns: Columns, known: _Known, wishes: Wishes) -> _Reading:
    reading = _Reading(row)
    for role, column in columns.by_role.items():
        text = row.cell(column)
        try:
            value = _READERS[role](text, known)
        except Unclear as unclear:
            reading.wrong(column, str(unclear))
        else:
            if value is not None:
                reading.facts[_KEYS.get(role, role)] = value
    if wishes.owner is not None and "owner" not in reading.facts:
        reading.facts["owner"] = wishes.owner
    if reading.facts.get("owner", "own") != "own" and wishes.due is not None:
        reading.facts.setdefault("due", wishes.due)
    return reading


def _text(text: str, known: _Known) -> str | None:
    if text in _SHEET_ERRORS:
        raise Unclear(f"{text} is an error of the spreadsheet's; mend the formula, or clear it")
    return text or None


def _name(text: str, known: _Known) -> str | None:
    """A tag or a serial, which a spreadsheet may have taken for a number."""
    if _SHORTENED.fullmatch(text):
        raise Unclear(
            f"{shown(text)} is what a spreadsheet makes of a long number; make the column text, "
            "and write it out"
        )
    return _text(text, known)


def _model(text: str, known: _Known) -> str | None:
    if not text:
        raise Unclear("there is no model here; write one")
    found = known.names.known("model", text)
    meaning = known.meaning("model", text)
    if meaning is None and len(found) > 1:
        raise Unclear(f"{shown(text)} is the name of several; {one_of(found)}")
    model = meaning or next(iter(found), text)
    message = why_not(model, lists_of(known.names.kit))
    if message:
        # What is counted has no units, so that its rows can only be left out.
        instead = IGNORE if found else known.names.likeliest(text) or "MODEL"
        raise Unclear(_or(message, f"say --models {as_said(text, instead)}"))
    return model


def _case(text: str, known: _Known) -> str | None:
    meaning = known.meaning("case", text)
    if not text or meaning == IGNORE:
        return None
    if meaning == NEW:
        return case_id(text)
    found = {meaning} if meaning else known.names.known("case", text)
    if len(found) != 1:
        names = [case.id for case in known.names.kit.cases]
        hint = did_you_mean(text, names, one_of(names))
        message = f"no case {shown(text)} in the kit; {hint}"
        raise Unclear(_or(message, f"say --cases {as_said(text, NEW)}"))
    return next(iter(found))


def _or(message: str, instead: str) -> str:
    return f"{message} Or {instead}" if message.endswith("?") else f"{message}; or {instead}"


def _weight(text: str, known: _Known) -> float | None:
    return None if is_blank(text) else read_weight(text, known.decimal, known.weight_unit)


def _value(text: str, known: _Known) -> float | None:
    return None if is_blank(text) else read_number(text, known.decimal)


def _owner(text: str, known: _Known) -> str | None:
    return "own" if text.casefold() in ("own", "owned", "ours", "us") else _text(text, known)


def _due(text: str, known: _Known) -> date | None:
    return None if is_blank(text) else read_date(text, known.order)


def _state(text: str, known: _Known) -> str:
    for state, words in _STATES.items():
        if text.casefold() in words:
            return state
    raise Unclear(f"{shown(text)} is no state; write ok, repair or missing")


_READERS: Mapping[str, Callable[[str, _Known], Any]] = {
    "tag": _name,
    "serial": _name,
    "model": _model,
    "firmware": _text,
    "case": _case,
    "weight": _weight,
    "value": _value,
    "owner": _owner,
    "due": _due,
    "state": _state,
    "notes": _text,
}


def _unit(reading: _Reading, columns: Columns) -> AddedUnit | None:
    at = {_KEYS.get(role, role): column for role, column in columns.by_role.items()}
    mistaken = {mistake.column for mistake in reading.mistakes}
    # A stand-in, so that a model which could not be read hides no mistake of the rest.
    facts = {"model": "x", **reading.facts} if at["model"] in mistaken else reading.facts
    try:
        unit = read_model(AddedUnit, SourceFile("", ""), facts)
    except DefinitionError as error:
        for problem in error.problems:
            key = str(problem.keys[0]) if problem.keys else ""
            # What could not be read is missing here too, and a hire then lacks its day.
            blamed = (key, "due") if key == "owner" else (key,)
            if not {at[name] for name in blamed if name in at} & mistaken:
                reading.wrong(at.get(key), _in_a_sheet(key, problem.message))
        return None
    return None if mistaken else unit


def _in_a_sheet(key: str, message: str) -> str:
    """A definition's message names keys to write in a file; a sheet has cells."""
    if message.endswith(f"write {key} = …"):
        return f"there is no {key} here; write one"
    if "due = " in message:
        return f"{message.split(';')[0]}; fill in a due column, or say --due"
    return f"this {message.removeprefix(f'{key} ')}" if message.startswith(f"{key} ") else message


def _used_once(reading: _Reading, columns: Columns, known: _Known, rows: dict[str, int]) -> None:
    column = columns.by_role["tag"]
    tag = reading.row.cell(column)
    folded = tag.casefold()
    if not tag:
        return
    if folded in rows:
        reading.wrong(column, f"the tag {shown(tag)} is in row {rows[folded]} too; write another")
    elif folded in known.tags:
        model = known.tags[folded]
        reading.wrong(column, f"the tag {shown(tag)} is in the kit, on a {model}; write another")
    rows.setdefault(folded, reading.row.number)


def count_by_model(units: Iterable[AddedUnit]) -> Iterator[tuple[str, int]]:
    """How many of each model, in the order in which they are met."""
    counts: dict[str, int] = {}
    for unit in units:
        counts[unit.model] = counts.get(unit.model, 0) + 1
    yield from counts.items()
