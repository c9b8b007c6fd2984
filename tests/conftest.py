"""What holds for every test: nothing is kept in the places of whoever runs them."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def places_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The user's data, config and state folders, and the ledger, are the test's own."""
    for folder in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(folder, str(tmp_path / folder.lower()))
    monkeypatch.delenv("KITPREP_LEDGER", raising=False)
