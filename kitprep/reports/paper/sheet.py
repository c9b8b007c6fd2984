"""What a sheet is: blocks of rows under columns, which every format writes in its own way."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Value = str | int | float | None
"""One cell: text as people wrote it, a figure, or nothing."""

Kind = Literal["text", "tag", "short", "number", "box", "write"]
"""How a column looks on paper.

Text takes the room that is left and breaks where it must; a tag and what is short stay in one
piece, a tag in bold; a box is ticked, and a line is written on.
"""


@dataclass(frozen=True, slots=True)
class Column:
    """A column. One without a ``key`` is on paper only, one without a ``heading`` in data only."""

    key: str
    heading: str
    kind: Kind = "text"

    @property
    def on_paper(self) -> bool:
        """Whether it is printed; a box has no heading and is."""
        return bool(self.heading) or self.kind == "box"


BOX = Column("", "", "box")
"""A box to tick."""


@dataclass(frozen=True, slots=True)
class Block:
    """A table under a heading; the notes are sentences above it. A card keeps in one piece."""

    heading: str
    notes: tuple[str, ...] = ()
    columns: tuple[Column, ...] = ()
    rows: tuple[tuple[Value, ...], ...] = ()
    card: bool = False

    @property
    def paper(self) -> tuple[tuple[Column, ...], tuple[tuple[Value, ...], ...]]:
        """The columns and rows that are printed, without short columns that say nothing."""
        at = [
            n
            for n, column in enumerate(self.columns)
            if column.on_paper
            and (column.kind != "short" or any(row[n] is not None for row in self.rows))
        ]
        columns = tuple(self.columns[n] for n in at)
        return columns, tuple(tuple(row[n] for n in at) for row in self.rows)

    @property
    def records(self) -> Iterator[dict[str, Value]]:
        """Each row as data."""
        for row in self.rows:
            yield {c.key: value for c, value in zip(self.columns, row, strict=True) if c.key}


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet, by its short name, with sentences that go before all."""

    key: str
    title: str
    notes: tuple[str, ...]
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Paper:
    """Sheets of one day, and what is written at the head of each."""

    kit: str
    kit_name: str
    day: str
    title: str
    sheets: tuple[Sheet, ...]

    @property
    def head(self) -> str:
        """The kit and the day in a line."""
        return ", ".join(part for part in (self.kit_name, self.day, self.title) if part)
