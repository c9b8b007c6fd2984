"""The reference: its template with every part that can be made from the code put in."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path

from kitprep.docs.commands import commands, everywhere
from kitprep.docs.formats import kit_format, plan_format
from kitprep.docs.keys import keys
from kitprep.docs.types import TYPES
from kitprep.docs.units import UNITS

TEMPLATE = Path(__file__).with_name("reference.template.md")


def _list(meanings: Mapping[str, str]) -> str:
    return "\n".join(f"- **{name}**: {meaning}" for name, meaning in meanings.items())


PARTS: Mapping[str, Callable[[], str]] = {
    "everywhere": everywhere,
    "commands": commands,
    "keys": keys,
    "types": lambda: _list(TYPES),
    "units": lambda: _list(UNITS),
    "kit": kit_format,
    "plan": plan_format,
}


def reference() -> str:
    """The whole page."""
    text = TEMPLATE.read_text("utf-8")
    return re.sub(r"\{\{(\w+)\}\}", lambda slot: PARTS[slot[1]](), text)
