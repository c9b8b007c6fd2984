"""R5, remedies: what would mend a shortfall, each tried on the whole day before it is offered.

A remedy is a changed kit or a changed plan, worked out again in full. What it newly serves, what it
takes away, and everything that is then still short are told with it; one that serves nothing more
is not offered.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice

from kitprep.definitions.kit import Adapter, Kit, Receiver, Transmitter, Unit
from kitprep.definitions.plan import Plan, Scene, Source
from kitprep.planning.chains import lacks, offer
from kitprep.planning.results import Remedy, WorkedDay

FORMS = ("bodypack", "plug-on", "handheld", "boom-pack", "hop")

MOST_TRIED = 16
"""Changes that are tried; each is a whole day worked out."""

WorkOut = Callable[[Kit, Plan], WorkedDay]


@dataclass(frozen=True, slots=True)
class _Change:
    """A changed day to be tried, and how it is said."""

    kind: str
    what: str
    kit: Kit
    plan: Plan


def remedies(day: WorkedDay, work_out: WorkOut) -> tuple[Remedy, ...]:
    """The remedies of a day's unserved links, in the order: hire, two mono, form, priority, card."""
    if not any(needs.unserved for needs in day.scenes):
        return ()
    found = []
    for change in islice(_changes(day), MOST_TRIED):
        tried = _try(day, change, work_out)
        if tried is not None:
            found.append(tried)
    return tuple(found)


def _changes(day: WorkedDay) -> Iterator[_Change]:
    yield from _hire(day)
    unserved = _unserved_sources(day)
    for source in unserved:
        yield from _two_mono_links(day, source)
    for source in unserved:
        yield from _other_form(day, source)
    for source in unserved:
        yield from _priority(day, source)
    for source in unserved:
        yield from _own_recording(day, source)


def _unserved_sources(day: WorkedDay) -> list[Source]:
    ids = {unserved.source for needs in day.scenes for unserved in needs.unserved}
    return [source for source in day.plan.sources if source.id in ids]


def _called(source: Source) -> str:
    return source.name or source.id


def _hire(day: WorkedDay) -> Iterator[_Change]:
    if day.hire:
        what = "hire " + ", ".join(f"{hire.qty} {hire.model}" for hire in day.hire)
        yield _Change("hire", what, with_hired(day), day.plan)


def with_hired(day: WorkedDay) -> Kit:
    """The kit as it would be with the hire list in it."""
    wanted = {hire.model: hire.qty for hire in day.hire}

    def more[M: (Transmitter, Receiver, Adapter)](model: M) -> M:
        qty = wanted.get(model.model, 0)
        if not qty:
            return model
        if isinstance(model, Adapter) and not model.units:
            return model.model_copy(update={"qty": (model.qty or 0) + qty})
        hired = tuple(Unit(tag=f"{model.model} (hire {n + 1})") for n in range(qty))
        return model.model_copy(update={"units": (*model.units, *hired)})

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

    plan = _with_sources(day.plan, source, (side("l", 0), side("r", 1)))
    yield _Change("two mono links", f"two mono links for {_called(source)}", day.kit, plan)


def _other_form(day: WorkedDay, source: Source) -> Iterator[_Change]:
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
            what = f"a {form} for {_called(source)} in place of a {' or '.join(source.form)}"
            plan = _with_sources(day.plan, source, (changed,))
            yield _Change("another form", what, day.kit, plan)


def _priority(day: WorkedDay, source: Source) -> Iterator[_Change]:
    if source.priority > 1:
        changed = source.model_copy(update={"priority": 1})
        what = f"{_called(source)} before others, as a must"
        yield _Change("priority", what, day.kit, _with_sources(day.plan, source, (changed,)))
        return
    together = {
        other for scene in day.plan.scenes if source.id in scene.sources for other in scene.sources
    }
    for other in day.plan.sources:
        if other.id in together and other.id != source.id and other.priority == 1:
            changed = other.model_copy(update={"priority": 3})
            what = f"{_called(other)} last, so that {_called(source)} is heard"
            yield _Change("priority", what, day.kit, _with_sources(day.plan, other, (changed,)))


def _own_recording(day: WorkedDay, source: Source) -> Iterator[_Change]:
    """A pack that records needs no receiver: matched by time code and a spoken ident (practice)."""
    if not any(model.records and model.form in source.form for model in day.kit.transmitters):
        return
    changed = source.model_copy(update={"record_only": True})
    what = (
        f"{_called(source)} on the pack's own recording: not heard on the day; jam it in the "
        "morning, speak an ident, copy the card at wrap"
    )
    plan = _with_sources(day.plan, source, (changed,))
    yield _Change("own recording", what, day.kit, plan)


def _try(day: WorkedDay, change: _Change, work_out: WorkOut) -> Remedy | None:
    """The remedy, or None where it serves nothing that was unserved."""
    after = work_out(change.kit, change.plan)
    before_routes, after_routes = _routes(day), _routes(after)
    gained = [r for r in _wanted(day) if r not in before_routes and r in after_routes]
    if not gained:
        return None
    lost = [route for route in before_routes if route not in after_routes]
    known = {shortfall.what for shortfall in day.shortfalls}
    return Remedy(
        change.kind,
        change.what,
        tuple(gained),
        tuple(lost),
        tuple(s for s in after.shortfalls if s.what not in known),
        tuple(s for s in after.shortfalls if s.what in known),
    )


def _wanted(day: WorkedDay) -> list[Route]:
    """Links that the day left unserved."""
    return [
        Route(u.scene, u.source, u.destination) for needs in day.scenes for u in needs.unserved
    ]


def _routes(day: WorkedDay) -> list[Route]:
    """Links that the day serves; the two halves of a split source count as the source."""
    return list(
        dict.fromkeys(
            Route(link.scene, _whole(link.source), link.destination) for link in day.links
        )
    )


def _whole(source: str) -> str:
    return source
