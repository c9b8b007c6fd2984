"""R8: which packs keep a backup recording today, of how many channels and for how long."""

from collections import defaultdict

from kitprep.planning.cards import Recording
from kitprep.planning.pool import natural
from kitprep.planning.results import WorkedDay

__all__ = ["Recording", "recordings"]


def recordings(day: WorkedDay) -> list[Recording]:
    """The recordings of a worked-out day, by unit.

    A pack rolls from the start of its first source's first scene to the end of its last one's last.
    """
    models = {unit.tag: model for model in day.kit.transmitters for unit in model.units}
    channels = {source.id: source.channels for source in day.plan.sources}
    scenes: dict[str, list[tuple[int, int]]] = defaultdict(list)
    wide: dict[str, int] = defaultdict(int)
    for tag, source in {(link.transmitter, link.source) for link in day.links}:
        mine = [scene for scene in day.plan.scenes if source in scene.sources]
        scenes[tag] += [(scene.start, scene.end) for scene in mine]
        wide[tag] = max(wide[tag], channels[source])
    found = []
    for tag in sorted(scenes, key=natural):
        model = models[tag]
        if model.records and model.card is not None:
            minutes = max(end for _, end in scenes[tag]) - min(start for start, _ in scenes[tag])
            found.append(Recording(tag, model.card, wide[tag], minutes))
    return found
