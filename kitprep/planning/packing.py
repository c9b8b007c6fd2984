"""R10: the packing list, each line with its number or tag, its case and its why."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from kitprep.definitions.kit import Adapter, Item, Kit, Receiver, Stock, Transmitter, Unit
from kitprep.definitions.kit_checks import counted_names
from kitprep.definitions.plan import Plan
from kitprep.planning.cells import exact
from kitprep.planning.loads import watts_said
from kitprep.planning.reasons import names_of
from kitprep.planning.results import (
    Cells,
    Counted,
    Link,
    PackLine,
    Shortfall,
    SupplyLoad,
)

Model = Transmitter | Receiver | Adapter
UnitKind = Literal["transmitter", "receiver", "adapter"]


@dataclass(frozen=True)
class Chosen:
    """What the packing list is made from: the served links and all that they need.

    ``chargers`` are what the night needs of items that charge, by model.
    """

    kit: Kit
    plan: Plan
    links: Sequence[Link]
    spares: Sequence[str]
    cables: Sequence[Counted]
    cells: Sequence[Cells]
    cards: Sequence[Counted]
    supplies: Sequence[SupplyLoad]
    recording: frozenset[str]
    on_cells: frozenset[str]
    chargers: Mapping[str, int] = field(default_factory=dict)


def find_units(kit: Kit) -> dict[str, tuple[Model, Unit]]:
    """Every tagged unit, with its model."""
    return {unit.tag: (model, unit) for _, model in _models(kit) for unit in model.units}


def _models(kit: Kit) -> Iterator[tuple[UnitKind, Model]]:
    for transmitter in kit.transmitters:
        yield "transmitter", transmitter
    for receiver in kit.receivers:
        yield "receiver", receiver
    for adapter in kit.adapters:
        yield "adapter", adapter


def unit_names(kit: Kit) -> frozenset[str]:
    """Every single thing that has a name of its own: tags, and adapters that are counted."""
    counted = (name for adapter in kit.adapters for name in counted_names(adapter))
    return frozenset([*find_units(kit), *counted])


def packing_list(chosen: Chosen) -> tuple[PackLine, ...]:
    """Every line, in the order of the kit's cases and, inside one, of the kit's own lists."""
    lines = [
        *_units(chosen),
        *_numbered(chosen),
        *_items(chosen),
    ]
    return in_packing_order(lines, chosen.kit)


def in_packing_order(lines: Iterable[PackLine], kit: Kit) -> tuple[PackLine, ...]:
    """Lines in the order of the kit's cases, and inside one as they come."""
    order = {case.id: number for number, case in enumerate(kit.cases)}
    return tuple(sorted(lines, key=lambda line: order.get(line.case or "", len(order))))


def _units(chosen: Chosen) -> Iterator[PackLine]:
    names = names_of(chosen.plan)
    serving: dict[str, list[Link]] = defaultdict(list)
    for link in chosen.links:
        for tag in (link.transmitter, link.receiver, link.adapter):
            if tag is not None:
                serving[tag].append(link)
    for kind, model in _models(chosen.kit):
        untagged = counted_names(model) if isinstance(model, Adapter) else []
        things = [*((unit.tag, unit) for unit in model.units), *((name, None) for name in untagged)]
        for tag, unit in things:
            if tag in serving:
                yield _unit_line(chosen, kind, model, tag, unit, _why(serving[tag], names))
            elif tag in chosen.spares:
                yield _unit_line(chosen, kind, model, tag, unit, "spare, covers any one failure")


def _why(links: Sequence[Link], names: Mapping[str, str]) -> str:
    """As in "Ines, Boom: scenes 12A, 14"."""
    sources = ", ".join(names[source] for source in dict.fromkeys(link.source for link in links))
    scenes = dict.fromkeys(link.scene for link in links)
    word = "scene" if len(scenes) == 1 else "scenes"
    return f"{sources}: {word} {', '.join(scenes)}"


def _unit_line(
    chosen: Chosen, kind: UnitKind, model: Model, tag: str, unit: Unit | None, why: str
) -> PackLine:
    of_unit = unit or model
    return PackLine(
        key=tag,
        kind=kind,
        model=model.model,
        name=model.name or model.model,
        qty=1,
        held=1,
        case=of_unit.case or model.case,
        why=why,
        weight_g=model.weight_g if of_unit.weight_g is None else of_unit.weight_g,
        checks=_checks(chosen, model, tag),
        serial=None if unit is None else unit.serial,
        owner=of_unit.owner if of_unit.owner != "own" else model.owner,
    )


def _checks(chosen: Chosen, model: Model, tag: str) -> tuple[str, ...]:
    """What is looked at on a unit before it goes in its case."""
    if isinstance(model, Adapter):
        return ("contacts",)
    checks = ["power"]
    if chosen.kit.firmware.get(model.image or "") is not None:
        checks.append("firmware")
    if tag in chosen.recording:
        checks.append("card")
    if tag in chosen.on_cells:
        checks.append("cells")
    return tuple(checks)


def _numbered(chosen: Chosen) -> Iterator[PackLine]:
    kit = chosen.kit
    cables = {cable.model: cable for cable in kit.cables}
    for line in chosen.cables:
        cable = cables[line.name]
        yield PackLine(
            f"cable:{line.name}",
            "cable",
            line.name,
            cable.name or line.name,
            line.carry,
            line.have,
            cable.case,
            "from the receivers in use to their inputs",
            _times(cable.weight_g, line.carry),
            (),
        )
    masses = {cell.type: cell.mass_g for cell in kit.cells}
    for cells in chosen.cells:
        case, lies = _where_held(kit, [s for s in kit.stock if s.cell == cells.cell])
        yield PackLine(
            f"cells:{cells.cell}",
            "cells",
            cells.cell,
            f"{cells.cell} cells",
            cells.carry,
            cells.have,
            case,
            f"{at_least(cells)}{cells.planned} planned, {cells.spare} spare{lies}",
            _times(masses.get(cells.cell), cells.carry),
            (),
        )
    for cards in chosen.cards:
        mine = [s for s in kit.stock if s.card == cards.name]
        stock = next(iter(mine), None)
        case, lies = _where_held(kit, mine)
        yield PackLine(
            f"cards:{cards.name}",
            "cards",
            cards.name,
            f"{cards.name} cards",
            cards.carry,
            cards.have,
            case,
            f"one for each pack that records{lies}",
            _times(stock.weight_g if stock else None, cards.carry),
            (),
        )
    for load in chosen.supplies:
        supply = next(s for s in kit.supplies if s.id == load.id)
        qty = 1 if supply.mains else load.packs
        yield PackLine(
            f"supply:{load.id}",
            "supply",
            load.id,
            supply.name or load.id,
            qty,
            1 if supply.mains else load.have,
            supply.case,
            f"{watts_said(load)} for {', '.join(load.units)}",
            _times(supply.weight_g, qty),
            (),
        )


def _where_held(kit: Kit, stock: Sequence[Stock]) -> tuple[str | None, str]:
    """The case that holds most of a stock, and where all of it lies where that is not one place."""
    lying: Counter[str | None] = Counter()
    for own in stock:
        lying[own.case] += own.qty
    places = [(case, qty) for case, qty in lying.most_common() if qty]
    names = {case.id: case.name for case in kit.cases}
    lies = [f"{qty} in {names[case] if case else 'no case'}" for case, qty in places]
    said = f"; held: {', '.join(lies)}" if len(places) > 1 else ""
    return (places or list(lying.items()) or [(None, 0)])[0][0], said


def at_least(figures: Cells | SupplyLoad) -> str:
    """What goes before figures that leave out what nobody knows."""
    return "at least " if figures.at_least else ""


def _times(weight: float | None, qty: int) -> float | None:
    return None if weight is None else float(exact(weight) * qty)


def _items(chosen: Chosen) -> Iterator[PackLine]:
    kit = chosen.kit
    counts = _counts(chosen)
    companions = _companions(chosen)
    travelling = {item for _, model in _models(kit) for item in _travels_with(model)}
    asleep = _systems_in_standby(chosen)
    for item in kit.items:
        if item.remote_for and not asleep & set(item.remote_for):
            continue
        by_rule, why = _by_rule(item, counts)
        if item.remote_for:
            sleeping = sorted(asleep & set(item.remote_for))
            why = f"{why}, for packs of {', '.join(sleeping)} sleep between scenes"
        if item.model in travelling and not item.model_fields_set & {"each", "per"}:
            # A thing that only goes along with a unit is not wanted once more for the day.
            by_rule, why = 0, ""
        with_units = companions.get(item.model, Counter())
        if with_units:
            goes = "with " + ", ".join(sorted(with_units))
            why = f"{why}; {goes}" if why else goes
        qty = by_rule + sum(with_units.values())
        if (charging := chosen.chargers.get(item.model, 0)) > qty:
            night = f"{charging} to charge by the next call"
            why = f"{why}; {night}" if why else night
            qty = charging
        if qty:
            yield PackLine(
                f"item:{item.model}",
                "item",
                item.model,
                item.name,
                qty,
                item.qty,
                item.case,
                why,
                _times(item.weight_g, qty),
                (),
                owner=item.owner,
            )


def items_packed(chosen: Chosen) -> dict[str, int]:
    """How many of each item are on the list, by model."""
    return {line.model: line.qty for line in _items(chosen)}


def _by_rule(item: Item, counts: Mapping[str, int]) -> tuple[int, str]:
    needed = item.each * counts[item.per]
    spare = math.ceil(exact(item.spare) * needed)
    per = item.per.replace("stereo-link", "stereo link")
    per = per if item.per == "day" else f"{per} ({counts[item.per]})"
    why = f"{item.each} per {per}" + (f", {spare} spare" if spare else "")
    return needed + spare, why


def _counts(chosen: Chosen) -> dict[str, int]:
    """How many of each thing that an item can be counted by are in use today."""
    links = chosen.links
    forms: Counter[str] = Counter()
    known = find_units(chosen.kit)
    packs = {link.transmitter for link in links}
    for tag in packs:
        model = known[tag][0]
        assert isinstance(model, Transmitter)
        forms[model.form] += 1
    routes = {(link.source, link.destination): link.mode for link in links}
    return {
        "day": 1,
        "source": len({link.source for link in links}),
        "link": len(routes),
        "stereo-link": sum(mode == "stereo" for mode in routes.values()),
        "transmitter": len(packs),
        **{form: forms[form] for form in ("bodypack", "plug-on", "handheld", "boom-pack")},
        "receiver": len({link.receiver for link in links}),
        "destination": len(_wanted_destinations(chosen.plan)),
        "listener": chosen.plan.listeners,
    }


def _wanted_destinations(plan: Plan) -> set[str]:
    """Where the day's sources go. One that nothing serves yet counts too: its camera still rolls,
    and its link may be hired by the morning."""
    at_work = {source for scene in plan.scenes for source in scene.sources}
    return {name for s in plan.sources if s.id in at_work for name, _ in s.ports}


def _companions(chosen: Chosen) -> dict[str, Counter[str]]:
    """By item: how many go along with each unit that is carried."""
    known = find_units(chosen.kit)
    carried = dict.fromkeys(
        [tag for link in chosen.links for tag in (link.transmitter, link.receiver)]
        + list(chosen.spares)
    )
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for tag in carried:
        if tag in known:
            for item in _travels_with(known[tag][0]):
                found[item][tag] += 1
    return found


def _travels_with(model: Model) -> Sequence[str]:
    return () if isinstance(model, Adapter) else model.travels_with


def _systems_in_standby(chosen: Chosen) -> set[str]:
    """Systems with a pack that can sleep and has a gap between its scenes to sleep in."""
    if chosen.plan.between != "standby":
        return set()
    known = find_units(chosen.kit)
    sources: dict[str, set[str]] = defaultdict(set)
    for link in chosen.links:
        sources[link.transmitter].add(link.source)
    asleep = set()
    for tag, worn_by in sources.items():
        model = known[tag][0]
        if isinstance(model, Transmitter) and model.standby is not None:
            scenes = [scene for scene in chosen.plan.scenes if worn_by & set(scene.sources)]
            in_turn = sorted(scenes, key=lambda scene: scene.start)
            if any(one.end < other.start for one, other in pairwise(in_turn)):
                asleep.add(model.system)
    return asleep


def standby_by_hand(chosen: Chosen) -> list[str]:
    """Systems whose packs sleep between scenes and for which the kit has no remote."""
    remotes = {system for item in chosen.kit.items for system in item.remote_for}
    return sorted(_systems_in_standby(chosen) - remotes)


def items_short(lines: Iterable[PackLine]) -> Iterator[Shortfall]:
    """Items of which the kit has too few."""
    for line in lines:
        if line.kind == "item" and line.qty > line.held:
            what = (
                f"{line.name}: {line.qty} to carry ({line.why}), {line.held} held; "
                f"{line.qty - line.held} short"
            )
            yield Shortfall("item", None, what, line.key)
