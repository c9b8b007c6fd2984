"""R5: why a link is not served, in words a mixer would use."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from kitprep.definitions.plan import Plan, Source
from kitprep.planning.brief import Brief, Want
from kitprep.planning.chains import hears, lacks, lives_at, offer, senders, wears
from kitprep.planning.naming import Selection
from kitprep.planning.pool import M, UnitClass, khz, pool
from kitprep.planning.results import NotCounted


def reason(brief: Brief, selection: Selection, want: Want) -> str:
    """The first thing that stands in the way of a wanted link."""
    source = brief.sources[want.source]
    return (
        _no_transmitter(brief, source)
        or _no_receiver(brief, want)
        or _no_input(brief, want)
        or _no_one_frequency(brief, selection, want)
        or _all_taken(brief, selection, want)
    )


FETCH = "; kitprep add takes in what is fetched"
"""How a reason ends that names what is at base while the kit is out."""


def not_there(
    brief: Brief,
    selection: Selection,
    want: Want,
    not_counted: Iterable[NotCounted],
    at_base: Iterable[NotCounted],
) -> str:
    """Of the units that are not counted on, or at base, those that would do where none is left,
    and why, each by the first that is said of it; empty where it is not for them that the link is
    not served."""
    source, where = brief.sources[want.source], brief.destinations[want.destination]
    whole = pool(brief.kit, out_of_use=True)
    able = senders(source, whole)
    packs = [whole.transmitters[sender.transmitter] for sender in able]
    would_do: set[str] = set()
    if want.source not in selection.transmitters:
        mine = brief.senders[want.source]
        if _taken(brief, selection, want, {o.transmitter for o in mine}, "transmitter"):
            would_do |= {tag for c in packs for tag in c.tags}
        adapters = {o.adapter for o in mine if o.adapter is not None}
        if _taken_adapters(brief, selection, want, adapters):
            places = [sender.adapter for sender in able if sender.adapter is not None]
            would_do |= {tag for place in places for tag in whole.adapters[place].tags}
    if _modules_taken(brief, selection, want):
        would_do |= {
            tag
            for receiver in whole.receivers
            if lives_at(receiver.model, where) and any(hears(source, p, receiver) for p in packs)
            for tag in receiver.tags
        }
    why: dict[str, str] = {}
    for each in (*not_counted, *at_base):
        if each.key in would_do:
            why.setdefault(each.key, each.what)
    named = [f"{tag} {what}" for tag, what in why.items()]
    if not named:
        return ""
    more = f"; {len(named) - _NAMED} more" if len(named) > _NAMED else ""
    fetch = FETCH if any(why.get(each.key) == each.what for each in at_base) else ""
    return f"; not counted on: {'; '.join(named[:_NAMED])}{more}{fetch}"


_NAMED = 4
"""Units that one reason names."""


def called(source: Source) -> str:
    """What the crew calls a source."""
    return source.name or source.id


def names_of(plan: Plan) -> dict[str, str]:
    """What the crew calls each source, by its id."""
    return {source.id: called(source) for source in plan.sources}


def _no_transmitter(brief: Brief, source: Source) -> str | None:
    """The requirement that no transmitter of the kit meets, with any adapter that fits it."""
    models = _models(brief.pool.transmitters)
    forms = " or ".join(source.form)
    worn = [model for model in models if wears(source, model)]
    if not worn:
        only = f" of model {', '.join(source.model)}" if source.model else ""
        return f"no {forms}{only} is in the kit"
    near = []
    for model in worn:
        for adapter in (None, *(a for a in _models(brief.pool.adapters) if model.model in a.fits)):
            lack = lacks(source, offer(model, adapter))
            if lack is None:
                return _not_where_it_may_send(brief, source)
            near.append(lack)
    # The lack met last is the one that the nearest chain fails on.
    order = ["2 channels", f"a {source.connector} input", source.mic_power]
    lack = max(near, key=order.index)
    stereo = " in stereo" if source.channels == 2 and lack != "2 channels" else ""
    return f"no {forms} here gives {lack}{stereo}"


def _not_where_it_may_send(brief: Brief, source: Source) -> str | None:
    if source.tuning_mhz is None or senders(source, brief.pool):
        return None
    forms = " or ".join(source.form)
    return f"no {forms} for it tunes within {ranges(khz(source.tuning_mhz))}, where it may send"


def _no_receiver(brief: Brief, want: Want) -> str | None:
    """What no receiver that may stand at the destination does."""
    source, where = brief.sources[want.source], brief.destinations[want.destination]
    if brief.receivers(want.source, want.destination):
        return None
    name = where.name or where.id
    near = [c for c in brief.pool.receivers if lives_at(c.model, where)]
    if not near:
        return f"no receiver that may stand at {name} is in the kit"
    able = [c for c in near if source.mode in c.model.modes]
    if not able:
        return f"no receiver that may stand at {name} takes {source.mode}"
    packs = [brief.pool.transmitters[s.transmitter] for s in senders(source, brief.pool)]
    systems = sorted({pack.model.system for pack in packs})
    alike = [c for c in able if c.model.system in systems]
    if not alike:
        return (
            f"the transmitters for it are of system {' or '.join(systems)}, and no {source.mode} "
            f"receiver of that may stand at {name}"
        )
    return (
        f"the transmitters for it tune {_tuning(packs)}, and the {source.mode} receivers that may "
        f"stand at {name} tune {_tuning(alike)}{_where_it_may(source)}"
    )


def _where_it_may(source: Source) -> str:
    if source.tuning_mhz is None:
        return ""
    return f"; it may send within {ranges(khz(source.tuning_mhz))}"


def _tuning(classes: Iterable[UnitClass[M]]) -> str:
    return ranges(band for c in classes for band in c.bands)


def ranges(bands: Iterable[tuple[int, int]]) -> str:
    """ "470.1 to 516 MHz" of ranges in kHz, those that overlap as one."""
    merged: list[tuple[int, int]] = []
    for low, high in sorted(bands):
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return " and ".join(f"{low / 1000:g} to {high / 1000:g}" for low, high in merged) + " MHz"


def _no_input(brief: Brief, want: Want) -> str | None:
    if brief.given_inputs(want):
        return None
    where = brief.destinations[want.destination]
    name = where.name or where.id
    if brief.sources[want.source].channels == 2:
        two = "no two inputs side by side are left"
        return f"{two} at {name} for a stereo link ({where.inputs} in all)"
    return f"no input is left at {name} ({where.inputs} in all)"


def _no_one_frequency(brief: Brief, selection: Selection, want: Want) -> str | None:
    """That no transmitter, of the kit or hired, reaches receivers here and where the source is
    heard already in this scene; None where one does."""
    heard_at = [
        other.destination
        for other in selection.modules
        if (other.source, other.scene) == (want.source, want.scene)
    ]
    places = [want.destination, *sorted(heard_at)]
    near = {place: set(brief.receivers(want.source, place)) for place in places}
    for sender in brief.senders[want.source]:
        for reached in brief.heard_sets(want.source, sender):
            if all(reached & near[place] for place in places):
                return None
    tuned = [
        f"at {_place_name(brief, place)} "
        f"({_tuning(brief.pool.receivers[n] for n in sorted(near[place]))})"
        for place in places
    ]
    return (
        f"no transmitter for it reaches receivers {' and '.join(tuned)} on one frequency"
        f"{_where_it_may(brief.sources[want.source])}"
    )


def _all_taken(brief: Brief, selection: Selection, want: Want) -> str:
    """The units that would do, and whom they are with."""
    if want.source not in selection.transmitters:
        options = brief.senders[want.source]
        packs = {o.transmitter for o in options}
        found = _taken(brief, selection, want, packs, "transmitter")
        if found:
            return found
        adapters = {o.adapter for o in options if o.adapter is not None}
        if adapters:
            found = _taken_adapters(brief, selection, want, adapters)
            if found:
                return found
    return _modules_taken(brief, selection, want) or _not_together(brief, selection, want)


def _modules_taken(brief: Brief, selection: Selection, want: Want) -> str | None:
    """That no module which could serve the link is at hand; None where one is."""
    free = _with_a_free_module(brief, selection, want)
    if any(stands in (None, want.destination) for stands in free.values()):
        return None
    name = _place_name(brief, want.destination)
    mode = brief.sources[want.source].mode
    if free:
        places = sorted({_place_name(brief, stands) for stands in free.values() if stands})
        return f"the receivers with {mode} left free for {name} are at {', '.join(places)}"
    receivers = [brief.pool.receivers[n] for n in brief.receivers(want.source, want.destination)]
    held = sum(len(c.tags) * c.model.modules for c in receivers)
    if held == 0:
        return f"no receiver that takes {mode} is left to use at {name}"
    if held == 1:
        return f"the one receiver channel that takes {mode} at {name} is taken"
    return f"the {held} receiver channels that take {mode} at {name} are taken"


def _with_a_free_module(brief: Brief, selection: Selection, want: Want) -> dict[str, str | None]:
    """Receivers that could serve the link and have a module free in its scene, each with where it
    stands today."""
    scene = brief.scenes[want.scene]
    busy: dict[str, set[int]] = defaultdict(set)
    for other, (tag, module) in selection.modules.items():
        if scene.overlaps(brief.scenes[other.scene]):
            busy[tag].add(module)
    return {
        tag: selection.stands.get(tag)
        for place in brief.receivers(want.source, want.destination)
        for tag in brief.pool.receivers[place].tags
        if len(busy[tag]) < brief.pool.receivers[place].model.modules
    }


def _not_together(brief: Brief, selection: Selection, want: Want) -> str:
    """Why a free module and a transmitter do not make a link."""
    name = _place_name(brief, want.destination)
    tag = selection.transmitters.get(want.source)
    if tag is None:
        return f"no transmitter left free is heard by a receiver left free at {name}"
    free = _with_a_free_module(brief, selection, want)
    heard = {
        receiver
        for reached in brief.heard_sets(want.source, selection.senders[want.source])
        for place in reached
        for receiver in brief.pool.receivers[place].tags
        if free.get(receiver, "nowhere") in (None, want.destination)
    }
    if not heard:
        return f"{tag}, which it has, is not heard by the receivers left free at {name}"
    return f"no one frequency of {tag} reaches receivers at {name} and at its other destinations"


def _place_name(brief: Brief, destination: str) -> str:
    return brief.destinations[destination].name or destination


def _taken(
    brief: Brief, selection: Selection, want: Want, places: set[int], kind: str
) -> str | None:
    tags = [tag for n in sorted(places) for tag in brief.pool.transmitters[n].tags]
    return _with_whom(brief, selection.transmitters, want, tags, kind)


def _taken_adapters(brief: Brief, selection: Selection, want: Want, places: set[int]) -> str | None:
    tags = [tag for n in sorted(places) for tag in brief.pool.adapters[n].tags]
    return _with_whom(brief, selection.adapters, want, tags, "adapter")


def _with_whom(
    brief: Brief, given: Mapping[int, str], want: Want, tags: Sequence[str], kind: str
) -> str | None:
    """That all of these tags are with others while this source would hold one, or None."""
    hold, pause = brief.holds[want.source], brief.plan.handover_min
    holders = []
    for tag in tags:
        with_tag = [
            source
            for source, mine in given.items()
            if mine == tag
            and brief.holds[source].start < hold.end + pause
            and hold.start < brief.holds[source].end + pause
        ]
        if not with_tag:
            return None
        holders += with_tag
    names = ", ".join(called(brief.sources[s]) for s in sorted(set(holders)))
    if not tags:
        return f"no {kind} that would do is left to use"
    if len(tags) == 1:
        return f"the one {kind} that would do, {tags[0]}, is with {names}"
    return f"the {len(tags)} {kind}s that would do are with {names}"


def _models(classes: Iterable[UnitClass[M]]) -> list[M]:
    return list({c.model.model: c.model for c in classes}.values())
