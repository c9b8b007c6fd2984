"""The day on one clock: its places, a bar a scene with how it stands, breaks, changes of cells."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitprep.definitions.glimpse import Glimpse, SeenScene
from kitprep.definitions.text import clock, counted
from kitprep.tui.drawing.clock import Clock, Mark, Span, lanes
from kitprep.tui.drawing.lines import Glyphs, Role, Row, fill

if TYPE_CHECKING:
    from kitprep.definitions.plan import Plan, Scene


@dataclass(frozen=True, slots=True)
class Look:
    """How a scene stands: a mark, the character of its bar, each with its role, and a note."""

    mark: str
    role: Role
    bar: str
    bar_role: Role
    note: str


@dataclass(frozen=True, slots=True)
class Chart:
    """What is drawn: scenes by their numbers, and minutes beside theirs that must be on the clock.

    ``changes`` are marks for changes of cells.
    """

    plan: "Plan | Glimpse"
    minutes: Sequence[int]
    looks: Mapping[str, Look]
    changes: Sequence[Mark]


def labels(width: int) -> tuple[int, int]:
    """Columns for the name before a bar, and for the note after it."""
    if width >= 110:
        return (44 if width >= 160 else 34), 21
    return (22, 16) if width >= 74 else (12, 11) if width >= 56 else (11, 0)


def day_clock(plan: "Plan | Glimpse", minutes: Iterable[int], width: int, glyphs: Glyphs) -> Clock:
    """The clock over a plan's scenes and breaks, and over other minutes."""
    spans = (*plan.scenes, *plan.breaks)
    return Clock.over(
        [*(t for span in spans for t in (span.start, span.end)), *minutes], width, glyphs
    )


def chart_rows(chart: Chart, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """The chart; the row of a scene can be chosen."""
    plan = chart.plan
    label, note = labels(width)
    over = day_clock(plan, chart.minutes, width - label - note - 1, glyphs)
    yield Row(((" " * label, ""), (over.axis(), "head")))
    for row in lanes(_places(plan)):
        spans: list[Span] = [(start, end, place, "key") for start, end, place in row]
        yield Row(((fill("    place", label), "dim"), *over.words(spans)))
    by_start: list[tuple[int, int, Row]] = [
        (scene.start, 0, _scene_row(scene, chart.looks[scene.number], over, label, note))
        for scene in plan.scenes
    ]
    for pause in plan.breaks:
        name = fill(f"    {pause.name}", label - 1, glyphs.dots) + " "
        bar = over.bar([(pause.start, pause.end, glyphs.half, "dim")])
        by_start.append((pause.start, 1, Row(((name, "dim"), *bar))))
    yield from (row for _, _, row in sorted(by_start, key=lambda entry: entry[:2]))
    if chart.changes:
        says = _note(counted(len(chart.changes), "change"), note, over)
        bar = over.bar([], chart.changes)
        name = fill("    cell changes" if label > 14 else "    changes", label)
        yield Row(((name, "dim"), *bar, (says, "warn")))


def _places(plan: "Plan | Glimpse") -> list[tuple[int, int, str]]:
    """Each stay at a place, by the scenes that follow each other there."""
    stays: list[tuple[int, int, str]] = []
    open_at: dict[str, int] = {}
    scenes: Sequence[Scene | SeenScene] = plan.scenes
    for scene in sorted(scenes, key=lambda scene: scene.start):
        if not scene.place:
            continue
        number = open_at.get(scene.place)
        left = number is not None and any(
            stay[2] != scene.place and stays[number][1] <= stay[0] < scene.start for stay in stays
        )
        if number is None or left:
            open_at[scene.place] = len(stays)
            stays.append((scene.start, scene.end, scene.place))
        else:
            start, end, place = stays[number]
            stays[number] = (start, max(end, scene.end), place)
    return stays


def _scene_row(scene: "Scene | SeenScene", look: Look, over: Clock, label: int, note: int) -> Row:
    name = f" {scene.number} " if label < 20 else f" {fill(scene.number, 5)} {scene.place}"
    if label >= 30:
        name = f" {fill(scene.number, 5)} {clock(scene.start)}-{clock(scene.end)} {scene.place}"
    bar = over.bar([(scene.start, scene.end, look.bar, look.bar_role)])
    says = _note(look.note, note, over)
    lead = fill(name, label - 4, over.glyphs.dots) + " "
    line = ((look.mark, look.role), (lead, ""), *bar, (says, "bad" if look.role == "bad" else ""))
    return Row(line, f"scene:{scene.number}")


def _note(words: str, width: int, over: Clock) -> str:
    return f" {fill(words, width - 1, over.glyphs.dots)}" if width > 1 else ""
