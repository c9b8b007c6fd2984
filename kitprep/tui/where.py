"""Where each job stood: screen, scene, case; remembered in the user's state folder.

It is a convenience: what cannot be read or written is as if nothing had been remembered.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from kitprep.files import NotWritten, replace

MOST = 200
"""Jobs that are remembered, the newest last."""


@dataclass(frozen=True, slots=True)
class Where:
    """What was open; empty where nothing was."""

    screen: str = ""
    scene: str = ""
    case: str = ""


def default_place() -> Path:
    """The file in the user's state folder."""
    from platformdirs import user_state_dir

    return Path(user_state_dir("kitprep", appauthor=False)) / "where.json"


def recall(place: Path, job: str) -> Where:
    """Where a job stood."""
    found = _read(place).get(job)
    if not isinstance(found, dict):
        return Where()
    texts = {key: found.get(key, "") for key in ("screen", "scene", "case")}
    return Where(**{key: text if isinstance(text, str) else "" for key, text in texts.items()})


def remember(place: Path, job: str, where: Where) -> bool:
    """Keeps where a job stands; False where that could not be."""
    others = [(name, kept) for name, kept in _read(place).items() if name != job]
    newest = dict([*others[-(MOST - 1) :], (job, asdict(where))])
    try:
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        replace(place, (json.dumps(newest, indent=1) + "\n").encode())
    except (NotWritten, OSError):
        return False
    return True


def _read(place: Path) -> Mapping[str, object]:
    try:
        found = json.loads(place.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
