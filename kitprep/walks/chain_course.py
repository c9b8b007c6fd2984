"""What the day itself does to a chain from one scene to a later one, after which a line asks again:
another source on one of its parts, a move, a break.
"""

import hashlib
from collections import defaultdict
from collections.abc import Hashable, Iterator

from kitprep.definitions.plan import Scene
from kitprep.planning.reasons import names_of
from kitprep.planning.results import Link, WorkedDay
from kitprep.walks.naming import of_modules, part_of


class ChainCourse:
    """A day's links by what they have in common, so that each is compared with few others."""

    def __init__(self, day: WorkedDay) -> None:
        self.links = day.links
        self.day = day
        self._names, self._of_modules = names_of(day.plan), of_modules(day.kit)
        self._scenes = {needs.scene.number: needs.scene for needs in day.scenes}
        self._sharing: defaultdict[Hashable, list[int]] = defaultdict(list)
        self._places: defaultdict[str, set[str]] = defaultdict(set)
        for number, link in enumerate(day.links):
            self._places[link.scene].add(link.destination)
            for part in _parts(link):
                self._sharing[part].append(number)
        self._told: dict[tuple[str, Link], str | None] = {}

    def end(self, scene: str) -> int:
        """The minute of the day at which a scene is over."""
        return self._scenes[scene].end

    def earlier(self, link: Link) -> list[Link]:
        """The same source's links to the same destination in earlier scenes, by the clock."""
        start = self._scenes[link.scene].start
        same = (self.links[number] for number in self._sharing["ends", *_ends(link)])
        return [other for other in same if self._scenes[other.scene].start < start]

    def since(self, before: Link, here: Link) -> str | None:
        """What touches a link's chain between an earlier scene of it and its own."""
        key = (before.scene, here)
        if key not in self._told:
            first, last = self._scenes[before.scene], self._scenes[here.scene]
            self._told[key] = (
                self._given_away(first, last, here)
                or self._moved(first, last, here)
                or self._paused(first, last)
            )
        return self._told[key]

    def _given_away(self, first: Scene, last: Scene, here: Link) -> str | None:
        others = sorted({number for part in _parts(here) for number in self._sharing[part]})
        for other in (self.links[number] for number in others):
            if first.start <= self._scenes[other.scene].start < last.start and (
                shared := self._shared(other, here)
            ):
                return f"{shared} in scene {other.scene}"
        return None

    def _shared(self, other: Link, link: Link) -> str | None:
        """Which part of a link's chain served another link: it was tuned, worn or patched anew."""
        whose = self._names[other.source]
        if _ends(other) == _ends(link):
            same = chain_mark(other) == chain_mark(link)
            return None if same else f"another chain served {whose}"
        if (other.receiver, other.module) == (link.receiver, link.module):
            return f"{part_of(link, self._of_modules)} was on {whose}"
        if other.destination == link.destination and set(other.inputs) & set(link.inputs):
            return f"input {min(set(other.inputs) & set(link.inputs))} was {whose}'s"
        if other.source == link.source:
            return None
        if other.transmitter == link.transmitter:
            return f"{link.transmitter} was on {whose}"
        if link.adapter is not None and other.adapter == link.adapter:
            return f"{link.adapter} was on {whose}"
        return None

    def _moved(self, first: Scene, last: Scene, here: Link) -> str | None:
        for scene in self._scenes.values():
            between = first.start <= scene.start < last.start and scene.place != last.place
            if between and self._there(scene, here):
                return f"after the move to {last.place or 'another place'}"
        return None

    def _there(self, scene: Scene, link: Link) -> bool:
        """Whether the source or the destination of a link is in a scene."""
        return link.source in scene.sources or link.destination in self._places[scene.number]

    def _paused(self, first: Scene, last: Scene) -> str | None:
        for pause in self.day.plan.breaks:
            if first.start < pause.end and pause.start < last.start:
                return f"after {pause.name}"
        return None


def _ends(link: Link) -> tuple[str, str]:
    return link.source, link.destination


def _parts(link: Link) -> Iterator[Hashable]:
    """All by which another link can have to do with this one."""
    yield "ends", *_ends(link)
    yield "module", link.receiver, link.module
    yield from (("input", link.destination, number) for number in link.inputs)
    yield "unit", link.transmitter
    if link.adapter is not None:
        yield "unit", link.adapter


def chain_mark(link: Link) -> str:
    """A short mark of a chain's parts: an answer counts only for the chain it was given about."""
    parts = (
        link.transmitter,
        link.adapter or "-",
        link.receiver,
        str(link.module),
        link.destination,
        ",".join(map(str, link.inputs)),
    )
    return hashlib.sha256("|".join(parts).encode()).hexdigest()[:12]
