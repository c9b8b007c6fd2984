"""A whole day worked out: the choice, and from it every other rule, in order."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning import packing
from kitprep.planning.along import with_what_spares_need
from kitprep.planning.brief import Brief, Want, brief
from kitprep.planning.cables import ModuleInUse, cables_to_carry
from kitprep.planning.cards import Recording, cards_to_carry
from kitprep.planning.case_weights import case_loads
from kitprep.planning.cells import usual_option
from kitprep.planning.charging import charged_by_call
from kitprep.planning.checker import check_selection
from kitprep.planning.choice import Chosen, choose
from kitprep.planning.feeds import Device, cells_to_carry, feed_devices, not_known, too_long
from kitprep.planning.firmware import to_update
from kitprep.planning.held import out_of_use, past_due, without_past_due
from kitprep.planning.hire import hire_list
from kitprep.planning.loads import loads, split_notices
from kitprep.planning.notices import notices
from kitprep.planning.on_set import OnSet, as_it_stands
from kitprep.planning.pool import natural
from kitprep.planning.reasons import called, not_there, reason
from kitprep.planning.results import (
    Kind,
    Link,
    NotCounted,
    Peak,
    SceneNeeds,
    Shortfall,
    UnitCells,
    Unserved,
    WorkedDay,
)
from kitprep.planning.solver import Solver, highs
from kitprep.planning.supplies import Feeding, Standing, feed, mains_to_ask_for, parts_of
from kitprep.planning.swap import Swap, swapped
from kitprep.planning.unfed import no_power, packs_without_cells
from kitprep.planning.unknown import unknown

SECONDS = 5.0
"""What the choice may take of the processor, and the hire list again; past it the best so far
stands, and says so."""


def work_out(
    kit: Kit,
    plan: Plan,
    without: frozenset[str] = frozenset(),
    solver: Solver = highs,
    seconds: float = SECONDS,
    swaps: Sequence[Swap] = (),
    spares: Iterable[str] = (),
    not_counted: tuple[NotCounted, ...] = (),
    out: OnSet | None = None,
) -> WorkedDay:
    """The day's answer to every rule, without the units whose tags are in ``without``.

    ``not_counted`` are units that are not there either, with why, and what is off the numbers of
    this kit already; to them comes what is past its hire. ``swaps`` are units that failed, each
    with what stands in for it, in the order in which they were made; ``spares`` are tags that go
    along beside what the links need. ``out`` is what has happened since the kit went out: what is
    not touched by it stays where it is.
    """
    not_counted = tuple(dict.fromkeys((*not_counted, *past_due(kit, plan.day))))
    kit = without_past_due(kit, plan.day)
    swapped_out = frozenset(lost for lost, _ in swaps)
    unfit = frozenset(each.key for each in not_counted if each.qty is None)
    without |= unfit - swapped_out
    whole, question, chosen = as_chosen(kit, plan, without, solver, seconds, swaps, out)
    check_selection(question, chosen)
    links = _links(question, chosen)
    unserved = frozenset(question.wants) - chosen.selection.modules.keys()
    hire, _ = hire_list(whole, unserved, solver, seconds)
    at_base = (out or OnSet()).not_there(question.pool.tags, whole.pool.tags)
    not_usable = (*not_counted, *out_of_use(kit, plan.day))
    reasons = {
        want: reason(question, chosen.selection, want)
        + not_there(question, chosen.selection, want, not_usable, at_base)
        for want in unserved
    }
    scenes = _scenes(question, links, reasons)

    standing = _standing(question, links)
    feeding = feed(standing, kit, plan)
    supplies, supplies_short = loads(feeding, kit, plan)
    feeds = feed_devices(_devices(question, links, standing, feeding), kit, plan)
    cells, cells_short = cells_to_carry(feeds, kit, plan)
    cables, cables_short = cables_to_carry(_modules(question, links), kit)
    spares = sorted(whole.pool.tags.intersection(spares), key=natural)
    recordings = _recordings(question, chosen, spares)
    cards, cards_short = cards_to_carry(recordings, kit)
    to_pack = packing.Chosen(
        kit,
        plan,
        links,
        spares,
        cables,
        cells,
        cards,
        supplies,
        frozenset(recording.unit for recording in recordings),
        frozenset(fed.unit for fed in feeds),
    )
    night = charged_by_call(cells, supplies, packing.items_packed(to_pack), kit, plan)
    to_pack = replace(to_pack, chargers=night.chargers)
    lines = packing.packing_list(to_pack)
    cases, cases_short = case_loads(lines, kit)
    shortfalls = (
        *_links_short(question, reasons),
        *too_long(feeds),
        *not_known(feeds, kit, plan),
        *cells_short,
        *cables_short,
        *supplies_short,
        *no_power(feeding, kit, plan),
        *packs_without_cells(links, kit),
        *cards_short,
        *night.short,
        *packing.items_short(lines),
        *cases_short,
    )
    firmware = to_update(links, kit)
    day = WorkedDay(
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
        firmware=firmware,
        packing=lines,
        cases=cases,
        shortfalls=shortfalls,
        notices=(
            *notices(to_pack),
            *mains_to_ask_for(feeding, plan),
            *split_notices(supplies, kit, plan),
        ),
        charging=night.charging,
        unknown=tuple(unknown(kit, plan, firmware, feeds, supplies, cells, cases)),
        not_counted=not_counted,
        unfed=tuple(dict.fromkeys(receiver.tag for receiver in feeding.on_nothing)),
        kept=bool(swaps or (out and out.steps)) and not chosen.proven,
    )
    if not spares:
        return day

    def failed(gone: frozenset[str], left: float) -> WorkedDay:
        return work_out(kit, plan, without | gone, solver, left, not_counted=not_counted)

    return with_what_spares_need(day, question, failed, seconds)


def as_chosen(
    kit: Kit,
    plan: Plan,
    without: frozenset[str],
    solver: Solver,
    seconds: float,
    swaps: Sequence[Swap],
    out: OnSet | None,
) -> tuple[Brief, Brief, Chosen]:
    """The day over all that works, the day over what it is served from, and the choice."""
    question = brief(kit, plan, without)
    chosen = choose(question, solver, seconds)
    if swaps:
        question = brief(kit, plan, without | {lost for lost, _ in swaps})
        chosen = swapped(question, chosen.selection, swaps)
    if out is None or not out.steps:
        return question, question, chosen
    here, now = as_it_stands(question, chosen, out, solver, seconds)
    lost = {tag for kind, tag, _ in out.steps if kind in ("swapped", "withdrawn")} - here.pool.tags
    gone = without | {was for was, _ in swaps} | lost
    return brief(kit, plan, gone - here.pool.tags), here, now


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
    feeding: Feeding,
) -> list[Device]:
    part = parts_of((receiver.destination for receiver in standing), feeding.apart)
    sources = {source.id: (number, source) for number, source in enumerate(question.sources)}
    spans = {scene.number: scene for scene in question.scenes}
    models = {u.tag: t for t in question.kit.transmitters for u in t.units}
    worn: dict[str, set[int]] = defaultdict(set)
    sent_to: dict[str, int] = {}
    for link in links:
        worn[link.transmitter].add(sources[link.source][0])
        sent_to.setdefault(link.transmitter, part[link.destination])
    packs = [
        Device(tag, models[tag], question.worn(sorted(worn[tag])), sent_to[tag])
        for tag in sorted(worn, key=natural)
    ]
    receivers = []
    for receiver in feeding.on_cells:
        heard = [
            (spans[link.scene], sources[link.source][1])
            for link in links
            if link.receiver == receiver.tag and spans[link.scene] in receiver.scenes
        ]
        where = part[receiver.destination]
        receivers.append(Device(receiver.tag, receiver.model, heard, where, receiver.spells))
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


def _recordings(question: Brief, chosen: Chosen, spares: Iterable[str]) -> list[Recording]:
    """Each pack's that keeps one. A spare's is as large as any pack's of today, recorded or not:
    which of them it will stand in for nobody knows.
    """
    by_unit: dict[str, list[int]] = defaultdict(list)
    for source, tag in chosen.selection.transmitters.items():
        by_unit[tag].append(source)
    models = {u.tag: t for t in question.kit.transmitters for u in t.units}
    worn = []
    for tag in sorted(by_unit, key=natural):
        start = min(question.holds[s].start for s in by_unit[tag])
        end = max(question.holds[s].end for s in by_unit[tag])
        channels = max(question.sources[s].channels for s in by_unit[tag])
        worn.append(Recording(tag, models[tag].card or "", channels, end - start))
    largest = max(worn, key=lambda recording: recording.bytes, default=None)
    if largest is not None:
        beside = [tag for tag in spares if tag in models and tag not in by_unit]
        worn += [replace(largest, unit=tag, card=models[tag].card or "") for tag in beside]
    return [each for each in worn if models[each.unit].records and each.card]


def _proven(question: Brief, chosen: Chosen, feeds: tuple[UnitCells, ...]) -> tuple[str, ...]:
    """The orders proven; from ``cells`` on only while each pack runs on the set they reckon with.

    Where the cells of a model's usual set run out, a pack takes its next set, which they leave out.
    """
    models = {u.tag: t for t in question.kit.transmitters for u in t.units}
    for fed in feeds:
        if fed.unit not in models:
            continue
        usual = usual_option(models[fed.unit].power, question.kit, question.plan)
        if usual is not None and (usual[0].cell, usual[0].count) != (fed.cell, fed.count):
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
