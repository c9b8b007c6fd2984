"""The JSON Schema that ``kitprep schema`` prints, for an editor that completes and checks."""

import json
import tomllib
from datetime import date, time
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from kitprep.bundled import demo_plan
from kitprep.cli import main

ERRORS = Path(__file__).parent / "errors"
DEMO = demo_plan().parent

SHAPES = ["choices", "ids", "missing-keys", "name-too-long", "out-of-bounds", "ranges"]
SHAPES += ["plan-all-at-once", "plan-times", "single-brackets", "unknown-keys", "wrong-types"]
"""The files with mistakes of the kind that a schema can see; the others need the whole kit."""


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


@pytest.mark.parametrize(
    ("validator", "case"),
    [("plan" if case.startswith("plan") else "kit", case) for case in SHAPES],
    indirect=["validator"],
)
def test_mistakes_of_shape_are_seen(validator: Draft202012Validator, case: str) -> None:
    assert list(validator.iter_errors(read(ERRORS / f"{case}.toml")))


@pytest.mark.parametrize("validator", ["plan"], indirect=True)
@pytest.mark.parametrize(
    ("written", "fits"),
    [
        ("07:30", True),
        ("7:30", True),
        ("25:30", True),
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
