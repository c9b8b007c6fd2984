"""What is left in one unit's cells, against the clock: it falls, and stands full after a change."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from kitprep.planning.packing import find_units
from kitprep.planning.results import UnitCells, WorkedDay
from kitprep.planning.under_way import Level
from kitprep.tui.drawing.clock import Clock
from kitprep.tui.drawing.day import clock_over
from kitprep.tui.drawing.lines import ASCII, Glyphs, Part, Role, Row, fill, heading, paragraph
from kitprep.walks.feeding import CellLine
from kitprep.walks.power import planned_hours, serves

BESIDE = 3
"""Cells that a list has beside its lines: the mark of the cursor, and the bar."""

EIGHTHS = " ▁▂▃▄▅▆▇█"
TENTHS = " 123456789"
"""How full a cell of the screen is, where there is more than ASCII and where there is not."""


def columns(width: int) -> tuple[int, int]:
    """Columns for what stands before a unit's bar, and for the note after it."""
    if width >= 110:
        return (52 if width >= 160 else 40), 18
    return (26, 18) if width >= 74 else (18, 8) if width >= 56 else (6, 0)


def gauge_rows(
    day: WorkedDay, line: CellLine, width: int, height: int, glyphs: Glyphs
) -> list[Row]:
    """The unit, its set through the day on so many lines, and what is to be done in words.

    It stands under the bars of the power screen, hour under hour.
    """
    feed = next(feed for feed in day.feeds if feed.unit == line.unit)
    rows = [heading(_whose(day, feed), width, glyphs, f"{feed.count} x {feed.cell}")]
    if feed.known:
        inner = width - BESIDE
        label, note = columns(inner)
        over = clock_over(day, inner - label - note - 1, glyphs)
        rows += _picture(day.plan.reserve, line, over, label, height)
    return [*rows, *paragraph(_words(day, feed, line), width, _role(line), " ")]


def _whose(day: WorkedDay, feed: UnitCells) -> str:
    model, _ = find_units(day.kit).get(feed.unit, (None, None))
    return f"{feed.unit} {model.name if model else ''}: {', '.join(serves(day, feed.unit))}"


def _role(line: CellLine) -> Role:
    if line.next is None:
        return "warn" if line.due == "not known" else "dim"
    return "bad" if line.next.mid_scene or line.due == "overdue" else "warn"


def _words(day: WorkedDay, feed: UnitCells, line: CellLine) -> str:
    hours = planned_hours(day, feed)
    if hours is None:
        return "Nobody knows how long a set lasts: look often, change early."
    kept = day.plan.reserve
    back = f", {kept * 100:g} % kept back" if kept else ""
    lasts = f"A fresh set: {hours:.1f} h on air{back}."
    if line.next is None:
        return f"{lasts} The set that is in lasts the day."
    return f"{lasts} Next: {line.says}."


def _picture(reserve: float, line: CellLine, over: Clock, label: int, height: int) -> Iterator[Row]:
    """From the top down; the day's reserve is the lowest part, marked where it is."""
    glyphs = over.glyphs
    shares = [_share(line.levels, reserve, over, column) for column in range(over.width)]
    changes = {over.column(change.by) for change in line.changes}
    changes |= {over.column(at) for at in line.fresh}
    for row in range(height - 1, -1, -1):
        cells: list[Part] = []
        for column, share in enumerate(shares):
            if row == height - 1 and column in changes:
                cells.append((glyphs.change, "warn"))
            else:
                low = share is not None and share <= reserve
                cells.append((_filled(share, row, height, glyphs), "bad" if low else "bar"))
        runs = groupby(cells, key=lambda cell: cell[1])
        parts: list[Part] = [("".join(char for char, _ in run), role) for role, run in runs]
        yield Row(((f"  {fill(_scale(row, height, reserve), label)}", "dim"), *parts))


def _scale(row: int, height: int, reserve: float) -> str:
    if row == height - 1:
        return "left in the set"
    return f"reserve, {reserve * 100:g} %" if row == 0 else ""


def _share(levels: Sequence[Level], reserve: float, over: Clock, column: int) -> float | None:
    """What is left, reserve and all, as a share of a fresh set in the middle of a column."""
    minute = over.start + (column + 0.5) * (over.end - over.start) / over.width
    level = next((one for one in levels if one.start <= minute < one.end), None)
    if level is None:
        return None
    part = (minute - level.start) / (level.end - level.start)
    left = level.before + (level.after - level.before) * part
    return max(reserve + (1 - reserve) * left, 0.0)


def _filled(share: float | None, row: int, height: int, glyphs: Glyphs) -> str:
    """The character that is filled as far as the level is within its row."""
    if share is None:
        return " "
    steps = TENTHS if glyphs is ASCII else EIGHTHS
    most = len(steps) - 1
    return steps[round(min(max(share * height - row, 0.0), 1.0) * most)]
