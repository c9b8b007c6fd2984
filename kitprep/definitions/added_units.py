"""Units written away from their model: ``[[unit]]`` at the top of any file of a kit.

A spreadsheet's units come in a file of their own, and a later file may not redefine a model. So a
``[[unit]]`` names its model and is put among that model's units when the kit's files are merged;
nothing after that knows the difference.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitprep.definitions.kit import Adapter, AddedUnit, Receiver, Transmitter, Unit
from kitprep.definitions.problems import did_you_mean, one_of

TAGGED = (("transmitters", "transmitter"), ("receivers", "receiver"), ("adapters", "adapter"))
"""The lists of a kit whose models have units."""

COUNTED = (("cables", "cable"), ("items", "item"))
"""The lists of a kit whose models are held by number alone."""

TaggedModel = Transmitter | Receiver | Adapter


@dataclass(frozen=True, slots=True)
class Misplaced:
    """An added unit, by its number, that no model takes, and why."""

    number: int
    message: str


@dataclass(frozen=True)
class Placed:
    """The models with their added units, and where each of these now stands.

    ``places`` maps an added unit's way in the merged kit (list key, model, unit) to its number.
    """

    lists: Mapping[str, tuple[TaggedModel, ...]]
    places: Mapping[tuple[str, int, int], int]
    misplaced: tuple[Misplaced, ...]


def place_units(lists: Mapping[str, Sequence[Any]], added: Sequence[AddedUnit]) -> Placed:
    """Puts each added unit behind those that its model holds already, in the order written.

    ``lists`` are the merged lists of a kit by attribute.
    """
    models: dict[str, tuple[str, int, TaggedModel]] = {}
    for attribute, _ in TAGGED:
        for number, model in enumerate(lists[attribute]):
            models.setdefault(model.model, (attribute, number, model))
    more: dict[tuple[str, int], list[Unit]] = {}
    places: dict[tuple[str, int, int], int] = {}
    misplaced: list[Misplaced] = []
    keys = dict(TAGGED)
    for number, unit in enumerate(added):
        message = why_not(unit.model, lists)
        if message:
            misplaced.append(Misplaced(number, message))
            continue
        attribute, at, model = models[unit.model]
        units = more.setdefault((attribute, at), [])
        places[keys[attribute], at, len(model.units) + len(units)] = number
        units.append(unit.without_model())
    grown = {
        attribute: tuple(
            model.model_copy(update={"units": (*model.units, *more[attribute, at])})
            if (attribute, at) in more
            else model
            for at, model in enumerate(lists[attribute])
        )
        for attribute, _ in TAGGED
    }
    return Placed(grown, places, tuple(misplaced))


def why_not(model: str, lists: Mapping[str, Iterable[Any]]) -> str | None:
    """Why a unit cannot be one of this model, in a sentence; None where it can."""
    known = [thing for attribute, _ in TAGGED for thing in lists[attribute]]
    found = next((thing for thing in known if thing.model == model), None)
    if isinstance(found, Adapter) and found.qty is not None:
        return f'"{model}" is counted by qty; take its qty out, and write a unit for each'
    if found is not None:
        return None
    for attribute, kind in COUNTED:
        if any(thing.model == model for thing in lists[attribute]):
            return f'"{model}" is counted by qty, as any {kind}; take this unit out'
    names = [thing.model for thing in known]
    return f'no model "{model}" here; {did_you_mean(model, names, one_of(names))}'
