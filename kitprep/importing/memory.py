"""Which columns a person gave a sheet with these headings last time."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from kitprep.files import NotWritten, replace
from kitprep.importing.columns import ROLES, Columns

_MOST = 200


def default_place() -> Path:
    """The file in the user's configuration folder."""
    from platformdirs import user_config_dir

    return Path(user_config_dir("kitprep", appauthor=False)) / "import-columns.json"


def recall(place: Path, headings: Sequence[str]) -> Mapping[str, int] | None:
    """The column of each role as it was settled for these headings; None where it never was."""
    found = _read(place).get(_key(headings))
    if not isinstance(found, dict):
        return None
    columns = {
        role: column
        for role, column in found.items()
        if role in ROLES and type(column) is int and 0 <= column < len(headings)
    }
    return columns if len(set(columns.values())) == len(columns) else None


def remember(place: Path, headings: Sequence[str], columns: Columns) -> bool:
    """Keeps the columns for the next sheet with these headings; False where it could not."""
    key = _key(headings)
    kept = {k: v for k, v in _read(place).items() if k != key}
    newest = {**dict(list(kept.items())[-(_MOST - 1) :]), key: dict(columns.by_role)}
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        replace(place, (json.dumps(newest, indent=1, ensure_ascii=False) + "\n").encode())
    except (NotWritten, OSError):
        return False
    return True


def _key(headings: Sequence[str]) -> str:
    return json.dumps(list(headings), ensure_ascii=False)


def _read(place: Path) -> dict[str, object]:
    try:
        found = json.loads(place.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
