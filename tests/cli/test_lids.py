"""A lid's code on the command line: it takes up a case, shuts it by a count, asks what is out."""

from pathlib import Path

import pytest
from cli_running import KIT, Run, Said, gone_out

CASES = """
[[case]]
id = "pouch"
name = "Pouch"

[[case]]
id = "crate"
name = "Crate"
"""


@pytest.fixture
def plan(plan: Path) -> Path:
    """TX01 and its card go in the pouch, RX=1 in the crate, the cells in neither."""
    kit = KIT.replace('model = "pack"\n', 'model = "pack"\ncase = "pouch"\n')
    kit = kit.replace('model = "rx"\n', 'model = "rx"\ncase = "crate"\n')
    kit = kit.replace('card = "mini-sd"\nqty', 'card = "mini-sd"\ncase = "pouch"\nqty')
    (plan.parent / "kit.toml").write_text(kit + CASES, "utf-8")
    return plan


def test_a_lid_says_how_far_its_case_is_and_what_is_open(run: Run, plan: Path) -> None:
    run("pack", plan, "TX01")
    assert run("pack", plan, "case:POUCH") == Said(
        0, "Pouch: 1 of 2 lines packed\n    cards:mini-sd  mini-sd cards\n", ""
    )


def test_after_a_lid_what_goes_in_another_case_is_refused(shell: Run, plan: Path) -> None:
    said = shell("pack", plan, "-", stdin=b"case:pouch\nRX=1\nTX01\ncells:FR6=6\n")
    assert said.status == 2
    assert said.messages == (
        "kitprep: RX=1 goes in Crate, not in Pouch; read that lid first, case:crate\n"
    )
    assert said.answer.splitlines()[-2:] == ["[x] TX01 packed: 1", "[x] cells:FR6 packed: 6"]
    said = shell("pack", plan, "-", stdin=b"case:pouch\ncase:crate\nRX=1\n")
    assert (said.status, said.answer.splitlines()[-1]) == (0, "[x] RX=1 packed: 1")


def test_the_right_count_shuts_a_case(run: Run, plan: Path) -> None:
    run("pack", plan, "TX01", "cards:mini-sd=1")
    assert run("pack", plan, "case:pouch=2") == Said(
        0, "[x] Pouch: 2 of 2 lines packed, shut at a count of 2\n", ""
    )


def test_the_status_says_which_cases_were_counted_and_which_were_not(run: Run, plan: Path) -> None:
    assert "cases" not in run("status", plan).answer
    run("pack", plan, "TX01", "cards:mini-sd=1", "RX=1", "case:pouch=2")
    assert "  cases       counted: Pouch; not counted: Crate\n" in run("status", plan).answer
    run("pack", plan, "case:crate=1")
    assert "  cases       counted: Pouch, Crate\n" in run("status", plan).answer


def test_a_wrong_count_is_said_and_packing_is_not_over_until_it_is_right(
    run: Run, plan: Path
) -> None:
    run("pack", plan, "TX01", "cards:mini-sd=1", "RX=1", "cells:FR6=6")
    run("pack", plan, "TX01", "--saw", "power=yes", "--saw", "card=yes", "--saw", "cells=3.1")
    run("pack", plan, "RX=1", "--saw", "power=yes", "--saw", "cells=3.1")
    off = "Pouch: 1 counted, 2 ticked; look line by line, mend what is wrong, count again\n"
    assert run("pack", plan, "case:pouch=1") == Said(1, "", f"kitprep: {off}")
    assert run("stage", plan, "packed") == Said(1, "", f"kitprep: not packed: {off}")
    assert run("pack", plan, "case:pouch=2").status == 0
    assert run("stage", plan, "packed").status == 0


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("case:pouch=two", "Pouch is counted in pieces; write case:pouch=NUMBER"),
        ("case:pouch=", "Pouch is counted in pieces; write case:pouch=NUMBER"),
        ("case:box", "case:box is no case of this kit; its cases are case:pouch, case:crate"),
    ],
)
def test_what_is_no_case_or_no_count_is_said(run: Run, plan: Path, code: str, why: str) -> None:
    assert run("pack", plan, code) == Said(2, "", f"kitprep: {why}\n")


def test_at_wrap_a_lid_says_what_is_still_to_go_back_into_its_case(run: Run, plan: Path) -> None:
    run("pack", plan, "TX01", "cards:mini-sd=1", "RX=1")
    gone_out(plan)
    run("back", plan, "TX01")
    assert run("back", plan, "case:pouch") == Said(
        0, "Pouch: 1 of 2 lines with an outcome\n    cards:mini-sd  mini-sd cards\n", ""
    )
    assert run("back", plan, "case:box").status == 2
