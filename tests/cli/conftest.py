"""The program as a person or another program runs it, on a ledger of the test's own."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from cli_running import KIT, PLAN, Run, Said

from kitprep.cli import main


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """A day of one scene, one source, one chain; two cells in each, two spare sets, one card."""
    (tmp_path / "kit.toml").write_text(KIT, "utf-8")
    (tmp_path / "day.toml").write_text(PLAN, "utf-8")
    return tmp_path / "day.toml"


@pytest.fixture
def ledger(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file that KITPREP_LEDGER names during a test."""
    path = tmp_path / "ledger.db"
    monkeypatch.setenv("KITPREP_LEDGER", f"sqlite:///{path}")
    monkeypatch.setenv("KITPREP_WHO", "Noor")
    return path


@pytest.fixture
def run(ledger: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs the command line in this process."""

    def run(*words: object) -> Said:
        try:
            status = main([str(word) for word in words])
        except SystemExit as ended:
            status = int(ended.code or 0)
        return Said(status, *capsys.readouterr())

    return run


@pytest.fixture
def shell(ledger: Path) -> Run:
    """Runs the program in a process of its own."""

    def shell(*words: object, stdin: bytes = b"", **environment: str) -> Said:
        done = subprocess.run(
            [sys.executable, "-m", "kitprep", *map(str, words)],
            input=stdin,
            capture_output=True,
            env={**os.environ, **environment},
            timeout=60,
        )
        return Said(done.returncode, done.stdout.decode(), done.stderr.decode())

    return shell
