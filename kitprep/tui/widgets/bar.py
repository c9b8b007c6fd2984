"""A line of words across the screen, some of which do something when they are clicked."""

from collections.abc import Sequence

from rich.cells import cell_len
from textual import events
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip

from kitprep.tui.drawing.lines import Role, cut
from kitprep.tui.widgets.painted import Painted

Word = tuple[str, Role, str | None]
"""Words, their role, and the command that a click on them runs."""


class Bar(Painted):
    """One line; its right end is kept when there is no room for all."""

    words: reactive[tuple[Word, ...]] = reactive(())
    right: reactive[tuple[Word, ...]] = reactive(())

    class Clicked(Message):
        """A word with a command was clicked."""

        def __init__(self, command: str) -> None:
            super().__init__()
            self.command = command

    def fitted(self, width: int) -> Sequence[Word]:
        """What is shown in so many cells."""
        tail = [(self._cut(words, width), role, c) for words, role, c in self.right]
        room = width - sum(cell_len(words) for words, _, _ in tail)
        shown: list[Word] = []
        for words, role, command in self.words:
            if room <= 0:
                break
            fitting = self._cut(words, room)
            shown.append((fitting, role, command))
            room -= cell_len(fitting)
        if tail and room > 0:
            shown.append((" " * room, "", None))
        return [*shown, *tail]

    def _cut(self, words: str, width: int) -> str:
        """Spaces at the ends are part of the layout while all fits."""
        return cut(words, width, self.glyphs.dots) if cell_len(words) > width else words

    def render_line(self, y: int) -> Strip:
        """The line."""
        width = self.size.width
        if y:
            return Strip.blank(width, self.rich_style)
        return self.paint([(words, role) for words, role, _ in self.fitted(width)], width)

    def on_click(self, event: events.Click) -> None:
        """Runs what is under the pointer."""
        at = 0
        for words, _, command in self.fitted(self.size.width):
            at += cell_len(words)
            if event.x < at:
                if command is not None:
                    self.post_message(self.Clicked(command))
                return
