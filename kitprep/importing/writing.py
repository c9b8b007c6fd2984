"""The file of units that an import makes, and how to tell whether a person has changed it since."""

import json
import os
from collections.abc import Iterable, Mapping
from pathlib import Path

import tomli_w

from kitprep.definitions.kit import AddedUnit, Case
from kitprep.definitions.problems import SourceFile, read_toml
from kitprep.definitions.text import clean_line
from kitprep.importing.seal import is_sealed, sealed

_WORD = "sum"


def units_text(units: Iterable[AddedUnit], source: str, cases: Iterable[Case] = ()) -> str:
    """Cases and units as TOML, under two lines that say what it is and seal what follows."""
    made = [case.model_dump(exclude_defaults=True, exclude_none=True) for case in cases]
    body = tomli_w.dumps(
        ({"case": made} if made else {}) | {"unit": [_facts(unit) for unit in units]}
    )
    # A file's name may hold bytes that are no text.
    name = clean_line(source).encode("utf-8", "backslashreplace").decode()
    head = (
        f"# Units from {name}, by kitprep import. The next import writes this anew, "
        "unless you change it."
    )
    return sealed(head, _WORD, body)


def _facts(unit: AddedUnit) -> dict[str, object]:
    facts = {
        name: value
        for name, value in unit.model_dump(exclude_defaults=True, exclude_none=True).items()
        if name != "model"
    }
    whole = {
        name: int(value) if isinstance(value, float) and value.is_integer() else value
        for name, value in facts.items()
    }
    first: dict[str, object] = {
        name: whole.pop(name) for name in ("tag", "serial", "firmware") if name in whole
    }
    return {"model": unit.model, **first, **whole}


def is_untouched(text: str) -> bool:
    """Whether a file is as an import left it, or empty."""
    return not text.strip() or is_sealed(text, _WORD, head_lines=1)


def includes(kit: Path, file: Path) -> bool:
    """Whether a kit takes a file in, by itself or through what it includes."""
    wanted = os.path.realpath(file)
    seen: set[str] = set()
    waiting = [kit]
    while waiting:
        here = waiting.pop()
        real = os.path.realpath(here)
        if real == wanted:
            return True
        if real in seen or not here.is_file():
            continue
        seen.add(real)
        _, data = read_toml(here, str(here))
        entries = data.get("include", [])
        if isinstance(entries, list):
            waiting += [here.parent / entry for entry in entries if isinstance(entry, str)]
    return False


def include_line(kit: Path, file: Path) -> tuple[int | None, str]:
    """The line of the kit that wants changing (None: a new one), and what it is to say."""
    source, data = read_toml(kit, str(kit))
    entries = includes_with(kit, file, data)
    shown = ", ".join(json.dumps(one, ensure_ascii=False) for one in entries)
    return _line_of(source) if "include" in data else None, f"include = [{shown}]"


def includes_with(kit: Path, file: Path, data: Mapping[str, object]) -> list[object]:
    """What a kit of this data includes, and a file besides, by its way from the kit."""
    way = os.path.relpath(os.path.realpath(file), os.path.realpath(kit.parent))
    before = data.get("include", [])
    return [*(before if isinstance(before, list) else []), way.replace(os.sep, "/")]


def _line_of(source: SourceFile) -> int:
    return source.position(("include",), at_key=True)[0]
