"""Imports run one way only, and the pure parts stay pure."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import kitprep

ROOT = Path(kitprep.__file__).parent
MODULES = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.py"))

MAY_IMPORT = {
    "bundled": set(),
    "definitions": set(),
    "files": {"definitions"},
    "planning": {"definitions"},
    "ledger": {"definitions", "planning"},
    "job": {"definitions", "planning", "ledger", "walks"},
    "walks": {"definitions", "planning", "ledger"},
    "starter": {"definitions"},
    "importing": {"definitions", "files"},
    "editing": {"definitions", "files", "importing"},
    "reports": {"definitions", "planning", "ledger", "walks"},
    "days": {"definitions", "planning", "reports", "editing"},
    "labels": {"definitions", "planning", "reports", "walks"},
    "tui": {"definitions", "planning", "ledger", "job", "walks", "reports", "bundled", "files"}
    | {"editing", "days", "starter"},
    "serve": {"definitions"},
    "docs": {"cli", "definitions", "bundled", "job", "tui"},
    "cli": {"*"},
    "__main__": {"cli"},
    "__init__": set(),
}
"""What each part of the program may know of, itself aside."""

PURE = ("definitions", "planning", "walks", "reports", "starter")

SHELL_ONLY = {"datetime.now", "date.today", "time.time", "time.time_ns", "time.localtime"}
SHELL_ONLY |= {"Path.home", "getpass.getuser", "os.urandom", "os.environ", "os.getenv"}

ALLOWED = {
    "job.py": {"datetime.now", "time.time_ns", "getpass.getuser", "os.urandom", "os.environ"},
    "ledger/place.py": {"os.environ"},
    "cli/starting.py": {"date.today"},
    "tui/terminal.py": {"os.environ"},
    "docs/playing.py": {"os.environ"},
}
"""The few places where the clock, chance and the user's surroundings come in."""


@cache
def tree(module: str) -> ast.Module:
    return ast.parse((ROOT / module).read_text("utf-8"))


def part(module: str) -> str:
    return module.split("/")[0].removesuffix(".py")


def imported(module: str, also_for_types: bool = True) -> Iterator[str]:
    """The full names that a module imports, wherever in it."""
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module} imports by dots; write the full name"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def names_used(module: str) -> Iterator[str]:
    """Every "module.attribute" that is written out."""
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield f"{node.value.id}.{node.attr}"


@pytest.mark.parametrize("module", MODULES)
def test_imports_run_one_way(module: str) -> None:
    mine = part(module)
    assert mine in MAY_IMPORT, f"say in MAY_IMPORT what {mine} may know of"
    others = {name.split(".")[1] for name in imported(module) if name.startswith("kitprep.")}
    known = MAY_IMPORT[mine]
    assert "*" in known or others - {mine, "__version__"} <= known


@pytest.mark.parametrize("module", [name for name in MODULES if part(name) in ("walks", "reports")])
def test_walks_and_reports_know_entries_and_events_but_no_storage(module: str) -> None:
    ledger = {name.split(".")[2] for name in imported(module) if name.startswith("kitprep.ledger.")}
    assert ledger <= {"entries", "events", "claims"}


@pytest.mark.parametrize("module", [name for name in MODULES if part(name) == "planning"])
def test_planning_knows_no_file_no_clock_and_no_framework(module: str) -> None:
    packages = {name.split(".")[0] for name in imported(module)}
    allowed = {"collections", "dataclasses", "decimal", "enum", "fractions", "functools", "heapq"}
    allowed |= {"itertools", "kitprep", "math", "operator", "re", "typing", "textwrap", "datetime"}
    if module == "planning/solver.py":
        # The solver, the file descriptors by which its greeting is kept off standard output, and
        # the time that it may take.
        allowed |= {"highspy", "os", "time"}
    assert packages <= allowed
    assert not packages & {"datetime"} or "datetime.now" not in set(names_used(module))
    called = {
        node.func.id
        for node in ast.walk(tree(module))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & {"open", "print", "input", "exec", "eval"}


@pytest.mark.parametrize("module", [name for name in MODULES if part(name) in ("walks", "reports")])
def test_walks_and_reports_know_no_file_no_clock_and_no_framework(module: str) -> None:
    packages = {name.split(".")[0] for name in imported(module)}
    if module == "reports/paper/html.py":
        packages -= {"pathlib"}  # its style sheet lies beside it
    assert not packages & {"os", "pathlib", "time", "random", "secrets", "textual", "sqlalchemy"}


@pytest.mark.parametrize("module", MODULES)
def test_the_clock_and_the_surroundings_come_in_at_named_places_only(module: str) -> None:
    assert set(names_used(module)) & SHELL_ONLY <= ALLOWED.get(module, set())


@pytest.mark.parametrize("module", MODULES)
def test_the_users_folders_are_asked_for_in_four_places_only(module: str) -> None:
    asks = any(name.split(".")[0] == "platformdirs" for name in imported(module))
    assert not asks or module in (
        "ledger/place.py",
        "importing/memory.py",
        "tui/keymap.py",
        "tui/where.py",
    )


def test_every_place_that_is_allowed_something_needs_it() -> None:
    for module, names in ALLOWED.items():
        assert names <= set(names_used(module))


@pytest.mark.parametrize(
    ("code", "never"),
    [
        ("kitprep.definitions.loading", "textual sqlalchemy highspy"),
        ("kitprep.planning.day", "textual sqlalchemy"),
        ("kitprep.ledger.events", "textual sqlalchemy pydantic"),
        ("kitprep.walks.pack", "textual sqlalchemy"),
        ("kitprep.reports.needs", "textual sqlalchemy"),
        ("kitprep.cli", "textual sqlalchemy highspy pydantic"),
    ],
)
def test_what_is_heavy_is_loaded_only_where_it_is_used(code: str, never: str) -> None:
    script = f"import sys, {code}; print(*[n for n in {never.split()!r} if n in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == ""
