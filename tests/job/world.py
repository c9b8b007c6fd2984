"""A small kit and its days, as files; and people who open jobs on them.

The kit: slim packs TX1, TX2, TX3, TX10 and the heavier TX20, TX21, all of one system and plug;
adapters AD1 and AD2 for two channels; racks RX1 and RX2 of four modules each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from kitprep.definitions.loading import Day, load_day
from kitprep.job import Job
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import Event, read_event
from kitprep.ledger.store import Ledger

KIT = """
kit = "small"
name = "A small kit"

[[transmitter]]
model = "slim"
name = "Slim pack"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
connector = "TA3"
weight_g = 62
power = [{ cell = "CR123A", count = 1, hours = 4.0 }]
case = "pouch"
unit = [{ tag = "TX1", serial = "SN-1" }, { tag = "TX2" }, { tag = "TX3" }, { tag = "TX10" }]

[[transmitter]]
model = "big"
name = "Big pack"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
connector = "TA3"
weight_g = 150
power = [{ cell = "CR123A", count = 1, hours = 4.0 }]
case = "pouch"
unit = [{ tag = "TX20" }, { tag = "TX21" }]

[[adapter]]
model = "stereo"
fits = ["slim", "big"]
channels = 2
connector = "TA5"
case = "pouch"
unit = [{ tag = "AD1" }, { tag = "AD2" }]

[[receiver]]
model = "rack"
name = "Rack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
modules = 4
modes = ["mono", "stereo"]
outputs = [{ connector = "XLR3" }, { connector = "XLR3" }]
power = [{ dc_v = [10.0, 18.0], watts = 20.0 }]
case = "rack"
unit = [{ tag = "RX1" }, { tag = "RX2" }]

[[stock]]
cell = "CR123A"
qty = 40
case = "pouch"

[[supply]]
id = "bag"
volts = [11.0, 16.8]
wh = 98
packs = 6

[[supply]]
id = "house"
volts = [12.0, 12.0]
mains = true
watts = 60
outlets = 4

[[case]]
id = "pouch"
name = "Pouch"

[[case]]
id = "rack"
name = "Rack case"

[[cell]]
type = "CR123A"
source = "made up"
"""

SOURCES = """
[[destination]]
id = "recorder"
name = "Recorder"
inputs = 8
connector = "XLR3"
supplies = ["{supply}"]

[[source]]
id = "ines"
form = "bodypack"
connector = "TA3"
to = "recorder"

[[source]]
id = "marek"
form = "bodypack"
connector = "TA3"
to = "recorder"

[[source]]
id = "mix"
form = "bodypack"
channels = 2
connector = "TA5"
to = "recorder"
"""

Scene = tuple[str, str, str, str, str]
"""Number, place, start, end, sources."""

USUAL: tuple[Scene, ...] = (
    ("1", "quay", "09:00", "10:00", "ines marek"),
    ("2", "loft", "11:00", "12:00", "ines mix"),
    ("3", "quay", "14:00", "15:00", "ines marek"),
)
"""TX1 on ines and TX2 on marek all day, TX3 with AD1 on the mix; RX1 hears them all."""


class World:
    """A folder with the kit and its days, one ledger, and everyone's jobs on it."""

    def __init__(self, folder: Path, url: str) -> None:
        self.folder, self.url = folder, url
        self._open = ExitStack()
        (folder / "kit.toml").write_text(KIT, "utf-8")

    def close(self) -> None:
        self._open.close()

    def plan(
        self,
        day: str = "2027-03-14",
        scenes: Sequence[Scene] = USUAL,
        job: str = "",
        supply: str = "bag",
        **more: Any,
    ) -> Path:
        """Writes a day plan."""
        named = f'job = "{job}"\n' if job else ""
        words = "".join(f"{key} = {value}\n" for key, value in more.items())
        text = f'kit = "kit.toml"\nday = {day}\n{named}{words}' + SOURCES.format(supply=supply)
        for number, place, start, end, sources in scenes:
            text += (
                f'\n[[scene]]\nnumber = "{number}"\nplace = "{place}"\nstart = "{start}"\n'
                f'end = "{end}"\nsources = {sources.split()}\n'
            )
        path = self.folder / f"day-{day}{job and '-' + job}.toml"
        path.write_text(text.replace("'", '"'), "utf-8")
        return path

    def job(self, who: str = "Noor", plan: Path | None = None) -> Job:
        """A job as someone opens it, on the usual day or another."""
        job = Job.open(plan or self.plan(), self.url, who, "test")
        self._open.callback(job.close)
        return job

    def day(self, **more: Any) -> Day:
        """A day's definitions."""
        return load_day(self.plan(**more))

    def log(self, job: Job) -> list[str]:
        """Everything that a job's log says, as "Noor: TX1 packed"."""
        return [told(event) for event in self.events(job)]

    def events(self, job: Job) -> Iterator[Event]:
        """Everything that was recorded for a job."""
        with Ledger.open(self.url) as ledger:
            yield from map(read_event, ledger.entries(job.name))

    def entries(self, name: str) -> tuple[Entry, ...]:
        """Everything in one stream of the ledger."""
        with Ledger.open(self.url) as ledger:
            return ledger.entries(name)


def told(event: Event) -> str:
    """An event in short."""
    return f"{event.who}: {event.item} {event.kind}"


def packed(job: Job, *tags: str) -> None:
    """Packs these, or everything on the list."""
    for line in job.worked.packing:
        if not tags or line.key in tags:
            job.record(line.key, "packed", qty=line.qty)


def back(job: Job, tag: str, outcome: str = "back", **facts: Any) -> None:
    """Says what a unit came back as, once it is out."""
    if job.state.stage not in ("out", "returned", "closed"):
        job.advance("out")
    job.record(tag, "returned", counts={outcome: 1}, **facts)


def units(job: Job) -> list[str]:
    """Every single thing on the list."""
    return [line.key for line in job.worked.packing if ":" not in line.key]


def served(job: Job) -> dict[str, tuple[str, str | None, str, int]]:
    """Who has what: by source its transmitter, adapter, receiver and module."""
    return {x.source: (x.transmitter, x.adapter, x.receiver, x.module) for x in job.worked.links}
