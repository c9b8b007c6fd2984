"""Whether the terminal is still there."""

import sys


def terminal_gone() -> bool:
    """Whether the terminal is no more: to draw on it would hang, and to wait for it would spin."""
    try:
        import termios
    except ImportError:
        return False  # no such thing on this system
    if sys.__stdin__ is None:
        return True
    try:
        termios.tcgetattr(sys.__stdin__.fileno())
    except (OSError, ValueError, termios.error):
        return True
    return False
