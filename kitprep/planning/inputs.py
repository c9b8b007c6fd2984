"""R2, inputs: which inputs each source keeps at each of its destinations for the whole day."""

from collections.abc import Iterator

from kitprep.definitions.plan import Plan, Scene, Source

Inputs = dict[tuple[str, str], tuple[int, ...]]
"""By (source, destination): the inputs, from 1; empty where none was left."""


def scenes_of(plan: Plan, source: str) -> list[Scene]:
    """The source's scenes in the order of the clock."""
    return sorted((s for s in plan.scenes if source in s.sources), key=lambda s: (s.start, s.end))


def give_inputs(plan: Plan) -> Inputs:
    """Inputs by source and destination.

    Fixed ones first, then in the order in which sources are written, each the lowest free run
    (two consecutive inputs for a stereo source). Where no run is free for the whole day, the lowest
    run whose other sources are never in a concurrent scene is shared.
    """
    at_work = [source for source in plan.sources if scenes_of(plan, source.id)]
    given: Inputs = {}
    for destination in plan.destinations:
        holders: dict[int, list[Source]] = {n: [] for n in range(1, destination.inputs + 1)}
        waiting = []
        for source in at_work:
            for name, fixed in source.ports:
                if name != destination.id:
                    continue
                if fixed is None:
                    waiting.append(source)
                else:
                    given[source.id, name] = _take(source, fixed, holders)
        for source in waiting:
            first = _lowest_run(plan, source, holders)
            key = (source.id, destination.id)
            given[key] = () if first is None else _take(source, first, holders)
    return given


def _take(source: Source, first: int, holders: dict[int, list[Source]]) -> tuple[int, ...]:
    taken = tuple(range(first, first + source.channels))
    for number in taken:
        holders[number].append(source)
    return taken


def _lowest_run(plan: Plan, source: Source, holders: dict[int, list[Source]]) -> int | None:
    for runs in (_free(source, holders), _shareable(plan, source, holders)):
        first = next(runs, None)
        if first is not None:
            return first
    return None


def _runs(source: Source, holders: dict[int, list[Source]]) -> range:
    return range(1, len(holders) - source.channels + 2)


def _free(source: Source, holders: dict[int, list[Source]]) -> Iterator[int]:
    for first in _runs(source, holders):
        if not any(holders[first + n] for n in range(source.channels)):
            yield first


def _shareable(plan: Plan, source: Source, holders: dict[int, list[Source]]) -> Iterator[int]:
    for first in _runs(source, holders):
        others = {o.id for n in range(source.channels) for o in holders[first + n]}
        if not any(concurrent(plan, source.id, other) for other in others):
            yield first


def concurrent(plan: Plan, one: str, other: str) -> bool:
    """Whether the two are ever in scenes that overlap, or in one scene together."""
    return any(a.overlaps(b) for a in scenes_of(plan, one) for b in scenes_of(plan, other))
