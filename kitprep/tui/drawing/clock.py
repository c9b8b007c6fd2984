"""Time from left to right: an axis of hours, bars under it, and marks on them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from kitprep.tui.drawing.lines import ASCII, Glyphs, Line, Role, cut

Span = tuple[int, int, str, Role]
"""From a minute up to a minute, drawn with a character, in a role."""

Mark = tuple[int, str, Role]


@dataclass(frozen=True, slots=True)
class Clock:
    """Whole hours laid over so many columns."""

    start: int
    end: int
    width: int
    glyphs: Glyphs

    @classmethod
    def over(cls, minutes: Iterable[int], width: int, glyphs: Glyphs) -> "Clock":
        """The clock that shows all these minutes, from a full hour to a full hour."""
        shown = list(minutes) or [0, 60]
        start = min(shown) // 60 * 60
        end = max(-(-max(shown) // 60) * 60, start + 60)
        hours = (end - start) // 60
        # The same number of columns for each hour, or the eye takes equal scenes for unequal ones.
        return cls(start, end, max(width // hours * hours or width, 1), glyphs)

    def column(self, minute: int) -> int:
        """Where a minute stands."""
        inside = min(max(minute, self.start), self.end)
        return min((inside - self.start) * self.width // (self.end - self.start), self.width - 1)

    def _edge(self, minute: int) -> int:
        inside = min(max(minute, self.start), self.end)
        return round((inside - self.start) * self.width / (self.end - self.start))

    @property
    def _step(self) -> int:
        """Hours from label to label, so that two digits and a space have room."""
        hours = (self.end - self.start) // 60
        return next((n for n in (1, 2, 3, 4, 6, 12) if self.width * n // hours >= 3), 24)

    def axis(self) -> str:
        """The hours, as a call sheet counts them: 25 is one next morning."""
        cells = [" "] * (self.width + 1)
        for minute in range(self.start, self.end + 1, self._step * 60):
            at, label = self._edge(minute), f"{minute // 60:02d}"
            if at + 2 <= self.width + 1:
                cells[at : at + 2] = label
        return "".join(cells)[: self.width + 1].rstrip()

    def bar(self, spans: Sequence[Span], marks: Sequence[Mark] = ()) -> Line:
        """One row under the axis: a dot at each label, spans over it, marks over them."""
        dot = "." if self.glyphs is ASCII else "·"
        cells: list[tuple[str, Role]] = [(" ", "")] * self.width
        for minute in range(self.start, self.end, self._step * 60):
            cells[self.column(minute)] = (dot, "dim")
        for start, end, char, role in spans:
            first = min(self._edge(start), self.width - 1)
            last = max(self._edge(end), first + 1)
            cells[first:last] = [(char, role)] * (min(last, self.width) - first)
        for minute, char, role in marks:
            cells[self.column(minute)] = (char, role)
        return tuple(
            ("".join(char for char, _ in run), role)
            for role, run in groupby(cells[: self.width], key=lambda cell: cell[1])
        )

    def words(self, spans: Sequence[tuple[int, int, str, Role]]) -> Line:
        """One row with a name written in each span, from its first column."""
        cells: list[tuple[str, Role]] = [(" ", "")] * self.width
        for start, end, name, role in spans:
            first = min(self._edge(start), self.width - 1)
            last = min(max(self._edge(end), first + 1), self.width)
            shown = cut(name, last - first - 1, self.glyphs.dots)
            line = f"{shown} ".ljust(last - first, self.glyphs.across)
            # A wide character fills two cells: what follows it in its row must not move.
            cells[first:last] = _in_cells(line, last - first, role)
        return tuple(
            ("".join(char for char, _ in run), role)
            for role, run in groupby(cells[: self.width], key=lambda cell: cell[1])
        )


def _in_cells(words: str, width: int, role: Role) -> list[tuple[str, Role]]:
    from rich.cells import cell_len, set_cell_size

    cells: list[tuple[str, Role]] = []
    for char in set_cell_size(words, width):
        size = cell_len(char)
        if size == 0 and cells:
            cells[-1] = (cells[-1][0] + char, role)
        elif size:
            cells += [(char, role), *([("", role)] * (size - 1))]
    return cells[:width]


def lanes(spans: Sequence[tuple[int, int, str]]) -> list[list[tuple[int, int, str]]]:
    """Spans on as few rows as keep them apart, the earliest first."""
    rows: list[list[tuple[int, int, str]]] = []
    for span in sorted(spans):
        row = next((row for row in rows if row[-1][1] <= span[0]), None)
        if row is None:
            rows.append([span])
        else:
            row.append(span)
    return rows
