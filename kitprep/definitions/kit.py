"""The kit: models of things, the units of each, stock, supplies, cases, and reference tables."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kitprep.definitions.text import (
    AtLeastOne,
    Count,
    Definition,
    Identifier,
    Line,
    Many,
    Name,
    Notes,
    NotNegative,
    Number,
    Positive,
    Range,
    Share,
    wrong,
)

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
    value: NotNegative | None = Field(None, description="Replacement value of one")
    owner: Line = Field("own", description='"own", or the reference of a hire')
    due: date | None = Field(None, description="Day a hired thing is due back")
    notes: Notes = ""

    @model_validator(mode="after")
    def _hire_has_a_day(self) -> Self:
        if self.owner != "own" and self.due is None:
            raise wrong(
                f'"{self.owner}" is a hire with no day to return it; write due = YYYY-MM-DD'
            )
        return self


class Unit(Carried):
    """One physical thing, known by its tag."""

    tag: Name
    serial: Line | None = None
    firmware: Line | None = None
    state: State = "ok"
    tuning_mhz: Many[Range] | None = Field(
        None, description="Where this unit tunes, when narrower than its model"
    )


class Power(Definition):
    """One way to power a device: a set of cells, or DC within a voltage range."""

    cell: Line | None = Field(None, description="Cell type, as in the table of cells")
    count: AtLeastOne = Field(1, description="Cells that fill the device once")
    hours: Positive | None = Field(None, description="Rated hours of a fresh set at 20 °C")
    hours_stereo: Positive | None = Field(None, description="The same on a stereo link")
    dc_v: Range | None = Field(None, description="DC input range, in volts")
    watts: Positive | None = Field(None, description="Draw on DC, in watts")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.cell is None) == (self.dc_v is None):
            raise wrong(
                "a power option is either cells or DC; write cell, count and hours, "
                "or dc_v and watts"
            )
        if self.cell is not None and self.hours is None:
            raise wrong("cells with no hours; write the hours a fresh set lasts, such as 6.0")
        if self.dc_v is not None and self.watts is None:
            raise wrong("DC with no watts; write what the device draws, such as 3.5")
        if self.cell is not None and self.watts is not None:
            raise wrong("watts belongs to DC; take it out, or write dc_v in place of cell")
        if self.dc_v is not None and (self.hours is not None or self.hours_stereo is not None):
            raise wrong("hours belongs to cells; take it out, or write cell in place of dc_v")
        return self


class Transmitter(Carried):
    """A model of transmitter and the units of it."""

    model: Identifier
    name: Name
    form: Form
    system: Name = Field(description="Only a receiver of the same system hears it")
    tuning_mhz: Annotated[Many[Range], Field(min_length=1)]
    channels: Literal[1, 2] = Field(1, description="Sent without an adapter")
    connector: Line | None = Field(
        None, description="Its audio input; leave out where it has a capsule or a fixed input"
    )
    mic_power: Many[MicPower] = ()
    standby: Annotated[float, Field(ge=0, le=1)] | None = Field(
        None, description="Draw in standby as a share of on-air draw; left out: has no standby"
    )
    image: Line | None = Field(None, description="Firmware file family")
    records: bool = Field(False, description="Keeps a backup recording on a card")
    card: Line | None = None
    power: Annotated[Many[Power], Field(min_length=1)]
    travels_with: Many[Line] = Field((), description="Items that go with each unit")
    units: Many[Unit] = Field((), alias="unit")

    @model_validator(mode="after")
    def _card_for_a_recording(self) -> Self:
        if self.records and self.card is None:
            raise wrong('records on no kind of card; write card = "…", or records = false')
        return self


class Output(Definition):
    """One connector on each module of a receiver, and the audio channels it carries."""

    connector: Name
    channels: Literal[1, 2] = 1


class Receiver(Carried):
    """A model of receiver and the units of it."""

    model: Identifier
    name: Name
    system: Name
    tuning_mhz: Annotated[Many[Range], Field(min_length=1)]
    modules: AtLeastOne = 1
    modes: Annotated[Many[Mode], Field(min_length=1)] = ("mono",)
    outputs: Annotated[Many[Output], Field(min_length=1)] = Field(
        description="Connectors of one module"
    )
    image: Line | None = None
    power: Annotated[Many[Power], Field(min_length=1)]
    travels_with: Many[Line] = ()
    units: Many[Unit] = Field((), alias="unit")

    @model_validator(mode="after")
    def _outputs_carry_the_modes(self) -> Self:
        if "stereo" in self.modes and sum(output.channels for output in self.outputs) < 2:
            raise wrong('is stereo with one output channel; write two outputs, or modes = ["mono"]')
        return self


class Adapter(Carried):
    """A model of adapter: what it fits, and what it gives in place of the transmitter's own."""

    model: Identifier
    name: Line = ""
    fits: Annotated[Many[Line], Field(min_length=1)] = Field(description="Transmitter models")
    channels: Literal[1, 2] | None = None
    connector: Line | None = None
    mic_power: Many[MicPower] | None = None
    qty: Count | None = Field(None, description="How many, where they carry no tags")
    units: Many[Unit] = Field((), alias="unit")

    @model_validator(mode="after")
    def _counted_or_tagged(self) -> Self:
        if self.qty is not None and self.units:
            raise wrong("has both qty and units; write qty, or a tag for each")
        return self


class Cable(Carried):
    """A cable: the plug at the receiver, and one plug for each leg at the other end."""

    model: Identifier
    name: Line = ""
    source: Name = Field(alias="from", description="Plug that goes into the receiver's output")
    to: Annotated[Many[Name], Field(min_length=1)] = Field(description="Plugs, one for each leg")
    qty: Count
    length_m: Positive | None = None


class Stock(Carried):
    """Cells or cards held by number."""

    cell: Line | None = None
    card: Line | None = None
    qty: Count
    rechargeable: bool = False
    capacity_gb: Positive | None = Field(None, description="Of a card, decimal GB")

    @model_validator(mode="after")
    def _cells_or_cards(self) -> Self:
        if (self.cell is None) == (self.card is None):
            raise wrong("stock is either cells or cards; write cell or card")
        if self.card is not None and self.capacity_gb is None:
            raise wrong("cards of no size; write capacity_gb, such as 16")
        if self.card is not None and self.rechargeable:
            raise wrong("rechargeable belongs to cells; take it out")
        return self


class Supply(Carried):
    """A DC supply: packs with watt hours, or mains."""

    id: Identifier
    name: Line = ""
    volts: Range
    outlets: AtLeastOne = 1
    wh: Positive | None = Field(None, description="Watt hours of one pack")
    packs: Count | None = Field(None, description="Packs held")
    efficiency: Annotated[float, Field(gt=0, le=1)] = 1.0
    mains: bool = False
    watts: Positive | None = Field(None, description="The most a mains supply gives")

    @model_validator(mode="after")
    def _packs_or_mains(self) -> Self:
        if self.mains:
            if self.watts is None:
                raise wrong("is mains with no watts; write the most it gives, such as 60")
            if self.wh is not None or self.packs is not None:
                raise wrong("is mains and has packs; take out wh and packs, or mains")
        elif self.wh is None or self.packs is None:
            raise wrong("has no packs; write wh and packs, or mains = true and watts")
        return self


class Case(Definition):
    """A case or pouch that things travel in."""

    id: Identifier
    name: Name
    limit_kg: Positive | None = None
    weight_g: NotNegative | None = Field(None, description="Weight of the empty case")
    notes: Notes = ""


class Item(Carried):
    """Anything else that must travel, and the rule for how many."""

    model: Identifier
    name: Name
    qty: Count
    each: AtLeastOne = 1
    per: Per = "day"
    spare: Share = Field(0.0, description="Spare share, rounded up")
    remote_for: Many[Line] = Field((), description="Systems whose packs it puts in standby")


class Cell(Definition):
    """A type of cell, from a reference table."""

    type: Name
    name: Line = ""
    volts: Positive | None = None
    mah: Positive | None = None
    mass_g: Positive | None = None
    lithium_g: NotNegative | None = Field(None, description="Lithium content of one, in grams")
    wh: Positive | None = None
    rechargeable: bool = False
    capacity_at: Many[
        Annotated[tuple[Number, Annotated[float, Field(gt=0, le=1)]], Field(strict=False)]
    ] = Field((), description="[°C, share of capacity], linear between points and flat outside")
    source: Notes = Field(description="The publication that each figure is from")

    @model_validator(mode="after")
    def _temperatures_rise(self) -> Self:
        temperatures = [celsius for celsius, _ in self.capacity_at]
        if sorted(set(temperatures)) != temperatures:
            raise wrong("capacity_at is out of order; write each temperature once, coldest first")
        return self


class Connector(Definition):
    """A kind of connector, from a reference table."""

    id: Name
    name: Name
    poles: AtLeastOne
    source: Notes = ""


class Tables(Definition):
    """What any file of a kit may hold; an included file holds this and no more."""

    include: Many[Name] = Field((), description="Files read before this one, relative to it")
    transmitters: Many[Transmitter] = Field((), alias="transmitter")
    receivers: Many[Receiver] = Field((), alias="receiver")
    adapters: Many[Adapter] = Field((), alias="adapter")
    cables: Many[Cable] = Field((), alias="cable")
    stock: Many[Stock] = ()
    supplies: Many[Supply] = Field((), alias="supply")
    cases: Many[Case] = Field((), alias="case")
    items: Many[Item] = Field((), alias="item")
    cells: Many[Cell] = Field((), alias="cell")
    connectors: Many[Connector] = Field((), alias="connector")


class Kit(Tables):
    """Everything a crew owns or has on hire for a job."""

    kit: Identifier = Field(description="Names the kit in the ledger")
    name: Name
    firmware: dict[str, Name] = Field(default_factory=dict, description="Wanted version by image")
