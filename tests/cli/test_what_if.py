"""kitprep what-if: the same changes by words of the command line."""

import json
from pathlib import Path

from cli_running import Run

from kitprep.reports.whatif import SAME


def test_it_says_what_would_become_of_the_day(run: Run, plan: Path, ledger: Path) -> None:
    said = run("what-if", plan, "--without", "TX01")
    assert said.status == 1
    assert "NOT WORKABLE" in said.answer
    assert "scene 12A, ines to recorder:" in said.answer
    assert "now nothing\n  then 1 x Pack" in said.answer
    assert not ledger.exists()


def test_it_has_an_answer_for_programs(run: Run, plan: Path) -> None:
    said = run("what-if", plan, "--drop", "12A:ines", "--json")
    assert said.status == 0
    found = json.loads(said.answer)
    assert found["ready"]
    assert found["dropped"] == [{"scene": "12A", "source": "ines", "destination": "recorder"}]


def test_several_changes_are_one_question(run: Run, plan: Path) -> None:
    said = run("what-if", plan, "--scene", "12A=10:00-11:00", "--without", "TX02")
    assert said.status == 0
    assert said.answer == f"{SAME}\n"


def test_what_cannot_be_is_refused(run: Run, plan: Path) -> None:
    said = run("what-if", plan, "--scene", "12A=10:00-09:00")
    assert said.status == 2
    assert said.answer == ""
    assert "before it starts" in said.messages
    assert "nothing is otherwise" in run("what-if", plan).messages
