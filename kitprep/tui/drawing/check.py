"""A scene's line check: its questions with what was answered, and one of them in full."""

from collections.abc import Mapping, Sequence

from kitprep.definitions.text import clock, counted
from kitprep.planning.packing import find_units
from kitprep.planning.results import SceneNeeds, WorkedDay
from kitprep.tui.drawing.lines import (
    Glyphs,
    Part,
    Row,
    cut,
    fill,
    heading,
    paragraph,
    progress,
)
from kitprep.tui.marks import CHECK
from kitprep.walks.line_check import CheckLine, Verdict, route, says_not_served, tally
from kitprep.walks.log import local_time

WORTH: tuple[tuple[Verdict, str], ...] = (
    ("differs", "differing"),
    ("unverified", "unverified"),
    ("ask again", "to ask again"),
)


def check_rows(
    day: WorkedDay, needs: SceneNeeds, lines: Sequence[CheckLine], width: int, glyphs: Glyphs
) -> list[Row]:
    """Every question of the scene, under the source and the destination that it is about."""
    says = says_not_served(day, needs)
    rows = paragraph(says, width, "warn", "[!] ") if says else []
    here = None
    for line in lines:
        about = (line.link.source, line.link.destination)
        if about != here:
            here = about
            rows.append(heading(route(day, line.link), width, glyphs))
        rows.append(_row(line, width, glyphs))
    return rows


def checked_rows(
    needs: SceneNeeds, lines: Sequence[CheckLine], width: int, glyphs: Glyphs
) -> list[Row]:
    """Which scene it is, and how far its line check is."""
    scene = needs.scene
    name = ", ".join(part for part in (scene.name, scene.place) if part)
    title = f"Scene {scene.number}   {clock(scene.start)}-{clock(scene.end)}   {name}"
    rows = [Row(((cut(title, width, glyphs.dots), "head"),))]
    says, counts = _checked(lines), tally(lines)
    if not lines:
        return rows + paragraph(says, width, "", "[ ] ")
    mark: Part | None = ("[!] ", "bad") if counts["differs"] else None
    return rows + progress(says, checked(counts), len(lines), width, glyphs, mark)


def checked(counts: Mapping[Verdict, int]) -> int:
    """How many lines have an answer that counts, whether as planned or not."""
    return counts["as planned"] + counts["differs"]


def summary(lines: Sequence[CheckLine], needs: SceneNeeds) -> str:
    """How far the scene is, in words; what is not served is never among what was checked."""
    dead = f", {counted(len(needs.unserved), 'link')} not served" if needs.unserved else ""
    return _checked(lines) + dead


def _checked(lines: Sequence[CheckLine]) -> str:
    """ "checked 7 of 24 lines, 2 to ask again"."""
    counts = tally(lines)
    parts = [f"checked {checked(counts)} of {counted(len(lines), 'line')}"]
    parts += [f"{counts[verdict]} {word}" for verdict, word in WORTH if counts[verdict]]
    return ", ".join(parts)


def _row(line: CheckLine, width: int, glyphs: Glyphs) -> Row:
    glyph, word, role = CHECK[line.verdict]
    saw = seen(line) if line.verdict != "open" else ""
    room = max(width - 27, 6)
    asks = line.question.asks if width >= 56 and not saw else saw
    parts: list[Part] = [
        (f"{glyph} ", role),
        (fill(word, 11), role),
        (f" {fill(line.question.name, 10)} ", "key"),
        (fill(asks, room, glyphs.dots), "" if saw else "dim"),
    ]
    return Row(tuple(parts), line.key)


def seen(line: CheckLine) -> str:
    """What was answered; what was planned is told only beside an answer."""
    answer = line.state.answer or ""
    if line.verdict == "differs":
        return f"{answer}, planned {line.question.expected}"
    if line.touched is not None:
        return f"ask again: {line.touched}"
    return f"{answer}, as in scene {line.carried}" if line.carried else answer


def question_rows(day: WorkedDay, line: CheckLine | None, width: int, glyphs: Glyphs) -> list[Row]:
    """One question with its answer, and the likely causes where it differs.

    Before an answer only the units are told, to be read off their labels.
    """
    if line is None:
        return []
    glyph, word, role = CHECK[line.verdict]
    rows = [heading(line.question.name, width, glyphs, f"{glyph} {word}")]
    if line.verdict in ("open", "ask again"):
        if line.touched is not None:
            rows += paragraph(f"asked again: {line.touched}", width, role, " ")
        units = find_units(day.kit)
        for tag in (line.link.transmitter, line.link.receiver):
            model, unit = units[tag]
            serial = f", serial {unit.serial}" if unit.serial else ""
            rows += paragraph(f"{tag} {model.name or model.model}{serial}", width, "", " ")
        return rows
    rows += paragraph(f"you saw {seen(line)}", width, role, " ")
    if line.verdict == "differs":
        for cause in line.question.likely(line.state.answer or ""):
            rows += paragraph(f"perhaps {cause}", width, "", " - ")
    at = local_time(line.state.at)[1][:5]
    return rows + paragraph(f"by {line.state.who} at {at}", width, "dim", " ")
