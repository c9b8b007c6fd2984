"""What if: a few changes to a day that is worked out already, tried and never kept.

A unit gone, a scene at another time, a source mono instead of stereo, a source left out of a scene:
what happens on the morning. The changed kit and plan obey all rules that files obey.
"""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from kitprep.definitions.kit import Adapter, Kit, Unit
from kitprep.definitions.kit_checks import counted_names
from kitprep.definitions.plan import Plan, Scene, Source
from kitprep.definitions.plan_checks import check_plan
from kitprep.definitions.problems import did_you_mean, one_of
from kitprep.definitions.spans import read_span
from kitprep.definitions.text import clock, shown
from kitprep.planning.packing import unit_names
from kitprep.planning.pool import M

Times = tuple[int, int]
"""Start and end, in minutes from the day's midnight."""

WAYS = "a tag, SCENE=08:00-10:00, SOURCE=1 or SOURCE=2, or SCENE:SOURCE to leave it out there"
"""How a change is written."""

_TIMES = re.compile(r"\s*([0-9]{1,2}:[0-9]{2})\s*[-–]\s*([0-9]{1,2}:[0-9]{2})\s*")


class NotPossible(ValueError):
    """A change that no day can have, in one sentence."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What would be otherwise: ``gone`` are tags, ``times`` go by scene, ``channels`` by source.

    ``dropped`` are pairs of a scene and a source that is left out of it.
    """

    gone: frozenset[str] = frozenset()
    times: Mapping[str, Times] = field(default_factory=dict)
    channels: Mapping[str, Literal[1, 2]] = field(default_factory=dict)
    dropped: frozenset[tuple[str, str]] = frozenset()

    @property
    def nothing(self) -> bool:
        """Whether all is as planned."""
        return not (self.gone or self.times or self.channels or self.dropped)


def changed(kit: Kit, plan: Plan, what: WhatIf) -> tuple[Kit, Plan]:
    """The kit and the plan as they would be.

    Raises:
        NotPossible: where a name is not known, or the plan would break a rule of plans.
    """
    for tag in sorted(what.gone):
        _known("unit", tag, unit_names(kit))
    scenes = [scene.number for scene in plan.scenes]
    sources = [source.id for source in plan.sources]
    for number in (*what.times, *(number for number, _ in sorted(what.dropped))):
        _known("scene", number, scenes)
    for source in (*what.channels, *(source for _, source in sorted(what.dropped))):
        _known("source", source, sources)
    then = plan.model_copy(
        update={
            "scenes": tuple(_scene(scene, what) for scene in plan.scenes),
            "sources": tuple(_source(source, what) for source in plan.sources),
        }
    )
    kit = _without(kit, what.gone)
    for fault in check_plan(then, kit, lambda keys: "another entry"):
        kind, *place = fault.keys
        if kind == "scene" and place and isinstance(place[0], int):
            raise NotPossible(f"scene {then.scenes[place[0]].number}: {fault.message}")
        raise NotPossible(fault.message)
    return kit, then


def _known(kind: str, word: str, names: Collection[str]) -> None:
    if word not in names:
        raise NotPossible(
            f"no {kind} {shown(word)} here; {did_you_mean(word, names, one_of(names))}"
        )


def _scene(scene: Scene, what: WhatIf) -> Scene:
    left = tuple(s for s in scene.sources if (scene.number, s) not in what.dropped)
    for number, source in sorted(what.dropped):
        if number == scene.number and source not in scene.sources:
            raise NotPossible(f"{shown(source)} is not in scene {number}")
    start, end = what.times.get(scene.number, (scene.start, scene.end))
    if (start, end) != (scene.start, scene.end):
        try:
            read_span(clock(start), clock(end))
        except ValueError as error:
            raise NotPossible(f"scene {scene.number}: {error}") from error
    return scene.model_copy(update={"sources": left, "start": start, "end": end})


def _source(source: Source, what: WhatIf) -> Source:
    return source.model_copy(update={"channels": what.channels.get(source.id, source.channels)})


def _without(kit: Kit, gone: frozenset[str]) -> Kit:
    """The kit with units marked as missing, so that every other keeps its name."""

    def units(model: M) -> M:
        held: tuple[Unit, ...] = model.units
        if isinstance(model, Adapter) and not gone.isdisjoint(counted_names(model)):
            held = tuple(Unit(tag=name) for name in counted_names(model))
            model = model.model_copy(update={"qty": None})
        if gone.isdisjoint(unit.tag for unit in held):
            return model
        marked = tuple(
            unit.model_copy(update={"state": "missing"}) if unit.tag in gone else unit
            for unit in held
        )
        return model.model_copy(update={"units": marked})

    return kit.model_copy(
        update={
            "transmitters": tuple(units(model) for model in kit.transmitters),
            "receivers": tuple(units(model) for model in kit.receivers),
            "adapters": tuple(units(model) for model in kit.adapters),
        }
    )


# Said in words


def read_times(text: str) -> Times:
    """Minutes of "08:00-10:00".

    Raises:
        NotPossible: where it is no such thing.
    """
    match = _TIMES.fullmatch(text)
    if match is None:
        raise NotPossible(f'{shown(text)} is not a start and an end; write them as "08:00-10:00"')
    try:
        span = read_span(match[1], match[2])
    except ValueError as error:
        raise NotPossible(str(error)) from error
    return span.start, span.end


def read_channels(text: str) -> Literal[1, 2]:
    """The channels of "1" or "2".

    Raises:
        NotPossible: where it is neither.
    """
    channels: dict[str, Literal[1, 2]] = {"1": 1, "2": 2}
    if text.strip() not in channels:
        raise NotPossible(
            f"{shown(text)} is not a number of channels; write 1 for mono, 2 for stereo"
        )
    return channels[text.strip()]


def with_word(what: WhatIf, word: str, kit: Kit, plan: Plan) -> WhatIf:
    """What is otherwise once a word has been said; said again, a tag or a drop is taken back.

    Names are taken in capitals or small letters; a change back to what is planned is none.

    Raises:
        NotPossible: where the word says nothing of this day.
    """
    word = word.strip()
    tag = _name(word, unit_names(kit))
    if tag is not None:
        return replace(what, gone=what.gone ^ {tag})
    scenes = {scene.number: scene for scene in plan.scenes}
    sources = {source.id: source for source in plan.sources}
    name, equals, value = word.rpartition("=")
    if equals:
        number, source = _name(name, scenes), _name(name, sources)
        if number is not None and (source is None or ":" in value):
            return replace(what, times=_timed(what, scenes[number], read_times(value)))
        if source is not None:
            return replace(what, channels=_sent(what, sources[source], read_channels(value)))
        names = (*scenes, *sources)
        raise NotPossible(
            f"no scene or source {shown(name)} here; {did_you_mean(name, names, one_of(names))}"
        )
    name, colon, inner = word.partition(":")
    number, source = _name(name, scenes), _name(inner, sources)
    if colon and number is not None and source is not None:
        return replace(what, dropped=what.dropped ^ {(number, source)})
    if colon and number is not None:
        _known("source", inner, sources)
    raise NotPossible(f"{shown(word)} names nothing of this day; {_meant(word, kit)}")


def _meant(word: str, kit: Kit) -> str:
    return did_you_mean(word, unit_names(kit), f"write {WAYS}")


def _name(word: str, names: Collection[str]) -> str | None:
    """The name that a word means."""
    folded = {name.casefold(): name for name in names}
    return folded.get(word.strip().casefold())


def _timed(what: WhatIf, scene: Scene, times: Times) -> dict[str, Times]:
    others = {number: at for number, at in what.times.items() if number != scene.number}
    return others if times == (scene.start, scene.end) else others | {scene.number: times}


def _sent(what: WhatIf, source: Source, channels: Literal[1, 2]) -> dict[str, Literal[1, 2]]:
    others = {name: n for name, n in what.channels.items() if name != source.id}
    return others if channels == source.channels else others | {source.id: channels}
