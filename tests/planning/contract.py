"""R1, R2, R4 and R6 read a second time, unit by unit: slow, plain, and without the planner's code.

Everything here works on tags: which pack and adapter a source holds, which module hears a link. The
enumerator (brute_force.py), the independent solver (cp_sat.py) and the tests of the planner's own
plans all stand on it.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import accumulate, combinations
from math import lcm

from kitprep.definitions.kit import Adapter, Kit, Power, Receiver, Transmitter
from kitprep.definitions.plan import Plan, Scene, Source

Ranges = list[tuple[float, float]]
Route = tuple[str, str]
"""A source at a destination."""
Want = tuple[str, str, str]
"""Scene, source, destination."""
Sender = tuple[str, str | None]
"""A pack and its adapter, if any, by tag."""
Seat = tuple[str, int]
"""A module of a receiver, from 1."""


@dataclass(frozen=True)
class Score:
    """R4's orders, each the lower the better."""

    served: tuple[int, int, int]
    modules: int
    cells: int
    units: int
    changes: int
    weight: Fraction

    def as_tuple(self) -> tuple[object, ...]:
        """To be compared."""
        return (self.served, self.modules, self.cells, self.units, self.changes, self.weight)


def both(one: Ranges, other: Ranges) -> Ranges:
    """Where two sets of closed ranges lie over one another."""
    cuts = [(max(a, c), min(b, d)) for a, b in one for c, d in other]
    return [(low, high) for low, high in cuts if low <= high]


def overlap(one: Scene, other: Scene) -> bool:
    """Whether some minute belongs to both."""
    return max(one.start, other.start) < min(one.end, other.end)


class Contract:
    """One kit and one day, as the contract reads them."""

    def __init__(self, kit: Kit, plan: Plan) -> None:
        self.kit, self.plan = kit, plan
        self.scenes = {scene.number: scene for scene in plan.scenes}
        self.by_clock = sorted(plan.scenes, key=lambda scene: (scene.start, scene.end))
        self.sources = {source.id: source for source in plan.sources}
        self.destinations = {where.id: where for where in plan.destinations}
        self.packs = {
            unit.tag: (model, unit)
            for model in kit.transmitters
            for unit in model.units
            if unit.state == "ok"
        }
        self.receivers = {
            unit.tag: (model, unit)
            for model in kit.receivers
            for unit in model.units
            if unit.state == "ok"
        }
        self.adapters: dict[str, tuple[Adapter, float | None]] = {}
        for model in kit.adapters:
            for unit in model.units:
                if unit.state == "ok":
                    self.adapters[unit.tag] = (model, unit.weight_g)
            for number in range(model.qty or 0):
                self.adapters[f"{model.model}#{number + 1}"] = (model, None)
        self._changes: dict[tuple[str, tuple[str, ...]], int] = {}

    @cached_property
    def wants(self) -> list[Want]:
        """Every wanted link, in the order of the clock."""
        return [
            (scene.number, source, entry.split(":")[0])
            for scene in self.by_clock
            for source in scene.sources
            for entry in self.sources[source].to
        ]

    def worn(self, source: str) -> list[Scene]:
        """The source's scenes in the order of the clock."""
        return [scene for scene in self.by_clock if source in scene.sources]

    def hold(self, source: str) -> tuple[int, int]:
        """From the start of its first scene to the end of its last."""
        scenes = self.worn(source)
        return min(s.start for s in scenes), max(s.end for s in scenes)

    def in_turn(self, one: str, other: str) -> bool:
        """Whether one unit can serve both sources, with the time to hand it over."""
        (a, b), (c, d) = self.hold(one), self.hold(other)
        return b + self.plan.handover_min <= c or d + self.plan.handover_min <= a

    # R1

    def sends(self, source: Source, sender: Sender) -> bool:
        """Whether this pack, with this adapter, sends what the source gives."""
        model, unit = self.packs[sender[0]]
        if model.form not in source.form:
            return False
        if source.model is not None and model.model not in source.model:
            return False
        if source.tuning_mhz is not None and not both(
            list(unit.tuning_mhz or model.tuning_mhz), list(source.tuning_mhz)
        ):
            return False
        alone = self._meets(source, model, None)
        if sender[1] is None:
            return alone
        adapter = self.adapters[sender[1]][0]
        return not alone and model.model in adapter.fits and self._meets(source, model, adapter)

    def _meets(self, source: Source, model: Transmitter, adapter: Adapter | None) -> bool:
        channels, connector = model.channels, model.connector
        mic_power = set(model.mic_power)
        if adapter is not None:
            channels = adapter.channels or channels
            connector = adapter.connector or connector
            if adapter.mic_power is not None:
                mic_power = set(adapter.mic_power)
            elif adapter.channels == 2:
                mic_power &= {"bias"}
        return (
            channels >= source.channels
            and source.connector in (None, connector)
            and (source.mic_power is None or source.mic_power in mic_power)
        )

    def senders(self, source: Source) -> list[Sender]:
        """Every pack, with every adapter or none, that sends what the source gives."""
        every = [(tag, name) for tag in self.packs for name in (None, *self.adapters)]
        return [sender for sender in every if self.sends(source, sender)]

    def may_hear(self, source: Source, destination: str, receiver: str) -> bool:
        """Whether a receiver may stand there and takes the source's mode."""
        model, _ = self.receivers[receiver]
        allowed = self.destinations[destination].receivers
        return (
            (allowed is None or model.model in allowed)
            and ("stereo" if source.channels == 2 else "mono") in model.modes
            and sum(output.channels for output in model.outputs) >= source.channels
        )

    def on_one_frequency(self, source: Source, pack: str, receivers: Iterable[str]) -> bool:
        """Whether one frequency of the pack reaches all of these receivers."""
        model, unit = self.packs[pack]
        left: Ranges = list(unit.tuning_mhz or model.tuning_mhz)
        if source.tuning_mhz is not None:
            left = both(left, list(source.tuning_mhz))
        for tag in receivers:
            hearing, its_unit = self.receivers[tag]
            if hearing.system != model.system:
                return False
            left = both(left, list(its_unit.tuning_mhz or hearing.tuning_mhz))
        return bool(left)

    # R2

    def ever_together(self, one: str, other: str) -> bool:
        """Whether the two are ever in one scene, or in two that overlap."""
        return any(overlap(a, b) for a in self.worn(one) for b in self.worn(other))

    @cached_property
    def inputs(self) -> dict[Route, list[int]]:
        """The inputs of each source at each destination, by the rule; none where none was left."""
        given: dict[Route, list[int]] = {}
        on: dict[tuple[str, int], list[str]] = defaultdict(list)

        def give(source: Source, where: str, first: int) -> None:
            given[source.id, where] = list(range(first, first + source.channels))
            for number in given[source.id, where]:
                on[where, number].append(source.id)

        at_work = [source for source in self.plan.sources if self.worn(source.id)]
        routes = [(source, *entry.partition(":")) for source in at_work for entry in source.to]
        for source, where, colon, number in routes:
            if colon:
                give(source, where, int(number))
        for source, where, colon, _ in routes:
            if colon:
                continue
            last = self.destinations[where].inputs - source.channels + 1
            runs = [range(first, first + source.channels) for first in range(1, last + 1)]
            empty = [run for run in runs if not any(on[where, number] for number in run)]
            shared = [
                run
                for run in runs
                if not any(
                    self.ever_together(source.id, other)
                    for number in run
                    for other in on[where, number]
                )
            ]
            if empty or shared:
                give(source, where, (empty or shared)[0][0])
            else:
                given[source.id, where] = []
        return given

    # R4 and R6

    def life(self, option: Power, stereo: bool) -> Fraction:
        """Planned minutes of a fresh set on air."""
        hours = option.hours_stereo if stereo and option.hours_stereo else option.hours
        assert hours is not None
        table = next(cell for cell in self.kit.cells if cell.type == option.cell).capacity_at
        assert not table, "the random days are at 20 °C; the table has tests of its own"
        return Fraction(str(hours)) * 60 * (1 - Fraction(str(self.plan.reserve)))

    def drains(self, model: Transmitter, sources: Sequence[str]) -> list[tuple[Fraction, str]]:
        """Minute by minute: the share of a fresh set that it takes, and the scene or ""."""
        option = model.power[0]
        worn = sorted(
            ((scene, source) for source in sources for scene in self.worn(source)),
            key=lambda pair: pair[0].start,
        )
        idle = Fraction(1)
        if self.plan.between == "off":
            idle = Fraction(0)
        elif self.plan.between == "standby" and model.standby is not None:
            idle = Fraction(str(model.standby))
        draws = [1 / self.life(option, self.sources[who].channels == 2) for _, who in worn]
        minutes = [(draws[0], "")] * self.plan.lead_min
        for place, (scene, who) in enumerate(worn):
            if place:
                gap, lead = scene.start - worn[place - 1][0].end, 0
                if worn[place - 1][1] != who:
                    lead = max(min(self.plan.lead_min, gap - self.plan.handover_min), 0)
                minutes += [(draws[place - 1] * idle, "")] * (gap - lead)
                minutes += [(draws[place], "")] * lead
            minutes += [(draws[place], scene.number)] * (scene.end - scene.start)
        return minutes

    def outlasting(self, model: Transmitter, source: str) -> int:
        """The source's scenes that a fresh set does not last: all, where nobody knows its life."""
        if model.power[0].hours is None:
            return len(self.worn(source))
        life = self.life(model.power[0], self.sources[source].channels == 2)
        return sum(scene.end - scene.start > life for scene in self.worn(source))

    def changes(self, model: Transmitter, sources: Iterable[str]) -> int:
        """Planned changes of cells of one unit that serves these sources in turn.

        Where nobody knows how long a set lasts, one for every minute in a scene.
        """
        if model.power[0].hours is None:
            scenes = [scene for source in sources for scene in self.worn(source)]
            return sum(scene.end - scene.start for scene in scenes)
        key = (model.model, tuple(sorted(sources)))
        if key not in self._changes:
            self._changes[key] = fewest_changes(self.drains(model, key[1]))[-1]
        return self._changes[key]

    def score(self, senders: dict[str, Sender], seats: dict[Want, Seat]) -> Score:
        """R4's orders of a plan given by tags."""
        links = self.links_score(seats)
        carried = self.carried_score(senders, {tag for tag, _ in seats.values()})
        return Score(*links, *carried)

    def links_score(self, seats: dict[Want, Seat]) -> tuple[tuple[int, int, int], int]:
        """Minus the links served by priority, and the changes of module."""
        served = [0, 0, 0]
        moves = 0
        last: dict[Route, Seat] = {}
        for number, source, where in self.wants:
            seat = seats.get((number, source, where))
            if seat is not None:
                served[self.sources[source].priority - 1] -= 1
                moves += last.get((source, where), seat) != seat
                last[source, where] = seat
        return (served[0], served[1], served[2]), moves

    def carried_score(
        self, senders: dict[str, Sender], receivers: Iterable[str]
    ) -> tuple[int, int, int, Fraction]:
        """Scenes that outlast a set, units, changes of cells, and weight."""
        with_pack: dict[str, list[str]] = defaultdict(list)
        for source, (tag, _) in senders.items():
            with_pack[tag].append(source)
        adapters = {name for _, name in senders.values() if name is not None}
        weights = [
            *(self._weight(*self.packs[tag]) for tag in with_pack),
            *(self._weight(*self.receivers[tag]) for tag in receivers),
            *(self._adapter_weight(name) for name in adapters),
        ]
        return (
            sum(self.outlasting(self.packs[tag][0], s) for s, (tag, _) in senders.items()),
            len(weights),
            sum(self.changes(self.packs[tag][0], mine) for tag, mine in with_pack.items()),
            sum(weights, Fraction(0)),
        )

    def _weight(self, model: Transmitter | Receiver, unit: object) -> Fraction:
        own = getattr(unit, "weight_g", None)
        weight = own if own is not None else model.weight_g
        assert weight is not None, "the random kits say every weight"
        return Fraction(str(weight))

    def _adapter_weight(self, name: str) -> Fraction:
        model, own = self.adapters[name]
        weight = own if own is not None else model.weight_g
        assert weight is not None, "the random kits say every weight"
        return Fraction(str(weight))

    def faults(self, senders: dict[str, Sender], seats: dict[Want, Seat]) -> list[str]:
        """Every rule of R1 and R2 that a plan breaks."""
        found = [
            f"{source} carries {sender}, which does not send what it needs"
            for source, sender in senders.items()
            if not self.sends(self.sources[source], sender)
        ]
        if set(senders) != {source for _, source, _ in seats}:
            found.append("a source has a pack and no link, or a link and no pack")
        for one, other in combinations(senders, 2):
            shared = {name for name in senders[one] if name} & {n for n in senders[other] if n}
            if shared and not self.in_turn(one, other):
                found.append(f"{one} and {other} hold {shared} at once")
        stands: dict[str, str] = {}
        reached: dict[tuple[str, str], list[str]] = defaultdict(list)
        for (number, source, where), (tag, module) in seats.items():
            if (number, source, where) not in self.wants:
                found.append(f"nobody wants {source} at {where} in {number}")
            if stands.setdefault(tag, where) != where:
                found.append(f"{tag} stands at {where} and at {stands[tag]}")
            if not self.may_hear(self.sources[source], where, tag):
                found.append(f"{tag} may not hear {source} at {where}")
            if not 1 <= module <= self.receivers[tag][0].modules:
                found.append(f"{tag} has no module {module}")
            if not self.inputs[source, where]:
                found.append(f"{source} has no input at {where}")
            reached[number, source].append(tag)
        for one, other in combinations(seats, 2):
            if seats[one] == seats[other] and overlap(self.scenes[one[0]], self.scenes[other[0]]):
                found.append(f"{seats[one]} hears {one} and {other} at once")
        for (number, source), tags in reached.items():
            if not self.on_one_frequency(self.sources[source], senders[source][0], tags):
                found.append(f"{source} reaches {tags} on no one frequency in {number}")
        return found


def fewest_changes(minutes: Sequence[tuple[Fraction, str]]) -> tuple[int, int, int]:
    """The fewest changes within scenes, then between scenes that touch, then in all, over every
    minute as a change point.

    A set put in at one minute lives to another when what it gives between the two is at most 1.
    """
    end = len(minutes)
    full = lcm(*(share.denominator for share, _ in minutes))
    parts = {share: int(share * full) for share, _ in minutes}
    taken = [0, *accumulate(parts[share] for share, _ in minutes)]

    def within_scene(minute: int) -> bool:
        return bool(minutes[minute][1]) and minutes[minute][1] == minutes[minute - 1][1]

    def without_pause(minute: int) -> bool:
        return "" not in (minutes[minute][1], minutes[minute - 1][1]) and not within_scene(minute)

    best = [(0, 0, 0)]
    oldest = 0
    for minute in range(1, end + 1):
        while taken[minute] - taken[oldest] > full:
            oldest += 1
        mid_scene, touching, changes = min(best[oldest:minute])
        if minute < end:
            mid_scene, touching = mid_scene + within_scene(minute), touching + without_pause(minute)
            changes += 1
        best.append((mid_scene, touching, changes))
    return best[end]
