"""One served demo day for all tests of a module, on a ledger of its own."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from serving import Served

from kitprep.bundled import demo_plan

pytest.importorskip("textual_serve", reason="the extra 'web' is not installed")


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> str:
    return f"sqlite:///{tmp_path_factory.mktemp('served')}/ledger.db"


@pytest.fixture(scope="module")
def plan() -> Path:
    return demo_plan(1)


@pytest.fixture(scope="module")
def served(plan: Path, ledger: str) -> Iterator[Served]:
    server = Served(plan, ledger)
    yield server
    server.stop()
