"""R5, remedies: what would mend a shortfall, each tried on the whole day before it is offered.

A remedy is a changed kit or a changed plan, worked out again in full. What it newly serves or gives
power to, what it takes away, and everything that is then still short are told with it; one that
mends nothing is not offered.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import islice, zip_longest

from kitprep.definitions.kit import Adapter, Kit, Transmitter, Unit
from kitprep.definitions.kit_checks import counted_names
from kitprep.definitions.plan import Plan, Scene, Source
from kitprep.planning.cards import cards_to_carry
from kitprep.planning.chains import lacks, offer, wears
from kitprep.planning.charging import charged_by_call
from kitprep.planning.feeds import Device, cells_to_carry, feed_devices, not_known, too_long
from kitprep.planning.inputs import scenes_of
from kitprep.planning.pool import M, natural
from kitprep.planning.reasons import called
from kitprep.planning.recordings import Recording, recordings
from kitprep.planning.results import Remedy, Route, Shortfall, WorkedDay
from kitprep.planning.supplies import suits

FORMS = ("bodypack", "plug-on", "handheld", "boom-pack", "hop")

KINDS = (
    "hire",
    "supply",
    "two mono links",
    "another model",
    "another form",
    "priority",
    "own recording",
)
"""Kinds of remedy, in the order in which they are offered."""

MOST_TRIED = 16
"""Changes that are tried; each is a whole day worked out."""

WorkOut = Callable[[Kit, Plan], WorkedDay]

Halves = Mapping[str, tuple[str, ...]]
"""A source that was split, and the sources that stand for it."""


@dataclass(frozen=True, slots=True)
class _Change:
    """A changed day to be tried, and how it is said."""

    kind: str
    what: str
    kit: Kit
    plan: Plan
    halves: Halves = field(default_factory=dict)


def remedies(day: WorkedDay, work_out: WorkOut) -> tuple[Remedy, ...]:
    """The remedies of a day's unserved links: hire, two mono links, form, priority, own recording;
    and of its receivers without power: another supply.

    ``work_out`` answers a kit and a plan with the whole day.
    """
    unserved = _unserved_sources(day)
    tried = [_try(day, change, work_out) for change in islice(_changes(day), MOST_TRIED)]
    recorded = [_own_recording(day, source, work_out) for source in unserved]
    found = [remedy for remedy in (*tried, *recorded) if remedy is not None]
    return tuple(sorted(found, key=lambda remedy: KINDS.index(remedy.kind)))


def _changes(day: WorkedDay) -> Iterator[_Change]:
    """Every change there is, the sources in turn, so that each is tried where not all can be."""
    yield from _hire(day)
    yield from _supply(day)
    for turn in zip_longest(*(_of_source(day, source) for source in _unserved_sources(day))):
        yield from (change for change in turn if change is not None)


def _of_source(day: WorkedDay, source: Source) -> Iterator[_Change]:
    yield from _two_mono_links(day, source)
    yield from _other_form(day, source)
    yield from _priority(day, source)


def _unserved_sources(day: WorkedDay) -> list[Source]:
    ids = {unserved.source for needs in day.scenes for unserved in needs.unserved}
    return [source for source in day.plan.sources if source.id in ids]


def _hire(day: WorkedDay) -> Iterator[_Change]:
    if day.hire:
        what = "hire " + ", ".join(f"{hire.qty} x {hire.model}" for hire in day.hire)
        yield _Change("hire", what, with_hired(day), day.plan)


def _supply(day: WorkedDay) -> Iterator[_Change]:
    """A supply of the kit brought within reach of a receiver that runs on nothing."""
    models = {unit.tag: model for model in day.kit.receivers for unit in model.units}
    for where in day.plan.destinations:
        unfed = [tag for tag in day.unfed if day.stands[tag] == where.id]
        for supply in day.kit.supplies:
            if supply.id in where.supplies or not any(suits(models[t], supply) for t in unfed):
                continue
            reach = where.model_copy(update={"supplies": (*where.supplies, supply.id)})
            destinations = tuple(reach if d.id == where.id else d for d in day.plan.destinations)
            place, name = where.name or where.id, supply.name or supply.id
            what = f"a DC lead from {name} to {place}"
            if supply.mains:
                what = f"mains at {place}, with {name}"
            plan = day.plan.model_copy(update={"destinations": destinations})
            yield _Change("supply", what, day.kit, plan)


def with_hired(day: WorkedDay) -> Kit:
    """The kit as it would be with the hire list in it."""
    wanted = {hire.model: hire.qty for hire in day.hire}

    def more(model: M) -> M:
        qty = wanted.get(model.model, 0)
        if not qty:
            return model
        own: tuple[Unit, ...] = model.units
        if isinstance(model, Adapter) and model.qty:
            # Counted ones keep their names, whose they are and when they are due.
            own = tuple(
                Unit(tag=name, owner=model.owner, due=model.due) for name in counted_names(model)
            )
            model = model.model_copy(update={"qty": None})
        hired: tuple[Unit, ...] = tuple(
            Unit(tag=f"{model.model} (hire {n + 1})", owner="hire", due=day.plan.day)
            for n in range(qty)
        )
        units: tuple[Unit, ...] = (*own, *hired)
        return model.model_copy(update={"units": units})

    return day.kit.model_copy(
        update={
            "transmitters": tuple(more(model) for model in day.kit.transmitters),
            "receivers": tuple(more(model) for model in day.kit.receivers),
            "adapters": tuple(more(model) for model in day.kit.adapters),
        }
    )


def _with_sources(plan: Plan, old: Source, new: tuple[Source, ...]) -> Plan:
    """The plan with a source replaced by others, in every scene of its."""
    names = [source.id for source in new]

    def scene(one: Scene) -> Scene:
        if old.id not in one.sources:
            return one
        ids = [n for name in one.sources for n in (names if name == old.id else [name])]
        return one.model_copy(update={"sources": tuple(ids)})

    sources = [s for source in plan.sources for s in (new if source.id == old.id else (source,))]
    return plan.model_copy(
        update={"sources": tuple(sources), "scenes": tuple(scene(s) for s in plan.scenes)}
    )


def _two_mono_links(day: WorkedDay, source: Source) -> Iterator[_Change]:
    """A pair of microphones or feeds need not share a pack."""
    if source.channels != 2:
        return

    def side(letter: str, step: int) -> Source:
        ports = [
            name if first is None else f"{name}:{first + step}" for name, first in source.ports
        ]
        update = {"id": f"{source.id}-{letter}", "channels": 1, "to": tuple(ports)}
        return source.model_copy(update=update)

    sides = (side("l", 0), side("r", 1))
    plan = _with_sources(day.plan, source, sides)
    halves = {source.id: tuple(one.id for one in sides)}
    what = f"two mono links for {called(source)}, one for each channel"
    yield _Change("two mono links", what, day.kit, plan, halves)


def _other_form(day: WorkedDay, source: Source) -> Iterator[_Change]:
    if source.model is not None:
        forms = " or ".join(source.form)
        what = f"any {forms} for {called(source)}, not {' or '.join(source.model)} alone"
        changed = source.model_copy(update={"model": None})
        yield _Change("another model", what, day.kit, _with_sources(day.plan, source, (changed,)))
    for form in FORMS:
        if form in source.form:
            continue
        able = any(
            model.form == form and lacks(source, offer(model, adapter)) is None
            for model in day.kit.transmitters
            for adapter in (None, *(a for a in day.kit.adapters if model.model in a.fits))
        )
        if able:
            changed = source.model_copy(update={"form": (form,), "model": None})
            what = f"a {form} for {called(source)} in place of a {' or '.join(source.form)}"
            plan = _with_sources(day.plan, source, (changed,))
            yield _Change("another form", what, day.kit, plan)


def _priority(day: WorkedDay, source: Source) -> Iterator[_Change]:
    if source.priority > 1:
        changed = source.model_copy(update={"priority": 1})
        what = f"priority 1 for {called(source)}, which has {source.priority}"
        yield _Change("priority", what, day.kit, _with_sources(day.plan, source, (changed,)))
        return
    together = {
        other for scene in day.plan.scenes if source.id in scene.sources for other in scene.sources
    }
    for other in day.plan.sources:
        if other.id in together and other.id != source.id and other.priority == 1:
            changed = other.model_copy(update={"priority": 3})
            what = f"priority 3 for {called(other)}, so that {called(source)} is served"
            yield _Change("priority", what, day.kit, _with_sources(day.plan, other, (changed,)))


def _try(day: WorkedDay, change: _Change, work_out: WorkOut) -> Remedy | None:
    """The remedy, or None where it mends nothing."""
    after = work_out(change.kit, change.plan)
    served, still = _served(day), _served(after, change.halves)
    gained = tuple(route for route in _unserved(day) if route in still)
    powered: tuple[str, ...] = ()
    if change.kind == "supply":
        powered = tuple(tag for tag in day.unfed if tag not in after.unfed)
    if not gained and not powered:
        return None
    lost = tuple(route for route in served if route not in still)
    remedy = _remedy(day, change.kind, change.what, gained, lost, after.shortfalls)
    return replace(remedy, powers=powered)


def _remedy(
    day: WorkedDay,
    kind: str,
    what: str,
    gained: tuple[Route, ...],
    lost: tuple[Route, ...],
    shortfalls: tuple[Shortfall, ...],
) -> Remedy:
    known = {about(shortfall) for shortfall in day.shortfalls}
    return Remedy(
        kind,
        what,
        gained,
        lost,
        tuple(s for s in shortfalls if about(s) not in known),
        tuple(s for s in shortfalls if about(s) in known),
    )


def about(short: Shortfall) -> tuple[str, str | None, str]:
    """What a shortfall is of: of a link its route, whatever the reason; else all but the way on."""
    end = ": " if short.kind in ("link", "input") else "; "
    return short.kind, short.scene, short.what.partition(end)[0]


def _unserved(day: WorkedDay) -> list[Route]:
    return [Route(u.scene, u.source, u.destination) for n in day.scenes for u in n.unserved]


def _served(day: WorkedDay, halves: Halves | None = None) -> list[Route]:
    """Links that a day serves; a split source is served where all that stand for it are."""
    by_place: dict[tuple[str, str], list[str]] = defaultdict(list)
    for link in day.links:
        by_place[link.scene, link.destination].append(link.source)
    found = [Route(link.scene, link.source, link.destination) for link in day.links]
    for whole, parts in (halves or {}).items():
        for (scene, destination), sources in by_place.items():
            if set(parts) <= set(sources):
                found.append(Route(scene, whole, destination))
    return found


def _own_recording(day: WorkedDay, source: Source, work_out: WorkOut) -> Remedy | None:
    """A pack that records needs no receiver: matched by time code and a spoken ident (practice).

    Only where a pack that can is left over, and with the set and the card that it takes.
    """
    after = work_out(day.kit, _with_sources(day.plan, source, ()))
    taken = {line.key for line in after.packing} | {each.key for each in day.not_counted}
    free = _recorder(day, source, taken)
    if free is None:
        return None
    model, tag = free
    worn = [(scene, source) for scene in scenes_of(day.plan, source.id)]
    feeds = (*after.feeds, *feed_devices([Device(tag, model, worn)], day.kit, day.plan))
    rolling = Recording(tag, model.card or "", source.channels, worn[-1][0].end - worn[0][0].start)
    cells, cells_short = cells_to_carry(feeds, day.kit, day.plan)
    more = {line.cell: line.carry for line in cells}
    for line in after.cells:
        more[line.cell] -= line.carry
    items = {line.model: line.qty for line in after.packing if line.kind == "item"}
    night = charged_by_call(cells, (), items, day.kit, day.plan)
    _, cards_short = cards_to_carry([*recordings(after), rolling], day.kit)
    short = (
        *too_long(feeds),
        *not_known(feeds, day.kit, day.plan),
        *cells_short,
        *cards_short,
        *night.short,
        *(s for s in after.shortfalls if s.kind not in ("cell", "card")),
    )
    still = _served(after)
    lost = tuple(r for r in _served(day) if r.source != source.id and r not in still)
    what = (
        f"{called(source)} on {tag}'s own recording, without a link: nobody hears it on the day; "
        "jam its time code in the morning, speak an ident, copy its card at wrap; "
        f"{_by_hand(tag, more, model.card)}"
    )
    mine = tuple(route for route in _unserved(day) if route.source == source.id)
    return _remedy(day, "own recording", what, mine, lost, short)


def _by_hand(tag: str, cells: Mapping[str, int], card: str | None) -> str:
    """How what no plan file can ask for goes along, and comes back."""
    carried, keys = [tag], [tag]
    for cell, number in cells.items():
        if number:
            carried.append(f"{number} {cell}")
            keys.append(f"cells:{cell}={number}")
    if card is not None:
        carried.append(f"1 {card} card")
        keys.append(f"cards:{card}=1")
    return (
        f"no list has it, so put {', '.join(carried)} in a case by hand, and once the kit is out "
        f"say so, that the wrap counts it: kitprep add PLAN {' '.join(keys)}"
    )


def _recorder(day: WorkedDay, source: Source, taken: set[str]) -> tuple[Transmitter, str] | None:
    """A pack left over that records what the source gives, without an adapter; the lowest tag."""
    able = [
        (model, unit.tag)
        for model in day.kit.transmitters
        for unit in model.units
        if model.records
        and unit.usable_on(day.plan.day)
        and unit.tag not in taken
        and wears(source, model)
        and lacks(source, offer(model, None)) is None
    ]
    return min(able, key=lambda pair: natural(pair[1]), default=None)
