"""A sheet of lines over the screen; keys scroll it, and close it."""

from collections.abc import Sequence
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen

from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.once import is_on_top
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.painted import Painted
from kitprep.tui.widgets.row_list import RowList

Answer = TypeVar("Answer")


class Sheet(ModalScreen[Answer]):
    """A list of lines with a foot that says how to leave it."""

    AUTO_FOCUS = "#sheet-rows"
    FOOT: ClassVar[str] = " Esc Close   Up/Down Scroll"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown,space", "page(1)", "Page down", show=False),
        Binding("escape,f1,q", "leave", "Close", show=False),
    ]

    def compose(self) -> ComposeResult:
        """The lines and the foot."""
        with Vertical(id="sheet"):
            yield RowList("sheet-rows")
            yield Bar(id="sheet-foot")

    def on_mount(self) -> None:
        """Drawn once it has its size."""
        self.query_one("#sheet-foot", Bar).words = ((self.foot, "key", None),)
        self.call_after_refresh(self.repaint)

    def dismiss(self, result: Answer | None = None) -> AwaitComplete:
        """Leaves, where it is still there to leave."""
        return super().dismiss(result) if is_on_top(self) else AwaitComplete()

    @property
    def foot(self) -> str:
        """How it is used and left."""
        return self.FOOT

    def repaint(self) -> None:
        """Shows the lines as they are now."""
        rows = next(iter(self.query(RowList)), None)
        if rows is not None:  # a tick may come in before the sheet is laid out
            glyphs = rows.glyphs
            rows.show(lambda width: self.lines(width, glyphs))

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What is on the sheet."""
        raise NotImplementedError

    @property
    def painted(self) -> Painted:
        """The list of lines."""
        return self.query_one(RowList)

    def action_move(self, by: int) -> None:
        """One line."""
        self.query_one(RowList).move(by)

    def action_page(self, by: int) -> None:
        """A screenful."""
        self.query_one(RowList).page(by)

    def action_leave(self) -> None:
        """Away with it."""
        self.dismiss(None)
