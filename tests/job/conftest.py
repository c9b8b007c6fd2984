"""Each test gets a world of its own, on a ledger in each of both databases."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from ledger.conftest import (  # noqa: F401 (fixtures of the ledger's own tests)
    NewUrl,
    new_file_url,
    new_server_url,
    new_url,
    server_url,
    url,
)

from .world import World


@pytest.fixture
def world(tmp_path: Path, url: str) -> Iterator[World]:  # noqa: F811
    """On a ledger in either database."""
    made = World(tmp_path, url)
    yield made
    made.close()


@pytest.fixture
def file_world(tmp_path: Path, new_file_url: NewUrl) -> Iterator[World]:  # noqa: F811
    """On a file, where the database makes no difference to what is looked at."""
    made = World(tmp_path, new_file_url())
    yield made
    made.close()
