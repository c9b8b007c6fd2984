"""What holds for every test: no place of whoever runs them is used, and no clock fails one."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# How fast examples are made depends on what else the machine does; it is no property of the code.
settings.register_profile("steady", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("steady")


@pytest.fixture(autouse=True)
def places_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The user's data, config and state folders, and the ledger, are the test's own."""
    for folder in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(folder, str(tmp_path / folder.lower()))
    monkeypatch.delenv("KITPREP_LEDGER", raising=False)
