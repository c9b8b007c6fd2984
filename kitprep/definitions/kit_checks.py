"""What must hold between the entries of a kit: names used once, references that lead somewhere."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from kitprep.definitions.kit import Adapter, Kit, Receiver, Transmitter, Unit
from kitprep.definitions.problems import Keys, did_you_mean, one_of
from kitprep.definitions.text import shown


@dataclass(frozen=True)
class Fault:
    """A mistake between entries, told by the way to it in the merged kit or in the plan."""

    keys: Keys
    message: str
    at_key: bool = False


LEDGER_KINDS = ("cable:", "cards:", "case:", "cells:", "check:", "item:", "supply:")
"""How the ledger's names begin for what has no tag: cells:FR6, check:12A:ines:recorder:tap."""

Where = Callable[[Keys], str]
"""Where an entry stands, as a person would look for it: "kit.toml:41"."""


def check_kit(kit: Kit, where: Where) -> list[Fault]:
    """All faults of a merged kit."""
    names = {
        "model": _models(kit),
        "tag": _tags(kit),
        "supply": ((("supply", n, "id"), s.id) for n, s in enumerate(kit.supplies)),
        "case": ((("case", n, "id"), c.id) for n, c in enumerate(kit.cases)),
        "cell": ((("cell", n, "type"), c.type) for n, c in enumerate(kit.cells)),
        "connector": ((("connector", n, "id"), c.id) for n, c in enumerate(kit.connectors)),
    }
    return [
        *(fault for kind, entries in names.items() for fault in used_once(kind, entries, where)),
        *_names_of_our_own(kit, where),
        *_cells(kit),
        *_connectors(kit),
        *_cases(kit),
        *_fits_and_companions(kit),
        *_images(kit),
        *_narrowed_tuning(kit),
    ]


def left_out(kit: Kit) -> Iterator[str]:
    """What this kit does not say of how long things run, model by model: "hours of pack"."""
    for key in ("hours", "watts"):
        for _, _, model in _powered(kit):
            asked = [o for o in model.power if (o.cell is not None) == (key == "hours")]
            if any(getattr(option, key) is None for option in asked):
                yield f"{key} of {model.model}"
    for supply in kit.supplies:
        if not supply.mains and supply.wh is None:
            yield f"wh of {supply.id}"


def reference(keys: Keys, kind: str, word: str, known: Iterable[str]) -> Iterator[Fault]:
    """A fault where a reference leads nowhere."""
    names = set(known)
    if word not in names:
        hint = did_you_mean(word, names, one_of(names))
        yield Fault(keys, f"no {kind} {shown(word)} here; {hint}")


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
    for keys, unit in _units(kit):
        yield (*keys, "tag"), unit.tag


def _names_of_our_own(kit: Kit, where: Where) -> Iterator[Fault]:
    """Tags that the program or the ledger would take for something else."""
    counted: dict[str, Keys] = {
        name.casefold(): ("adapter", number, "qty")
        for number, adapter in enumerate(kit.adapters)
        for name in counted_names(adapter)
    }
    for keys, tag in _tags(kit):
        folded = tag.casefold()
        if folded in counted:
            message = (
                f"the tag {shown(tag)} is the name of an adapter that is counted, at "
                f"{where(counted[folded])}; write another"
            )
            yield Fault(keys, message)
        elif folded == "job" or folded.startswith(LEDGER_KINDS):
            yield Fault(keys, f"the tag {shown(tag)} is a name of the ledger's own; write another")


def used_once(kind: str, entries: Iterable[tuple[Keys, str]], where: Where) -> Iterator[Fault]:
    """A fault for each name that an earlier entry has; capitals and small letters are the same.

    For a label that is read aloud, or scanned in capitals, must still name one thing.
    """
    seen: dict[str, tuple[Keys, str]] = {}
    for keys, name in entries:
        first, as_written = seen.setdefault(name.casefold(), (keys, name))
        if first != keys:
            other = "" if as_written == name else f' as "{as_written}"'
            message = (
                f'the {kind} "{name}" is here already{other}, at {where(first)}; '
                "write another, or take one of the two out"
            )
            yield Fault(keys, message)


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
    charged = [*(cell.type for cell in kit.cells), *(supply.id for supply in kit.supplies)]
    for number, item in enumerate(kit.items):
        for place, name in enumerate(item.charges):
            keys: Keys = ("item", number, "charges", place)
            yield from reference(keys, "cell or supply", name, charged)
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
                        f"{low:g} to {high:g} MHz is more than {model.model} tunes; write a range "
                        f"within {_bands(model)}",
                    )


def _bands(model: Transmitter | Receiver) -> str:
    return " or ".join(f"[{low:g}, {high:g}]" for low, high in model.tuning_mhz)
