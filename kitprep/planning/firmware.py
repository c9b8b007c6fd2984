"""R9: units in use whose firmware is not the wanted one, by image."""

from collections import defaultdict
from collections.abc import Iterable

from kitprep.definitions.kit import Kit, Receiver, Transmitter, Unit
from kitprep.planning.pool import natural
from kitprep.planning.results import Firmware

CAUTION = (
    "Load only the image of the model: another model's image in a unit can leave it dead. Fresh "
    "cells or mains before you start, and one unit at a time."
)


def to_update(
    units: Iterable[tuple[Transmitter | Receiver, Unit]], kit: Kit
) -> tuple[Firmware, ...]:
    """By image: the version that the kit wants, and the units in use that do not have it.

    A unit whose version the kit does not say is listed too: it has to be read.
    """
    behind: dict[str, list[str]] = defaultdict(list)
    for model, unit in units:
        wanted = kit.firmware.get(model.image or "")
        if wanted is not None and unit.firmware != wanted:
            behind[model.image or ""].append(unit.tag)
    return tuple(
        Firmware(image, kit.firmware[image], tuple(sorted(tags, key=natural)))
        for image, tags in sorted(behind.items())
    )
