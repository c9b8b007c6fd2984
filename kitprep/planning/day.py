"""A whole day worked out: the choice, and from it every other rule, in order."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from kitprep.definitions.kit import Kit, Receiver, Transmitter
from kitprep.definitions.plan import Plan
from kitprep.planning import packing
from kitprep.planning.brief import Brief, Want, brief
from kitprep.planning.cables import ModuleInUse, cables_to_carry
from kitprep.planning.cards import Recording, cards_to_carry
from kitprep.planning.cells import usual_option
from kitprep.planning.charging import charged_by_call
from kitprep.planning.checker import check_selection
from kitprep.planning.choice import Chosen, choose
from kitprep.planning.feeds import Device, cells_to_carry, feed_devices, too_long
from kitprep.planning.firmware import to_update
from kitprep.planning.hire import hire_list
from kitprep.planning.pool import natural
from kitprep.planning.reasons import called, reason
from kitprep.planning.results import (
    CaseLoad,
    Cells,
    Kind,
    Link,
    Peak,
    SceneNeeds,
    Shortfall,
    UnitCells,
    Unserved,
    WorkedDay,
)
from kitprep.planning.solver import Solver, highs
from kitprep.planning.supplies import Standing, feed, loads
from kitprep.planning.swap import Swap, substitutes, swapped

SECONDS = 5.0
"""What the solver may take for a day; past it the best so far stands, and says so."""


def work_out(
    kit: Kit,
    plan: Plan,
    without: frozenset[str] = frozenset(),
    solver: Solver = highs,
    seconds: float = SECONDS,
    swaps: Sequence[Swap] = (),
    spares: Iterable[str] = (),
) -> WorkedDay:
    """The day's answer to every rule, without the units whose tags are in ``without``.

    ``swaps`` are units that failed, each with what stands in for it, in the order in which they
    were made; ``spares`` are tags that go along beside what the links need.
    """
    question, chosen = _choose(kit, plan, without, solver, seconds, swaps)
    check_selection(question, chosen)
    links = _links(question, chosen)
    unserved = frozenset(question.wants) - chosen.selection.modules.keys()
    hire, _ = hire_list(question, unserved, solver, seconds)
    reasons = {want: reason(question, chosen.selection, want) for want in unserved}
    scenes = _scenes(question, links, reasons)

    standing = _standing(question, links)
    feeding = feed(standing, kit, plan)
    supplies, supplies_short = loads(standing, feeding, kit, plan)
    feeds = feed_devices(_devices(question, links, standing, feeding.on_cells), kit, plan)
    cells, cells_short = cells_to_carry(feeds, kit, plan)
    cables, cables_short = cables_to_carry(_modules(question, links), kit)
    recordings = _recordings(question, chosen)
    cards, cards_short = cards_to_carry(recordings, kit)
    charging, charging_short = charged_by_call(cells, supplies, kit, plan)

    to_pack = packing.Chosen(
        kit,
        plan,
        links,
        sorted(spares, key=natural),
        cables,
        cells,
        cards,
        supplies,
        frozenset(recording.unit for recording in recordings),
        frozenset(fed.unit for fed in feeds),
    )
    lines = packing.packing_list(to_pack)
    cases, cases_short = packing.case_loads(lines, kit)
    shortfalls = (
        *_links_short(question, reasons),
        *too_long(feeds),
        *cells_short,
        *cables_short,
        *supplies_short,
        *cards_short,
        *charging_short,
        *packing.items_short(lines),
        *cases_short,
    )
    units = packing.find_units(kit)
    in_use = sorted({t for link in links for t in (link.transmitter, link.receiver)}, key=natural)
    return WorkedDay(
        kit=kit,
        plan=plan,
        proven=_proven(question, chosen, feeds),
        scenes=scenes,
        peak=_peak(question, links),
        stands=dict(chosen.selection.stands),
        hire=hire,
        cables=cables,
        cells=cells,
        feeds=feeds,
        supplies=supplies,
        cards=cards,
        firmware=to_update(
            [
                (model, unit)
                for model, unit in (units[tag] for tag in in_use)
                if isinstance(model, Transmitter | Receiver)
            ],
            kit,
        ),
        packing=lines,
        cases=cases,
        shortfalls=shortfalls,
        notices=tuple(_notices(to_pack)),
        charging=charging,
        unknown=tuple(_unknown(kit, cells, cases)),
    )


def _choose(
    kit: Kit,
    plan: Plan,
    without: frozenset[str],
    solver: Solver,
    seconds: float,
    swaps: Sequence[Swap],
) -> tuple[Brief, Chosen]:
    question = brief(kit, plan, without)
    chosen = choose(question, solver, seconds)
    if not swaps:
        return question, chosen
    left = brief(kit, plan, without | {lost for lost, _ in swaps})
    return left, swapped(left, chosen.selection, swaps) or choose(left, solver, seconds)


def stand_ins(
    kit: Kit,
    plan: Plan,
    without: frozenset[str],
    swaps: Sequence[Swap],
    lost: str,
    at_hand: Iterable[str],
    solver: Solver = highs,
) -> tuple[str, ...]:
    """Units that can stand in for one that fails today, those at hand first."""
    question, chosen = _choose(kit, plan, without, solver, SECONDS, swaps)
    return substitutes(brief(kit, plan, _gone(question, lost)), chosen.selection, lost, at_hand)


def _gone(question: Brief, lost: str) -> frozenset[str]:
    return packing.unit_names(question.kit) - question.pool.tags | {lost}


def _links(question: Brief, chosen: Chosen) -> tuple[Link, ...]:
    selection = chosen.selection
    found = []
    for want in question.wants:
        if want not in selection.modules:
            continue
        source = question.sources[want.source]
        receiver, module = selection.modules[want]
        found.append(
            Link(
                question.scenes[want.scene].number,
                source.id,
                want.destination,
                source.mode,
                selection.transmitters[want.source],
                selection.adapters.get(want.source),
                receiver,
                module,
                source.channels,
                question.given_inputs(want),
            )
        )
    return tuple(found)


def _scenes(
    question: Brief, links: tuple[Link, ...], reasons: dict[Want, str]
) -> tuple[SceneNeeds, ...]:
    found = []
    for place, scene in enumerate(question.scenes):
        wants = [want for want in question.wants if want.scene == place]
        modes = Counter(question.sources[want.source].mode for want in wants)
        unserved = tuple(
            Unserved(scene.number, question.sources[w.source].id, w.destination, reasons[w])
            for w in wants
            if w in reasons
        )
        found.append(
            SceneNeeds(
                scene,
                modes["mono"],
                modes["stereo"],
                modes["mono"] + 2 * modes["stereo"],
                len({want.source for want in wants}),
                tuple(link for link in links if link.scene == scene.number),
                unserved,
                _phantom(question, wants),
            )
        )
    return tuple(found)


def _phantom(question: Brief, wants: list[Want]) -> int:
    """Points of phantom power that a scene's sources ask for: one a channel."""
    sources = [question.sources[number] for number in {want.source for want in wants}]
    return sum(s.channels for s in sources if s.mic_power in ("P12", "P24", "P48"))


def _peak(question: Brief, links: tuple[Link, ...]) -> Peak:
    spans = question.scenes
    at_once = max(
        sum(
            spans[want.scene].start <= moment.start < spans[want.scene].end
            for want in question.wants
        )
        for moment in spans
    )
    return Peak(len({link.transmitter for link in links}), len(question.wants), at_once)


def _standing(question: Brief, links: tuple[Link, ...]) -> list[Standing]:
    spans = {scene.number: scene for scene in question.scenes}
    models = {u.tag: r for r in question.kit.receivers for u in r.units}
    order = [destination.id for destination in question.plan.destinations]
    serving: dict[tuple[str, str], list[str]] = defaultdict(list)
    for link in links:
        serving[link.destination, link.receiver].append(link.scene)
    return [
        Standing(tag, models[tag], at, tuple(spans[number] for number in dict.fromkeys(numbers)))
        for (at, tag), numbers in sorted(
            serving.items(), key=lambda entry: (order.index(entry[0][0]), natural(entry[0][1]))
        )
    ]


def _devices(
    question: Brief,
    links: tuple[Link, ...],
    standing: list[Standing],
    on_cells: tuple[Standing, ...],
) -> list[Device]:
    sources = {source.id: (number, source) for number, source in enumerate(question.sources)}
    spans = {scene.number: scene for scene in question.scenes}
    models = {u.tag: t for t in question.kit.transmitters for u in t.units}
    worn: dict[str, set[int]] = defaultdict(set)
    for link in links:
        worn[link.transmitter].add(sources[link.source][0])
    packs = [
        Device(tag, models[tag], question.worn(sorted(worn[tag])))
        for tag in sorted(worn, key=natural)
    ]
    receivers = []
    for receiver in on_cells:
        heard = [
            (spans[link.scene], sources[link.source][1])
            for link in links
            if link.receiver == receiver.tag
        ]
        receivers.append(Device(receiver.tag, receiver, heard))
    return packs + receivers


def _modules(question: Brief, links: tuple[Link, ...]) -> list[ModuleInUse]:
    widest: dict[tuple[str, int], int] = {}
    at: dict[str, str] = {}
    for link in links:
        key = (link.receiver, link.module)
        widest[key] = max(widest.get(key, 0), link.outputs)
        at[link.receiver] = link.destination
    models = {u.tag: r for r in question.kit.receivers for u in r.units}
    return [
        ModuleInUse(
            tag, module, models[tag], channels, at[tag], question.destinations[at[tag]].connector
        )
        for (tag, module), channels in sorted(
            widest.items(), key=lambda entry: (natural(entry[0][0]), entry[0][1])
        )
    ]


def _recordings(question: Brief, chosen: Chosen) -> list[Recording]:
    by_unit: dict[str, list[int]] = defaultdict(list)
    for source, tag in chosen.selection.transmitters.items():
        by_unit[tag].append(source)
    models = {u.tag: t for t in question.kit.transmitters for u in t.units}
    found = []
    for tag in sorted(by_unit, key=natural):
        model, sources = models[tag], by_unit[tag]
        if model.records and model.card is not None:
            start = min(question.holds[s].start for s in sources)
            end = max(question.holds[s].end for s in sources)
            channels = max(question.sources[s].channels for s in sources)
            found.append(Recording(tag, model.card, channels, end - start))
    return found


def _proven(question: Brief, chosen: Chosen, feeds: tuple[UnitCells, ...]) -> tuple[str, ...]:
    """The orders proven; from ``cells`` on only while each pack runs on the set they reckon with.

    Where the cells of a model's usual set run out, a pack takes its next set, which they leave out.
    """
    models = {u.tag: t for t in question.kit.transmitters for u in t.units}
    for fed in feeds:
        usual = usual_option(models[fed.unit].power, question.kit) if fed.unit in models else None
        if usual is not None and (usual.cell, usual.count) != (fed.cell, fed.count):
            return tuple(order for order in chosen.proven if order in ("served", "modules"))
    return chosen.proven


def _links_short(question: Brief, reasons: dict[Want, str]) -> list[Shortfall]:
    found = []
    for want in sorted(reasons, key=lambda w: (w.scene, w.source, w.destination)):
        source = question.sources[want.source]
        where = question.destinations[want.destination]
        kind: Kind = "link" if question.given_inputs(want) else "input"
        what = f"{called(source)} to {where.name or where.id}: {reasons[want]}"
        found.append(Shortfall(kind, question.scenes[want.scene].number, what))
    return found


def _unknown(kit: Kit, cells: tuple[Cells, ...], cases: tuple[CaseLoad, ...]) -> Iterator[str]:
    """What the kit does not say and the day would need: named, never taken as nothing."""
    for load in cases:
        if load.unknown:
            yield f"weights in {load.name}: {', '.join(load.unknown)}"
    types = {cell.type: cell for cell in kit.cells}
    silent = [c.cell for c in cells if types[c.cell].lithium_g is None and types[c.cell].wh is None]
    if silent:
        yield f"lithium content or watt hours, asked for when flying: {', '.join(silent)}"


def _notices(chosen: packing.Chosen) -> list[str]:
    notices = []
    if not chosen.kit.cables:
        notices.append("the kit lists no cables, so cables are not tracked")
    by_hand = packing.standby_by_hand(chosen)
    if by_hand:
        systems = ", ".join(by_hand)
        notices.append(f"no remote for {systems} in the kit: put packs in standby by hand")
    idle = [
        s.id for s in chosen.plan.sources if not any(s.id in c.sources for c in chosen.plan.scenes)
    ]
    if idle:
        notices.append(f"in no scene, so planned for nothing: {', '.join(idle)}")
    return notices
