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
from kitprep.planning.cells import Stretch, exact, scene_by_scene, schedule
from kitprep.planning.results import PackCourse, PlannedSwap, Shortfall, SupplyLoad
from kitprep.planning.supplies import Apart, Fed, Feeding, Standing, called, together


def loads(
    feeding: Feeding, kit: Kit, plan: Plan
) -> tuple[tuple[SupplyLoad, ...], tuple[Shortfall, ...]]:
    """What each supply in use carries."""
    found = [load_on(s, on, feeding.apart, plan) for s in kit.supplies if (on := feeding.on(s))]
    return tuple(load for load, _ in found), tuple(s for _, short in found for s in short)


def load_on(
    supply: Supply, fed: Sequence[Fed], apart: Apart, plan: Plan
) -> tuple[SupplyLoad, tuple[Shortfall, ...]]:
    """What a supply carries with these receivers on it, from the first on to the last off.

    Where they are of a split unit, each part has packs of its own.
    """
    on, off = min(r.on for r, _ in fed), max(r.off for r, _ in fed)
    drawn = sum((_watts(option) for _, option in fed), Fraction(0))
    untold = [receiver for receiver, option in fed if option.watts is None]
    courses = [] if supply.mains else [_course(supply, g, plan) for g in together(fed, apart)]
    hours = [hours for _, hours in courses if hours is not None]
    known = not untold and (supply.mains or bool(hours))
    packs = sum(course.packs for course, _ in courses)
    have = supply.packs or 0
    load = SupplyLoad(
        supply.id,
        float(drawn / exact(supply.efficiency)),
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
    return load, (
        *_short(supply, load, drawn),
        *_outlasting(supply, load),
        *_not_known(supply, load, untold),
    )


def _watts(option: Power) -> Fraction:
    return Fraction(0) if option.watts is None else exact(option.watts)


def _course(supply: Supply, fed: Sequence[Fed], plan: Plan) -> tuple[PackCourse, Fraction | None]:
    """The packs of one part of the unit, and the hours that one lasts with all of it on."""
    units = tuple(receiver.tag for receiver, _ in fed)
    at = tuple(dict.fromkeys(receiver.destination for receiver, _ in fed))
    watts = sum((_watts(option) for _, option in fed), Fraction(0)) / exact(supply.efficiency)
    if supply.wh is None or not watts:
        return PackCourse(at, units, 1), None
    usable = exact(supply.wh) * (1 - exact(plan.reserve))
    course = []
    scenes = tuple(dict.fromkeys(scene for receiver, _ in fed for scene in receiver.scenes))
    for start, end, scene in scene_by_scene(scenes):
        on = sum((_watts(o) for r, o in fed if r.on <= start and end <= r.off), Fraction(0))
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
            tuple(r.tag for r, _ in fed if r.on < change.by < r.off),
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
    """Scenes that a pack does not last, with the minute at which it is empty."""
    return [
        Shortfall(
            "supply",
            swap.before,
            f"scene {swap.before} outlasts a pack of {called(supply)}: empty at "
            f"{clock(swap.by)}, and {', '.join(swap.units)} {_go(swap.units)} off while it is "
            "swapped within the scene; hang less on it, or break the scene by then",
        )
        for swap in load.swaps
        if swap.mid_scene
    ]


def _go(units: Sequence[str]) -> str:
    return "goes" if len(units) == 1 else "go"


def _not_known(supply: Supply, load: SupplyLoad, untold: Sequence[Standing]) -> list[Shortfall]:
    """The figures without which nobody can say that a supply lasts the day, and what to write."""
    gaps, keys = [], []
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
        counted = "1 pack is" if load.packs == 1 else f"{load.packs} packs are"
        then = (
            f"how long a pack lasts: {counted} counted, for {clock(load.on)} to {clock(load.off)}"
        )
    what = (
        f"{called(supply)}: not known {' and '.join(gaps)}, and so {then}; write "
        f"{' and '.join(keys)} in the kit"
    )
    return [Shortfall("supply", None, what)]


def _short(supply: Supply, load: SupplyLoad, watts: Fraction) -> list[Shortfall]:
    name = called(supply)
    if supply.mains and supply.watts is not None and watts > exact(supply.watts):
        what = (
            f"{name} gives {supply.watts:g} W at the most, and {float(watts):.1f} W hang on it; "
            "move a receiver to another supply"
        )
        return [Shortfall("supply", None, what)]
    if load.short:
        where = " in the parts of a split unit" if len(load.courses) > 1 else ""
        what = (
            f"{name}: {load.packs} packs for {load.load_w:.1f} W from {clock(load.on)} to "
            f"{clock(load.off)}{where}, {load.have} held; {load.short} short"
        )
        return [Shortfall("supply", None, what, f"supply:{supply.id}")]
    return []
