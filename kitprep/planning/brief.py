"""What the choice is about: today's sources, scenes and wanted links, and who could serve them."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from kitprep.definitions.kit import Cell, Kit, Power, Transmitter
from kitprep.definitions.plan import Destination, Plan, Scene, Source
from kitprep.planning.cells import (
    Stretch,
    fewest_changes,
    life_known,
    on_again,
    outlasts,
    pack_day,
    schedule,
    usual_option,
)
from kitprep.planning.chains import Sender, heard_together, lives_at, senders
from kitprep.planning.inputs import Inputs, give_inputs, scenes_of
from kitprep.planning.pool import Pool, ended, less, pool


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
    def together(self) -> tuple[frozenset[int], ...]:
        """By scene: those that run at the same time for a while, itself among them."""
        return tuple(
            frozenset(at for at, other in enumerate(self.scenes) if scene.overlaps(other))
            for scene in self.scenes
        )

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
            for number, scenes in enumerate(self._worn)
            if scenes
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
    def takers(self) -> dict[int, tuple[int, ...]]:
        """By transmitter class: the sources that could take one of it."""
        return {
            place: tuple(
                source
                for source, options in self.senders.items()
                if any(sender.transmitter == place for sender in options)
            )
            for place in range(len(self.pool.transmitters))
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
            (scene, self.sources[number]) for number in sources for scene in self._worn[number]
        ]
        return sorted(pairs, key=lambda pair: (pair[0].start, pair[0].end))

    @cached_property
    def _worn(self) -> list[list[Scene]]:
        return [scenes_of(self.plan, source.id) for source in self.sources]

    def outlasted(self, source: int, transmitter: Transmitter) -> int:
        """How many of the source's scenes are too long for a fresh set in this model."""
        key = (source, transmitter.model)
        if key not in self._outlasted and transmitter.model not in self._known:
            self._outlasted[key] = len(self.worn((source,)))
        elif key not in self._outlasted:
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
        run = tuple(sorted(sources, key=self._turn.__getitem__))
        key = (run, transmitter.model)
        if key not in self._changes:
            self._changes[key] = self._fewest_changes(run, transmitter)
        return self._changes[key]

    def _fewest_changes(self, run: tuple[int, ...], transmitter: Transmitter) -> int:
        if transmitter.model not in self._known:
            return self._at_worst(run)
        if self._taken_by(run, transmitter) <= 1:
            return 0  # most runs of a day: told far sooner so than by a schedule
        return len(schedule(self._stretches(run, transmitter)))

    @cached_property
    def _turn(self) -> dict[int, int]:
        by_clock = sorted(self.holds, key=lambda source: (self.holds[source].start, source))
        return {source: turn for turn, source in enumerate(by_clock)}

    def _taken_by(self, run: tuple[int, ...], transmitter: Transmitter) -> Fraction:
        """Fresh sets, and parts of one, that a unit takes for these sources in turn."""
        key = (run, transmitter.model)
        if key not in self._taken:
            if len(run) > 2:
                pair = run[-2:]
                onward = self._taken_by(pair, transmitter) - self._taken_by(pair[:1], transmitter)
                self._taken[key] = self._taken_by(run[:-1], transmitter) + onward
            else:
                day = self._stretches(run, transmitter)
                self._taken[key] = sum((stretch.taken for stretch in day), Fraction(0))
        return self._taken[key]

    @cached_property
    def _taken(self) -> dict[tuple[tuple[int, ...], str], Fraction]:
        return {}

    @cached_property
    def _changes(self) -> dict[tuple[tuple[int, ...], str], int]:
        return {}

    def least_changes(self, source: int, transmitter: Transmitter) -> int:
        """Changes that fall within a source's hold at the least, whoever has the unit before it.

        At best it comes with a fresh set for what lead is left after the last that could have it.
        """
        key = (source, transmitter.model)
        if key not in self._least:
            if transmitter.model in self._known:
                day = self._stretches((source,), transmitter)
                if day and day[0].scene is None:
                    lead = replace(day[0], start=self._on_again(source))
                    day = [lead, *day[1:]] if lead.start < lead.end else day[1:]
                self._least[key] = fewest_changes(day)
            else:
                self._least[key] = self._at_worst((source,))
        return self._least[key]

    def _on_again(self, source: int) -> int:
        """When a source has a unit on at the latest, whoever had it before."""
        start, pause = self.holds[source].start, self.plan.handover_min
        before = [hold.end for hold in self.holds.values() if hold.end + pause <= start]
        return on_again(max(before, default=start - pause), start, self.plan)

    @cached_property
    def _least(self) -> dict[tuple[int, str], int]:
        return {}

    def changes_promised(self, source: int, place: int) -> int:
        """Changes of cells that a source costs at the least on a transmitter of this class.

        Exact where no other source can have the unit before it; else a bound from below.
        """
        model = self.pool.transmitters[place].model
        if self._first_back[place] <= self.holds[source].start - self.plan.handover_min:
            return self.least_changes(source, model)
        return self.planned_changes((source,), model)

    @cached_property
    def _first_back(self) -> dict[int, int]:
        """By transmitter class: the minute at which one of its sources is done, at the earliest."""
        return {
            place: min(self.holds[source].end for source in sources)
            for place, sources in self.takers.items()
            if sources
        }

    def _stretches(self, sources: tuple[int, ...], transmitter: Transmitter) -> list[Stretch]:
        usual = self._usual[transmitter.model]
        return pack_day(self.worn(sources), transmitter, *usual, self.plan) if usual else []

    @cached_property
    def _usual(self) -> dict[str, tuple[Power, Cell] | None]:
        """By transmitter model: the set that the orders reckon with."""
        return {t.model: usual_option(t.power, self.kit, self.plan) for t in self.kit.transmitters}

    @cached_property
    def _known(self) -> frozenset[str]:
        """Transmitter models of which anybody can say how long a set lasts, or that take none."""
        return frozenset(
            model
            for model, usual in self._usual.items()
            if usual is None or life_known(*usual, self.plan)
        )

    def _at_worst(self, sources: tuple[int, ...]) -> int:
        """Changes where nobody can say how long a set lasts: one a minute in a scene, so that it
        never wins by silence; by the same token it lasts no scene."""
        return sum(scene.minutes for scene, _ in self.worn(sources))


def brief(kit: Kit, plan: Plan, missing: frozenset[str] = frozenset()) -> Brief:
    """The question for a day, but for the units whose tags are in ``missing``."""
    return Brief(kit, plan, pool(kit, missing | ended(kit, plan.day)))


def without(question: Brief, tag: str) -> Brief:
    """The same question with one unit less."""
    return Brief(question.kit, question.plan, less(question.pool, tag))
