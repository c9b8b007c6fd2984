"""The first picture: the day as it is written, while it is being worked out."""

from textual.app import ComposeResult

from kitprep.tui.drawing.first import first_rows
from kitprep.tui.screens.frame import Framed, day_title
from kitprep.tui.widgets.bar import Word
from kitprep.tui.widgets.note import Note


class OpeningScreen(Framed):
    """The plan on its clock. Keys wait until the figures are there; one for a screen opens that."""

    @property
    def NAME(self) -> str:  # type: ignore[override]  # here it is what will be open
        """The screen that opens next."""
        return self.door.wanted or "day"

    def body(self) -> ComposeResult:
        """The plan, where the list of the day will stand."""
        yield Note("first")

    def on_mount(self) -> None:
        """There is nothing to wait for."""
        super().on_mount()
        self.repaint()

    def title_left(self, room: int) -> str:
        """The day; its kit is not read yet."""
        return day_title(self.door.first, room)

    def title_right(self, width: int) -> tuple[Word, ...]:
        """Where the stage will stand."""
        return ((f" working it out{self.glyphs.dots} ", "warn", None),)

    def repaint(self) -> None:
        """Shows the plan."""
        self.frame()
        note = self.query_one("#first", Note)
        note.show(lambda width: first_rows(self.door.first, width, self.glyphs))
