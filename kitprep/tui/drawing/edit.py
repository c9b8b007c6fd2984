"""What can be changed, and a change before it is written: what it does to the day, and the text."""

import re
from collections.abc import Iterator, Sequence

from kitprep.definitions.added_units import TAGGED
from kitprep.definitions.loading import Day
from kitprep.definitions.text import clock
from kitprep.tui.drawing.lines import Glyphs, Part, Role, Row, fill, heading, paragraph

PLACE = re.compile(r"@@ -\d+(?:,\d+)? \+(\d+)(?:,\d+)? @@$")
"""Where a part of a unified difference stands in the file as it will be."""

HEADINGS = {
    "scene": "Scenes",
    "source": "Sources",
    "destination": "Destinations",
    "unit": "Units",
}
"""The lists of what can be changed, by kind, in their order."""


def entry_rows(day: Day, width: int, glyphs: Glyphs) -> list[Row]:
    """Everything that has a form; a row's key is kind:name, or kind: alone for a new one."""
    rows: list[Row] = []
    told = {
        "scene": _scenes(day),
        "source": _sources(day),
        "destination": _destinations(day),
        "unit": _units(day),
    }
    for kind, title in HEADINGS.items():
        rows.append(heading(title, width, glyphs))
        rows += [_row(kind, name, says, width, glyphs) for name, says in told[kind]]
        rows.append(Row(((f"[+] a new {kind}", "key"),), f"{kind}:"))
    return rows


def _scenes(day: Day) -> Iterator[tuple[str, str]]:
    for scene in day.plan.scenes:
        times = f"{clock(scene.start)}-{clock(scene.end)}"
        yield scene.number, f"{times}  {scene.name or scene.place}"


def _sources(day: Day) -> Iterator[tuple[str, str]]:
    for source in day.plan.sources:
        way = f"{source.mode}, to {', '.join(source.to)}"
        yield source.id, f"{source.name}: {way}" if source.name else way


def _destinations(day: Day) -> Iterator[tuple[str, str]]:
    for destination in day.plan.destinations:
        inputs = f"{destination.inputs} inputs {destination.connector}"
        yield destination.id, f"{destination.name}: {inputs}" if destination.name else inputs


def _units(day: Day) -> Iterator[tuple[str, str]]:
    for attribute, _ in TAGGED:
        for model in getattr(day.kit, attribute):
            for unit in model.units:
                state = "" if unit.state == "ok" else f", {unit.state}"
                ended = f", ended {unit.ended.isoformat()}" if unit.ended else ""
                yield unit.tag, f"{model.name or model.model}{state}{ended}"


def _row(kind: str, name: str, says: str, width: int, glyphs: Glyphs) -> Row:
    label = min(max(width // 4, 8), 16)
    return Row(
        (
            (f"{fill(name, label, glyphs.dots)} ", "key"),
            (fill(says, max(width - label - 1, 1), glyphs.dots), ""),
        ),
        f"{kind}:{name}",
    )


def difference_rows(lines: Sequence[str], width: int) -> list[Row]:
    """A unified difference; a line too long goes on under itself, so that nothing is hidden."""
    roles: dict[str, Role] = {"+": "good", "-": "bad"}
    rows: list[Row] = []
    for line in lines:
        place = PLACE.match(line)
        if place is not None:
            rows.append(Row(((f"from line {place[1]}:", "dim"),)))
            continue
        role = roles.get(line[:1], "")
        for start in range(0, max(len(line), 1), max(width, 1)):
            part: Part = (line[start : start + width], role)
            rows.append(Row((part,)))
    return rows


def refusal_rows(sentences: Sequence[str], width: int) -> list[Row]:
    """What stands in the way."""
    return [row for says in sentences for row in paragraph(says, width, "bad", "[!] ")]
