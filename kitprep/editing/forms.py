"""The forms: every field that can be changed of a scene, a source, a destination and a unit."""

from collections.abc import Sequence
from typing import Literal, get_args

from kitprep.definitions.added_units import TAGGED
from kitprep.definitions.kit import Form, MicPower, State
from kitprep.definitions.loading import Day
from kitprep.editing.fields import (
    Choices,
    Field,
    as_date,
    as_decimal,
    as_list,
    as_notes,
    as_number,
    as_one_or_list,
    as_ranges,
    as_text,
    as_yes_or_no,
)

Kind = Literal["scene", "source", "destination", "unit"]
KINDS: tuple[Kind, ...] = get_args(Kind)

NAMED_BY: dict[Kind, str] = {
    "scene": "number",
    "source": "id",
    "destination": "id",
    "unit": "tag",
}
"""The field by which an entry is known."""


def _words(*words: str) -> Choices:
    return lambda day: words


def _models(day: Day) -> Sequence[str]:
    return [model.model for attribute, _ in TAGGED for model in getattr(day.kit, attribute)]


def _transmitters(day: Day) -> Sequence[str]:
    return [model.model for model in day.kit.transmitters]


def _receivers(day: Day) -> Sequence[str]:
    return [model.model for model in day.kit.receivers]


def _packs(day: Day) -> Sequence[str]:
    return [unit.tag for model in day.kit.transmitters for unit in model.units]


def _connectors(day: Day) -> Sequence[str]:
    return [connector.id for connector in day.kit.connectors]


def _cases(day: Day) -> Sequence[str]:
    return [case.id for case in day.kit.cases]


def _supplies(day: Day) -> Sequence[str]:
    return [supply.id for supply in day.kit.supplies]


def _destinations(day: Day) -> Sequence[str]:
    return [destination.id for destination in day.plan.destinations]


def _sources(day: Day) -> Sequence[str]:
    return [source.id for source in day.plan.sources]


def _places(day: Day) -> Sequence[str]:
    return list(dict.fromkeys(scene.place for scene in day.plan.scenes if scene.place))


_NOTES = Field("notes", "Notes", r"What else people should know; \n begins a new line", as_notes)

FIELDS: dict[Kind, tuple[Field, ...]] = {
    "scene": (
        Field("number", "Number", "As on the call sheet", as_text),
        Field("name", "Name", "As on the call sheet", as_text),
        Field("place", "Place", "A change of place is a company move", as_text, _places),
        Field("start", "Start", "On the clock of the day, such as 07:30", as_text),
        Field("end", "End", "Past midnight hours go on: 25:30 is 01:30", as_text),
        Field("sources", "Sources", "Who and what must be heard in it", as_list, _sources, True),
        _NOTES,
    ),
    "source": (
        Field("id", "Id", "By which scenes name it: small letters, digits, hyphens", as_text),
        Field("name", "Name", "On lists and screens", as_text),
        Field(
            "form",
            "Form",
            "Transmitter forms that will do",
            as_one_or_list,
            _words(*get_args(Form)),
            True,
        ),
        Field(
            "model", "Model", "Only these models; empty: any", as_one_or_list, _transmitters, True
        ),
        Field(
            "wears", "Wears", "The pack to give it again, where that costs nothing", as_text, _packs
        ),
        Field("channels", "Channels", "1 is mono, 2 stereo", as_number, _words("1", "2")),
        Field("connector", "Connector", "Empty: any", as_text, _connectors),
        Field("mic_power", "Mic power", "Empty: none needed", as_text, _words(*get_args(MicPower))),
        Field(
            "to",
            "To",
            "Destinations; recorder:3 fixes the first input there",
            as_one_or_list,
            _destinations,
            True,
        ),
        Field(
            "intent",
            "Intent",
            "Of 2 channels: left and right, or two feeds",
            as_text,
            _words("pair", "tracks"),
        ),
        Field(
            "priority", "Priority", "1 must, 2 should, 3 could", as_number, _words("1", "2", "3")
        ),
        Field("tuning_mhz", "Tuning", "MHz, such as 518-572; empty: anywhere", as_ranges),
        _NOTES,
    ),
    "destination": (
        Field("id", "Id", "By which sources name it: small letters, digits, hyphens", as_text),
        Field("name", "Name", "On lists and screens", as_text),
        Field("inputs", "Inputs", "How many it has", as_number),
        Field("connector", "Connector", "What its inputs take", as_text, _connectors),
        Field(
            "camera",
            "Camera",
            "yes: its level, 48 V, auto gain and headphones are asked; empty: no",
            as_yes_or_no,
            _words("yes", "no"),
        ),
        Field(
            "supplies", "Supplies", "Within reach, the preferred first", as_list, _supplies, True
        ),
        Field(
            "receivers",
            "Receivers",
            "Models that can live here; empty: any",
            as_list,
            _receivers,
            True,
        ),
        _NOTES,
    ),
    "unit": (
        Field("model", "Model", "What it is one of", as_text, _models, only_new=True),
        Field("tag", "Tag", "The asset label on it", as_text, only_new=True),
        Field("serial", "Serial", "By which wrap knows it from another unit", as_text),
        Field("firmware", "Firmware", "The version it has", as_text),
        Field(
            "state",
            "State",
            "What is not ok is never planned with; empty: ok",
            as_text,
            _words(*get_args(State)),
        ),
        Field(
            "ended",
            "Ended",
            "The day from which it is no more: sold, lost, given back. Empty: it is here",
            as_date,
        ),
        Field("case", "Case", "It travels in; empty: its model's", as_text, _cases),
        Field("tuning_mhz", "Tuning", "MHz, where narrower than its model", as_ranges),
        Field("weight_g", "Weight", "Grams; empty: its model's", as_decimal),
        Field("value", "Value", "What one costs to replace", as_decimal),
        Field("owner", "Owner", "Empty: own; else the reference of the hire", as_text),
        Field("due", "Due", "Day that it goes back, as in 2027-03-20; for a hire", as_date),
        _NOTES,
    ),
}
"""Every field of a form, in the order in which they are asked."""


def fields_of(kind: Kind, is_new: bool) -> tuple[Field, ...]:
    """The fields that can be changed: of a new entry all."""
    return tuple(field for field in FIELDS[kind] if is_new or not field.only_new)
