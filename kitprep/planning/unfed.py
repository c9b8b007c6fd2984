"""R7: what is without power: what stands in its way, and which supply of the kit would mend it.

A supply mends a receiver that it suits, where it has an outlet free beside what hangs on it already
and carries the load of them all: by a DC lead where it has packs, on the mains where it has none,
or by one more outlet where it is in reach already. Mains that feeds one part of a split unit is not
at the other, however many outlets it has.

A transmitter is at its source, and supplies are at destinations: what feeds one that runs on DC
alone nobody has said, so it is short.
"""

from collections.abc import Iterable, Iterator, Sequence

from kitprep.definitions.kit import Kit, Supply, Transmitter
from kitprep.definitions.plan import Destination, Plan
from kitprep.planning.loads import load_on
from kitprep.planning.pool import natural
from kitprep.planning.results import Link, Shortfall
from kitprep.planning.supplies import (
    Feeding,
    Standing,
    at_other_parts,
    called,
    outlets_free,
    suits,
    without_mains,
)


def no_power(feeding: Feeding, kit: Kit, plan: Plan) -> tuple[Shortfall, ...]:
    """Each receiver that runs on nothing, with why and the way on."""
    places = {destination.id: destination for destination in plan.destinations}
    said = [
        _sentence(receiver, places[receiver.destination], feeding, kit, plan)
        for receiver in feeding.on_nothing
    ]
    return tuple(Shortfall("supply", None, what) for what in said)


def packs_without_cells(links: Iterable[Link], kit: Kit) -> tuple[Shortfall, ...]:
    """Each transmitter in use that takes no cells, with the way on."""
    models = {unit.tag: model for model in kit.transmitters for unit in model.units}
    return tuple(
        Shortfall("supply", None, _pack_sentence(tag, models[tag]))
        for tag in sorted({link.transmitter for link in links}, key=natural)
        if all(option.cell is None for option in models[tag].power)
    )


def _pack_sentence(tag: str, model: Transmitter) -> str:
    needs = " or ".join(_volts(option.dc_v) for option in model.power if option.dc_v)
    return (
        f"not known what powers {tag}: it runs on {needs} DC alone, and supplies feed receivers at "
        "destinations, not a pack at its source; take a pack that runs on cells, or write the "
        f"cells that it takes under power of {model.model}"
    )


def _sentence(
    receiver: Standing, where: Destination, feeding: Feeding, kit: Kit, plan: Plan
) -> str:
    needs = f"{' or '.join(_volts(o.dc_v) for o in receiver.model.power if o.dc_v)} DC"
    ways = list(_ways(receiver, where, feeding, kit, plan))
    if ways:
        mend = f"{_any_of(ways)} would mend it"
    else:
        watts = next((o.watts for o in receiver.model.power if o.watts), None)
        load = "" if watts is None else f" and {watts:g} W"
        mend = (
            "no supply of the kit would mend it: bring a power supply where there is mains, or a "
            f"pack and a DC lead, for {needs}{load}"
        )
    return (
        f"{receiver.tag} at {where.name or where.id} has no power{_in(receiver, plan)}: it runs on "
        f"{needs} alone, and {_why_not(receiver, where, feeding, kit, plan)}; {mend}"
    )


def _in(receiver: Standing, plan: Plan) -> str:
    """In which scenes, where it may be only in those without mains."""
    scenes = without_mains(receiver, plan)
    if not scenes:
        return ""
    numbers = ", ".join(scene.number for scene in scenes)
    return f" in {'scene' if len(scenes) == 1 else 'scenes'} {numbers}"


def _why_not(receiver: Standing, where: Destination, feeding: Feeding, kit: Kit, plan: Plan) -> str:
    reach = [supply for supply in kit.supplies if supply.id in where.supplies]
    if not reach:
        return "no supply is in reach there"
    suiting = [supply for supply in reach if suits(receiver.model, supply) is not None]
    if not suiting:
        given = " and ".join(f"{called(supply)} gives {_volts(supply.volts)}" for supply in reach)
        return f"{given} there"
    scenes = without_mains(receiver, plan)
    dark = [supply for supply in suiting if supply.mains and scenes]
    away = [
        s for s in suiting if s not in dark and s.mains and at_other_parts(s, receiver, feeding)
    ]
    taken = [supply for supply in suiting if supply not in (*dark, *away)]
    said = []
    if dark:
        places = dict.fromkeys(scene.place or f"scene {scene.number}" for scene in scenes)
        said.append(f"there is no mains for {_any_of([*map(called, dark)])} at {', '.join(places)}")
    for supply in away:
        names = {d.id: d.name or d.id for d in plan.destinations}
        there = [names[at] for at in at_other_parts(supply, receiver, feeding)]
        said.append(
            f"{called(supply)} is at {' and '.join(there)}, in another part of the split unit"
        )
    if taken:
        said.append(f"no outlet is left on {' or '.join(map(called, taken))}")
    return " and ".join(said)


def _ways(
    receiver: Standing, where: Destination, feeding: Feeding, kit: Kit, plan: Plan
) -> Iterator[str]:
    """What would mend it, in the order of the kit's supplies."""
    for supply in kit.supplies:
        option, fed = suits(receiver.model, supply), feeding.on(supply)
        if supply.mains and at_other_parts(supply, receiver, feeding):
            continue
        free = outlets_free(supply, receiver, feeding)
        in_reach = supply.id in where.supplies
        if option is None or (free < 1 and not in_reach):
            continue
        load, short = load_on(supply, [*fed, (receiver, option)], feeding, kit, plan)
        if supply.mains and (short or without_mains(receiver, plan)):
            continue
        packs = "1 more pack" if load.short == 1 else f"{load.short} more packs"
        yield _way(supply, free, in_reach) + (f" and {packs}" if load.short else "")


def _way(supply: Supply, free: int, in_reach: bool) -> str:
    if in_reach:
        return f"one more outlet on {called(supply)}"
    outlets = "1 outlet free" if free == 1 else f"{free} outlets free"
    facts = f"{called(supply)} ({_volts(supply.volts)}, {outlets})"
    return f"mains there with {facts}" if supply.mains else f"a DC lead from {facts}"


def _any_of(ways: Sequence[str]) -> str:
    """ "a, b or c"."""
    *others, last = ways
    return f"{', '.join(others)} or {last}" if others else last


def _volts(window: Sequence[float]) -> str:
    low, high = window
    return f"{low:g} V" if low == high else f"{low:g} to {high:g} V"
