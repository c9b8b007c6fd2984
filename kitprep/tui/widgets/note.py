"""A few lines of text in a place of their own: a question, a reply, a detail, a banner."""

from typing import TYPE_CHECKING

from textual.geometry import Size
from textual.strip import Strip

from kitprep.tui.drawing.lines import Role, Row, cut, paragraph, text
from kitprep.tui.widgets.painted import Painted

if TYPE_CHECKING:
    from kitprep.tui.widgets.row_list import Draw


class Note(Painted):
    """Lines with no cursor, drawn anew for each width; repainted only where they differ."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self._draw: Draw = lambda width: ()
        self._drawn: tuple[int, tuple[Row, ...]] = (0, ())

    def show(self, draw: "Draw") -> None:
        """Shows what is drawn at this width."""
        self._draw = draw
        before = self._drawn[1]
        rows = self._rows(self.size.width)
        if rows != before:
            self.refresh(layout=len(rows) != len(before) and self.styles.is_auto_height)

    def say(self, words: str, role: Role = "", mark: str = "") -> None:
        """Shows one paragraph."""
        self.show(lambda width: paragraph(words, width, role, mark) if words else ())

    @property
    def words(self) -> str:
        """What it says, as one line."""
        lines = ("".join(part for part, _ in row.line) for row in self._draw(200))
        return " ".join(line.strip() for line in lines)

    def _rows(self, width: int) -> tuple[Row, ...]:
        self._drawn = (width, tuple(self._draw(max(width, 1))))
        return self._drawn[1]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as it says."""
        return len(self._draw(max(width, 1)))

    def render_line(self, y: int) -> Strip:
        """One line of it."""
        width = self.size.width
        rows = self._drawn[1] if self._drawn[0] == width else self._rows(width)
        if y >= len(rows):
            return Strip.blank(width, self.rich_style)
        line = rows[y].line
        if y == self.size.height - 1 < len(rows) - 1:  # the end of it has no room: that is seen
            dots = self.glyphs.dots
            line = ((cut(text(line).rstrip(), width - len(dots), ""), line[-1][1]), (dots, "dim"))
        return self.paint(line, width)
