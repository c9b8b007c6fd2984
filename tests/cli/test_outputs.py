"""Answers alone on standard output, messages on standard error, and a status to trust."""

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from cli_running import Run

from kitprep.bundled import demo_plan
from kitprep.cli.words import COMMANDS

DEMO = [demo_plan(day) for day in (1, 2, 3)]


# ---- status


def test_a_day_that_works_ends_with_0(run: Run) -> None:
    assert run("needs", DEMO[0]).status == 0


def test_a_day_that_is_short_ends_with_1(run: Run) -> None:
    said = run("needs", DEMO[1])
    assert said.status == 1
    assert said.messages == ""


def test_a_file_that_is_wrong_ends_with_2(run: Run, plan: Path) -> None:
    plan.write_text(plan.read_text("utf-8").replace("ines", "inez", 1), "utf-8")
    for command in ("check", "needs", "list", "status", "confirm"):
        said = run(command, plan)
        assert (said.status, said.answer) == (2, "")
        assert said.messages == f'{plan}:19:12: no source "ines" here; did you mean "inez"?\n'


def test_one_wrong_file_of_several_ends_with_2_and_the_others_are_still_told(
    run: Run, plan: Path
) -> None:
    wrong = plan.with_name("wrong.toml")
    wrong.write_text("kit = 1", "utf-8")
    said = run("check", plan, wrong, plan.with_name("kit.toml"))
    assert said.status == 2
    assert said.answer == (
        f"{plan}: a day plan of 1 scene and 1 source, in order\n"
        f"{plan.with_name('kit.toml')}: a kit of 3 tagged units, in order\n"
    )
    assert said.messages.count("\n") == 2


def test_check_tells_what_a_plan_leaves_unsaid_and_is_content(run: Run, plan: Path) -> None:
    quiet = '\n[[scene]]\nnumber = "13"\nstart = "20:00"\nend = "21:00"\n'
    plan.write_text(plan.read_text("utf-8") + quiet, "utf-8")
    said = run("check", plan)
    assert (said.status, said.answer) == (
        0,
        f"{plan}: a day plan of 2 scenes and 1 source, in order\n",
    )
    assert said.messages == (
        f"{plan}: no sources are written for these scenes, so nothing is planned: 13\n"
    )


def test_a_ledger_that_cannot_be_used_ends_with_2(run: Run, plan: Path) -> None:
    said = run("status", plan, "--ledger", f"sqlite:///{plan}")
    assert (said.status, said.answer) == (2, "")
    assert said.messages.startswith("kitprep: the ledger at ")
    assert said.messages.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["chekc", "day.toml"], 'no command and no file "chekc" here; did you mean "check"?'),
        (["xyz"], 'no command and no file "xyz" here; kitprep --help lists the commands'),
        (["no-day.toml"], "no command and no file"),
        (["x" * 5000], "no command and no file"),
        (["needs"], "required: PLAN"),
        (["needs", "day.toml", "--jsn"], "unrecognized arguments: --jsn"),
        (["schema", "knit"], "invalid choice: 'knit'"),
    ],
)
def test_words_that_are_not_understood_end_with_2(run: Run, words: list[str], message: str) -> None:
    said = run(*words)
    assert (said.status, said.answer) == (2, "")
    assert message in said.messages


def test_help_and_version_are_answers(run: Run) -> None:
    assert run("--version").answer == "kitprep 0.1.0\n"
    help_text = run("--help")
    assert help_text.status == 0
    for name in COMMANDS:
        assert f"\n    {name} " in help_text.answer


def test_two_plans_of_one_job_are_not_added_up(run: Run, plan: Path) -> None:
    other = plan.with_name("b-unit.toml")
    other.write_bytes(plan.read_bytes())
    said = run("needs", plan, other)
    assert (said.status, said.answer) == (2, "")
    assert f"{plan} and {other} are one job to the ledger" in said.messages


def test_two_plans_that_share_a_job_are_told_so_once_by_check_and_by_the_status_of_either(
    run: Run, plan: Path
) -> None:
    """What is packed by one counts as packed in the other, so whoever looks there is told why."""
    other = plan.with_name("z-evening.toml")
    other.write_bytes(plan.read_bytes())
    plan.with_name("a-link.toml").symlink_to(plan)  # the same plan by another name is no second one
    one_job = "are one job to the ledger, small/2027-03-14; "
    first = run("pack", plan, "RX=1")
    assert first.status == 0
    assert f"kitprep: {plan} and {other} {one_job}" in first.messages
    assert one_job not in run("pack", plan, "RX=1").messages  # it was told before the first tick
    assert f"kitprep: {other} and {plan} {one_job}" in run("status", other).messages
    assert f"kitprep: {plan} and {other} {one_job}" in run("status", plan).messages
    checked = run("check", plan, other)
    assert checked.status == 0
    assert checked.messages == (
        f'{plan}: {plan} and {other} {one_job}write job = "b-unit", or the like, into one of them\n'
    )
    other.write_text('job = "evening"\n' + plan.read_text("utf-8"), "utf-8")
    assert run("check", plan, other).messages == ""
    assert "one job" not in run("status", other).messages


# ---- what is written


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full disk to hand")
@pytest.mark.parametrize("words", [["needs"], ["needs", "--json"], ["check"]])
@pytest.mark.parametrize(
    ("to", "why"), [("/dev/full", "No space left on device"), ("&-", "standard output is closed")]
)
def test_an_answer_that_cannot_be_written_is_said_and_is_no_verdict(
    ledger: Path, words: list[str], to: str, why: str
) -> None:
    """Status 1 would say that the day is short."""
    command = shlex.join([sys.executable, "-m", "kitprep", *words, str(DEMO[1])])
    done = subprocess.run(["sh", "-c", f"{command} >{to}"], stderr=subprocess.PIPE, timeout=60)
    said = done.stderr.decode()
    assert (done.returncode, said) == (2, f"kitprep: the answer could not be written: {why}\n")


@pytest.mark.parametrize(("day", "status"), [(0, 0), (1, 1)])
def test_a_reader_that_has_gone_changes_no_status(ledger: Path, day: int, status: int) -> None:
    done = subprocess.Popen(
        [sys.executable, "-m", "kitprep", "needs", DEMO[day]],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert done.stdout is not None
    assert done.stderr is not None
    done.stdout.close()
    assert done.stderr.read() == b""
    assert done.wait(60) == status


@pytest.mark.parametrize("day", DEMO, ids=["1", "2", "3"])
def test_json_stands_alone_on_standard_output_though_the_solver_greets(
    shell: Run, day: Path
) -> None:
    said = shell("needs", day, "--json")
    assert said.messages == ""
    assert json.loads(said.answer)["kit"] == "foxes-a"


@pytest.mark.parametrize(
    "form", [["needs"], ["needs", "--json"], ["list"], ["list", "--format=csv"]]
)
def test_the_same_input_gives_the_same_bytes(run: Run, form: list[str]) -> None:
    assert run(*form, DEMO[1]) == run(*form, DEMO[1])


def test_the_same_input_gives_the_same_bytes_in_another_process_and_place(shell: Run) -> None:
    one = shell("needs", DEMO[2], "--json", PYTHONHASHSEED="1", LC_ALL="C", TZ="Asia/Tokyo")
    other = shell("needs", DEMO[2], "--json", PYTHONHASHSEED="2", PYTHONIOENCODING="latin-1")
    assert one == other


@pytest.mark.parametrize("day", DEMO, ids=["1", "2", "3"])
def test_needs_fits_78_columns(run: Run, day: Path) -> None:
    assert [line for line in run("needs", day).answer.splitlines() if len(line) > 78] == []


def test_names_with_accents_come_through_a_plain_terminal(shell: Run, plan: Path) -> None:
    kit = plan.with_name("kit.toml")
    kit.write_text(kit.read_text("utf-8").replace("A small kit", "Bœuf à l’été"), "utf-8")
    assert shell("needs", plan, LC_ALL="C", PYTHONUTF8="0").answer.startswith("Bœuf à l’été\n")


def test_a_file_name_that_is_no_text_breaks_nothing(shell: Run, plan: Path) -> None:
    odd = os.fsdecode(os.fsencode(plan.parent) + b"/caf\xe9.toml")
    Path(odd).write_text(plan.read_text("utf-8"), "utf-8")
    said = shell("check", odd)
    assert said.status == 0
    assert "caf\\udce9.toml: a day plan" in said.answer


def test_a_name_that_would_steer_the_terminal_is_shown_without(run: Run) -> None:
    said = run("check", "\x1b[2Jx.toml")
    assert said.status == 2
    assert "\x1b" not in said.messages


# ---- pipes


@pytest.mark.parametrize("words", [["needs", DEMO[0], "--json"], ["schema", "plan"], ["--help"]])
def test_a_reader_that_leaves_early_is_no_error(ledger: Path, words: list[object]) -> None:
    program = subprocess.Popen(
        [sys.executable, "-u", "-m", "kitprep", *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert program.stdout is not None
    assert program.stderr is not None
    program.stdout.close()
    messages = program.stderr.read().decode()
    program.stderr.close()
    assert messages == ""
    assert program.wait(60) == 0
