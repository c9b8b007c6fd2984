"""A screen on top of another leaves once, however fast its keys come.

A second Enter or Esc can be on its way while the first is being done; Textual would then take the
screen below away too, which is the job's own.
"""

from typing import Any

from textual.screen import Screen


def is_on_top(screen: Screen[Any]) -> bool:
    """Whether a screen lies over another and has the keys, so that it can leave."""
    stack = screen.app.screen_stack
    return len(stack) > 1 and stack[-1] is screen
