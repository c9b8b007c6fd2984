"""A company move: a small wrap of what is worn, rigged, plugged in or on a destination here."""

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on
from textual.binding import Binding, BindingType

from kitprep.definitions.text import clock
from kitprep.tui.drawing.lines import Glyphs, Part, Row, fill, heading, paragraph
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.out import Move, moves

if TYPE_CHECKING:
    from kitprep.tui.app import KitprepApp


def move_rows(found: Sequence[Move], width: int, glyphs: Glyphs) -> list[Row]:
    """Each move with what must come along, seen in or not, and what the next place needs."""
    rows: list[Row] = []
    for move in found:
        seen = sum(line.aboard for line in move.lines)
        title = f"{clock(move.leaving.end)} {move.leaving.place} to {move.coming.place}"
        rows.append(heading(title, width, glyphs, f"{seen} of {len(move.lines)} seen in"))
        places = {line.key: f"{line.where}: {line.with_whom}" for line in move.lines}
        room = min(max(map(len, places.values()), default=0), 28, max(width - 13 - 13 - 1 - 8, 8))
        for line in move.lines:
            glyph, word = ("[x]", "seen in") if line.aboard else ("[ ]", "here")
            name = max(width - 13 - 13 - 1 - room, 8)
            parts: list[Part] = [
                (f"{glyph} {fill(word, 8)} ", "good" if line.aboard else ""),
                (f"{fill(line.key, 12, glyphs.dots)} ", "key"),
                (f"{fill(line.name, name, glyphs.dots)} ", ""),
                (fill(places[line.key], room, glyphs.dots), "dim"),
            ]
            rows.append(Row(tuple(parts), f"{move.leaving.place}\n{line.key}"))
        for need in move.needs:
            says = f"at {move.coming.place} by {clock(move.coming.start)}: {need}"
            rows += paragraph(says, width, "", "  - ")
        rows.append(Row(()))
    return rows


class MoveSheet(Sheet[None]):
    """Ticked as things are seen into the truck, by key or by scanning."""

    FOOT: ClassVar[str] = " Enter Seen in   Scan a tag   Esc Close"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "seen", "Seen in", show=False)]

    @property
    def door(self) -> "KitprepApp":
        """The app, through which everything is recorded."""
        return cast("KitprepApp", self.app)

    @property
    def moves(self) -> tuple[Move, ...]:
        """The day's moves as they stand."""
        return moves(self.door.now.worked, self.door.now.state)

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """All moves of the day."""
        return move_rows(self.moves, width, glyphs)

    def action_seen(self) -> None:
        """The marked thing is in."""
        self.query_one(RowList).choose()

    @on(RowList.Chosen)
    def _seen(self, event: RowList.Chosen) -> None:
        place, _, key = event.key.partition("\n")
        self.door.in_turn(partial(self._is_in, place, key))

    async def _is_in(self, place: str, key: str) -> None:
        if await self.door.tell(key, "moved", to=place):
            for rows in self.query(RowList):  # none, where the sheet was left meanwhile
                rows.move(1)

    def scanned(self, code: str) -> None:
        """A scanned thing is in, at the first move that still waits for it."""
        self.door.in_turn(partial(self._scanned, code))

    async def _scanned(self, code: str) -> None:
        for move in self.moves:
            for line in move.lines:
                if line.key.casefold() == code.strip().casefold() and not line.aboard:
                    await self.door.tell(line.key, "moved", "scan", to=move.leaving.place)
                    return
        self.app.bell()
        self.door.look_up(code)
