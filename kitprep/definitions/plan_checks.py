"""What must hold inside a day plan, and between it and its kit."""

from collections.abc import Iterable, Iterator
from itertools import combinations

from kitprep.definitions.kit import Kit
from kitprep.definitions.kit_checks import Fault, Where, reference, used_once
from kitprep.definitions.plan import Plan, Scene, Source, split_port
from kitprep.definitions.problems import Keys
from kitprep.definitions.text import clock, shown


def check_plan(plan: Plan, kit: Kit | None, where: Where) -> list[Fault]:
    """All faults of a plan; those against the kit only where the kit could be read."""
    names: dict[str, Iterable[tuple[Keys, str]]] = {
        "destination": ((("destination", n, "id"), d.id) for n, d in enumerate(plan.destinations)),
        "source": ((("source", n, "id"), s.id) for n, s in enumerate(plan.sources)),
        "scene": ((("scene", n, "number"), s.number) for n, s in enumerate(plan.scenes)),
    }
    faults = [
        *(fault for kind, entries in names.items() for fault in used_once(kind, entries, where)),
        *_ports(plan),
        *_scene_sources(plan),
        *_mains(plan),
        *_one_place_at_a_time(plan),
        *_fixed_inputs(plan),
    ]
    return faults if kit is None else [*faults, *_against_kit(plan, kit)]


def _to_keys(number: int, place: int, source: Source) -> Keys:
    return ("source", number, "to", place) if len(source.to) > 1 else ("source", number, "to")


def _ports(plan: Plan) -> Iterator[Fault]:
    inputs = {destination.id: destination.inputs for destination in plan.destinations}
    for number, source in enumerate(plan.sources):
        seen: set[str] = set()
        for place, entry in enumerate(source.to):
            keys = _to_keys(number, place, source)
            destination, first = split_port(entry)
            if destination in seen:
                yield Fault(keys, f"{shown(destination)} is in this list twice; take one out")
            seen.add(destination)
            missing = list(reference(keys, "destination", destination, inputs))
            yield from missing
            last = inputs.get(destination, 0) - source.channels + 1
            if not missing and first is not None and not 1 <= first <= last:
                yield Fault(keys, _no_such_input(entry, destination, last))


def _no_such_input(entry: str, destination: str, last: int) -> str:
    if last < 1:
        return f"{shown(entry)} has no two inputs for a stereo source; write another destination"
    return (
        f"{shown(entry)} names no first input that this source can take; write a number from 1 to "
        f'{last}, such as "{destination}:{last}"'
    )


def _scene_sources(plan: Plan) -> Iterator[Fault]:
    known = {source.id for source in plan.sources}
    for number, scene in enumerate(plan.scenes):
        seen: set[str] = set()
        for place, source in enumerate(scene.sources):
            keys = ("scene", number, "sources", place)
            if source in seen:
                yield Fault(keys, f"{shown(source)} is in this scene twice; take one out")
            seen.add(source)
            yield from reference(keys, "source", source, known)


def _mains(plan: Plan) -> Iterator[Fault]:
    places = {scene.place for scene in plan.scenes if scene.place}
    if plan.mains_at and not places:
        yield Fault(("mains_at",), "no scene has a place for it to name; write place in its scenes")
        return
    for number, place in enumerate(plan.mains_at or ()):
        yield from reference(("mains_at", number), "place", place, places)


def _scenes_of(plan: Plan, source: str) -> list[tuple[int, Scene]]:
    return [(n, scene) for n, scene in enumerate(plan.scenes) if source in scene.sources]


def _one_place_at_a_time(plan: Plan) -> Iterator[Fault]:
    for source in plan.sources:
        for (_, first), (number, second) in combinations(_scenes_of(plan, source.id), 2):
            if first.overlaps(second):
                until = clock(min(first.end, second.end))
                yield Fault(
                    ("scene", number, "sources", second.sources.index(source.id)),
                    f'"{source.id}" is in scene {first.number} as well, which runs at the same '
                    f"time until {until}; change a time, or write a second source",
                )


def _fixed_inputs(plan: Plan) -> Iterator[Fault]:
    fixed = [
        (number, place, source, destination, first)
        for number, source in enumerate(plan.sources)
        for place, (destination, first) in enumerate(source.ports)
        if first
    ]
    for (_, _, one, at, low), (number, place, other, also_at, high) in combinations(fixed, 2):
        apart = low + one.channels <= high or high + other.channels <= low
        if at == also_at and not apart and _ever_together(plan, one, other):
            yield Fault(
                _to_keys(number, place, other),
                f'"{at}:{high}" is on inputs of "{one.id}" in the same scene; write another input',
            )


def _ever_together(plan: Plan, one: Source, other: Source) -> bool:
    return any(
        first.overlaps(second)
        for _, first in _scenes_of(plan, one.id)
        for _, second in _scenes_of(plan, other.id)
    )


def _against_kit(plan: Plan, kit: Kit) -> Iterator[Fault]:
    models = [transmitter.model for transmitter in kit.transmitters]
    receivers = [receiver.model for receiver in kit.receivers]
    supplies = [supply.id for supply in kit.supplies]
    connectors = [connector.id for connector in kit.connectors]
    for number, destination in enumerate(plan.destinations):
        for place, supply in enumerate(destination.supplies):
            keys: Keys = ("destination", number, "supplies", place)
            yield from reference(keys, "supply", supply, supplies)
        for place, receiver in enumerate(destination.receivers or ()):
            keys = ("destination", number, "receivers", place)
            yield from reference(keys, "receiver model", receiver, receivers)
        if connectors:
            keys = ("destination", number, "connector")
            yield from reference(keys, "connector", destination.connector, connectors)
    tags = [unit.tag for transmitter in kit.transmitters for unit in transmitter.units]
    for number, source in enumerate(plan.sources):
        if source.wears is not None:
            yield from reference(("source", number, "wears"), "transmitter", source.wears, tags)
        for place, model in enumerate(source.model or ()):
            keys = ("source", number, "model", place)
            yield from reference(keys, "transmitter model", model, models)
        if connectors and source.connector is not None:
            keys = ("source", number, "connector")
            yield from reference(keys, "connector", source.connector, connectors)
