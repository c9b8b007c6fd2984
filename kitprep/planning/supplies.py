"""R7: what each receiver runs on, and what each supply has to carry."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from kitprep.definitions.kit import Kit, Power, Receiver, Supply
from kitprep.definitions.plan import Plan, Scene
from kitprep.definitions.text import clock
from kitprep.planning.cells import exact
from kitprep.planning.results import Shortfall, SupplyLoad


@dataclass(frozen=True, slots=True)
class Standing:
    """A receiver in use: its tag and model, where it stands, and the scenes that it serves."""

    tag: str
    model: Receiver
    destination: str
    scenes: tuple[Scene, ...]

    @property
    def on(self) -> int:
        """The minute at which its first scene starts."""
        return min(scene.start for scene in self.scenes)

    @property
    def off(self) -> int:
        """The minute at which its last scene ends."""
        return max(scene.end for scene in self.scenes)


@dataclass(frozen=True, slots=True)
class Feeding:
    """Which receivers run on a supply, with the option used, and which are left to their cells."""

    on_supply: Mapping[str, tuple[Supply, Power]]
    on_cells: tuple[Standing, ...]
    on_nothing: tuple[tuple[Standing, str], ...]


def feed(standing: Sequence[Standing], kit: Kit, plan: Plan) -> Feeding:
    """Each receiver takes the first supply of its destination that suits and has an outlet left.

    A supply suits where its voltage range lies within the receiver's. Else the receiver runs on its
    cells, else on nothing, with the reason.
    """
    supplies = {supply.id: supply for supply in kit.supplies}
    outlets = {supply.id: supply.outlets for supply in kit.supplies}
    reach = {d.id: [supplies[name] for name in d.supplies] for d in plan.destinations}
    on_supply: dict[str, tuple[Supply, Power]] = {}
    on_cells = []
    on_nothing = []
    for receiver in standing:
        taken = None
        for supply in reach[receiver.destination]:
            option = suits(receiver.model, supply)
            if option is not None and outlets[supply.id] > 0:
                taken = (supply, option)
                outlets[supply.id] -= 1
                break
        if taken is not None:
            on_supply[receiver.tag] = taken
        elif any(option.cell is not None for option in receiver.model.power):
            on_cells.append(receiver)
        else:
            on_nothing.append((receiver, _why_not(receiver, reach[receiver.destination])))
    return Feeding(on_supply, tuple(on_cells), tuple(on_nothing))


def suits(receiver: Receiver, supply: Supply) -> Power | None:
    """The receiver's DC input that takes all of the supply's voltages, if any."""
    low, high = supply.volts
    for option in receiver.power:
        if option.dc_v is not None and option.dc_v[0] <= low and high <= option.dc_v[1]:
            return option
    return None


def _why_not(receiver: Standing, supplies: Sequence[Supply]) -> str:
    needs = " or ".join(f"{o.dc_v[0]:g} to {o.dc_v[1]:g} V" for o in receiver.model.power if o.dc_v)
    if not supplies:
        return f"needs {needs} DC, and no supply is in reach there"
    if any(suits(receiver.model, supply) for supply in supplies):
        return "finds no outlet left on a supply that suits it"
    return f"needs {needs} DC, and no supply in reach keeps within that"


def loads(
    standing: Sequence[Standing], feeding: Feeding, kit: Kit, plan: Plan
) -> tuple[tuple[SupplyLoad, ...], tuple[Shortfall, ...]]:
    """What each supply in use carries, from its first receiver on to its last one off.

    Watts at the supply are the receivers' watts over its efficiency; a pack gives its watt hours
    less the day's reserve.
    """
    by_supply: dict[str, list[Standing]] = defaultdict(list)
    for receiver in standing:
        if receiver.tag in feeding.on_supply:
            by_supply[feeding.on_supply[receiver.tag][0].id].append(receiver)
    found = []
    short: list[Shortfall] = []
    for supply in kit.supplies:
        mine = by_supply.get(supply.id)
        if mine:
            drawn = (exact(feeding.on_supply[r.tag][1].watts or 0) for r in mine)
            watts = sum(drawn, Fraction(0))
            load = _load(supply, mine, watts / exact(supply.efficiency), plan)
            found.append(load)
            short.extend(_short(supply, load, watts))
    for receiver, why in feeding.on_nothing:
        what = f"{receiver.tag} at {receiver.destination} has no power: it {why}"
        short.append(Shortfall("supply", None, what))
    return tuple(found), tuple(short)


def _load(supply: Supply, receivers: Sequence[Standing], watts: Fraction, plan: Plan) -> SupplyLoad:
    on, off = min(r.on for r in receivers), max(r.off for r in receivers)
    tags = tuple(r.tag for r in receivers)
    if supply.mains or supply.wh is None or supply.packs is None:
        return SupplyLoad(supply.id, float(watts), None, 0, 0, 0, len(tags), tags, on, off)
    pack_hours = exact(supply.wh) * (1 - exact(plan.reserve)) / watts
    packs = math.ceil((off - on) / (60 * pack_hours))
    short = max(packs - supply.packs, 0)
    return SupplyLoad(
        supply.id,
        float(watts),
        float(pack_hours),
        packs,
        supply.packs,
        short,
        len(tags),
        tags,
        on,
        off,
    )


def _short(supply: Supply, load: SupplyLoad, watts: Fraction) -> list[Shortfall]:
    name = supply.name or supply.id
    if supply.mains and supply.watts is not None and watts > exact(supply.watts):
        what = f"{name} gives {supply.watts:g} W at the most, and {float(watts):.1f} W hang on it"
        return [Shortfall("supply", None, what)]
    if load.short:
        what = (
            f"{name}: {load.packs} packs for {load.load_w:.1f} W from {clock(load.on)} to "
            f"{clock(load.off)}, {load.have} held; {load.short} short"
        )
        return [Shortfall("supply", None, what)]
    return []
