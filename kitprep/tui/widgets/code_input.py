"""The field that is always ready: for a tag, typed or scanned, and for an answer.

A scanner is a fast keyboard that ends in Enter. A stock input takes Enter later than letters, so
that codes in one burst run together; this one takes every key in the order in which it came.

Where answers are offered, the key of one answers by itself. It waits for a moment to be told from
the first of a scanner's keys.
"""

from collections import deque
from functools import partial
from itertools import pairwise
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Input

FAST_S = 0.035
"""No hand types a whole code with less time than this between its keys."""

ECHO_S = 0.15
"""An Enter so soon after a code is the scanner's own second line end, not a person's."""

HABIT_S = 0.4
"""An Enter so soon after the key of an answer belongs to that answer, not to what is asked next."""

_ENDS = ("enter", "ctrl+j", "tab")
_FRAMING = ("ctrl+b", "ctrl+c", "ctrl+right_square_bracket")
"""Start and end marks that some scanners put around a code."""


class CodeInput(Input, inherit_bindings=False):
    """One line for codes and answers; it keeps only the editing keys that nothing else needs."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "cursor_left", "Left", show=False),
        Binding("right", "cursor_right", "Right", show=False),
        Binding("home", "home", "Start", show=False),
        Binding("end", "end", "End", show=False),
        Binding("backspace", "delete_left", "Delete left", show=False),
        Binding("delete", "delete_right", "Delete right", show=False),
        Binding("ctrl+u", "delete_left_all", "Delete all", show=False),
    ]

    class Scanned(Message):
        """A code or an answer came in; ``fast`` where no hand can have typed it."""

        def __init__(self, code: str, fast: bool) -> None:
            super().__init__()
            self.code = code
            self.fast = fast

    class Entered(Message):
        """Enter was pressed on the empty field."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id, compact=True, select_on_focus=False, max_length=200)
        self.cursor_blink = False  # a blink is traffic on a slow link
        self._times: deque[float] = deque(maxlen=64)
        self._ended = 0.0
        self._last_fast = False
        self._last_key = 0.0
        self.choices: frozenset[str] = frozenset()
        self._waits: tuple[str, float] | None = None
        self._answered = 0.0

    async def _on_key(self, event: events.Key) -> None:
        after, self._last_key = event.time - self._last_key, event.time
        if self._waits is not None:
            self._settle(event.is_printable or event.key in _ENDS, event.time)
        if event.key in _FRAMING and (event.key != "ctrl+c" or after < FAST_S):
            event.stop()
            event.prevent_default()
        elif event.key in _ENDS and (event.key != "tab" or self.value):
            event.stop()
            event.prevent_default()
            self._end(event.time, by_enter=event.key == "enter")
        elif event.is_printable:
            self._times.append(event.time)
            if self._may_answer(event.character or ""):
                event.stop()
                event.prevent_default()
                self._waits = (event.character or "", event.time)
                self.set_timer(FAST_S, partial(self._alone, event.time))

    def _may_answer(self, character: str) -> bool:
        """Whether a key can be an answer: what is typed while something is written is not."""
        return character in self.choices and not self.value and not getattr(self.app, "is_busy", 0)

    def _alone(self, since: float) -> None:
        """No key has followed by now, or it stands in the app's queue and comes here first."""

        def settle() -> None:
            if self._waits is not None and self._waits[1] == since:
                self._settle(False, since)

        self.app.call_later(self.call_later, settle)

    def _settle(self, goes_on: bool, now: float) -> None:
        """The key that waits is an answer, or the beginning of what follows so closely."""
        assert self._waits is not None
        (character, since), self._waits = self._waits, None
        if goes_on and now - since < FAST_S:
            self.insert_text_at_cursor(character)
            return
        self._answered = since
        self._times.clear()
        self._hand_on(self.Scanned(character, fast=False))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """An empty field has no use for the arrows: the screen has."""
        if action in ("cursor_left", "cursor_right", "home", "end") and not self.value:
            return False
        return super().check_action(action, parameters)

    def _end(self, now: float, by_enter: bool) -> None:
        code, self.value = self.value.strip(), ""
        echo = self._last_fast and now - self._ended < ECHO_S
        if code:
            self._ended, self._last_fast = now, self._was_fast(now)
            self._hand_on(self.Scanned(code, self._last_fast))
        elif by_enter and not echo and now - self._answered >= HABIT_S:
            self._hand_on(self.Entered())
        self._times.clear()

    def _was_fast(self, now: float) -> bool:
        times = [*self._times, now]
        gaps = [later - sooner for sooner, later in pairwise(times)]
        return len(times) > 3 and max(gaps) < FAST_S

    def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        for line in event.text.splitlines():
            if line.strip():
                code = line.strip()[: self.max_length]  # nothing longer can be typed either
                self._hand_on(self.Scanned(code, fast=True))

    def _hand_on(self, message: Message) -> None:
        """Sends a message up the way that the keys that are not the field's go, in their order.

        Posted to the field itself, it would come behind the keys that wait here.
        """
        assert self._parent is not None
        self._parent.post_message(message)
