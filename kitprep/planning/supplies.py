"""R7: what each receiver runs on.

A receiver takes the first supply within reach that suits it and has an outlet left. Mains counts
only where the plan has it: a receiver that moves with its cart runs on it in the scenes at those
places, and in the others on the next; it draws from neither while it is on the other, nor on the
way. Two destinations in use at the same time at different places are a split unit: what feeds the
one is not at the other.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from kitprep.definitions.kit import Kit, Power, Receiver, Supply
from kitprep.definitions.plan import Plan, Scene

Apart = frozenset[frozenset[str]]
"""Pairs of destinations that are in use at the same time at different places."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A receiver in use: its tag and model, where it stands, and scenes that it serves there.

    ``fed_otherwise`` are its scenes in which it runs on something else.
    """

    tag: str
    model: Receiver
    destination: str
    scenes: tuple[Scene, ...]
    fed_otherwise: tuple[Scene, ...] = ()

    @property
    def on(self) -> int:
        """The minute at which its first scene starts."""
        return min(scene.start for scene in self.scenes)

    @property
    def off(self) -> int:
        """The minute at which its last scene ends."""
        return max(scene.end for scene in self.scenes)

    @property
    def spells(self) -> tuple[tuple[int, int], ...]:
        """From when to when it is on this: through the gaps between its scenes, but for those in
        which it moves to something else and back."""
        found: list[tuple[int, int]] = []
        turns = [(s.start, s.end, True) for s in self.scenes]
        turns += [(s.start, s.end, False) for s in self.fed_otherwise]
        stays = False
        for start, end, here in sorted(turns):
            if here and stays:
                found[-1] = (found[-1][0], max(found[-1][1], end))
            elif here:
                found.append((start, end))
            stays = here
        return tuple(found)

    def is_on(self, start: int, end: int) -> bool:
        """Whether it is on this from one minute to another."""
        return any(since <= start and end <= until for since, until in self.spells)


Fed = tuple[Standing, Power]
"""A receiver on a supply, with the scenes in which it is on it, and the input used."""


@dataclass(frozen=True, slots=True)
class Feeding:
    """Which receivers run on a supply, and which on their cells or nothing, each with its scenes.

    A receiver is in more than one of them where it runs on one thing here and on another there.
    """

    on_supply: tuple[tuple[Standing, Supply, Power], ...]
    on_cells: tuple[Standing, ...]
    on_nothing: tuple[Standing, ...]
    apart: Apart

    def on(self, supply: Supply) -> list[Fed]:
        """The receivers that hang on a supply."""
        return [(r, option) for r, own, option in self.on_supply if own.id == supply.id]


def feed(standing: Sequence[Standing], kit: Kit, plan: Plan) -> Feeding:
    """Each receiver takes the first supply of its destination that suits and has an outlet left.

    A supply suits where its voltage range lies within the receiver's. Else the receiver runs on its
    cells, else on nothing.
    """
    supplies = {supply.id: supply for supply in kit.supplies}
    reach = {d.id: [supplies[name] for name in d.supplies] for d in plan.destinations}
    feeding = Feeding((), (), (), split_unit(standing))
    for receiver in standing:
        near = reach[receiver.destination]
        parts = _by_mains(receiver, plan) if any(supply.mains for supply in near) else [receiver]
        for part in parts:
            feeding = _fed(part, near, feeding, plan)
    return feeding


def _fed(part: Standing, near: Sequence[Supply], feeding: Feeding, plan: Plan) -> Feeding:
    """With one receiver more, or with its other scenes where it is there already."""
    for supply in near:
        option = suits(part.model, supply)
        there = not supply.mains or not without_mains(part, plan)
        if option is None or not there or outlets_free(supply, part, feeding) < 1:
            continue
        mine = [e for e in feeding.on_supply if e[0].tag == part.tag and e[1].id == supply.id]
        rest = tuple(entry for entry in feeding.on_supply if entry not in mine)
        whole = _joined([receiver for receiver, *_ in mine], part)
        return replace(feeding, on_supply=(*rest, (whole, supply, option)))
    if any(option.cell is not None for option in part.model.power):
        mine_on_cells = [receiver for receiver in feeding.on_cells if receiver.tag == part.tag]
        rest_on_cells = tuple(r for r in feeding.on_cells if r not in mine_on_cells)
        return replace(feeding, on_cells=(*rest_on_cells, _joined(mine_on_cells, part)))
    return replace(feeding, on_nothing=(*feeding.on_nothing, part))


def _joined(before: Sequence[Standing], part: Standing) -> Standing:
    """A receiver with the scenes of its parts."""
    scenes = (*(scene for receiver in before for scene in receiver.scenes), *part.scenes)
    others = tuple(scene for scene in part.fed_otherwise if scene not in scenes)
    return replace(part, scenes=scenes, fed_otherwise=others)


def _by_mains(receiver: Standing, plan: Plan) -> list[Standing]:
    """Its scenes where there is mains, or may be, and those where there is none."""
    none = without_mains(receiver, plan)
    there = tuple(scene for scene in receiver.scenes if scene not in none)
    return [
        replace(receiver, scenes=scenes, fed_otherwise=others)
        for scenes, others in ((there, none), (none, there))
        if scenes
    ]


def without_mains(receiver: Standing, plan: Plan) -> tuple[Scene, ...]:
    """Its scenes at places that are not among those with mains; none where the plan says none."""
    if plan.mains_at is None:
        return ()
    return tuple(scene for scene in receiver.scenes if scene.place not in plan.mains_at)


def suits(receiver: Receiver, supply: Supply) -> Power | None:
    """The receiver's DC input that takes all of the supply's voltages, if any."""
    low, high = supply.volts
    for option in receiver.power:
        if option.dc_v is not None and option.dc_v[0] <= low and high <= option.dc_v[1]:
            return option
    return None


def outlets_free(supply: Supply, receiver: Standing, feeding: Feeding) -> int:
    """Outlets left to a receiver: packs can be taken to each part of a split unit, mains not."""
    away = at_other_parts(supply, receiver, feeding)
    if supply.mains and away:
        return 0
    on = [other for other, _ in feeding.on(supply) if other.tag != receiver.tag]
    return supply.outlets - sum(other.destination not in away for other in on)


def at_other_parts(supply: Supply, receiver: Standing, feeding: Feeding) -> list[str]:
    """Destinations in other parts of a split unit where something hangs on a supply."""
    at = dict.fromkeys(other.destination for other, _ in feeding.on(supply))
    return [where for where in at if frozenset((where, receiver.destination)) in feeding.apart]


def split_unit(standing: Sequence[Standing]) -> Apart:
    """The pairs of destinations that are in use at the same time at different places."""
    used: dict[str, dict[str, Scene]] = defaultdict(dict)
    for receiver in standing:
        used[receiver.destination] |= {scene.number: scene for scene in receiver.scenes}
    return apart({at: tuple(scenes.values()) for at, scenes in used.items()})


def apart(used: Mapping[str, Sequence[Scene]]) -> Apart:
    """The same, by destination the scenes in which it is in use."""
    return frozenset(
        frozenset(pair) for pair in combinations(used, 2) if _elsewhere(*(used[at] for at in pair))
    )


def _elsewhere(here: Sequence[Scene], there: Sequence[Scene]) -> bool:
    return any(
        one.overlaps(other) and one.place != other.place and one.place and other.place
        for one in here
        for other in there
    )


def parts_of(destinations: Iterable[str], apart: Apart) -> dict[str, int]:
    """By destination: the part of a split unit that it is of, counted from 0."""
    parts: list[list[str]] = []
    for here in dict.fromkeys(destinations):
        for part in parts:
            if not any(frozenset((here, other)) in apart for other in part):
                part.append(here)
                break
        else:
            parts.append([here])
    return {here: number for number, part in enumerate(parts) for here in part}


def together(fed: Sequence[Fed], apart: Apart) -> list[list[Fed]]:
    """Receivers by what they can share a pack with: a group for each part of a split unit."""
    part = parts_of((receiver.destination for receiver, _ in fed), apart)
    groups: dict[int, list[Fed]] = defaultdict(list)
    for entry in fed:
        groups[part[entry[0].destination]].append(entry)
    return list(groups.values())


def mains_to_ask_for(feeding: Feeding, plan: Plan) -> tuple[str, ...]:
    """The notice of a plan that counts on mains and does not say where there is any."""
    on_mains = [(r, supply) for r, supply, _ in feeding.on_supply if supply.mains]
    if plan.mains_at is not None or not on_mains:
        return ()
    names = dict.fromkeys(called(supply) for _, supply in on_mains)
    scenes = {scene.number: scene for r, _ in on_mains for scene in r.scenes}
    in_turn = [scene for scene in plan.scenes if scene.number in scenes]
    places = dict.fromkeys(scene.place or f"scene {scene.number}" for scene in in_turn)
    return (
        f"{', '.join(names)}: mains is counted on at {', '.join(places)}; ask whether there is "
        "any, and write mains_at",
    )


def called(supply: Supply) -> str:
    """What the crew calls a supply."""
    return supply.name or supply.id
