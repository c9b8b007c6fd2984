"""A value as TOML, on one line, as people write it in these files."""

import json
import re
from collections.abc import Mapping, Sequence
from datetime import date

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def value_text(value: object) -> str:
    """Text, number, truth, date, list or table, as it stands after the equals sign.

    Raises:
        TypeError: where TOML has no such value.
    """
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            # JSON's escapes are TOML's too; but TOML wants DEL escaped as well.
            return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
        case int() | float():
            return repr(value)
        case date():
            return value.isoformat()
        case Mapping():
            pairs = ", ".join(pair_text(str(key), inner) for key, inner in value.items())
            return f"{{ {pairs} }}" if pairs else "{}"
        case Sequence():
            return f"[{', '.join(map(value_text, value))}]"
    raise TypeError(f"TOML has no {type(value).__name__}")


def pair_text(key: str, value: object) -> str:
    """A key and its value, on one line."""
    return f"{key_text(key)} = {value_text(value)}"


def key_text(key: str) -> str:
    """A key, in quotes where it needs them."""
    return key if _BARE.fullmatch(key) else value_text(key)
