"""What must hold between the entries of a kit: names used once, references that lead somewhere."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kitprep.definitions.kit import Adapter, Kit, Receiver, Transmitter, Unit
from kitprep.definitions.problems import Keys, did_you_mean, one_of


@dataclass(frozen=True)
class Fault:
    """A mistake between entries, told by the way to it in the merged kit or in the plan."""

    keys: Keys
    message: str
    at_key: bool = False


def check_kit(kit: Kit) -> list[Fault]:
    """All faults of a merged kit."""
    return [
        *_used_once("model", _models(kit)),
        *_used_once("tag", _tags(kit)),
        *_used_once("supply", ((("supply", n, "id"), s.id) for n, s in enumerate(kit.supplies))),
        *_used_once("case", ((("case", n, "id"), c.id) for n, c in enumerate(kit.cases))),
        *_used_once("cell", ((("cell", n, "type"), c.type) for n, c in enumerate(kit.cells))),
        *_used_once(
            "connector", ((("connector", n, "id"), c.id) for n, c in enumerate(kit.connectors))
        ),
        *_cells(kit),
        *_connectors(kit),
        *_cases(kit),
        *_fits_and_companions(kit),
        *_images(kit),
        *_narrowed_tuning(kit),
    ]


def reference(keys: Keys, kind: str, word: str, known: Iterable[str]) -> Iterator[Fault]:
    """A fault where a reference leads nowhere."""
    names = set(known)
    if word not in names:
        hint = did_you_mean(word, names, one_of(names))
        yield Fault(keys, f'no {kind} "{word}" here; {hint}')


def _powered(kit: Kit) -> list[tuple[str, int, Transmitter | Receiver]]:
    """Every transmitter and receiver model with its place in the kit."""
    return [
        *(("transmitter", number, model) for number, model in enumerate(kit.transmitters)),
        *(("receiver", number, model) for number, model in enumerate(kit.receivers)),
    ]


def _models(kit: Kit) -> Iterator[tuple[Keys, str]]:
    for key, models in (
        ("transmitter", [model.model for model in kit.transmitters]),
        ("receiver", [model.model for model in kit.receivers]),
        ("adapter", [model.model for model in kit.adapters]),
        ("cable", [model.model for model in kit.cables]),
        ("item", [model.model for model in kit.items]),
    ):
        for number, name in enumerate(models):
            yield (key, number, "model"), name


def _units(kit: Kit) -> Iterator[tuple[Keys, Unit]]:
    adapters = [("adapter", number, model) for number, model in enumerate(kit.adapters)]
    for key, number, model in (*_powered(kit), *adapters):
        for place, unit in enumerate(model.units):
            yield (key, number, "unit", place), unit


def counted_names(adapter: Adapter) -> list[str]:
    """The names of adapters that carry no tags: model#1, model#2, …"""
    return [f"{adapter.model}#{n}" for n in range(1, (adapter.qty or 0) + 1)]


def _tags(kit: Kit) -> Iterator[tuple[Keys, str]]:
    for number, adapter in enumerate(kit.adapters):
        for name in counted_names(adapter):
            yield ("adapter", number, "qty"), name
    for keys, unit in _units(kit):
        yield (*keys, "tag"), unit.tag


def _used_once(kind: str, entries: Iterable[tuple[Keys, str]]) -> Iterator[Fault]:
    seen: dict[str, str] = {}
    for keys, name in entries:
        # A label read aloud or scanned in capitals must still name one thing.
        folded = name.casefold()
        if folded in seen:
            yield Fault(keys, f'the {kind} "{name}" is taken already; write another {kind}')
        seen[folded] = name


def _cells(kit: Kit) -> Iterator[Fault]:
    known = [cell.type for cell in kit.cells]
    for key, number, model in _powered(kit):
        for place, option in enumerate(model.power):
            if option.cell is not None:
                keys: Keys = (key, number, "power", place, "cell")
                yield from reference(keys, "cell", option.cell, known)
    for number, stock in enumerate(kit.stock):
        if stock.cell is not None:
            yield from reference(("stock", number, "cell"), "cell", stock.cell, known)


def _connectors(kit: Kit) -> Iterator[Fault]:
    if not kit.connectors:
        return
    for keys, word in _connector_words(kit):
        yield from reference(keys, "connector", word, (c.id for c in kit.connectors))


def _connector_words(kit: Kit) -> Iterator[tuple[Keys, str]]:
    for number, transmitter in enumerate(kit.transmitters):
        if transmitter.connector is not None:
            yield ("transmitter", number, "connector"), transmitter.connector
    for number, receiver in enumerate(kit.receivers):
        for place, output in enumerate(receiver.outputs):
            yield ("receiver", number, "outputs", place, "connector"), output.connector
    for number, adapter in enumerate(kit.adapters):
        if adapter.connector is not None:
            yield ("adapter", number, "connector"), adapter.connector
    for number, cable in enumerate(kit.cables):
        yield ("cable", number, "from"), cable.source
        for place, plug in enumerate(cable.to):
            yield ("cable", number, "to", place), plug


def _cases(kit: Kit) -> Iterator[Fault]:
    known = [case.id for case in kit.cases]
    for key, things in (
        ("transmitter", kit.transmitters),
        ("receiver", kit.receivers),
        ("adapter", kit.adapters),
        ("cable", kit.cables),
        ("stock", kit.stock),
        ("supply", kit.supplies),
        ("item", kit.items),
    ):
        for number, thing in enumerate(things):
            if thing.case is not None:
                yield from reference((key, number, "case"), "case", thing.case, known)
    for keys, unit in _units(kit):
        if unit.case is not None:
            yield from reference((*keys, "case"), "case", unit.case, known)


def _fits_and_companions(kit: Kit) -> Iterator[Fault]:
    models = [transmitter.model for transmitter in kit.transmitters]
    items = [item.model for item in kit.items]
    systems = {model.system for _, _, model in _powered(kit)}
    for number, adapter in enumerate(kit.adapters):
        for place, model in enumerate(adapter.fits):
            yield from reference(
                ("adapter", number, "fits", place), "transmitter model", model, models
            )
    for key, number, thing in _powered(kit):
        for place, name in enumerate(thing.travels_with):
            yield from reference((key, number, "travels_with", place), "item", name, items)
    for number, item in enumerate(kit.items):
        for place, system in enumerate(item.remote_for):
            yield from reference(("item", number, "remote_for", place), "system", system, systems)


def _images(kit: Kit) -> Iterator[Fault]:
    known = {model.image for _, _, model in _powered(kit) if model.image is not None}
    for image in kit.firmware:
        for fault in reference(("firmware", image), "image", image, known):
            yield Fault(fault.keys, fault.message, at_key=True)


def _narrowed_tuning(kit: Kit) -> Iterator[Fault]:
    for key, number, model in _powered(kit):
        for place, unit in enumerate(model.units):
            for band, (low, high) in enumerate(unit.tuning_mhz or ()):
                if not any(a <= low and high <= b for a, b in model.tuning_mhz):
                    yield Fault(
                        (key, number, "unit", place, "tuning_mhz", band),
                        f"{low:g} to {high:g} MHz is not within what {model.model} tunes; "
                        "write a range inside the model's own",
                    )
