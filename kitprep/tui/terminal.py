"""Whether the terminal is still there."""

import sys


def terminal_gone() -> bool:
    """Whether the terminal is no more: to draw on it would hang, and to wait for it would spin."""
    try:
        import termios
    except ImportError:
        return False  # no such thing on this system
    try:
        termios.tcgetattr(sys.__stdin__.fileno())  # type: ignore[union-attr]
    except (OSError, ValueError, termios.error):
        return True
    return False
