"""``kitprep new``: asks what was not said, writes a folder, and never over anything."""

import io
from pathlib import Path

import pytest
from new_running import New

from kitprep.cli import starting
from kitprep.definitions.loading import load_day


@pytest.fixture
def at_the_keyboard(monkeypatch: pytest.MonkeyPatch) -> "list[str]":
    """Lines that a person types; nothing more comes after them."""
    lines: list[str] = []
    monkeypatch.setattr(starting, "can_ask", lambda: True)
    monkeypatch.setattr("sys.stdin", io.StringIO())
    monkeypatch.setattr(
        "sys.stdin.readline", lambda: lines.pop(0) + "\n" if lines else "", raising=False
    )
    return lines


def test_yes_takes_the_usual_answers_and_says_where_it_wrote(new: New, tmp_path: Path) -> None:
    status, answer, messages = new(tmp_path / "job", "--yes")
    assert status == 0
    assert answer.splitlines() == [
        f"{tmp_path / 'job'}/{name}"
        for name in ("tables/cells.toml", "tables/connectors.toml", "kit.toml", "day-01.toml")
    ]
    assert "kitprep check" in messages
    assert load_day(tmp_path / "job" / "day-01.toml").plan.title == "Day 1"


def test_every_question_has_an_option(new: New, tmp_path: Path) -> None:
    status, _, _ = new(
        tmp_path / "job", "--job", "Net Loft", "--cast", 3, "--boom", "boom-pack", "--hop", "yes",
        "--receivers", "rack", "--day", "2027-03-14", "--first-call", "06:30",
    )  # fmt: skip
    assert status == 0
    day = load_day(tmp_path / "job" / "day-01.toml")
    assert day.kit.name == "Net Loft"
    assert day.plan.day.isoformat() == "2027-03-14"
    assert [source.id for source in day.plan.sources] == [
        "boom",
        "cast-1",
        "cast-2",
        "cast-3",
        "mix",
    ]
    # The first scene starts an hour after the call.
    assert day.plan.scenes[0].start == 7 * 60 + 30


def test_only_what_was_not_said_is_asked(
    new: New, tmp_path: Path, at_the_keyboard: list[str]
) -> None:
    at_the_keyboard += ["4", "", "", "2027-03-14"]
    status, _, messages = new(
        tmp_path / "job", "--job", "X", "--first-call", "08:00", "--hop", "no"
    )
    assert (status, at_the_keyboard) == (0, [])
    assert "What is the job called?" not in messages
    assert "How many cast packs? (0 to 16) [2] " in messages


def test_a_wrong_answer_is_told_and_asked_again(
    new: New, tmp_path: Path, at_the_keyboard: list[str]
) -> None:
    at_the_keyboard += ["My job", "many", "4", "", "", "", "2027-03-14", ""]
    status, _, messages = new(tmp_path / "job")
    assert status == 0
    assert 'cast cannot be "many"; write a number from 0 to 16' in messages
    assert messages.count("How many cast packs?") == 2
    assert len(load_day(tmp_path / "job" / "day-01.toml").plan.sources) == 4


def test_an_end_of_input_writes_nothing(
    new: New, tmp_path: Path, at_the_keyboard: list[str]
) -> None:
    at_the_keyboard += ["My job"]
    status, answer, messages = new(tmp_path / "job")
    assert (status, answer) == (2, "")
    assert messages.endswith("kitprep: nothing was written\n")
    assert list(tmp_path.iterdir()) == []


def test_where_nobody_can_be_asked_the_options_are_named(new: New, tmp_path: Path) -> None:
    status, answer, messages = new(tmp_path / "job", "--job", "X")
    assert (status, answer) == (2, "")
    assert messages == (
        "kitprep: nobody is here to ask; write --cast, --boom, --hop, --receivers, --day, "
        "--first-call, or --yes for the usual answers\n"
    )


def test_a_folder_in_use_is_told_before_anything_is_asked(
    new: New, tmp_path: Path, at_the_keyboard: list[str]
) -> None:
    (tmp_path / "kit.toml").write_text("mine")
    status, answer, messages = new(tmp_path)
    assert (status, answer) == (2, "")
    assert messages == (
        f"kitprep: {tmp_path} has kit.toml already, and nothing is written over; "
        "write another folder\n"
    )
    assert [path.name for path in tmp_path.iterdir()] == ["kit.toml"]


def test_a_wrong_option_is_told_before_anything_is_asked(
    new: New, tmp_path: Path, at_the_keyboard: list[str]
) -> None:
    status, _, messages = new(tmp_path / "job", "--cast", "99")
    assert (status, messages) == (2, 'kitprep: cast cannot be "99"; write a number from 0 to 16\n')
