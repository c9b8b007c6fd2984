"""The first picture: the day as it is written, while it is being worked out."""

from kitprep.tui.drawing.first import first_rows
from kitprep.tui.screens.frame import Framed
from kitprep.tui.widgets.bar import Word


class OpeningScreen(Framed):
    """The plan on its clock. Keys wait until the figures are there; one for a screen opens that."""

    @property
    def NAME(self) -> str:  # type: ignore[override]  # here it is what will be open
        """The screen that opens next."""
        return self.door.opens_on

    def on_mount(self) -> None:
        """There is nothing to wait for."""
        super().on_mount()
        self.repaint()

    def title_right(self, width: int) -> tuple[Word, ...]:
        """Where the stage will stand."""
        return ((f" working it out{self.glyphs.dots} ", "warn", None),)

    def repaint(self) -> None:
        """Shows the plan."""
        self.frame()
        self.rows.show(lambda width: first_rows(self.door.day.plan, width, self.glyphs))
