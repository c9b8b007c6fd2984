"""Text as every definition has it: cleaned, quoted in messages, and read as a time of the day.

Text that people or spreadsheets wrote is cleaned here once, so that nothing further on can meet an
escape code or a reversed line; it is still only text, and is shown as text. Nothing here needs
pydantic: the field types that do are in ``fields``.
"""

import re
import unicodedata
from datetime import time

# C0 and C1 controls reach a terminal as commands; the bidi marks reorder what is around them; the
# line and paragraph separators break a line where nobody sees a reason.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]")
_CONTROL_BUT_NEWLINE = re.compile(_CONTROL.pattern.replace(r"\x00-\x1f", r"\x00-\x09\x0b-\x1f"))
# Two tags that look alike must be alike: a blank is a blank, and what has no width is not there.
_BLANK = re.compile(r"[^\S\n]")
_NO_WIDTH = re.compile(r"[\u00ad\u200b\u2060\ufeff]")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})")

LONGEST_LINE = 200
LONGEST_LABEL = 50
"""Characters of one line, and of a name by which the ledger knows a thing."""

LONGEST_SHOWN = 40
"""Characters of a value that a message quotes."""

BITS_OF_AN_INTEGER = 64
"""TOML's integers; Python reads longer ones, and then refuses to write them out."""

MINUTES_A_DAY = 24 * 60
LATEST_MINUTE = 2 * MINUTES_A_DAY
"""Call sheets count past midnight; no shooting day runs past the end of the next one."""


def clean_line(text: str) -> str:
    """The text on one line, NFC, without control or direction marks; any blank is a plain one."""
    return _clean(_CONTROL.sub(" ", text))


def clean_notes(text: str) -> str:
    """As :func:`clean_line`, but line breaks stay."""
    return _clean(_CONTROL_BUT_NEWLINE.sub(" ", text))


def clean_message(text: str) -> str:
    """A message on one line, without what would steer a terminal; its blanks stay, as in a path."""
    return _CONTROL.sub(" ", text)


def _clean(text: str) -> str:
    return unicodedata.normalize("NFC", _NO_WIDTH.sub("", _BLANK.sub(" ", text))).strip()


def shown(value: object) -> str:
    """A value as it is quoted in a message: as TOML writes it, and short."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= LONGEST_SHOWN else f'"{value[:LONGEST_SHOWN]}…"'
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and value.bit_length() > BITS_OF_AN_INTEGER:
        return "a huge number"
    return str(value)


def scene_number(value: object) -> object:
    """The number of a scene as text, where it is written as a whole number."""
    return f"{value}" if type(value) is int and abs(value) < 1_000_000 else value


def parse_clock(value: object) -> int:
    """Minutes from the day's midnight of "HH:MM" (25:30 is 01:30 next morning) or a TOML time.

    Raises:
        ValueError: what is wrong; what to write.
    """
    if isinstance(value, time):
        if value.second or value.microsecond:
            raise ValueError(f'{value} has seconds; write hours and minutes: "{value:%H:%M}"')
        return value.hour * 60 + value.minute
    match = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or int(match[2]) > 59:
        raise ValueError(f'{shown(value)} is not a time; write "HH:MM", such as "07:30"')
    minutes = int(match[1]) * 60 + int(match[2])
    if minutes > LATEST_MINUTE:
        raise ValueError(f'{shown(value)} is past the end of the next day; write at most "48:00"')
    return minutes


def clock(minutes: int) -> str:
    """The call-sheet writing of a minute of the day: 450 is "07:30", 1530 is "25:30".

    What must be done before midnight for a scene soon after it is of "the day before".
    """
    if minutes < 0:
        return f"{clock(minutes + 24 * 60)} the day before"
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 pack", "2 packs"."""
    return f"{number} {one if number == 1 else many or one + 's'}"
