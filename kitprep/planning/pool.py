"""Identical units taken as one class, so that the choice stays small however large the kit is.

Two units are identical when model, tuning and weight are the same and both can be used. Tags are
put in natural order (TX2 before TX10); the classes in the order of their lowest tags.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Generic, TypeVar

from kitprep.definitions.kit import Adapter, Kit, Receiver, Transmitter, Unit
from kitprep.definitions.kit_checks import counted_names

M = TypeVar("M", Transmitter, Receiver, Adapter)

Bands = tuple[tuple[int, int], ...]
"""Closed ranges in kHz."""


@dataclass(frozen=True, slots=True)
class UnitClass(Generic[M]):
    """Units that nothing but the tag tells apart; ``bands`` is empty for adapters.

    Every model has one ``plain`` class, as a hired unit would be: nothing of it narrowed. It may
    hold no unit.
    """

    model: M
    bands: Bands
    weight_g: float | None
    tags: tuple[str, ...]
    plain: bool


@dataclass(frozen=True, slots=True)
class Pool:
    """All classes of a kit whose units can be used today."""

    transmitters: tuple[UnitClass[Transmitter], ...]
    receivers: tuple[UnitClass[Receiver], ...]
    adapters: tuple[UnitClass[Adapter], ...]

    @property
    def tags(self) -> frozenset[str]:
        """Every unit in it."""
        classes = (
            *(c.tags for c in self.transmitters),
            *(c.tags for c in self.receivers),
            *(c.tags for c in self.adapters),
        )
        return frozenset(tag for tags in classes for tag in tags)


def natural(tag: str) -> tuple[tuple[int, int, str], ...]:
    """A sort key by which TX2 comes before TX10."""
    parts = re.findall(r"\d+|\D+", tag)
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p) for p in parts)


def khz(ranges: Iterable[tuple[float, float]]) -> Bands:
    """Ranges in MHz as whole kHz."""
    return tuple((round(low * 1000), round(high * 1000)) for low, high in ranges)


def pool(kit: Kit, without: frozenset[str] = frozenset(), out_of_use: bool = False) -> Pool:
    """The classes of the kit's usable units, but for the tags in ``without``; ``out_of_use`` adds
    those in repair or missing.
    """
    return Pool(
        _classes(kit.transmitters, without, out_of_use),
        _classes(kit.receivers, without, out_of_use),
        _classes(kit.adapters, without, out_of_use),
    )


def ended(kit: Kit, day: date) -> frozenset[str]:
    """The units that are no more on a day: sold, lost, given back."""
    models: tuple[Transmitter | Receiver | Adapter, ...] = (
        *kit.transmitters,
        *kit.receivers,
        *kit.adapters,
    )
    return frozenset(u.tag for model in models for u in model.units if u.ended_by(day))


def less(whole: Pool, tag: str) -> Pool:
    """The pool with one unit taken out of its class."""

    def rest(classes: tuple[UnitClass[M], ...]) -> tuple[UnitClass[M], ...]:
        return tuple(
            replace(c, tags=tuple(t for t in c.tags if t != tag)) if tag in c.tags else c
            for c in classes
        )

    return Pool(rest(whole.transmitters), rest(whole.receivers), rest(whole.adapters))


def _classes(
    models: Sequence[M], without: frozenset[str], out_of_use: bool
) -> tuple[UnitClass[M], ...]:
    found = []
    for model in models:
        bands = () if isinstance(model, Adapter) else khz(model.tuning_mhz)
        plain = (bands, model.weight_g)
        alike: dict[tuple[Bands, float | None], list[str]] = defaultdict(list)
        alike[plain] = [name for name in _untagged(model) if name not in without]
        for unit in model.units:
            if (out_of_use or unit.state == "ok") and unit.tag not in without:
                own = khz(unit.tuning_mhz) if unit.tuning_mhz is not None else bands
                alike[own, _weight(unit, model.weight_g)].append(unit.tag)
        found += [
            UnitClass(model, *kind, tuple(sorted(tags, key=natural)), kind == plain)
            for kind, tags in alike.items()
        ]
    return tuple(
        sorted(found, key=lambda c: (not c.tags, c.tags and natural(c.tags[0]), c.model.model))
    )


def _untagged(model: M) -> list[str]:
    return counted_names(model) if isinstance(model, Adapter) else []


def _weight(unit: Unit, models_own: float | None) -> float | None:
    return unit.weight_g if unit.weight_g is not None else models_own
