"""Why no other unit can stand in for one that failed: what stands in each one's way, in few words.

Units that fail on the same thing are told together. Of each is asked, in this order: whether it can
be used at all, whether its form and model are taken, whether its inputs and feeds do, whether both
ends tune alike, whether it may stand there, and whether it is free at those hours.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from kitprep.definitions.kit import Adapter, Receiver, Transmitter
from kitprep.definitions.plan import Source
from kitprep.planning.brief import Brief
from kitprep.planning.chains import hears, lacks, lives_at, meet, offer, wears
from kitprep.planning.naming import Selection
from kitprep.planning.packing import Model, find_units
from kitprep.planning.pool import Pool, UnitClass, khz, natural, pool
from kitprep.planning.reasons import called, ranges

_NAMED = 3
"""Units that one reason names."""

_IN_USE = "in use at those hours"

_ELSE = "in its place another link would not be served"


@dataclass(frozen=True, slots=True)
class Hindered:
    """Units that cannot stand in for one thing, each with whom it is with if it is, and why."""

    units: tuple[tuple[str, str], ...]
    why: str

    @property
    def says(self) -> str:
        """ "TX02 (Oda), TX04 (Brenna): in use at those hours"."""
        named = [f"{tag} ({whom})" if whom else tag for tag, whom in self.units[:_NAMED]]
        more = f" and {len(self.units) - _NAMED} more" if len(self.units) > _NAMED else ""
        return f"{', '.join(named)}{more}: {self.why}"


def why_not(
    day: Brief, selection: Selection, lost: str, not_usable: Mapping[str, str]
) -> tuple[Hindered, ...]:
    """What keeps every other unit of a lost one's kind from its place, those nearest to it first.

    ``day`` is the day without what failed; ``not_usable`` says of units why they are not in it.
    """
    place = _Place(day, selection, lost)
    found: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for tag, why, whom in place.each():
        if tag != lost:
            found[not_usable.get(tag) or why].append((tag, whom))
    own = place.models.get(lost)
    told = [
        Hindered(tuple(sorted(units, key=lambda unit: natural(unit[0]))), why)
        for why, units in found.items()
    ]
    return tuple(sorted(told, key=lambda one: place.models.get(one.units[0][0]) is not own))


@dataclass(frozen=True)
class _Place:
    """The place that a unit had, to be taken by another."""

    day: Brief
    selection: Selection
    lost: str

    @cached_property
    def whole(self) -> Pool:
        """Every unit of the kit that is in order, wherever it is."""
        return pool(self.day.kit)

    @cached_property
    def models(self) -> dict[str, Model]:
        """Every unit's model; of adapters without tags too."""
        named = {tag: model for tag, (model, _) in find_units(self.day.kit).items()}
        return named | {tag: c.model for c in self.whole.adapters for tag in c.tags}

    @cached_property
    def senders(self) -> dict[str, UnitClass[Transmitter]]:
        """Transmitters by tag."""
        return {tag: c for c in self.whole.transmitters for tag in c.tags}

    @cached_property
    def receivers(self) -> dict[str, UnitClass[Receiver]]:
        """Receivers by tag."""
        return {tag: c for c in self.whole.receivers for tag in c.tags}

    def each(self) -> Iterator[tuple[str, str, str]]:
        """Every unit of the kind, with what stands in its way, and whom or what it is with."""
        if self.lost in self.selection.stands:
            for receiver in self.whole.receivers:
                why = self._receiver(receiver)
                for tag in receiver.tags:
                    yield (tag, why, "") if why else self._stands(tag, receiver)
        elif self.lost in self.selection.adapters.values():
            for adapter in self.whole.adapters:
                why = self._adapter(adapter.model)
                for tag in adapter.tags:
                    yield (tag, why, "") if why else self._has(tag)
        else:
            for sender in self.whole.transmitters:
                why = self._transmitter(sender)
                for tag in sender.tags:
                    yield (tag, why, "") if why else self._has(tag)
        kind = type(self.models.get(self.lost))
        for tag, (model, unit) in find_units(self.day.kit).items():
            if type(model) is kind and unit.state != "ok":
                yield tag, "in repair" if unit.state == "repair" else "missing", ""

    @cached_property
    def _given(self) -> Mapping[int, str]:
        """Who has which transmitter, or which adapter where one was lost."""
        adapters = self.selection.adapters
        return adapters if self.lost in adapters.values() else self.selection.transmitters

    @property
    def _sources(self) -> list[int]:
        return [source for source, tag in self._given.items() if tag == self.lost]

    def _has(self, tag: str) -> tuple[str, str, str]:
        """That another source has a thing while one of these would hold it."""
        holds, pause = self.day.holds, self.day.plan.handover_min
        names = [
            called(self.day.sources[other])
            for other, theirs in self._given.items()
            for mine in self._sources
            if theirs == tag
            and holds[other].start < holds[mine].end + pause
            and holds[mine].start < holds[other].end + pause
        ]
        return tag, _IN_USE if names else _ELSE, ", ".join(dict.fromkeys(names))

    def _transmitter(self, unit: UnitClass[Transmitter]) -> str:
        for number in self._sources:
            adapter = self.models.get(self.selection.adapters.get(number, ""))
            worn_with = adapter if isinstance(adapter, Adapter) else None
            why = _does_not_do(self.day.sources[number], unit.model, worn_with)
            if why := why or self._not_heard(number, unit):
                return why
        return ""

    def _not_heard(self, number: int, unit: UnitClass[Transmitter]) -> str:
        source = self.day.sources[number]
        if source.tuning_mhz is not None and not meet(unit.bands, khz(source.tuning_mhz)):
            may = ranges(khz(source.tuning_mhz))
            return f"tunes {ranges(unit.bands)}, and {called(source)} may send within {may}"
        for want, (tag, _) in self.selection.modules.items():
            receiver = self.receivers.get(tag)
            if want.source == number and receiver and not hears(source, unit, receiver):
                return _apart(unit, receiver, tag)
        return ""

    def _adapter(self, model: Adapter) -> str:
        for number in self._sources:
            on = self.selection.transmitters[number]
            sender = self.senders.get(on)
            if sender is not None:
                why = _does_not_do(self.day.sources[number], sender.model, model)
                if why:
                    return why
        return ""

    def _receiver(self, unit: UnitClass[Receiver]) -> str:
        where = self.day.destinations[self.selection.stands[self.lost]]
        if not lives_at(unit.model, where):
            return f"{unit.model.model} may not stand at {where.name or where.id}"
        for want, (by, _) in self.selection.modules.items():
            source = self.day.sources[want.source]
            sender = self.senders.get(self.selection.transmitters[want.source])
            if by != self.lost:
                continue
            if source.mode not in unit.model.modes:
                return f"does not take {source.mode}, as {called(source)} is"
            if sender is not None and not hears(source, sender, unit):
                on = self.selection.transmitters[want.source]
                return f"tunes {ranges(unit.bands)}, and {on} sends in {ranges(sender.bands)}"
        return ""

    def _stands(self, tag: str, unit: UnitClass[Receiver]) -> tuple[str, str, str]:
        if tag in self.selection.stands:
            at = self.day.destinations[self.selection.stands[tag]]
            return tag, _IN_USE, at.name or at.id
        used = max((m for by, m in self.selection.modules.values() if by == self.lost), default=0)
        few = used > unit.model.modules
        return tag, f"has too few channels: {self.lost} uses {used}" if few else _ELSE, ""


def _does_not_do(source: Source, model: Transmitter, adapter: Adapter | None) -> str:
    """What a source asks of a transmitter, with an adapter, and these do not do."""
    if model.form not in source.form:
        return f"of another form, {called(source)} takes a {' or '.join(source.form)}"
    if not wears(source, model):
        return f"of another model, {called(source)} takes a {' or '.join(source.model or ())} only"
    if adapter is not None and model.model not in adapter.fits:
        return f"{adapter.name or adapter.model} does not fit {model.model}"
    lack = lacks(source, offer(model, adapter))
    if lack is None:
        return ""
    return (
        f"no {'stereo' if lack == '2 channels' else lack.removeprefix('a ')} for {called(source)}"
    )


def _apart(sender: UnitClass[Transmitter], receiver: UnitClass[Receiver], hearing: str) -> str:
    """Why a transmitter is not heard by the receiver that its source has."""
    if sender.model.system != receiver.model.system:
        return f"of system {sender.model.system}, which {hearing} does not hear"
    return f"tunes {ranges(sender.bands)}, and {hearing} hears {ranges(receiver.bands)}"
