"""What the terminal can do, and whether it is still there."""

import locale
import os
import sys

from kitprep.tui.drawing.lines import ASCII, POOR_FONTS, UNICODE, Glyphs, fits


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


def can_run_ui() -> bool:
    """Whether there is a terminal that the screens can be drawn on."""
    if os.environ.get("TEXTUAL_DRIVER"):
        return True
    streams = (sys.__stdin__, sys.__stderr__)
    return os.environ.get("TERM") != "dumb" and all(s is not None and s.isatty() for s in streams)


def glyphs_here() -> Glyphs:
    """What the terminal can show: its stream, its locale and its font must all have it."""
    fitting = [fits(getattr(sys.__stderr__, "encoding", None)), fits(locale.getencoding())]
    poor = os.environ.get("TERM", "").startswith(POOR_FONTS)
    return ASCII if poor or ASCII in fitting else UNICODE
