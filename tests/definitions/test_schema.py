"""The JSON Schema that ``kitprep schema`` prints, for an editor that completes and checks."""

import json
import tomllib
from datetime import date, time
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from pydantic import ValidationError

from kitprep.bundled import demo_plan
from kitprep.cli import main
from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan

Place = tuple[str | int, ...]
"""The way from the top of a file to a value."""

ERRORS = Path(__file__).parent / "errors"
DEMO = demo_plan().parent

NOT_TOML = {"not-utf8", "number-too-long", "too-deep"}
"""Files that no editor can show to a schema, beside those named syntax-."""

FILES = {path.stem for path in ERRORS.glob("*.toml") if path.is_file()} - NOT_TOML
CASES = sorted(case for case in FILES if not case.startswith("syntax-"))

UNSEEN: dict[str, set[Place]] = {
    # Characters that show nothing are taken out before a name is looked at.
    "nothing-but-control-characters": {("name",)},
    # A TOML date is shown to a schema as text, and nan as a number.
    "wrong-types": {("item", 0, "name"), ("stock", 1, "value")},
}
"""Mistakes of shape that a schema cannot see, by file."""


@pytest.fixture
def validator(request: pytest.FixtureRequest, capsys: pytest.CaptureFixture[str]) -> Any:
    assert main(["schema", request.param]) == 0
    answer, messages = capsys.readouterr()
    assert messages == ""
    return Draft202012Validator(
        json.loads(answer), format_checker=Draft202012Validator.FORMAT_CHECKER
    )


def read(path: Path) -> Any:
    """A TOML file as an editor shows it to a schema: dates and times are text."""
    return _as_json(tomllib.loads(path.read_text("utf-8")))


def _as_json(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, date | time) else value


def objects(schema: Any) -> list[dict[str, Any]]:
    """Every object inside a schema, itself first."""
    if isinstance(schema, list):
        return [found for inner in schema for found in objects(inner)]
    if not isinstance(schema, dict):
        return []
    return [schema, *(found for inner in schema.values() for found in objects(inner))]


@pytest.mark.parametrize("validator", ["kit", "plan"], indirect=True)
def test_it_is_a_schema_of_draft_2020_12(validator: Draft202012Validator) -> None:
    assert validator.schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    validator.check_schema(validator.schema)


@pytest.mark.parametrize("validator", ["kit", "plan"], indirect=True)
def test_it_offers_nothing_that_toml_cannot_say(validator: Draft202012Validator) -> None:
    for part in objects(validator.schema):
        assert part.get("type") != "null"
        assert part.get("default", "") is not None


@pytest.mark.parametrize("validator", ["kit", "plan"], indirect=True)
def test_every_table_refuses_unknown_keys(validator: Draft202012Validator) -> None:
    tables = [part for part in objects(validator.schema) if "properties" in part]
    assert len(tables) > 3
    assert all(table["additionalProperties"] is False for table in tables)


@pytest.mark.parametrize("validator", ["kit"], indirect=True)
def test_the_demo_kit_is_valid(validator: Draft202012Validator) -> None:
    assert list(validator.iter_errors(read(DEMO / "kit.toml"))) == []


@pytest.mark.parametrize("validator", ["plan"], indirect=True)
@pytest.mark.parametrize("day", [1, 2, 3])
def test_the_demo_days_are_valid(validator: Draft202012Validator, day: int) -> None:
    assert list(validator.iter_errors(read(demo_plan(day)))) == []


def kind_of(case: str) -> str:
    return "plan" if case.startswith("plan") else "kit"


def mistakes(case: str) -> tuple[set[Place], set[Place]]:
    """Where reading finds mistakes of shape in a file by itself, and where it finds any."""
    model = Plan if kind_of(case) == "plan" else Kit
    try:
        model.model_validate(tomllib.loads((ERRORS / f"{case}.toml").read_text("utf-8")))
    except ValidationError as error:
        found = error.errors()
    else:
        return set(), set()
    every = {_place(detail) for detail in found}
    shape = {_place(detail) for detail in found if detail["type"] != "kitprep"}
    # A list is called too short as well where it is its entries that are wrong.
    echoes = {place for place in shape if any(inside(other, place) for other in every)}
    return shape - echoes, every


def inside(place: Place, outer: Place) -> bool:
    return len(place) > len(outer) and place[: len(outer)] == outer


def _place(detail: Any) -> Place:
    """A schema tells of a key at the table that lacks it, or has it too many."""
    keys = tuple(detail["loc"])
    return keys[:-1] if detail["type"] in ("missing", "extra_forbidden") else keys


@pytest.mark.parametrize(
    ("validator", "case"), [(kind_of(case), case) for case in CASES], indirect=["validator"]
)
def test_it_sees_each_mistake_of_shape_and_no_other(
    validator: Draft202012Validator, case: str
) -> None:
    seen = {tuple(e.absolute_path) for e in validator.iter_errors(read(ERRORS / f"{case}.toml"))}
    shape, every = mistakes(case)
    assert shape - seen == UNSEEN.get(case, set())
    assert all(place in every or any(inside(place, outer) for outer in every) for place in seen)


@pytest.mark.parametrize("validator", ["kit"], indirect=True)
@pytest.mark.parametrize(
    ("written", "fits"),
    [
        ([[518.0, 572.0]], True),
        ([[470, 516], [520, 548]], True),
        ([], False),
        ([518.0, 572.0], False),
        ([[518.0]], False),
        ([[518.0, 572.0, 600.0]], False),
        ([[0, 572.0]], False),
        ("518-572", False),
    ],
)
def test_where_a_model_tunes_is_at_least_one_range_of_two(
    validator: Draft202012Validator, written: object, fits: bool
) -> None:
    kit = read(DEMO / "kit.toml")
    kit["transmitter"][0]["tuning_mhz"] = written
    kit["receiver"][0]["tuning_mhz"] = written
    kit["transmitter"][0]["unit"][0]["tuning_mhz"] = written
    found = {tuple(error.absolute_path)[:2] for error in validator.iter_errors(kit)}
    assert found == (set() if fits else {("transmitter", 0), ("receiver", 0)})


@pytest.mark.parametrize("validator", ["plan"], indirect=True)
@pytest.mark.parametrize(
    ("written", "fits"),
    [
        ("07:30", True),
        ("7:30", True),
        ("25:30", True),
        ("07:30:00", True),  # a TOML time, as an editor shows it
        ("07:30:15", False),
        ("48:00", True),
        ("48:01", False),
        ("07:60", False),
        ("7.30", False),
        (7, False),
    ],
)
def test_a_time_is_hours_and_minutes_in_quotes(
    validator: Draft202012Validator, written: object, fits: bool
) -> None:
    plan = read(demo_plan())
    plan["scene"][0]["start"] = written
    assert (list(validator.iter_errors(plan)) == []) is fits


@pytest.mark.parametrize("validator", ["plan"], indirect=True)
@pytest.mark.parametrize(
    ("written", "fits"), [("bodypack", True), (["bodypack", "hop"], True), ([], False), (3, False)]
)
def test_one_word_may_stand_for_a_list_of_one(
    validator: Draft202012Validator, written: object, fits: bool
) -> None:
    plan = read(demo_plan())
    plan["source"][0]["form"] = written
    assert (list(validator.iter_errors(plan)) == []) is fits
