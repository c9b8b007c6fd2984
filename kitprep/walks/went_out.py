"""The list as the kit went out by it: a record, whatever the plan says since.

What joins later is an addition to it, and stands in the wrap beside it.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from kitprep.definitions.kit import Kit
from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.packing import find_units
from kitprep.planning.results import PackLine, WorkedDay

LineKind = Literal[
    "transmitter", "receiver", "adapter", "cable", "cells", "cards", "supply", "item"
]

COUNTED_KINDS: Mapping[str, LineKind] = {
    "cable": "cable", "cells": "cells", "cards": "cards", "supply": "supply", "item": "item"
}  # fmt: skip
"""Kinds of what goes by number, by the beginning of its key."""


def to_pack(day: WorkedDay, job: JobState) -> tuple[PackLine, ...]:
    """What is to go: as planned until the kit has left, and as it was recorded then from there."""
    if job.out is None or not job.out.asked_for:
        return day.packing
    planned = {line.key: line for line in day.packing}
    lines = (
        replace(planned[key], qty=qty)
        if key in planned
        else line_off_the_plan(day.kit, key, qty, "went by the list of then", job.item(key))
        for key, qty in job.out.asked_for
    )
    order = {case.id: number for number, case in enumerate(day.kit.cases)}
    return tuple(sorted(lines, key=lambda line: order.get(line.case or "", len(order))))


def as_it_left(state: ItemState) -> ItemState:
    """An item without what joined while out."""
    return replace(state, packed=state.packed - state.added) if state.added else state


def line_off_the_plan(kit: Kit, key: str, qty: int, why: str, state: ItemState) -> PackLine:
    """A line for what the plan has no more, or never had; its checks are those that were made."""
    model, unit = find_units(kit).get(key, (None, None))
    prefix, _, rest = key.partition(":")
    kinds: dict[str, LineKind] = {t.model: "transmitter" for t in kit.transmitters}
    kinds |= {r.model: "receiver" for r in kit.receivers}
    kind = kinds.get(model.model, "adapter") if model else COUNTED_KINDS.get(prefix, "adapter")
    named = {f"item:{item.model}": item.name for item in kit.items}
    named |= {f"cable:{cable.model}": cable.name or cable.model for cable in kit.cables}
    named |= {f"supply:{supply.id}": supply.name or supply.id for supply in kit.supplies}
    cases = {f"item:{item.model}": item.case for item in kit.items}
    cases |= {f"cable:{cable.model}": cable.case for cable in kit.cables}
    cases |= {f"supply:{supply.id}": supply.case for supply in kit.supplies}
    return PackLine(
        key=key,
        kind=kind,
        model=model.model if model else rest or key,
        name=(model.name or model.model) if model else named.get(key, rest or key),
        qty=qty,
        held=qty,
        case=(unit.case if unit else None) or (model.case if model else cases.get(key)),
        why=why,
        weight_g=None,
        checks=tuple(state.checks),
        serial=unit.serial if unit else None,
        owner=unit.owner if unit else "own",
    )
