"""What goes from one source to the next in the course of a day, and which modules are retuned.

A pack comes off at the end of its source's last scene. It is on again ``lead_min`` before the next
source's first scene, no earlier than ``handover_min`` after it came off, no later than the scene;
its cells are counted so (``cells.on_again``).
A module is retuned before a scene in which it hears another pack than in the one before.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from kitprep.definitions.text import clock
from kitprep.planning.cells import on_again
from kitprep.planning.pool import natural
from kitprep.planning.reasons import names_of
from kitprep.planning.results import Link, WorkedDay


@dataclass(frozen=True, slots=True)
class Handover:
    """A pack, or an adapter by itself, that goes from one source to the next; minutes of the day.

    Of a pack, ``adapter`` stays on it; ``takes_off`` and ``puts_on`` are adapters that do not.
    ``before`` is the scene by which it is on.
    """

    unit: str
    source: str
    off: int
    to: str
    on: int
    before: str
    adapter: str | None = None
    takes_off: str | None = None
    puts_on: str | None = None

    @property
    def minutes(self) -> int:
        """How long there is for it."""
        return self.on - self.off

    def says(self, names: Mapping[str, str]) -> str:
        """ "TX12 with AD1 from Band (off 12:30) to Mix (on 14:00), 90 min", by sources' names."""
        along = f" with {self.adapter}" if self.adapter else ""
        off = f", {self.takes_off} comes off" if self.takes_off else ""
        on = f", {self.puts_on} goes on" if self.puts_on else ""
        return (
            f"{self.unit}{along} from {names[self.source]} (off {clock(self.off)}{off}) to "
            f"{names[self.to]} (on {clock(self.on)}{on}), {self.minutes} min"
        )


@dataclass(frozen=True, slots=True)
class Retune:
    """A module that hears another pack from a scene on: which source before it, and which then."""

    receiver: str
    module: int
    source: str
    to: str
    transmitter: str
    before: str
    at: int

    def says(self, names: Mapping[str, str]) -> str:
        """ "retune RX21/1 from Marek to Crate on TX22", by sources' names."""
        return (
            f"retune {self.receiver}/{self.module} from {names[self.source]} to {names[self.to]} "
            f"on {self.transmitter}"
        )


@dataclass(frozen=True, slots=True)
class _Worn:
    """How long a source keeps a unit today, with the pack and adapter that it then has."""

    source: str
    start: int
    end: int
    first: str
    transmitter: str
    adapter: str | None


def handovers(day: WorkedDay) -> tuple[Handover, ...]:
    """Every pack and adapter that goes on to another source, by the clock."""
    worn = _worn(day)
    found = []
    for unit in sorted(worn, key=natural):
        for one, other in pairwise(worn[unit]):
            if one.transmitter == unit:
                found.append(_of_pack(day, one, other))
            elif one.transmitter != other.transmitter:
                found.append(
                    Handover(unit, one.source, one.end, other.source, *_back(day, one, other))
                )
    return tuple(sorted(found, key=lambda handover: handover.off))


def _of_pack(day: WorkedDay, one: _Worn, other: _Worn) -> Handover:
    stays = one.adapter == other.adapter
    return Handover(
        one.transmitter,
        one.source,
        one.end,
        other.source,
        *_back(day, one, other),
        adapter=one.adapter if stays else None,
        takes_off=None if stays else one.adapter,
        puts_on=None if stays else other.adapter,
    )


def _back(day: WorkedDay, one: _Worn, other: _Worn) -> tuple[int, str]:
    """When it is on again, and before which scene."""
    return on_again(one.end, other.start, day.plan), other.first


def _worn(day: WorkedDay) -> dict[str, list[_Worn]]:
    """By pack and by adapter: who has it, in turn."""
    found: dict[str, list[_Worn]] = defaultdict(list)
    for link in {link.source: link for link in day.links}.values():
        mine = [scene for scene in day.plan.scenes if link.source in scene.sources]
        first = min(mine, key=lambda scene: scene.start)
        worn = _Worn(
            link.source,
            first.start,
            max(scene.end for scene in mine),
            first.number,
            link.transmitter,
            link.adapter,
        )
        for unit in (link.transmitter, link.adapter):
            if unit is not None:
                found[unit].append(worn)
    for unit in found:
        found[unit].sort(key=lambda worn: worn.start)
    return found


def retunes(day: WorkedDay) -> tuple[Retune, ...]:
    """Every time that a module is set to another pack, module by module, by the clock."""
    heard: dict[tuple[str, int], list[tuple[int, Link]]] = defaultdict(list)
    for needs in day.scenes:
        for link in needs.links:
            heard[link.receiver, link.module].append((needs.scene.start, link))
    found = []
    for module in sorted(heard, key=lambda module: (natural(module[0]), module[1])):
        in_turn = sorted(heard[module], key=lambda entry: entry[0])
        found += list(_retuned(in_turn))
    return tuple(found)


def _retuned(in_turn: list[tuple[int, Link]]) -> Iterator[Retune]:
    for (_, one), (at, other) in pairwise(in_turn):
        if one.transmitter != other.transmitter:
            yield Retune(
                other.receiver,
                other.module,
                one.source,
                other.source,
                other.transmitter,
                other.scene,
                at,
            )


def to_do_before(day: WorkedDay, scene: str) -> tuple[str, ...]:
    """What is handed on and retuned before a scene, each as a sentence."""
    names = names_of(day.plan)
    handed = [handover.says(names) for handover in handovers(day) if handover.before == scene]
    retuned = [retune.says(names) for retune in retunes(day) if retune.before == scene]
    return (*handed, *retuned)
