"""The commands for while the job is out, in the words that a person types."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from kitprep.cli import main

from .world import World, back, packed


class Said(NamedTuple):
    """How a command ended, and what it wrote where."""

    status: int
    answer: str
    messages: str


Run = Callable[..., Said]


@pytest.fixture
def run(
    file_world: World, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Runs a command on the usual day."""
    monkeypatch.setenv("KITPREP_LEDGER", file_world.url)
    monkeypatch.setenv("KITPREP_WHO", "Noor")
    plan = file_world.plan()

    def run(command: str, *words: object) -> Said:
        try:
            status = main([command, str(plan), *map(str, words)])
        except SystemExit as ended:
            status = int(ended.code or 0)
        return Said(status, *capsys.readouterr())

    return run


@pytest.fixture
def out(file_world: World) -> None:
    """All is packed and has gone out."""
    job = file_world.job("Ana")
    packed(job)
    job.advance("out")


def wrong(said: Said) -> str:
    """What was wrong, and that nothing was answered."""
    assert (said.status, said.answer) == (2, "")
    return said.messages.removeprefix("kitprep: ").rstrip("\n")


# ---- hand and take


@pytest.mark.usefixtures("out")
def test_things_are_handed_over_listed_and_taken_back(run: Run) -> None:
    said = run("hand", "tx1", " TX2 ", "--to", " Ines\x1b[2J ")
    assert said.status == 0
    assert said.answer.splitlines()[0].startswith("Ines [2J: TX1 Slim pack, since 20")
    assert run("hand").answer.count("Ines [2J: ") == 2
    assert run("take", "TX1", "tx2") == Said(0, "taken back: TX1, TX2\n", "")
    assert run("hand").answer == ""


@pytest.mark.usefixtures("out")
def test_what_was_swapped_out_can_be_taken_back(run: Run) -> None:
    run("hand", "TX1", "--to", "Ines")
    run("swap", "TX1", "--by", "TX10")
    assert run("take", "TX1").status == 0


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("hand", "TX1"), "to whom, or to what? write --to NAME"),
        (("hand", "--to", "Ines"), "what? write its TAG"),
        (("hand", "TX1", "--to", " "), "to whom, or to what? write --to NAME"),
        (("hand", "TX99", "--to", "Ines"), '"TX99" is not on this job\'s list'),
        (
            ("hand", "TX1", "--to", "Ines"),
            "TX1: not packed yet; pack it first, then hand it over",
        ),
        (("take", "TX1"), "TX1: with nobody; kitprep hand lists who has what"),
        (("cells", "RX1"), "RX1: takes no cells today; kitprep cells lists what does"),
        (("swap", "TX1", "--by", "RX2"), '"RX2" cannot stand in for TX1; TX10, TX20, TX21 can'),
        (("swap", "RX2", "--nothing"), '"RX2" is not on this job\'s list'),
        (
            ("swap", "cells:CR123A", "--nothing"),
            "cells:CR123A serves nothing today; leave it out with kitprep pack --leave-out",
        ),
        (
            ("clear", "TX1"),
            '"TX1" did not come back as anything that would have to be put right',
        ),
    ],
)
def test_what_cannot_be_done_is_said_and_not_recorded(
    file_world: World, run: Run, words: tuple[str, ...], why: str
) -> None:
    assert wrong(run(*words)) == why
    assert file_world.log(file_world.job()) == []


# ---- cells


@pytest.mark.usefixtures("out")
def test_the_round_says_what_is_due_and_takes_what_was_done(run: Run) -> None:
    # See test_out.py for the arithmetic: TX1 by 11:00 and by 14:00, TX2 by 11:42 and by 14:00.
    said = run("cells", "--at", "11:01")
    assert said.status == 1
    assert said.answer.splitlines() == [
        "overdue   TX1      CR123A   0 of 2 made  before scene 2 by 11:00",
        "later     TX2      CR123A   0 of 2 made  before scene 3 by 11:42",
        "none left TX3      CR123A   0 of 0 made",
    ]
    said = run("cells", "tx1", "--at", "11:01")
    assert said.status == 0
    assert "later     TX1      CR123A   1 of 2 made  before scene 3 by 14:00" in said.answer


@pytest.mark.usefixtures("out")
@pytest.mark.parametrize(("at", "status"), [("24:00", 1), ("25:30", 1), ("08:00", 0)])
def test_a_time_past_midnight_is_a_time_of_the_day(run: Run, at: str, status: int) -> None:
    assert run("cells", "--at", at).status == status


@pytest.mark.parametrize("at", ["noon", "9", "99:00"])
def test_what_is_no_time_is_said(run: Run, at: str) -> None:
    assert run("cells", "--at", at).status == 2


# ---- swap


@pytest.mark.usefixtures("out")
def test_a_swap_is_looked_up_made_and_taken_back(file_world: World, run: Run) -> None:
    assert run("swap", "TX1") == Said(0, "TX10\nTX20\nTX21\n", "")
    said = run("swap", "tx1", "--by", "tx10", "--reason", "hum\x07")
    assert said == Said(0, "TX10 for TX1; ask the lines of its scenes again\n", "")
    job = file_world.job()
    assert job.state.swaps == (("TX1", "TX10"),)
    assert next(e for e in file_world.events(job) if e.kind == "swapped").facts["reason"] == "hum"
    assert run("swap", "TX10", "--by", "TX1").status == 0
    assert file_world.job().state.swaps == ()


@pytest.mark.usefixtures("out")
def test_what_nothing_can_stand_in_for_is_planned_without(file_world: World, run: Run) -> None:
    other = file_world.job("Ben", file_world.plan("2027-03-01"))
    other.record("RX2", "packed")
    said = run("swap", "RX1")
    assert (said.status, said.answer) == (1, "")
    assert said.messages.startswith("kitprep: no one unit here can stand in for RX1; ")
    assert run("swap", "RX1", "--nothing", "--reason", "dead").status == 0
    assert file_world.job().state.withdrawn == {"RX1"}
    assert run("swap", "RX1") == Said(0, "RX1\n", "")
    assert run("swap", "RX1", "--by", "RX1").answer.startswith("RX1 is planned with again")
    assert file_world.job().state.withdrawn == frozenset()


# ---- spares


def test_spares_are_shown_taken_and_left(file_world: World, run: Run) -> None:
    assert run("spares").answer == "[ ] TX10\n[ ] AD2\n[ ] RX2\n"
    assert run("spares", "--take").answer == "[x] TX10\n[x] AD2\n[x] RX2\n"
    assert run("spares", "--take").answer == "[x] TX10\n[x] AD2\n[x] RX2\n"
    assert file_world.log(file_world.job()) == [
        f"Noor: {tag} spare" for tag in ("TX10", "AD2", "RX2")
    ]
    assert run("spares", "--leave").answer == "[ ] TX10\n[ ] AD2\n[ ] RX2\n"


# ---- clear


def test_a_unit_is_cleared_however_its_tag_is_written(file_world: World, run: Run) -> None:
    before = file_world.job("Ben", file_world.plan("2027-03-01"))
    before.record("TX1", "packed")
    back(before, "TX1", "wet")
    assert "TX1  " not in run("list").answer
    assert run("clear", "tx1", "--note", "dried") == Said(0, "TX1 can be planned with again\n", "")
    assert "TX1  " in run("list").answer


# ---- the ledger itself


@pytest.mark.usefixtures("out")
def test_the_ledger_is_verified_exported_and_restored(
    file_world: World, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["ledger", "export", "--ledger", file_world.url]) == 0
    export = tmp_path / "export.jsonl"
    export.write_text(capsys.readouterr().out, "utf-8")
    copy = f"sqlite:///{tmp_path}/copy.db"
    assert main(["ledger", "restore", str(export), "--ledger", copy]) == 0
    for url in (file_world.url, copy):
        assert main(["ledger", "verify", "--ledger", url]) == 0
    restored, first, second = capsys.readouterr().out.splitlines()
    assert restored == f"{first.split()[0]} entries restored"
    assert first == second
    assert main(["ledger", "verify", "--head", "0" * 63 + "1", "--ledger", copy]) == 2


def test_an_export_that_is_not_there_is_said(
    file_world: World, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["ledger", "restore", str(tmp_path / "none"), "--ledger", file_world.url]
    assert main(words) == 2
    assert "cannot be read: No such file or directory; name an export" in capsys.readouterr().err
