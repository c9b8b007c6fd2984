"""A plan alone opens the screens, and so does nothing at all, on the demo. The screens stay shut
here: what they are called with is looked at."""

from pathlib import Path
from typing import Any

import pytest
from cli_running import Run

from kitprep.bundled import demo_plan
from kitprep.cli.screens import WELCOME


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    """What the screens were called with."""
    calls: list[tuple[Any, ...]] = []

    def run(*given: Any) -> int:
        calls.append(given)
        return 0

    monkeypatch.setattr("kitprep.tui.app.run", run)
    return calls


def test_a_plan_alone_opens_it(run: Run, opened: list[Any], plan: Path, ledger: Path) -> None:
    assert run(plan).status == 0
    assert opened == [(plan, f"sqlite:///{ledger}", None, "")]


def test_no_word_at_all_opens_the_demo(run: Run, opened: list[Any]) -> None:
    assert run().status == 0
    assert opened[0][0] == demo_plan(1)


def test_options_alone_open_the_demo_too(run: Run, opened: list[Any]) -> None:
    assert run("--who", "Sam", "--ledger", "sqlite:///x.db").status == 0
    assert opened == [(demo_plan(1), "sqlite:///x.db", "Sam", WELCOME)]


def test_a_demo_day_opens_by_its_number(run: Run, opened: list[Any]) -> None:
    assert run("demo", 3).status == 0
    assert opened[0][0] == demo_plan(3)


def test_where_the_demo_lies_is_said_without_opening_it(run: Run, opened: list[Any]) -> None:
    assert run("demo", 2, "--where").answer == f"{demo_plan(2)}\n"
    assert opened == []


def test_a_plan_may_be_named_as_a_command_is(
    run: Run, opened: list[Any], plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(plan.parent)
    plan.rename(plan.with_name("needs"))
    assert run("open", "needs").status == 0
    assert opened[0][0] == Path("needs")
