"""What is read and signed at the end of a walk."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.sheets.base import Sheet


class StatementSheet(Sheet[bool]):
    """Lines to read; Ctrl+S signs them, which no scanner and no slip of a finger presses."""

    ABOUT = "statement"
    FOOT: ClassVar[str] = " ^S Sign   Esc Not yet   Up/Down Scroll"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+s", "sign", "Sign", show=False)]

    def __init__(self, draw: Callable[[int, Glyphs], Sequence[Row]]) -> None:
        super().__init__()
        self._drawn = draw

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What is signed."""
        return self._drawn(width, glyphs)

    def action_sign(self) -> None:
        """It is so."""
        self.dismiss(True)

    def action_leave(self) -> None:
        """Not yet."""
        self.dismiss(False)
