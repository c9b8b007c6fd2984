"""R7: what each supply has to carry, how many packs, and when a pack is swapped.

Watts at the supply are the receivers' watts over its efficiency; a pack gives its watt hours less
the day's reserve. A pack is swapped as a set of cells is changed (R6): outside the scenes where it
can be, as few times and as late as the load allows, starting the day on a full one. A swap switches
off all that hangs on it; only two inputs would carry a receiver over (common practice, no source).
"""

from collections.abc import Sequence
from fractions import Fraction

from kitprep.definitions.kit import Kit, Power, Supply
from kitprep.definitions.plan import Plan
from kitprep.definitions.text import clock
from kitprep.planning.cells import Stretch, exact, no_pause, scene_by_scene, schedule
from kitprep.planning.results import PackCourse, PlannedSwap, Shortfall, SupplyLoad
from kitprep.planning.supplies import (
    Apart,
    Fed,
    Feeding,
    Standing,
    called,
    outlets_free,
    suits,
    together,
    without_mains,
)


def loads(
    feeding: Feeding, kit: Kit, plan: Plan
) -> tuple[tuple[SupplyLoad, ...], tuple[Shortfall, ...]]:
    """What each supply in use carries."""
    found = [load_on(s, on, feeding, kit, plan) for s in kit.supplies if (on := feeding.on(s))]
    return tuple(load for load, _ in found), tuple(s for _, short in found for s in short)


def load_on(
    supply: Supply, fed: Sequence[Fed], feeding: Feeding, kit: Kit, plan: Plan
) -> tuple[SupplyLoad, tuple[Shortfall, ...]]:
    """What a supply carries with these receivers on it, and what is short of it."""
    load = _carried(supply, fed, feeding.apart, plan)
    return load, (
        *_short(supply, load, fed, feeding, kit, plan),
        *_outlasting(supply, load),
        *_not_known(supply, load, fed),
    )


def _carried(supply: Supply, fed: Sequence[Fed], apart: Apart, plan: Plan) -> SupplyLoad:
    """What a supply carries, from the first receiver on to the last off.

    Where they are of a split unit, each part has packs of its own.
    """
    on, off = min(r.on for r, _ in fed), max(r.off for r, _ in fed)
    courses = [] if supply.mains else [_course(supply, g, plan) for g in together(fed, apart)]
    hours = [hours for _, hours in courses if hours is not None]
    known = not _untold(fed) and (supply.mains or bool(hours))
    packs = sum(course.packs for course, _ in courses)
    have = supply.packs or 0
    return SupplyLoad(
        supply.id,
        float(_drawn(fed) / exact(supply.efficiency)),
        float(min(hours)) if hours and known else None,
        packs,
        have,
        max(packs - have, 0),
        len(fed),
        tuple(receiver.tag for receiver, _ in fed),
        on,
        off,
        mains=supply.mains,
        at_least=not known,
        courses=tuple(course for course, _ in courses),
        scenes=tuple(dict.fromkeys(scene.number for r, _ in fed for scene in r.scenes)),
    )


def _drawn(fed: Sequence[Fed]) -> Fraction:
    """What receivers draw together, as far as that is known."""
    return sum((_watts(option) for _, option in fed), Fraction(0))


def _untold(fed: Sequence[Fed]) -> list[Standing]:
    """Receivers of which nobody knows what they draw."""
    return [receiver for receiver, option in fed if option.watts is None]


def _watts(option: Power) -> Fraction:
    return Fraction(0) if option.watts is None else exact(option.watts)


def _course(supply: Supply, fed: Sequence[Fed], plan: Plan) -> tuple[PackCourse, Fraction | None]:
    """The packs of one part of the unit, and the hours that one lasts with all of it on."""
    units = tuple(receiver.tag for receiver, _ in fed)
    at = tuple(dict.fromkeys(receiver.destination for receiver, _ in fed))
    watts = _drawn(fed) / exact(supply.efficiency)
    if supply.wh is None or not watts:
        return PackCourse(at, units, 1), None
    usable = exact(supply.wh) * (1 - exact(plan.reserve))
    course = []
    scenes = tuple(dict.fromkeys(scene for receiver, _ in fed for scene in receiver.scenes))
    for start, end, scene in scene_by_scene(scenes):
        on = sum((_watts(o) for r, o in fed if r.is_on(start, end)), Fraction(0))
        drain = on / exact(supply.efficiency) / (usable * 60)
        course.append(Stretch(start, end, drain, scene))
    changes = schedule(course)
    packs = 1 + len(changes)
    if any(option.watts is None for _, option in fed):
        return PackCourse(at, units, packs), None
    swaps = tuple(
        PlannedSwap(
            supply.id,
            change.before,
            change.by,
            change.mid_scene,
            tuple(r.tag for r, _ in fed if r.is_on(change.by - 1, change.by + 1)),
        )
        for change in changes
    )
    return PackCourse(at, units, packs, tuple(course), swaps), usable / watts


def watts_said(load: SupplyLoad) -> str:
    """ "9.4 W", or as much of it as is known."""
    if not load.at_least:
        return f"{load.load_w:.1f} W"
    return f"at least {load.load_w:.1f} W" if load.load_w else "load not known"


def split_notices(supplies: Sequence[SupplyLoad], kit: Kit, plan: Plan) -> list[str]:
    """Supplies that parts of a split unit have packs of, which takes leads and outlets at each."""
    names = {supply.id: called(supply) for supply in kit.supplies}
    places = {d.id: d.name or d.id for d in plan.destinations}
    return [
        f"{names[load.id]}: in different parts of a split unit, so packs and outlets are counted "
        "at each: "
        + "; ".join(
            f"{' and '.join(places[at] for at in course.destinations)} ({course.packs})"
            for course in load.courses
        )
        for load in supplies
        if len(load.courses) > 1
    ]


def _outlasting(supply: Supply, load: SupplyLoad) -> list[Shortfall]:
    """Scenes that a pack does not last, with the minute at which it is empty, and those that touch
    where it has to be swapped."""
    found = []
    for course in load.courses:
        for swap in course.swaps:
            touching = no_pause(course.course, swap.by)
            off = f"{', '.join(swap.units)} {_go(swap.units)} off while it is swapped"
            if swap.mid_scene:
                what = (
                    f"scene {swap.before} outlasts a pack of {called(supply)}: empty at "
                    f"{clock(swap.by)}, and {off} within the scene; {_relief(swap.units)}"
                )
            elif touching is not None:
                what = (
                    f"scene {touching[1]} follows scene {touching[0]} without a pause, and no pack "
                    f"of {called(supply)} lasts both: leave a pause to swap it by {clock(swap.by)}"
                )
            else:
                continue
            found.append((swap.by, Shortfall("supply", swap.before, what)))
    return [short for _, short in sorted(found, key=lambda entry: entry[0])]


def _relief(units: Sequence[str]) -> str:
    """What makes a pack last: of one receiver alone nothing can be taken off it."""
    first = "hang less on it" if len(units) > 1 else "bring a larger pack"
    return f"{first}, or break the scene by then"


def _packs(number: int) -> str:
    return "1 pack" if number == 1 else f"{number} packs"


def _go(units: Sequence[str]) -> str:
    return "goes" if len(units) == 1 else "go"


def _not_known(supply: Supply, load: SupplyLoad, fed: Sequence[Fed]) -> list[Shortfall]:
    """The figures without which nobody can say that a supply lasts the day, and what to write."""
    gaps, keys = [], []
    untold = _untold(fed)
    if untold:
        tags = ", ".join(receiver.tag for receiver in untold)
        gaps.append(f"what {tags} {'draws' if len(untold) == 1 else 'draw'}")
        models = dict.fromkeys(receiver.model.model for receiver in untold)
        keys.append(f"watts of {', '.join(models)}")
    if not supply.mains and supply.wh is None:
        gaps.append("what a pack of it holds")
        keys.append(f"wh of {supply.id}")
    if not gaps:
        return []
    then = "whether it carries that"
    if not supply.mains:
        counted = f"{_packs(load.packs)} {'is' if load.packs == 1 else 'are'}"
        then = (
            f"how long a pack lasts: {counted} counted, for {clock(load.on)} to {clock(load.off)}"
        )
    what = (
        f"{called(supply)}: not known {' and '.join(gaps)}, and so {then}; write "
        f"{' and '.join(keys)} in the kit"
    )
    return [Shortfall("supply", None, what)]


def _short(
    supply: Supply, load: SupplyLoad, fed: Sequence[Fed], feeding: Feeding, kit: Kit, plan: Plan
) -> list[Shortfall]:
    name, watts = called(supply), _drawn(fed)
    if supply.mains and supply.watts is not None and watts > exact(supply.watts):
        moves = _moves(supply, fed, feeding, kit, plan)
        mend = (
            f"move {' or '.join(moves)}" if moves else f"bring one that gives {float(watts):.1f} W"
        )
        what = (
            f"{name} gives {supply.watts:g} W at the most, and {float(watts):.1f} W hang on it; "
            f"{mend}"
        )
        return [Shortfall("supply", None, what)]
    if load.short:
        where = " in the parts of a split unit" if len(load.courses) > 1 else ""
        what = (
            f"{name}: {_packs(load.packs)} for {load.load_w:.1f} W from {clock(load.on)} to "
            f"{clock(load.off)}{where}, {load.have} held; {load.short} short"
        )
        return [Shortfall("supply", None, what, f"supply:{supply.id}")]
    return []


def _moves(supply: Supply, fed: Sequence[Fed], feeding: Feeding, kit: Kit, plan: Plan) -> list[str]:
    """Each receiver whose move to another supply takes enough off this one, and which that is."""
    assert supply.watts is not None
    found = []
    for receiver, option in fed:
        rest = _drawn(fed) - _watts(option)
        for other in kit.supplies:
            enough = other is not supply and rest <= exact(supply.watts)
            if enough and _takes(other, receiver, feeding, plan):
                found.append(f"{receiver.tag} to {called(other)}")
    return found


def _takes(other: Supply, receiver: Standing, feeding: Feeding, plan: Plan) -> bool:
    """Whether a supply carries one receiver more, with what hangs on it already."""
    option = suits(receiver.model, other)
    if option is None or outlets_free(other, receiver, feeding) < 1:
        return False
    if other.mains and without_mains(receiver, plan):
        return False
    load = _carried(other, [*feeding.on(other), (receiver, option)], feeding.apart, plan)
    enough = other.watts is None or load.load_w * other.efficiency <= other.watts
    return enough and not load.short and not any(swap.mid_scene for swap in load.swaps)
