"""What a person settled last time: the columns of these headings, the words of a kit's sheets."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from kitprep.files import NotWritten, replace
from kitprep.importing.columns import ROLES, Columns
from kitprep.importing.words import SETTLED, Meanings, Names, why_no_meaning

_MOST = 200


def default_place() -> Path:
    """The file of columns in the user's configuration folder."""
    from platformdirs import user_config_dir

    return Path(user_config_dir("kitprep", appauthor=False)) / "import-columns.json"


def words_place(columns_place: Path) -> Path:
    """The file of words, beside that of columns."""
    return columns_place.with_name("import-words.json")


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
    return _keep(place, _key(headings), dict(columns.by_role))


def recall_words(place: Path, names: Names) -> Meanings:
    """What words were settled to stand for in this kit, as far as the kit still has it."""
    found = _read(place).get(names.kit.kit)
    if not isinstance(found, dict):
        return {}
    return {
        role: {
            word: meaning
            for word, meaning in words.items()
            if isinstance(meaning, str) and why_no_meaning(role, word, meaning, names) is None
        }
        for role in SETTLED
        if isinstance(words := found.get(role), dict)
    }


def remember_words(place: Path, kit: str, meanings: Meanings) -> bool:
    """Keeps what words stand for in a kit beside what it has; False where it could not."""
    before = _read(place).get(kit)
    kept = before if isinstance(before, dict) else {}
    words = {
        role: (earlier if isinstance(earlier := kept.get(role), dict) else {}) | dict(new)
        for role, new in meanings.items()
    }
    return _keep(place, kit, kept | words)


def _keep(place: Path, key: str, entry: object) -> bool:
    """Writes an entry as the newest of the last ones; False where it could not."""
    kept = {k: v for k, v in _read(place).items() if k != key}
    newest = {**dict(list(kept.items())[-(_MOST - 1) :]), key: entry}
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
