"""A list of lines with a cursor: one widget for every list, whatever its length.

It paints lines itself, so a thousand rows cost as much as twenty, and a move of the cursor repaints
two lines. The cursor is a mark in the text before it is a colour.
"""

from collections.abc import Callable, Sequence

from textual import events
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip

from kitprep.tui.drawing.lines import Line, Row
from kitprep.tui.widgets.painted import Painted
from kitprep.tui.widgets.plain_bar import plain_where_needed

Draw = Callable[[int], Sequence[Row]]
"""Rows for a width in cells."""

MARGIN = 2
LEAD = 4
"""Lines above the first row that stay in sight with it."""

NEAR = 4
"""A row so close beyond the edge is moved to; one further off is scrolled to, line by line."""


class RowList(Painted, ScrollView, can_focus=True, inherit_bindings=False):
    """Rows under a cursor; those with a key can be chosen."""

    class Moved(Message):
        """The cursor stands on another row."""

        def __init__(self, rows: "RowList", key: str | None) -> None:
            super().__init__()
            self.rows = rows
            self.key = key

        @property
        def control(self) -> "RowList":
            """The list."""
            return self.rows

    class Chosen(Message):
        """A row was clicked again, or Enter was pressed on it."""

        def __init__(self, rows: "RowList", key: str) -> None:
            super().__init__()
            self.rows = rows
            self.key = key

        @property
        def control(self) -> "RowList":
            """The list."""
            return self.rows

    def __init__(self, id: str, focusable: bool = True, classes: str = "") -> None:
        super().__init__(id=id, classes=classes)
        self.can_focus = focusable
        self._draw: Draw = lambda width: ()
        self._rows: tuple[Row, ...] = ()
        self._cursor: int | None = None
        self._wanted: str | None = None

    def on_mount(self) -> None:
        """The bar beside the list is of plain characters where the terminal needs it."""
        plain_where_needed(self)

    @property
    def rows(self) -> tuple[Row, ...]:
        """What is shown."""
        return self._rows

    @property
    def key(self) -> str | None:
        """The key under the cursor."""
        return None if self._cursor is None else self._rows[self._cursor].key

    @property
    def room(self) -> int:
        """Cells across, beside the scroll bar."""
        return self.scrollable_content_region.width

    def show(self, draw: Draw) -> None:
        """Shows what is drawn at this width; the cursor stays on its key."""
        self._draw = draw
        self._lay_out()

    def go_to(self, key: str | None, top: bool = False) -> None:
        """Puts the cursor on a key, now or as soon as there is such a row."""
        self._wanted = key
        self._settle_cursor()
        if top and self._cursor is not None:
            first = self._cursor - 1 if self._cursor > LEAD else 0
            self.scroll_to(y=first, animate=False)

    def move(self, by: int) -> None:
        """To the next row that can be chosen, or one line of scrolling where none is near."""
        top, height = self.scroll_offset.y, max(self.size.height, 1)
        here = self._cursor
        if here is not None and not top <= here < top + height and (here < top) == (by < 0):
            self.scroll_relative(y=by, animate=False)
            return
        chosen = [n for n, row in enumerate(self._rows) if row.key is not None]
        ahead = [n for n in chosen if here is None or (n > here if by > 0 else n < here)]
        target = (ahead[0] if by > 0 else ahead[-1]) if ahead else None
        edge = top + height - 1 + NEAR if by > 0 else top - NEAR
        if target is None or (target > edge if by > 0 else target < edge):
            self.scroll_relative(y=by, animate=False)
        else:
            self._put(target)

    def page(self, by: int) -> None:
        """A screenful on or back; the cursor goes to the first row there that can be chosen."""
        height = max(self.size.height - 1, 1)
        self.scroll_relative(y=by * height, animate=False, force=True)
        top = min(max(self.scroll_offset.y + 0, 0), max(len(self._rows) - 1, 0))
        inside = range(top, min(top + height + 1, len(self._rows)))
        order = inside if by > 0 else reversed(inside)
        if self._cursor in inside:
            # The list is at its end: the cursor goes there too.
            order = reversed(inside) if by > 0 else inside
        target = next((n for n in order if self._rows[n].key is not None), None)
        if target is not None:
            self._put(target)

    def render_line(self, y: int) -> Strip:
        """One line of what is seen."""
        number, width = y + self.scroll_offset.y, self.room
        if number >= len(self._rows):
            return Strip.blank(width, self.rich_style)
        at_cursor = number == self._cursor
        mark: Line = ((("> " if at_cursor else "  "), "key"),)
        return self.paint((*mark, *self._rows[number].line), width, at_cursor)

    def _lay_out(self) -> None:
        width = self.room
        if width <= 0:
            return
        before, self._rows = self._rows, tuple(self._draw(max(width - MARGIN, 1)))
        size = Size(width, len(self._rows))
        if self.virtual_size != size:
            self.virtual_size = size
            self.refresh()
        else:
            for number, (old, new) in enumerate(zip(before, self._rows, strict=True)):
                if old != new:
                    self._refresh_row(number)
        if self._cursor is not None:
            self._wanted = self._wanted or (
                before[self._cursor].key if self._cursor < len(before) else None
            )
            self._cursor = min(self._cursor, len(self._rows) - 1) if self._rows else None
        self._settle_cursor()

    def _settle_cursor(self) -> None:
        chosen = [n for n, row in enumerate(self._rows) if row.key is not None]
        wanted = next((n for n in chosen if self._rows[n].key == self._wanted), None)
        if wanted is not None:
            self._wanted = None
            self._put(wanted)
        elif not chosen:
            self._cursor = None
        elif self._cursor is None or self._rows[self._cursor].key is None:
            at = self._cursor or 0
            self._put(next((n for n in chosen if n >= at), chosen[-1]))

    def _put(self, number: int) -> None:
        old, self._cursor = self._cursor, number
        if old is not None:
            self._refresh_row(old)
        self._refresh_row(number)
        top, height = self.scroll_offset.y, max(self.size.height, 1)
        if number < top:
            # A heading just above belongs to what the cursor is on.
            above = number > 0 and self._rows[number - 1].key is None
            self.scroll_to(y=number - above, animate=False, force=True)
        elif number >= top + height:
            self.scroll_to(y=number - height + 1, animate=False, force=True)
        if old != number:
            self.post_message(self.Moved(self, self._rows[number].key))

    def _refresh_row(self, number: int) -> None:
        y = number - self.scroll_offset.y
        if 0 <= y < self.size.height:
            self.refresh(Region(0, y, self.size.width, 1))

    def on_resize(self, event: events.Resize) -> None:
        """Draws again for the new width; what stands over the first row to choose is seen with it
        where that has room again."""
        self._lay_out()
        if self._cursor is None:
            return
        self._put(self._cursor)
        if self._cursor < self.size.height and not any(r.key for r in self._rows[: self._cursor]):
            self.scroll_to(y=0, animate=False, force=True)

    def on_click(self, event: events.Click) -> None:
        """The first click points, a second on the same row chooses."""
        number = event.y + self.scroll_offset.y
        if not 0 <= number < len(self._rows) or (key := self._rows[number].key) is None:
            return
        if number == self._cursor:
            self.post_message(self.Chosen(self, key))
        else:
            self._put(number)

    def choose(self) -> None:
        """Enter on the row under the cursor."""
        if self.key is not None:
            self.post_message(self.Chosen(self, self.key))
