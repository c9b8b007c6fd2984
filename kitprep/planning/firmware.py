"""R9: units in use whose firmware is not the wanted one, by image.

What was read off a unit at packing goes before what the kit's file says of it: a unit that was read
as wanted is done, one that was read as another stands with what it showed, and since when.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace

from kitprep.definitions.kit import Kit, Receiver, Transmitter
from kitprep.planning.packing import find_units
from kitprep.planning.pool import natural
from kitprep.planning.results import Firmware, Link, VersionRead, WorkedDay
from kitprep.planning.unknown import unknown

CAUTION = (
    "Load only the image of the model: another model's image in a unit can leave it dead. Fresh "
    "cells or mains before you start, and one unit at a time."
)

Readings = Mapping[str, VersionRead]
"""By tag: what a unit showed."""

NOTHING_READ: Readings = {}


def to_update(
    links: Iterable[Link], kit: Kit, read: Readings = NOTHING_READ
) -> tuple[Firmware, ...]:
    """By image: the version that the kit wants, and the units in use that do not have it.

    A unit whose version neither the kit nor anybody's eye says is listed too: it has to be read.
    """
    units = find_units(kit)
    behind: dict[str, list[str]] = defaultdict(list)
    for tag in {tag for link in links for tag in (link.transmitter, link.receiver)}:
        model, unit = units[tag]
        image = model.image if isinstance(model, Transmitter | Receiver) else None
        wanted = kit.firmware.get(image or "")
        has = read[tag].version if tag in read else unit.firmware
        if wanted is not None and (has is None or not same_version(has, wanted)):
            behind[image or ""].append(tag)
    found = []
    for image, tags in sorted(behind.items()):
        tags.sort(key=natural)
        seen = tuple(read[tag] for tag in tags if tag in read)
        found.append(Firmware(image, kit.firmware[image], tuple(tags), seen))
    return tuple(found)


def same_version(one: str, other: str) -> bool:
    """Whether two versions are the same as people write them: "v5.2" and "5.2" are."""
    return _plain(one) == _plain(other)


def _plain(version: str) -> str:
    return version.strip().casefold().removeprefix("v").strip()


def as_read(day: WorkedDay, read: Readings) -> WorkedDay:
    """The day with its firmware list by what was read."""
    firmware = to_update(day.links, day.kit, read)
    still = unknown(day.kit, day.plan, firmware, day.feeds, day.supplies, day.cells, day.cases)
    return replace(day, firmware=firmware, unknown=tuple(still))
