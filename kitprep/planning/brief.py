"""What the choice is about: today's sources, scenes and wanted links, and who could serve them."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from kitprep.definitions.kit import Kit, Transmitter
from kitprep.definitions.plan import Destination, Plan, Scene, Source
from kitprep.planning.cells import (
    Stretch,
    fewest_changes,
    outlasts,
    pack_day,
    schedule,
    usual_option,
)
from kitprep.planning.chains import Sender, heard_together, lives_at, senders
from kitprep.planning.inputs import Inputs, give_inputs, scenes_of
from kitprep.planning.pool import Pool, less, pool


@dataclass(frozen=True, slots=True)
class Want:
    """One wanted link: a source (by place in the plan), a scene (by place in ``Brief.scenes``)."""

    source: int
    scene: int
    destination: str


@dataclass(frozen=True, slots=True)
class Hold:
    """The minutes from the start of a source's first scene to the end of its last."""

    start: int
    end: int


@dataclass(frozen=True)
class Brief:
    """The day put as a question; everything that the choice depends on."""

    kit: Kit
    plan: Plan
    pool: Pool

    @cached_property
    def sources(self) -> tuple[Source, ...]:
        """All sources, as written."""
        return self.plan.sources

    @cached_property
    def scenes(self) -> tuple[Scene, ...]:
        """All scenes in the order of the clock; those that start together as written."""
        return tuple(sorted(self.plan.scenes, key=lambda scene: (scene.start, scene.end)))

    @cached_property
    def destinations(self) -> dict[str, Destination]:
        """Destinations by id."""
        return {destination.id: destination for destination in self.plan.destinations}

    @cached_property
    def inputs(self) -> Inputs:
        """R2's inputs."""
        return give_inputs(self.plan)

    @cached_property
    def wants(self) -> tuple[Want, ...]:
        """Every link that the day asks for, by scene, then source, then destination."""
        return tuple(
            Want(number, place, destination)
            for place, scene in enumerate(self.scenes)
            for number, source in enumerate(self.sources)
            if source.id in scene.sources
            for destination, _ in source.ports
        )

    def given_inputs(self, want: Want) -> tuple[int, ...]:
        """The inputs of a wanted link; empty where none was left."""
        return self.inputs[self.sources[want.source].id, want.destination]

    @cached_property
    def holds(self) -> dict[int, Hold]:
        """By source at work today: how long it keeps its transmitter."""
        return {
            number: Hold(scenes[0].start, max(scene.end for scene in scenes))
            for number, source in enumerate(self.sources)
            if (scenes := scenes_of(self.plan, source.id))
        }

    @cached_property
    def senders(self) -> dict[int, tuple[Sender, ...]]:
        """By source at work: the senders that some receiver at some destination of its hears."""
        return {
            number: tuple(
                sender
                for sender in senders(self.sources[number], self.pool)
                if self.heard_sets(number, sender)
            )
            for number in self.holds
        }

    @cached_property
    def _heard(self) -> dict[tuple[int, int], tuple[frozenset[int], ...]]:
        return {}

    def heard_sets(self, source: int, sender: Sender) -> tuple[frozenset[int], ...]:
        """The largest sets of receiver classes that the sender reaches on one frequency."""
        key = (source, sender.transmitter)
        if key not in self._heard:
            wanted = self.sources[source]
            near = [
                (place, receiver)
                for place, receiver in enumerate(self.pool.receivers)
                if any(
                    lives_at(receiver.model, self.destinations[name]) for name, _ in wanted.ports
                )
            ]
            transmitter = self.pool.transmitters[sender.transmitter]
            self._heard[key] = tuple(heard_together(wanted, transmitter, near))
        return self._heard[key]

    def receivers(self, source: int, destination: str) -> list[int]:
        """Receiver classes that may stand there and hear one of the source's senders."""
        reached = {
            place
            for sender in self.senders[source]
            for heard in self.heard_sets(source, sender)
            for place in heard
        }
        where = self.destinations[destination]
        return [p for p in sorted(reached) if lives_at(self.pool.receivers[p].model, where)]

    def worn(self, sources: Iterable[int]) -> list[tuple[Scene, Source]]:
        """The scenes of these sources in the order of the clock, each with its source."""
        pairs = [
            (scene, self.sources[number])
            for number in sources
            for scene in scenes_of(self.plan, self.sources[number].id)
        ]
        return sorted(pairs, key=lambda pair: (pair[0].start, pair[0].end))

    def outlasted(self, source: int, transmitter: Transmitter) -> int:
        """How many of the source's scenes are too long for a fresh set in this model."""
        key = (source, transmitter.model)
        if key not in self._outlasted:
            day = self._stretches((source,), transmitter)
            drain = {stretch.scene: stretch.drain for stretch in day}
            worn = self.worn((source,)) if day else []
            self._outlasted[key] = sum(outlasts(scene, drain[scene.number]) for scene, _ in worn)
        return self._outlasted[key]

    @cached_property
    def _outlasted(self) -> dict[tuple[int, str], int]:
        return {}

    def planned_changes(self, sources: Iterable[int], transmitter: Transmitter) -> int:
        """Changes of cells where one unit of this model serves these sources in turn."""
        key = (tuple(sorted(sources)), transmitter.model)
        if key not in self._changes:
            self._changes[key] = len(schedule(self._stretches(key[0], transmitter)))
        return self._changes[key]

    @cached_property
    def _changes(self) -> dict[tuple[tuple[int, ...], str], int]:
        return {}

    def least_changes(self, source: int, transmitter: Transmitter) -> int:
        """Changes that fall within a source's hold at the least, whoever has the unit before it.

        At best it comes with a fresh set at the start of the first scene, and without a lead.
        """
        day = self._stretches((source,), transmitter)
        return fewest_changes(day[1:] if day and day[0].scene is None else day)

    def _stretches(self, sources: tuple[int, ...], transmitter: Transmitter) -> list[Stretch]:
        option = usual_option(transmitter.power, self.kit)
        if option is None:
            return []
        cell = next(cell for cell in self.kit.cells if cell.type == option.cell)
        return pack_day(self.worn(sources), transmitter, option, cell, self.plan)


def brief(kit: Kit, plan: Plan, missing: frozenset[str] = frozenset()) -> Brief:
    """The question for a day, but for the units whose tags are in ``missing``."""
    return Brief(kit, plan, pool(kit, missing))


def without(question: Brief, tag: str) -> Brief:
    """The same question with one unit less."""
    return Brief(question.kit, question.plan, less(question.pool, tag))
