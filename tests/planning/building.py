"""Small kits and days in a few words; what a test does not name has a harmless default.

The defaults: packs and receivers of system "d1" that all tune 500 to 600 MHz, mono, without a mic
power, on one cell "C" that lasts 10 hours and of which 1000 are held; a day at 20 °C with no
reserve, no lead and no spares; every source a mono bodypack to the recorder "rec" with 16 inputs.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.results import Link, WorkedDay
from kitprep.planning.solver import Solver, highs

from .contract import Seat, Sender, Want

Entry = tuple[str, dict[str, Any]]
"""A table of a definition file and one entry of it."""

CELL_C = {"type": "C", "source": "made up"}
STEREO_OUTPUTS = [{"connector": "XLR3", "channels": 1}, {"connector": "XLR3", "channels": 1}]


def numbered(prefix: str, count: int) -> list[str]:
    """TX1, TX2, …"""
    return [f"{prefix}{n}" for n in range(1, count + 1)]


def _units(tags: Iterable[str | dict[str, Any]]) -> list[dict[str, Any]]:
    return [{"tag": unit} if isinstance(unit, str) else unit for unit in tags]


def transmitter(
    model: str = "pack", units: Sequence[str | dict[str, Any]] = ("TX1",), **own: Any
) -> Entry:
    """A model of transmitter; a unit is a tag, or a table of its own."""
    usual = {
        "model": model,
        "name": model,
        "form": "bodypack",
        "system": "d1",
        "tuning_mhz": [[500, 600]],
        "power": [cells(hours=10)],
        "unit": _units(units),
    }
    return "transmitter", usual | own


def receiver(
    model: str = "rx", units: Sequence[str | dict[str, Any]] = ("RX1",), **own: Any
) -> Entry:
    """A model of receiver with one mono module, or as said."""
    stereo = "stereo" in own.get("modes", ())
    usual = {
        "model": model,
        "name": model,
        "system": "d1",
        "tuning_mhz": [[500, 600]],
        "outputs": STEREO_OUTPUTS if stereo else STEREO_OUTPUTS[:1],
        "power": [cells(hours=10)],
        "unit": _units(units),
    }
    return "receiver", usual | own


def stereo_receiver(
    model: str = "rx-s", units: Sequence[str | dict[str, Any]] = ("RS1",), **own: Any
) -> Entry:
    """A model of receiver with one module that does mono and stereo."""
    return receiver(model, units, modes=["mono", "stereo"], **own)


def adapter(model: str = "lead", **own: Any) -> Entry:
    """A model of adapter for "pack", one of it without a tag, or as said."""
    usual: dict[str, Any] = {"model": model, "fits": ["pack"]}
    if "unit" in own:
        own["unit"] = _units(own["unit"])
    else:
        usual["qty"] = 1
    return "adapter", usual | own


def cells(cell: str = "C", count: int = 1, **own: Any) -> dict[str, Any]:
    """A power option on cells."""
    return {"cell": cell, "count": count, **own}


def dc(low: float, high: float, watts: float) -> dict[str, Any]:
    """A power option on DC."""
    return {"dc_v": [low, high], "watts": watts}


def thing(table: str, **own: Any) -> Entry:
    """An entry of any other table."""
    return table, own


def kit(*entries: Entry, **own: Any) -> Kit:
    """A kit of these entries; it has cells "C" and a stock of them unless it says otherwise."""
    tables: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for table, entry in entries:
        tables[table].append(entry)
    if not any(cell["type"] == "C" for cell in tables["cell"]):
        tables["cell"].append(CELL_C)
    if not any(stock.get("cell") == "C" for stock in tables["stock"]):
        tables["stock"].append({"cell": "C", "qty": 1000})
    return Kit.model_validate({"kit": "k", "name": "K", **tables, **own})


def source(id: str, to: str | list[str] = "rec", **own: Any) -> Entry:
    """A source: a mono bodypack to the recorder, or as said."""
    return "source", {"id": id, "form": "bodypack", "to": to, **own}


def destination(id: str = "rec", inputs: int = 16, **own: Any) -> Entry:
    """A destination of sixteen XLR3 inputs, or as said."""
    return "destination", {"id": id, "inputs": inputs, "connector": "XLR3", **own}


def span(start: int, end: int) -> str:
    """A stretch of the day as a scene takes it: span(540, 600) is "09:00-10:00"."""
    return "-".join(f"{minute // 60:02d}:{minute % 60:02d}" for minute in (start, end))


def scene(number: str, times: str, sources: str, **own: Any) -> Entry:
    """A scene: scene("12A", "09:00-10:00", "ines boom")."""
    start, end = times.split("-")
    return "scene", {
        "number": number,
        "start": start,
        "end": end,
        "sources": sources.split(),
        **own,
    }


def plan(*entries: Entry, **own: Any) -> Plan:
    """A day of these entries, with the recorder "rec" unless it has destinations of its own."""
    tables: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for table, entry in entries:
        tables[table].append(entry)
    if not tables["destination"]:
        tables["destination"].append(destination()[1])
    usual = {"kit": "kit.toml", "day": date(2027, 3, 14), "reserve": 0, "spare": 0, "lead_min": 0}
    return Plan.model_validate({**usual, **tables, **own})


def worked(a_kit: Kit, a_plan: Plan, solver: Solver = highs, seconds: float = 60) -> WorkedDay:
    """The day worked out, with time enough to prove everything."""
    return work_out(a_kit, a_plan, solver=solver, seconds=seconds)


def links(day: WorkedDay, scene: str | None = None) -> list[Link]:
    """The served links, of one scene or of all."""
    return [link for link in day.links if scene in (None, link.scene)]


def served(day: WorkedDay) -> list[str]:
    """The served links as "scene source>destination", sorted."""
    return sorted(f"{link.scene} {link.source}>{link.destination}" for link in day.links)


def unserved(day: WorkedDay) -> dict[str, str]:
    """The unserved links as "scene source>destination", each with its reason."""
    return {
        f"{left.scene} {left.source}>{left.destination}": left.reason
        for needs in day.scenes
        for left in needs.unserved
    }


def packs(day: WorkedDay) -> dict[str, str]:
    """By source, its transmitter."""
    return {link.source: link.transmitter for link in day.links}


def adapters(day: WorkedDay) -> dict[str, str | None]:
    """By source, its adapter."""
    return {link.source: link.adapter for link in day.links}


def modules(day: WorkedDay) -> dict[str, str]:
    """By "scene source>destination", its module as "RX1/1"."""
    return {
        f"{link.scene} {link.source}>{link.destination}": f"{link.receiver}/{link.module}"
        for link in day.links
    }


def inputs(day: WorkedDay) -> dict[str, tuple[int, ...]]:
    """By source, its inputs at the recorder."""
    return {link.source: link.inputs for link in day.links if link.destination == "rec"}


def as_tags(day: WorkedDay) -> tuple[dict[str, Sender], dict[Want, Seat]]:
    """Who has what, as the contract reads it: packs and adapters by source, modules by link."""
    senders = {link.source: (link.transmitter, link.adapter) for link in day.links}
    seats = {
        (link.scene, link.source, link.destination): (link.receiver, link.module)
        for link in day.links
    }
    return senders, seats
