"""Every command answers from one truth: the files with what the ledger knows of the kit."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from kitprep.cli import main
from kitprep.job import Job

from .world import World, back, packed

ONLY_INES = [("1", "", "09:00", "10:00", "ines")]
SAYS = "TX1: faulty, small/2027-03-12 (hum)"


@pytest.fixture
def after_friday(world: World) -> World:
    """Of TX1, TX2, TX3 and TX10 the first is back faulty, and Ines has the second."""
    friday = world.job("Ana", world.plan("2027-03-12"))
    packed(friday)
    friday.advance("packed")
    friday.advance("out")
    back(friday, "TX1", "faulty", note="hum")
    back(friday, "TX2", "with", holder="Ines")
    return world


def said(world: World, *words: object, status: int, capsys: Any) -> str:
    assert main([*map(str, words), "--ledger", world.url]) == status
    return str(capsys.readouterr().out)


@pytest.fixture
def monday(after_friday: World) -> Path:
    return after_friday.plan("2027-03-15", [("1", "", "09:00", "10:00", "ines marek")])


def test_needs_plans_with_what_is_there_and_says_what_is_not(
    after_friday: World, monday: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = said(after_friday, "needs", monday, status=0, capsys=capsys)
    assert "  ines         mono   TX3 " in text
    assert "  marek        mono   TX10 " in text
    assert f"NOT COUNTED ON\n  {SAYS}\n  TX2: with Ines, small/2027-03-12\n" in text
    document = json.loads(said(after_friday, "needs", monday, "--json", status=0, capsys=capsys))
    assert document["not_usable"][0] == {
        "key": "TX1",
        "name": "",
        "qty": None,
        "what": "faulty",
        "job": "small/2027-03-12",
        "note": "hum",
    }


@pytest.mark.parametrize("command", ["list", "status"])
def test_list_and_status_say_it_too(
    after_friday: World, monday: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status = 0 if command == "list" else 1  # nothing is short, and nothing is packed yet
    assert f"  {SAYS}\n" in said(after_friday, command, monday, status=status, capsys=capsys)
    style = ["--format", "json"] if command == "list" else ["--json"]
    document = json.loads(said(after_friday, command, monday, *style, status=status, capsys=capsys))
    assert [each["key"] for each in document["not_usable"]][:2] == ["TX1", "TX2"]


def test_compare_and_what_if_and_paper_have_the_same_day(
    after_friday: World, monday: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sunday = after_friday.plan("2027-03-14", ONLY_INES)
    text = said(after_friday, "compare", sunday, monday, status=0, capsys=capsys)
    assert "  marek  nothing to TX10\n" in text
    text = said(after_friday, "what-if", monday, "--without", "TX3", status=0, capsys=capsys)
    assert "TX20" in text
    assert "TX1 " not in text
    text = said(after_friday, "paper", monday, "--format", "text", status=0, capsys=capsys)
    assert "TX10" in text
    assert "TX2 " not in text


def test_a_link_that_is_short_for_it_names_the_units_and_every_command_ends_alike(
    after_friday: World, capsys: pytest.CaptureFixture[str]
) -> None:
    kit = after_friday.folder / "kit.toml"
    text = kit.read_text("utf-8")
    for gone in (', { tag = "TX3" }, { tag = "TX10" }', '{ tag = "TX20" }, { tag = "TX21" }'):
        text = text.replace(gone, "")
    kit.write_text(text, "utf-8")
    monday = after_friday.plan("2027-03-15", ONLY_INES)
    text = said(after_friday, "needs", monday, status=1, capsys=capsys)
    assert (
        "  ! ines to recorder: NOT SERVED, no transmitter that would do is left to use;\n"
        "    not counted on: TX1 faulty; TX2 with Ines\n"
    ) in text
    for command in ("list", "status"):
        said(after_friday, command, monday, status=1, capsys=capsys)
    said(after_friday, "compare", monday, monday, status=1, capsys=capsys)


def test_a_unit_that_is_not_counted_on_is_no_remedy_and_no_spare(
    after_friday: World, monday: Path
) -> None:
    job: Job = after_friday.job("Ben", monday)
    assert not {"TX1", "TX2"} & set(job.worked.spares)


# ---- where there is no ledger

NO_LEDGER = """
import contextlib, io, sys
from kitprep.cli import main

with contextlib.redirect_stdout(io.StringIO()):
    for words in (["needs", sys.argv[1]], ["compare", sys.argv[1], sys.argv[1]],
                  ["needs", sys.argv[1], sys.argv[2]],
                  ["what-if", sys.argv[1], "--without", "TX1"]):
        main([*words, "--ledger", sys.argv[3]])
print("sqlalchemy" in sys.modules)
"""


def test_where_no_ledger_is_none_is_made_and_no_database_is_loaded(file_world: World) -> None:
    plans = [file_world.plan(), file_world.plan("2027-03-15")]
    place = file_world.folder / "no" / "led%ger.db"
    words = [*map(str, plans), f"sqlite:///{str(place).replace('%', '%25')}"]
    done = subprocess.run(
        [sys.executable, "-c", NO_LEDGER, *words], capture_output=True, text=True, timeout=60
    )
    assert (done.stdout, done.stderr) == ("False\n", "")
    assert not place.parent.exists()
