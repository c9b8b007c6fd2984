"""The kit: models of things, the units of each, stock, supplies, cases, and reference tables."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kitprep.definitions.fields import (
    AtLeastOne,
    Celsius,
    Channels,
    Count,
    Definition,
    Identifier,
    Label,
    Line,
    Many,
    Name,
    Notes,
    NotNegative,
    Positive,
    Range,
    Ranges,
    Share,
    wrong,
)
from kitprep.definitions.text import shown

Form = Literal["bodypack", "plug-on", "handheld", "boom-pack", "hop"]
MicPower = Literal["bias", "P12", "P24", "P48"]
Mode = Literal["mono", "stereo"]
State = Literal["ok", "repair", "missing"]
Per = Literal[
    "day",
    "source",
    "link",
    "transmitter",
    "bodypack",
    "plug-on",
    "handheld",
    "boom-pack",
    "receiver",
    "stereo-link",
    "destination",
    "listener",
]


class Carried(Definition):
    """What any physical thing can say of itself."""

    case: Line | None = Field(None, description="Id of the case it travels in")
    weight_g: NotNegative | None = Field(None, description="Weight of one, in grams")
    value: NotNegative | None = Field(
        None, description="What one costs to replace, in the production's own money"
    )
    owner: Line = Field("own", description='"own", or the reference of a hire')
    due: date | None = Field(None, description="Day a hired thing is due back; needed for one")
    notes: Notes = Field("", description="What else people should know")

    @model_validator(mode="after")
    def _hire_has_a_day(self) -> Self:
        if self.owner != "own" and self.due is None:
            raise wrong(
                f"owner {shown(self.owner)} is a hire with no day to return it; write due, such "
                "as due = 2027-03-20",
                at="owner",
            )
        return self


class Unit(Carried):
    """One physical thing, known by its tag."""

    tag: Label = Field(description="The asset label on it")
    serial: Line | None = Field(
        None, description="Its serial number, by which wrap knows it from another unit"
    )
    firmware: Line | None = Field(None, description="The version it has")
    state: State = Field("ok", description='What is not "ok" is never planned with')
    ended: date | None = Field(
        None,
        description="The day from which it is no more: sold, lost, back at the hire counter; "
        "days before it still have it",
    )
    tuning_mhz: Ranges | None = Field(
        None, description="Where this unit tunes, when narrower than its model"
    )

    def ended_by(self, day: date) -> bool:
        """Whether it is no more on a day."""
        return self.ended is not None and self.ended <= day

    def usable_on(self, day: date) -> bool:
        """Whether a day can be planned with it."""
        return self.state == "ok" and not self.ended_by(day)


class AddedUnit(Unit):
    """A unit written away from its model, which it names; merging puts it among the model's.

    The merged kit keeps these too, in the order written, which is that of a hire's contract.
    """

    model: Line = Field(description="The model of this kit that it is one of")

    def without_model(self) -> Unit:
        """The same as its model would hold it."""
        return Unit.model_construct(
            _fields_set=self.model_fields_set - {"model"},
            **{name: getattr(self, name) for name in Unit.model_fields},
        )


class Power(Definition):
    """One way to power a device: a set of cells, or DC within a voltage range.

    A figure that nobody has (hours, watts) is left out; the day then says that it is not known.
    """

    cell: Line | None = Field(None, description="Cell type, as in the table of cells")
    count: AtLeastOne = Field(1, description="Cells that fill the device once")
    hours: Positive | None = Field(
        None, description="Rated hours of a fresh set at 20 °C; left out: not known"
    )
    hours_stereo: Positive | None = Field(None, description="The same on a stereo link")
    dc_v: Range | None = Field(None, description="DC input range, in volts")
    watts: Positive | None = Field(None, description="Draw on DC, in watts; left out: not known")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.cell is None) == (self.dc_v is None):
            raise wrong(
                "a way to power it is either cells or DC; write cell, count and hours, or else "
                "dc_v and watts"
            )
        for key in ("watts",) if self.cell is not None else ("hours", "hours_stereo", "count"):
            if key in self.model_fields_set:
                here, there = ("DC", "cells") if key == "watts" else ("cells", "DC")
                raise wrong(
                    f"{key} goes with {here}, and this is a way to run on {there}; take it out",
                    at=key,
                    take_out=True,
                )
        if self.hours_stereo is not None and self.hours is None:
            raise wrong(
                "these cells have hours in stereo and none in mono; write hours too, such as "
                "hours = 6.0",
                at="hours_stereo",
            )
        return self


class Transmitter(Carried):
    """A model of transmitter and the units of it."""

    model: Identifier = Field(description="Your short name for it")
    name: Name = Field(description="What it is called on lists and screens")
    form: Form = Field(description="How it is worn or mounted")
    system: Name = Field(description="Only a receiver of the same system hears it")
    tuning_mhz: Ranges = Field(description="Where it tunes, in MHz")
    channels: Channels = Field(1, description="Sent without an adapter")
    connector: Line | None = Field(
        None, description="Its audio input; leave out where it has a capsule or a fixed input"
    )
    mic_power: Many[MicPower] = Field((), description="What it feeds a microphone with")
    standby: Annotated[float, Field(ge=0, le=1)] | None = Field(
        None, description="Draw in standby as a share of on-air draw; left out: has no standby"
    )
    image: Line | None = Field(None, description="Firmware file family")
    records: bool = Field(False, description="Keeps a backup recording; then card is needed")
    card: Label | None = Field(None, description="The kind of card in stock that it records on")
    power: Annotated[Many[Power], Field(min_length=1)] = Field(
        description="Ways to power it, the preferred first"
    )
    travels_with: Many[Line] = Field((), description="Items that go with each unit")
    units: Many[Unit] = Field((), alias="unit", description="The units of this model")

    @model_validator(mode="after")
    def _card_for_a_recording(self) -> Self:
        if self.records and self.card is None:
            raise wrong(
                'this model records, and on no kind of card; write card, such as card = "mini-sd", '
                "or take records out",
                at="records",
            )
        return self


class Output(Definition):
    """One connector on each module of a receiver, and the audio channels it carries."""

    connector: Name = Field(description="The connector, as in the table of connectors")
    channels: Channels = Field(1, description="Audio channels on it")


class Receiver(Carried):
    """A model of receiver and the units of it."""

    model: Identifier = Field(description="Your short name for it")
    name: Name = Field(description="What it is called on lists and screens")
    system: Name = Field(description="It hears only transmitters of the same system")
    tuning_mhz: Ranges = Field(description="Where it tunes, in MHz")
    modules: AtLeastOne = Field(
        1, description="Receiving sections in one; each hears one transmitter"
    )
    modes: Annotated[Many[Mode], Field(min_length=1)] = Field(
        ("mono",), description="What a module can do; one that does both serves a mono link too"
    )
    outputs: Annotated[Many[Output], Field(min_length=1)] = Field(
        description="Connectors of one module"
    )
    image: Line | None = Field(None, description="Firmware file family")
    power: Annotated[Many[Power], Field(min_length=1)] = Field(
        description="Ways to power it, the preferred first"
    )
    travels_with: Many[Line] = Field((), description="Items that go with each unit")
    units: Many[Unit] = Field((), alias="unit", description="The units of this model")

    @model_validator(mode="after")
    def _outputs_carry_the_modes(self) -> Self:
        if "stereo" in self.modes and sum(output.channels for output in self.outputs) < 2:
            raise wrong(
                "a stereo module gives two channels, and its outputs carry one; write a second "
                'output, or channels = 2 on this one, or modes = ["mono"]',
                at="outputs",
            )
        return self


class Adapter(Carried):
    """A model of adapter: what it fits, and what it gives in place of the transmitter's own."""

    model: Identifier = Field(description="Your short name for it")
    name: Line = Field("", description="What it is called on lists and screens")
    fits: Annotated[Many[Line], Field(min_length=1)] = Field(description="Transmitter models")
    channels: Channels | None = Field(
        None, description="What the transmitter then sends; left out: as before"
    )
    connector: Line | None = Field(None, description="Its audio input; left out: as before")
    mic_power: Many[MicPower] | None = Field(
        None, description="What it feeds a microphone with; left out: as before"
    )
    qty: Annotated[Count, Field(le=500)] | None = Field(
        None, description="How many, where they carry no tags"
    )
    units: Many[Unit] = Field((), alias="unit", description="The units of this model")

    @model_validator(mode="after")
    def _counted_or_tagged(self) -> Self:
        if self.qty is not None and self.units:
            raise wrong(
                "this adapter has a qty and units with tags; take qty out, or the units",
                at="qty",
                take_out=True,
            )
        return self


class Cable(Carried):
    """A cable: the plug at the receiver, and one plug for each leg at the other end."""

    model: Identifier = Field(description="Your short name for it")
    name: Line = Field("", description="What it is called on lists and screens")
    source: Name = Field(alias="from", description="Plug that goes into the receiver's output")
    to: Annotated[Many[Name], Field(min_length=1)] = Field(description="Plugs, one for each leg")
    qty: Count = Field(description="How many are held")
    length_m: Positive | None = Field(None, description="Length, in metres")


class Stock(Carried):
    """Cells or cards held by number."""

    cell: Line | None = Field(None, description="Cell type, as in the table of cells")
    card: Label | None = Field(
        None, description="Kind of card, as transmitters name it; this or cell"
    )
    qty: Count = Field(description="How many single fresh cells, or cards, are held")
    rechargeable: bool = Field(False, description="Whether these cells are charged again")
    capacity_gb: Positive | None = Field(
        None, description="Of a card, decimal GB; needed with card"
    )

    @model_validator(mode="after")
    def _cells_or_cards(self) -> Self:
        if (self.cell is None) == (self.card is None):
            raise wrong("stock is either cells or cards; write cell, or else card")
        if self.card is not None and self.capacity_gb is None:
            raise wrong(
                "these cards have no size; write capacity_gb, such as capacity_gb = 16", at="card"
            )
        key = "capacity_gb" if self.card is None else "rechargeable"
        if key in self.model_fields_set:
            here, there = ("cards", "cells") if self.card is None else ("cells", "cards")
            raise wrong(
                f"{key} goes with {here}, and these are {there}; take it out", at=key, take_out=True
            )
        return self


class Supply(Carried):
    """A DC supply: packs with watt hours, or mains."""

    id: Identifier = Field(description="Your short name for it, by which destinations name it")
    name: Line = Field("", description="What it is called on lists and screens")
    volts: Range = Field(description="What it gives, from empty to full, in volts")
    outlets: AtLeastOne = Field(1, description="How many receivers can hang on it")
    wh: Positive | None = Field(None, description="Watt hours of one pack; left out: not known")
    packs: Count | None = Field(None, description="Packs held; needed without mains")
    efficiency: Annotated[float, Field(gt=0, le=1)] = Field(
        1.0, description="Share of the watt hours that its converters leave"
    )
    mains: bool = Field(False, description="It runs on the mains and has no packs")
    watts: Positive | None = Field(None, description="The most that mains gives; needed with it")

    @model_validator(mode="after")
    def _packs_or_mains(self) -> Self:
        if self.mains:
            if self.watts is None:
                raise wrong(
                    "this mains supply has no watts; write the most it gives, such as watts = 60",
                    at="mains",
                )
            for key in ("wh", "packs"):
                if key in self.model_fields_set:
                    raise wrong(
                        f"a mains supply has no {key}; take {key} out",
                        at=key,
                        take_out=True,
                    )
        elif self.packs is None:
            raise wrong(
                "this supply has neither mains nor packs; write packs and wh, or else mains = true "
                "and watts"
            )
        return self


class Case(Definition):
    """A case or pouch that things travel in."""

    id: Identifier = Field(description="Your short name for it, by which things name it")
    name: Name = Field(description="What it is called on lists and screens")
    limit_kg: Positive | None = Field(
        None, description="The most it may weigh packed, in kilograms"
    )
    weight_g: NotNegative | None = Field(None, description="Weight of the empty case")
    notes: Notes = Field("", description="What else people should know")


class Item(Carried):
    """Anything else that must travel, and the rule for how many."""

    model: Identifier = Field(description="Your short name for it")
    name: Name = Field(description="What it is called on lists and screens")
    qty: Count = Field(description="How many are held")
    each: AtLeastOne = Field(1, description="How many are needed for every one that per counts")
    per: Per = Field("day", description="What of the day is counted")
    spare: Share = Field(0.0, description="Spare share, rounded up")
    laid_out: bool = Field(
        False, description="Laid out or plugged in at a place: a company move brings it along"
    )
    remote_for: Many[Line] = Field((), description="Systems whose packs it puts in standby")
    charges: Many[Line] = Field((), description="Cell types or supplies that it charges")
    bays: AtLeastOne = Field(1, description="How many one charger takes at a time")
    charge_hours: Positive | None = Field(
        None, description="Hours for one charge; needed with charges"
    )

    @model_validator(mode="after")
    def _hours_of_a_charger(self) -> Self:
        if self.charges and self.charge_hours is None:
            raise wrong(
                "this item charges, and no hours for it are here; write charge_hours, such as "
                "charge_hours = 4",
                at="charges",
            )
        return self


class Cell(Definition):
    """A type of cell, from a reference table."""

    type: Label = Field(description="The type as kits name it, by its standard name")
    name: Line = Field("", description="What it is called on lists and screens")
    volts: Positive | None = Field(None, description="Nominal voltage, in volts")
    fresh_volts: Positive | None = Field(
        None, description="Most that a fresh one reads on a tester with no load, in volts"
    )
    mah: Positive | None = Field(None, description="Capacity, in milliampere hours")
    mass_g: Positive | None = Field(None, description="Weight of one, in grams")
    lithium_g: NotNegative | None = Field(None, description="Lithium content of one, in grams")
    wh: Positive | None = Field(None, description="Energy of one, in watt hours")
    rechargeable: bool = Field(False, description="Whether it is charged again")
    capacity_at: Many[
        Annotated[tuple[Celsius, Annotated[float, Field(gt=0, le=1)]], Field(strict=False)]
    ] = Field((), description="[°C, share of capacity], linear between points and flat outside")
    source: Notes = Field(description="The publication that each figure is from")

    @model_validator(mode="after")
    def _temperatures_rise(self) -> Self:
        temperatures = [celsius for celsius, _ in self.capacity_at]
        if sorted(set(temperatures)) != temperatures:
            raise wrong(
                "capacity_at is out of order; write each temperature once, the coldest first",
                at="capacity_at",
            )
        return self


class Connector(Definition):
    """A kind of connector, from a reference table."""

    id: Name = Field(description="The connector as kits and plans name it")
    name: Name = Field(description="What it is called on lists and screens")
    poles: AtLeastOne = Field(description="Contacts")
    source: Notes = Field("", description="The publication that it is from")


class Tables(Definition):
    """What any file of a kit may hold; an included file holds this and no more."""

    include: Many[Name] = Field((), description="Files read before this one, relative to it")
    transmitters: Many[Transmitter] = Field((), alias="transmitter", description="Transmitters")
    receivers: Many[Receiver] = Field((), alias="receiver", description="Receivers")
    adapters: Many[Adapter] = Field((), alias="adapter", description="Adapters")
    units: Many[AddedUnit] = Field(
        (), alias="unit", description="Units of models in any file of the kit"
    )
    cables: Many[Cable] = Field((), alias="cable", description="Cables, receiver to input")
    stock: Many[Stock] = Field((), description="Cells and cards held by number")
    supplies: Many[Supply] = Field((), alias="supply", description="DC supplies")
    cases: Many[Case] = Field((), alias="case", description="Cases and pouches")
    items: Many[Item] = Field((), alias="item", description="All else that must travel")
    cells: Many[Cell] = Field((), alias="cell", description="Types of cell")
    connectors: Many[Connector] = Field((), alias="connector", description="Connectors")


class Kit(Tables):
    """Everything a crew owns or has on hire for a job."""

    kit: Identifier = Field(description="Names the kit in the ledger")
    name: Name = Field(description="What it is called on lists and screens")
    firmware: dict[str, Name] = Field(default_factory=dict, description="Wanted version by image")
