"""The field under a form, for the line that is being filled in.

Keys may come in a burst, over a slow link or out of a scanner. A stock input puts letters in at
once and acts on all other keys later; here every key is acted on in its turn.
"""

from collections.abc import Callable

from textual import events
from textual.widgets import Input

LONGEST = 20_000
"""Characters; what a line may really hold is the definitions' word."""


class LineInput(Input, inherit_bindings=False):
    """One line of text. ``takes`` has the first word on every key; ``written`` hears each text."""

    def __init__(
        self, id: str, takes: Callable[[str], bool], written: Callable[[str], None]
    ) -> None:
        self._takes, self._written = takes, written
        super().__init__(id=id, compact=True, select_on_focus=False, max_length=LONGEST)
        self.cursor_blink = False  # a blink is traffic on a slow link

    async def _on_key(self, event: events.Key) -> None:
        edits = {
            "left": self.action_cursor_left,
            "right": self.action_cursor_right,
            "home": self.action_home,
            "end": self.action_end,
            "backspace": self.action_delete_left,
            "delete": self.action_delete_right,
            "ctrl+u": self.action_delete_left_all,
        }
        if self._takes(event.key):
            pass
        elif event.key in edits:
            edits[event.key]()
        else:
            return  # a letter is put in behind this, by the stock input
        event.stop()
        event.prevent_default()

    def watch_value(self, value: str) -> None:
        """Told at once, while it is still clear which line it is."""
        self._written(value)

    def fill(self, text: str) -> None:
        """Another line's text, with the cursor behind it."""
        self.value = text
        self.cursor_position = len(text)
