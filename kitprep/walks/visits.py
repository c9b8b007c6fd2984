"""Where a day is shot: the stays at each place, and who goes on from one to another.

A company move is a stay's last scene and the next stay's first, where a source, or a destination
that hears one, goes straight from the one to the other. Units that share neither move apart.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitprep.definitions.plan import Plan, Scene


@dataclass(frozen=True, slots=True)
class Visit:
    """A stay at a place: its scenes, until someone who was in them has been elsewhere."""

    place: str
    scenes: tuple[Scene, ...]


@dataclass(frozen=True, slots=True)
class Going:
    """From one stay straight on to another; ``before`` are the scenes that are over by then."""

    visit: int
    leaving: Scene
    coming: Scene
    before: tuple[Scene, ...]
    there: tuple[Scene, ...]


Who = frozenset[str]
"""The sources of a scene, and the destinations that hear them (as "to NAME")."""


def goings(plan: Plan) -> tuple[Going, ...]:
    """Every going on to another place, stay by stay; ``visit`` counts the stays."""
    in_turn = sorted(plan.scenes, key=lambda scene: (scene.start, scene.end))
    scenes = [scene for scene in in_turn if scene.place]
    ports = {s.id: {f"to {name}" for name, _ in s.ports} for s in plan.sources}
    who = {
        scene.number: frozenset(scene.sources).union(*(ports[s] for s in scene.sources))
        for scene in scenes
    }
    visits = _visits(scenes, who)
    return tuple(
        found
        for number, visit in enumerate(visits)
        for other in visits[number + 1 :]
        if other.place != visit.place
        for found in _going(number, visit, other, scenes, who)
    )


def _visits(scenes: Sequence[Scene], who: dict[str, Who]) -> list[Visit]:
    visits: list[Visit] = []
    for scene in scenes:
        at = next((n for n in reversed(range(len(visits))) if visits[n].place == scene.place), None)
        if at is None or _been_elsewhere(visits[at], scene, scenes, who):
            visits.append(Visit(scene.place, (scene,)))
        else:
            visits[at] = Visit(scene.place, (*visits[at].scenes, scene))
    return visits


def _been_elsewhere(
    visit: Visit, scene: Scene, scenes: Sequence[Scene], who: dict[str, Who]
) -> bool:
    """Whether anyone of a stay and of a later scene there was at another place in between."""
    return any(
        who[before.number] & who[scene.number] & who[other.number]
        for before in visit.scenes
        for other in scenes
        if other.place != visit.place and before.end <= other.start and other.end <= scene.start
    )


def _going(
    number: int, visit: Visit, other: Visit, scenes: Sequence[Scene], who: dict[str, Who]
) -> Iterator[Going]:
    for coming in other.scenes:
        before = tuple(scene for scene in visit.scenes if scene.end <= coming.start)
        for one in before:
            since = [s for s in scenes if one.end <= s.start < coming.start]
            straight = who[one.number] & who[coming.number]
            if straight.difference(*(who[s.number] for s in since)):
                leaving = max(before, key=lambda scene: scene.end)
                yield Going(number, leaving, coming, before, other.scenes)
                return
