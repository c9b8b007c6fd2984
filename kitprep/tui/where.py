"""Where each job stood: screen, scene, case; remembered in the user's state folder.

It is a convenience: what cannot be read or written is as if nothing had been remembered.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from urllib.parse import urlsplit

from kitprep.ledger.place import file_path

MOST = 200
"""Jobs that are remembered, the newest last."""


@dataclass(frozen=True, slots=True)
class Where:
    """What was open; empty where nothing was."""

    screen: str = ""
    scene: str = ""
    case: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where the places of a ledger's jobs are remembered: the file, and the ledger's URL."""

    file: Path
    ledger_url: str

    def recall(self, job: str) -> Where:
        """Where a job stood."""
        found = _read(self.file).get(in_ledger(job, self.ledger_url))
        if not isinstance(found, dict):
            return Where()
        texts = {key: found.get(key, "") for key in ("screen", "scene", "case")}
        return Where(**{key: text if isinstance(text, str) else "" for key, text in texts.items()})

    def remember(self, job: str, where: Where) -> bool:
        """Keeps where a job stands; False where that could not be."""
        import json

        from kitprep.files import NotWritten, replace

        ours = in_ledger(job, self.ledger_url)
        others = [(name, kept) for name, kept in _read(self.file).items() if name != ours]
        newest = dict([*others[-(MOST - 1) :], (ours, asdict(where))])
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            replace(self.file, (json.dumps(newest, indent=1) + "\n").encode())
        except (NotWritten, OSError):
            return False
        return True


def default_file() -> Path:
    """The file in the user's state folder."""
    from platformdirs import user_state_dir

    return Path(user_state_dir("kitprep", appauthor=False)) / "where.json"


def in_ledger(job: str, url: str) -> str:
    """A job's name with its ledger's place, without the ledger's user, password or options."""
    address = url.partition("?")[0]
    if address.startswith("sqlite"):
        return f"{job} in {file_path(address.partition(':///')[2])}"
    try:
        parts = urlsplit(address)
        return f"{job} in {parts.netloc.rpartition('@')[2]}{parts.path}"
    except ValueError:
        return job


def _read(place: Path) -> Mapping[str, object]:
    import json

    try:
        found = json.loads(place.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
