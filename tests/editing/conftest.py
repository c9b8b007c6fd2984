"""The demo's files to write in, as a person has them."""

import shutil
from pathlib import Path

import pytest

from kitprep.bundled import bundle


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo's folder."""
    for name in ("kits", "shared"):
        shutil.copytree(bundle() / name, tmp_path / name)
    return tmp_path / "kits" / "harbour-of-foxes"
