"""kitprep serve on the command line: only this machine, unless it is said in full."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from serving import Served

from kitprep.serve.page import page_text
from kitprep.serve.server import screens


def serve(*words: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "kitprep", "serve", *map(str, words)],
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "192.0.2.7", "studio"])
def test_another_address_is_refused_with_the_safe_way(address: str, plan: Path) -> None:
    said = serve(plan, "--address", address)
    assert said.returncode == 2
    assert "other machines could reach the screens" in said.stderr
    assert "ssh tunnel" in said.stderr
    assert "--yes-others-can-reach-it" in said.stderr
    assert said.stdout == ""


def test_an_address_that_is_not_ours_is_told(plan: Path, tmp_path: Path) -> None:
    ledger = f"sqlite:///{tmp_path}/ledger.db"
    said = serve(plan, "--address", "192.0.2.7", "--yes-others-can-reach-it", "--ledger", ledger)
    assert said.returncode == 2
    assert "192.0.2.7 port 8017 cannot be served on" in said.stderr


def test_a_port_in_use_is_told(plan: Path, served: Served, ledger: str) -> None:
    said = serve(plan, "--port", served.port, "--ledger", ledger)
    assert said.returncode == 2
    assert "cannot be served on (address already in use)" in said.stderr


@pytest.mark.parametrize("port", ["-1", "65536", "http", ""])
def test_what_is_no_port_is_told(port: str, plan: Path) -> None:
    assert "is no port" in serve(plan, f"--port={port}").stderr


def test_a_wrong_plan_is_told_before_anything_is_served(tmp_path: Path) -> None:
    plan = tmp_path / "day.toml"
    plan.write_text("kit = 7\n", "utf-8")
    said = serve(plan)
    assert said.returncode == 2
    assert "day.toml:1:7:" in said.stderr


def test_the_plan_is_one_word_whatever_it_is_called() -> None:
    words = screens(Path("day; touch x $(id).toml"), "sqlite:///l.db", "Ana; id")
    assert words[-1] == "Ana; id"
    assert [word for word in words if word.endswith("day; touch x $(id).toml")]


def test_no_shell_reads_the_plans_name(tmp_path: Path, plan: Path, ledger: str) -> None:
    own = tmp_path / "day;touch made;$(touch made).toml"
    kit = os.path.relpath(plan.parent / "kit.toml", tmp_path)
    own.write_text(plan.read_text("utf-8").replace('"kit.toml"', f'"{kit}"', 1), "utf-8")
    server = Served(own, ledger)
    assert server.stop() == 0
    assert not (tmp_path / "made").exists()


def test_a_title_is_text_on_the_page() -> None:
    text = page_text("<script>alert(1)</script>", "ws://x/ws", "n")
    assert "<script>alert" not in text
