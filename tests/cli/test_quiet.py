"""A reading that is not as wanted, a check that nobody made, a line never asked: none is a pass."""

import json
from pathlib import Path

import pytest
from cli_running import Run, Said

COUNTED = ("cells:FR6=6", "cards:mini-sd=1")
STEPS = ("cards:mini-sd=copied", "cards:mini-sd=verified", "cards:mini-sd=formatted")


@pytest.fixture
def day(plan: Path) -> Path:
    """The small day, with a wanted version and the volts of its cells."""
    kit = plan.parent / "kit.toml"
    text = kit.read_text("utf-8").replace('type = "FR6"', 'type = "FR6"\nvolts = 1.5')
    text = text.replace('name = "Pack"', 'name = "Pack"\nimage = "main"')
    text = text.replace('kit = "small"', 'kit = "small"\nfirmware = { main = "5.2" }', 1)
    kit.write_text(text, "utf-8")
    return plan


def saw(**read: str) -> list[str]:
    """What was read, as options."""
    return [word for check, value in read.items() for word in ("--saw", f"{check}={value}")]


def packed(run: Run, day: Path, tx: dict[str, str], rx: dict[str, str]) -> Said:
    """Everything packed, with these readings; what was said of the pack."""
    assert run("pack", day, *COUNTED).status == 0
    assert run("pack", day, "RX=1", *saw(**rx)).status == 0
    return run("pack", day, "TX01", *saw(**tx))


FINE = {"power": "yes", "firmware": "5.2", "card": "yes", "cells": "1.7"}
RX_FINE = {"power": "yes", "cells": "1.7"}


def test_what_reads_as_wanted_is_packed_without_a_word(run: Run, day: Path) -> None:
    assert packed(run, day, FINE, RX_FINE).answer == "[x] TX01 packed: 1\n"
    assert run("stage", day, "packed").status == 0


@pytest.mark.parametrize(
    ("check", "value", "says"),
    [
        ("power", "did not check", "TX01 power was not checked"),
        ("firmware", "4.0", "TX01 firmware reads 4.0, 5.2 wanted"),
        ("cells", "0.2", "TX01 cells reads 0.2, 1.5 V wanted"),
        ("cells", "1,49 V", "TX01 cells reads 1,49 V, 1.5 V wanted"),
        ("cells", "40 %", "TX01 cells reads 40 %, 1.5 V wanted"),
        ("cells", "low", "TX01 cells reads low, 1.5 V wanted"),
    ],
)
def test_what_does_not_is_said_at_the_tick_in_status_at_the_stage_and_in_the_report(
    run: Run, day: Path, check: str, value: str, says: str
) -> None:
    assert packed(run, day, FINE | {check: value}, RX_FINE).answer == (
        f"[x] TX01 packed: 1\n    [!] {says}\n"
    )
    status = run("status", day)
    assert status.status == 1
    assert f"TX01  {says}\n" in status.answer
    assert run("stage", day, "packed") == Said(
        1, "", f"kitprep: not packed: {says}: look again, or accept it with a reason\n"
    )
    assert run("stage", day, "packed", "--accept", "no other here").status == 0
    assert f"READ AT PACKING, NOT AS WANTED\n  {says}\n" in run("status", day).answer
    report = run("report", day).answer
    assert f"READ AT PACKING, NOT AS WANTED\n  {says}\n" in report
    assert "  packed  no other here  [Noor " in report


def test_a_check_that_was_not_made_counts_as_not_checked(run: Run, day: Path) -> None:
    packed(run, day, FINE | {"power": "did not check"}, RX_FINE)
    assert "1 packed but not checked" in run("status", day).answer


@pytest.mark.parametrize("value", ["1.5", "1.7 V", "100 %", "full", "3/3", "ok"])
def test_a_fresh_set_is_one_at_its_volts_or_as_its_gauge_says(
    run: Run, day: Path, value: str
) -> None:
    packed(run, day, FINE | {"cells": value}, RX_FINE)
    assert run("stage", day, "packed").status == 0


# ---- the line check


def out(run: Run, day: Path) -> None:
    """Packed and gone out."""
    packed(run, day, FINE, RX_FINE)
    assert run("stage", day, "packed").status == 0
    assert run("stage", day, "out").status == 0


def test_a_line_that_differs_ends_with_status_1_and_is_open(run: Run, day: Path) -> None:
    out(run, day)
    said = run("confirm", day, "12A:ines:recorder:tap=none")
    assert said.status == 1
    assert said.answer.startswith("12A:ines:recorder:tap: differs: none, planned 1\n    perhaps ")
    left = json.loads(run("status", day, "--json").answer)["open"]
    assert {
        "key": "check:12A:ines:recorder:tap",
        "name": "saw none, planned 1",
        "state": "differs",
    } in left
    # version, adapter, mode and backup of the one link
    assert {"key": "check:12A", "name": "4 lines of the line check", "state": "to ask"} in left
    assert run("confirm", day, "12A:ines:recorder:tap=1").status == 0
    assert "differs" not in run("status", day).answer


def test_a_job_is_not_closed_in_silence_about_its_line_check(run: Run, day: Path) -> None:
    out(run, day)
    run("confirm", day, "12A:ines:recorder:tap=none")
    run("back", day, "TX01", "RX=1", "cells:FR6=spent:6", "cards:mini-sd=1", *STEPS)
    said = run("stage", day, "closed")
    assert said == Said(
        0,
        "small/2027-03-14: closed\n",
        "kitprep: of the line check 1 differ, 4 not asked; kitprep report names them\n",
    )
    report = run("report", day).answer
    assert "scene 12A ines to recorder: version, adapter, mode, backup\n" in report


def test_before_anything_is_out_the_wrap_has_nothing_to_say(run: Run, day: Path) -> None:
    run("pack", day, "cells:FR6=6")
    assert "  wrap        nothing has gone out yet\n" in run("status", day).answer
    out(run, day)
    assert "  wrap        0 of 4 settled, 4 still out\n" in run("status", day).answer
