"""The day plan: one shooting day's sources, scenes, destinations, supplies and breaks."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from kitprep.definitions.fields import (
    AtLeastOne,
    Celsius,
    Channels,
    ClockTime,
    Count,
    Definition,
    Identifier,
    Label,
    Line,
    Many,
    Name,
    Notes,
    OneOrMany,
    Ranges,
    Share,
    wrong,
)
from kitprep.definitions.glimpse import USUAL_CELSIUS, USUAL_LEAD_MIN
from kitprep.definitions.kit import Form, MicPower
from kitprep.definitions.text import MINUTES_A_DAY, clock, scene_number

Minutes = Annotated[int, Field(ge=0, le=24 * 60)]


class Span(Definition):
    """A stretch of the day, from start up to but not at end, in minutes from midnight."""

    start: ClockTime = Field(description="When it begins, on the clock of the day")
    end: ClockTime = Field(
        description='When it is over; past midnight hours go on: "25:30" is 01:30'
    )

    @model_validator(mode="after")
    def _forwards(self) -> Self:
        start, end = clock(self.start), clock(self.end)
        if self.end == self.start:
            raise wrong(f"it starts and ends at {start}; write a later end", at="end")
        if self.end < self.start:
            past_midnight = f'past midnight write "{clock(self.end + MINUTES_A_DAY)}"'
            raise wrong(
                f"it ends at {end}, before it starts at {start}; "
                + (past_midnight if self.end < MINUTES_A_DAY else "write a later end"),
                at="end",
            )
        return self

    @property
    def minutes(self) -> int:
        """How long it is."""
        return self.end - self.start

    def overlaps(self, other: "Span") -> bool:
        """Whether both run at some minute; spans that touch do not overlap."""
        return self.start < other.end and other.start < self.end


class Destination(Definition):
    """Where outputs are plugged: a recorder, a mixer, a camera."""

    id: Identifier = Field(description="Your short name for it, by which sources name it")
    name: Line = Field("", description="What it is called on lists and screens")
    inputs: AtLeastOne = Field(description="How many inputs it has")
    connector: Name = Field(description="What its inputs take, as in the table of connectors")
    camera: bool = Field(
        False,
        description="A camera: the line check asks for its level, 48 V, gain and headphones",
    )
    supplies: Many[Line] = Field((), description="Supplies within reach, in order of preference")
    receivers: Many[Line] | None = Field(
        None, description="Receiver models that can live here; left out: any"
    )
    notes: Notes = Field("", description="What else people should know")


class Source(Definition):
    """What must be heard."""

    id: Identifier = Field(description="Your short name for it, by which scenes name it")
    name: Line = Field("", description="What it is called on lists and screens")
    form: OneOrMany[Form] = Field(description="Transmitter forms that will do")
    model: OneOrMany[Line] | None = Field(None, description="Only these models; left out: any")
    channels: Channels = Field(1, description="1 is a mono link, 2 a stereo link")
    wears: Line | None = Field(
        None, description="Tag of the transmitter to give it again, where that costs nothing"
    )
    connector: Line | None = Field(None, description="Left out: any")
    mic_power: MicPower | None = Field(None, description="Left out: none needed")
    to: OneOrMany[Name] = Field(
        description='Destinations; "recorder:3" fixes the first input there'
    )
    intent: Literal["pair", "tracks"] = Field(
        "pair", description="Of 2 channels: left and right, or two unrelated feeds"
    )
    priority: Literal[1, 2, 3] = Field(1, description="1 must be heard, 2 should, 3 could")
    tuning_mhz: Ranges | None = Field(
        None, description="Where it may transmit, in MHz; left out: anywhere"
    )
    notes: Notes = Field("", description="What else people should know")

    @property
    def mode(self) -> Literal["mono", "stereo"]:
        """The mode of its links."""
        return "stereo" if self.channels == 2 else "mono"

    @property
    def ports(self) -> tuple[tuple[str, int | None], ...]:
        """Each destination with the first input that is fixed there, or None."""
        return tuple(split_port(entry) for entry in self.to)


def split_port(entry: str) -> tuple[str, int | None]:
    """The destination and the fixed input of "recorder:3"; the input is None where none is."""
    destination, colon, number = entry.partition(":")
    if not colon:
        return destination, None
    return destination, int(number) if number.isdecimal() and len(number) < 6 else 0


class Scene(Span):
    """A scene of the call sheet."""

    number: Annotated[
        Label,
        BeforeValidator(scene_number),
        Field(json_schema_extra={"type": ["string", "integer"]}),
    ] = Field(description="As on the call sheet")
    name: Line = Field("", description="As on the call sheet")
    place: Line = Field("", description="A change of place is a company move")
    sources: Many[Line] = Field((), description="Who and what must be heard in it")
    notes: Notes = Field("", description="What else people should know")


class Break(Span):
    """A break: lunch, a company move's pause."""

    name: Name = Field(description="As on the call sheet")


class Plan(Definition):
    """One shooting day."""

    kit: Name = Field(description="The kit file, relative to this one")
    day: date = Field(description="The shooting day")
    job: Identifier | None = Field(
        None, description="Tells jobs apart where a kit works for two units on one day"
    )
    title: Line = Field("", description="What the day is called on lists and screens")
    temperature_c: Celsius = Field(
        USUAL_CELSIUS, description="Where the packs are worn, in °C; the cold takes hours off cells"
    )
    reserve: Share = Field(0.2, description="Share of a cell's life never planned on")
    spare: Annotated[float, Field(ge=0, le=10)] = Field(
        0.25,
        description="Spare sets for each device that takes the set, rounded up in each part of "
        "a split unit",
    )
    lead_min: Minutes = Field(
        USUAL_LEAD_MIN, description="Packs are on this long before their first scene"
    )
    handover_min: Minutes = Field(15, description="Least time from one source to the next")
    between: Literal["standby", "on", "off"] = Field(
        "standby", description="What packs do between their scenes"
    )
    mains_at: Many[Line] | None = Field(
        None,
        description="Places with mains, as scenes name them; left out: not known, so you are asked",
    )
    listeners: Count = Field(0, description="Headphone feeds to hand out")
    turnaround_h: Annotated[float, Field(gt=0, le=100)] | None = Field(
        None, description="Hours from this wrap to the next call, to charge in; left out: not asked"
    )
    notes: Notes = Field("", description="What else people should know")
    destinations: Annotated[Many[Destination], Field(min_length=1)] = Field(
        alias="destination", description="Where outputs are plugged"
    )
    sources: Annotated[Many[Source], Field(min_length=1)] = Field(
        alias="source", description="What must be heard"
    )
    scenes: Annotated[Many[Scene], Field(min_length=1)] = Field(
        alias="scene", description="The scenes of the call sheet"
    )
    breaks: Many[Break] = Field((), alias="break", description="Meals and moves")
