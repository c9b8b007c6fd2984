"""A what-if on screen: what can be otherwise, and what would become of the day."""

from collections.abc import Iterator, Sequence

from kitprep.definitions.plan import Plan
from kitprep.definitions.text import clock
from kitprep.planning.difference import Difference
from kitprep.planning.packing import find_units
from kitprep.planning.pool import natural
from kitprep.planning.reasons import names_of
from kitprep.planning.results import WorkedDay
from kitprep.planning.whatif import WhatIf
from kitprep.reports.whatif import sections, verdict
from kitprep.tui.drawing.lines import Glyphs, Row, fill, heading, paragraph

CHANGED = ("[~]", "warn")


def choice_rows(day: WorkedDay, what: WhatIf, width: int, glyphs: Glyphs) -> list[Row]:
    """Every scene with its sources, every source, every unit that goes along; keys are words.

    A key is the word by which the change is said, as the field takes it.
    """
    return [
        heading("Scenes and who is in them", width, glyphs, "nothing is kept"),
        *_scenes(day.plan, what, width, glyphs),
        heading("Sources, mono or stereo", width, glyphs),
        *_sources(day.plan, what, width, glyphs),
        heading("Units that go along", width, glyphs),
        *_units(day, what, width, glyphs),
    ]


def _scenes(plan: Plan, what: WhatIf, width: int, glyphs: Glyphs) -> Iterator[Row]:
    names = {source.id: source.name for source in plan.sources}
    for scene in plan.scenes:
        planned = f"{clock(scene.start)}-{clock(scene.end)}"
        times, is_other = planned, scene.number in what.times
        if is_other:
            times = "-".join(map(clock, what.times[scene.number]))
        says = f"{times} (was {planned})" if is_other else f"{times}  {scene.name or scene.place}"
        yield _row(is_other, scene.number, says, f"scene:{scene.number}", width, glyphs)
        for source in scene.sources:
            out = (scene.number, source) in what.dropped
            name = names.get(source) or source
            says = f"{name}: left out" if out else name
            key = f"{scene.number}:{source}"
            yield _row(out, f"  {source}", says, key, width, glyphs)


def _sources(plan: Plan, what: WhatIf, width: int, glyphs: Glyphs) -> Iterator[Row]:
    ways = {1: "mono", 2: "stereo"}
    for source in plan.sources:
        channels = what.channels.get(source.id, source.channels)
        is_other = channels != source.channels
        was = f" (was {ways[source.channels]})" if is_other else ""
        says = f"{fill(ways[channels] + was, 20 if was else 8, glyphs.dots)}{source.name}"
        yield _row(is_other, source.id, says, f"{source.id}={3 - channels}", width, glyphs)


def _units(day: WorkedDay, what: WhatIf, width: int, glyphs: Glyphs) -> Iterator[Row]:
    models = {tag: model.name or model.model for tag, (model, _) in find_units(day.kit).items()}
    names = names_of(day.plan)
    uses: dict[str, list[str]] = {}
    for link in day.links:
        for tag in (link.transmitter, link.adapter, link.receiver):
            if tag is not None and names[link.source] not in uses.setdefault(tag, []):
                uses[tag].append(names[link.source])
    for tag in sorted({*uses, *what.gone}, key=natural):
        gone = tag in what.gone
        says = f"{models.get(tag, tag.rpartition('#')[0])}: {', '.join(uses.get(tag, ()))}"
        yield _row(gone, tag, f"GONE  {says}" if gone else says, tag, width, glyphs)


def _row(changed: bool, name: str, says: str, key: str, width: int, glyphs: Glyphs) -> Row:
    mark, role = CHANGED if changed else ("[ ]", "")
    label = min(max(width // 4, 8), 16)
    return Row(
        (
            (f"{mark} ", "warn" if changed else ""),
            (f"{fill(name, label, glyphs.dots)} ", "key"),
            (fill(says, max(width - label - 5, 1), glyphs.dots), "warn" if role else ""),
        ),
        key,
    )


def outcome_rows(
    found: Difference | None, plan: Plan, says: str, width: int, glyphs: Glyphs
) -> Sequence[Row]:
    """What would become of the day; ``says`` is shown where it is not known."""
    rows = [heading("What would change", width, glyphs)]
    if found is None:
        return [*rows, *paragraph(says, width, "dim", "    ")]
    mark, words, weight = verdict(found)
    rows += paragraph(words, width, weight, f"{mark} ")
    for section in sections(found, plan):
        rows += paragraph(section.heading, width, "head", "")
        for line in section.lines:
            rows += paragraph(line, width, section.weight, f"{section.mark} ")
    return rows
