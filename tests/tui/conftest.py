"""The screens without a terminal: a still cursor, a ledger of its own, days worked out once."""

import locale
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Input

import kitprep.job as job_module
import kitprep.ledger.reckoning as reckoning
from kitprep.bundled import demo_plan
from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.job import Job
from kitprep.planning.day import work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.results import WorkedDay
from kitprep.tui.app import KitprepApp

from .seat import Seat

Opener = Callable[..., AbstractAsyncContextManager[Seat]]

_WORKED: dict[str, WorkedDay] = {}


def _worked_once(kit: Kit, plan: Plan, **changes: Any) -> WorkedDay:
    """The solver is tested elsewhere; here a day that was worked out once is good for all tests."""
    key = f"{kit.model_dump_json()}{plan.model_dump_json()}{changes}"
    if key not in _WORKED:
        _WORKED[key] = work_out(kit, plan, **changes)
    return _WORKED[key]


_TRIED: dict[tuple[int, frozenset[str]], tuple[WorkedDay, WorkedDay]] = {}


def _tried_once(worked: WorkedDay, gone: frozenset[str]) -> WorkedDay:
    """The same for one failure. The day asked about is kept with its answer: were it let go,
    another day could have its identity, and so its answer."""
    key = (id(worked), gone)
    if key not in _TRIED:
        _TRIED[key] = worked, with_one_failure(worked, gone)
    return _TRIED[key][1]


@pytest.fixture(autouse=True)
def still(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No blinking, no folder of the user's, no colour setting from outside, a fixed time zone."""
    monkeypatch.setattr(Input, "_toggle_cursor", lambda self: None)
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setattr(locale, "getencoding", lambda: "utf-8")
    monkeypatch.setattr(reckoning, "work_out", _worked_once)
    monkeypatch.setattr(job_module, "with_one_failure", _tried_once)


@pytest.fixture
def url(tmp_path: Path) -> str:
    """The test's own ledger."""
    return f"sqlite:///{tmp_path}/ledger.db"


@pytest.fixture
def job(url: str) -> Callable[..., Job]:
    """Opens a demo day, or a plan, on the test's ledger."""

    def opened(day: int = 1, who: str = "Ana", plan: Path | None = None) -> Job:
        return Job.open(plan or demo_plan(day), url, who, "key")

    return opened


@pytest.fixture
def seat(job: Callable[..., Job]) -> Opener:
    """Opens the screens and sits down at them."""

    @asynccontextmanager
    async def sat(
        screen: str = "day", size: tuple[int, int] = (80, 24), **which: Any
    ) -> AsyncIterator[Seat]:
        greeting = which.pop("greeting", "")
        opened = which.pop("of", None) or job(**which)
        app = KitprepApp(opened.day.plan, lambda: opened, screen, greeting=greeting)  # type: ignore[arg-type]
        async with app.run_test(size=size) as pilot:
            sitting = Seat(app, pilot)
            await sitting.until(lambda: app.is_open, "the job is open")
            await sitting.go(screen)
            yield sitting
        opened.close()

    return sat
