"""A day plan at a glance: what it says of its day, scenes and breaks, before it is read in earnest.

It takes nothing but the standard library, for pydantic and the models take as long to load as half
of all else before the first picture. It checks only what it gives; whether the plan and its kit are
right is found by the reading in earnest (:mod:`kitprep.definitions.loading`), which always follows.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kitprep.definitions.text import (
    LONGEST_LABEL,
    LONGEST_LINE,
    MINUTES_A_DAY,
    clean_line,
    parse_clock,
    scene_number,
)

USUAL_CELSIUS = 20.0
USUAL_LEAD_MIN = 30
"""What a plan means that says nothing of them."""


@dataclass(frozen=True, slots=True)
class SeenBreak:
    """A break, from start up to end in minutes from midnight."""

    start: int
    end: int
    name: str


@dataclass(frozen=True, slots=True)
class SeenScene:
    """A scene, from start up to end in minutes from midnight."""

    start: int
    end: int
    number: str
    place: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Glimpse:
    """A day as its plan has it; each name means what it means in a plan."""

    day: date
    title: str
    temperature_c: float
    lead_min: int
    scenes: tuple[SeenScene, ...]
    breaks: tuple[SeenBreak, ...]


def glimpse(plan: Path) -> Glimpse | None:
    """What a plan says, or None where anything in it is not as expected; never raises."""
    try:
        # A pipe gives what it holds only once, and that is for the reading in earnest.
        if not plan.is_file():
            return None
        return _seen(tomllib.loads(plan.read_bytes().decode("utf-8-sig")))
    except (OSError, ValueError, RecursionError):
        return None


def _seen(data: Mapping[str, object]) -> Glimpse:
    day = data.get("day")
    scenes = tuple(_scene(table) for table in _tables(data, "scene"))
    if type(day) is not date or not scenes:
        raise ValueError(day)
    lead_min = data.get("lead_min", USUAL_LEAD_MIN)
    if type(lead_min) is not int or not 0 <= lead_min <= MINUTES_A_DAY:
        raise ValueError(lead_min)
    return Glimpse(
        day,
        _line(data.get("title", "")),
        _number(data.get("temperature_c", USUAL_CELSIUS)),
        lead_min,
        scenes,
        tuple(_break(table) for table in _tables(data, "break")),
    )


def _scene(table: Mapping[str, object]) -> SeenScene:
    sources = table.get("sources", [])
    if not isinstance(sources, list):
        raise ValueError(sources)
    return SeenScene(
        *_span(table),
        _name(scene_number(table.get("number")), LONGEST_LABEL),
        _line(table.get("place", "")),
        tuple(_line(source) for source in sources),
    )


def _break(table: Mapping[str, object]) -> SeenBreak:
    return SeenBreak(*_span(table), _name(table.get("name")))


def _span(table: Mapping[str, object]) -> tuple[int, int]:
    start, end = parse_clock(table.get("start")), parse_clock(table.get("end"))
    if end <= start:
        raise ValueError(end)
    return start, end


def _tables(data: Mapping[str, object], key: str) -> list[dict[str, object]]:
    tables = data.get(key, [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise ValueError(tables)
    return tables


def _line(value: object, longest: int = LONGEST_LINE) -> str:
    if not isinstance(value, str) or len(value) > longest:
        raise ValueError(value)
    return clean_line(value)


def _name(value: object, longest: int = LONGEST_LINE) -> str:
    if name := _line(value, longest):
        return name
    raise ValueError(value)


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(value)
    return value
