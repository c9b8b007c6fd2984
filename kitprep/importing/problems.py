"""Mistakes in a spreadsheet, each with the row and the column that a person sees there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from kitprep.definitions.text import clean_message, shown


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is wrong; what to write. ``row`` counts from 1 and ``column`` from 0, where known."""

    row: int | None
    column: int | None
    message: str


class ImportProblems(Exception):
    """A spreadsheet that cannot be taken in; ``lines`` tells every mistake, from the top down."""

    def __init__(
        self, name: str, mistakes: Iterable[Mistake], headings: Sequence[str] = ()
    ) -> None:
        self.mistakes = tuple(sorted(mistakes, key=lambda m: (m.row or 0, m.column or 0)))
        self.lines = [_line(name, mistake, headings) for mistake in self.mistakes]
        super().__init__("\n".join(self.lines))


def letter(column: int) -> str:
    """A column's name in a spreadsheet: A to Z, then AA."""
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def _line(name: str, mistake: Mistake, headings: Sequence[str]) -> str:
    place = []
    if mistake.row is not None:
        place.append(f"row {mistake.row}")
    if mistake.column is not None:
        heading = headings[mistake.column] if mistake.column < len(headings) else ""
        place.append(f"column {letter(mistake.column)}" + (f" {shown(heading)}" if heading else ""))
    where = f"{name}: {', '.join(place)}" if place else name
    return clean_message(f"{where}: {mistake.message}")
