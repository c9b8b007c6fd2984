"""What stands on each label: of a whole kit, or of what one day packs."""

from collections.abc import Iterator
from dataclasses import dataclass

from kitprep.definitions.added_units import TAGGED
from kitprep.definitions.kit import Adapter, Carried, Kit
from kitprep.planning.results import WorkedDay
from kitprep.reports.paper.packing import lid_cards
from kitprep.reports.paper.sheet import Block, Column
from kitprep.walks.naming import case_code

_CONTENTS = (Column("", "Tag or count", "tag"), Column("", "What"))


@dataclass(frozen=True, slots=True)
class TagLabel:
    """A label for one thing. ``lines`` stand under its tag."""

    tag: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LidLabel:
    """A card for a case's lid: what a scanner reads off it, and what is in it."""

    code: str
    card: Block


def tags_of_kit(kit: Kit) -> tuple[TagLabel, ...]:
    """A label for every tagged thing, in the order of the kit file."""
    labels = []
    for attribute, _ in TAGGED:
        for model in getattr(kit, attribute):
            for unit in model.units:
                owner = unit.owner if unit.owner != "own" else model.owner
                lines = (
                    model.name or model.model,
                    f"serial {unit.serial}" if unit.serial else "",
                    "" if owner == "own" else owner,
                )
                labels.append(TagLabel(unit.tag, tuple(line for line in lines if line)))
    return tuple(labels)


def tags_of_day(day: WorkedDay) -> tuple[TagLabel, ...]:
    """The same for the things that the day packs."""
    packed = {line.key for line in day.packing}
    return tuple(label for label in tags_of_kit(day.kit) if label.tag in packed)


def lids_of_day(day: WorkedDay) -> tuple[LidLabel, ...]:
    """A card for every case that the day packs."""
    return tuple(LidLabel(block.notes[0], block) for block in lid_cards(day).blocks)


def lids_of_kit(kit: Kit) -> tuple[LidLabel, ...]:
    """A card for every case of the kit, with all that lives in it."""
    contents: dict[str, list[tuple[str, str]]] = {case.id: [] for case in kit.cases}
    for case, count, what in _contents(kit):
        if case in contents:
            contents[case].append((count, what))
    return tuple(
        LidLabel(
            case_code(case.id),
            Block(case.name, (case_code(case.id),), _CONTENTS, tuple(contents[case.id]), card=True),
        )
        for case in kit.cases
    )


def _contents(kit: Kit) -> Iterator[tuple[str | None, str, str]]:
    """The case, the tag or count, and the name of everything that the kit lists."""
    for attribute, _ in TAGGED:
        for model in getattr(kit, attribute):
            name = model.name or model.model
            for unit in model.units:
                yield unit.case or model.case, unit.tag, name
            if isinstance(model, Adapter) and model.qty:
                yield _counted(model, model.qty, name)
    for cable in kit.cables:
        yield _counted(cable, cable.qty, cable.name or cable.model)
    for stock in kit.stock:
        name = f"{stock.cell} cells" if stock.cell else f"{stock.card} cards"
        yield _counted(stock, stock.qty, name)
    for supply in kit.supplies:
        yield _counted(supply, supply.packs or 1, supply.name or supply.id)
    for item in kit.items:
        yield _counted(item, item.qty, item.name)


def _counted(thing: Carried, qty: int, name: str) -> tuple[str | None, str, str]:
    return thing.case, f"{qty} ×", name
