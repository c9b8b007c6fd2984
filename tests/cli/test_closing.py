"""A job is not closed quietly: what stands in the way is named, with the way on."""

from pathlib import Path
from typing import Any

import pytest
from cli_running import Run, Said

# As in test_ticks: TX01 with a card to RX=1; six FR6.
PACKED = ("TX01", "RX=1", "cells:FR6=6", "cards:mini-sd=1")
STEPS = ("cards:mini-sd=copied", "cards:mini-sd=verified", "cards:mini-sd=formatted")


@pytest.fixture
def out(run: Run, plan: Path) -> Path:
    """Everything looked at, packed and gone out."""
    assert run("pack", plan, *PACKED).status == 0
    for tag, saw in (("TX01", "power cells card"), ("RX=1", "power cells")):
        read = [word for check in saw.split() for word in ("--saw", f"{check}=yes")]
        assert run("pack", plan, tag, *read).status == 0
    assert run("stage", plan, "packed").status == 0
    assert run("stage", plan, "out").status == 0
    return plan


def closing(run: Run, plan: Path) -> str:
    """Why the job is not closed."""
    said = run("stage", plan, "closed")
    assert (said.status, said.answer) == (1, "")
    assert said.messages.startswith("kitprep: not closed: ")
    return said.messages.removeprefix("kitprep: not closed: ").rstrip("\n")


def test_three_missing_things_are_named_and_each_needs_an_outcome(run: Run, out: Path) -> None:
    run("back", out, "cards:mini-sd=1", *STEPS)
    assert closing(run, out) == (
        "TX01, RX=1 and cells:FR6 are without an outcome: say what has become of each"
    )
    run("back", out, "TX01=not seen", "RX=1=with", "--holder", "B unit")
    assert closing(run, out) == ("cells:FR6 is without an outcome: say what has become of it")
    run("back", out, "cells:FR6=spent:6")
    assert run("stage", out, "closed").status == 0


def test_a_count_that_does_not_balance_is_said_with_its_difference(run: Run, out: Path) -> None:
    run("back", out, "TX01", "RX=1", "cards:mini-sd=1", *STEPS, "cells:FR6=spent:4")
    assert closing(run, out) == "cells:FR6: 2 of 6 without an outcome"
    run("back", out, "cells:FR6=spent:4,fresh:3")
    assert closing(run, out) == "cells:FR6: 1 more than the 6 that went out"
    run("back", out, "cells:FR6=spent:4,not seen:2")
    assert run("stage", out, "closed").status == 0


def test_cards_are_formatted_last_and_before_that_nothing_is_closed(run: Run, out: Path) -> None:
    run("back", out, "TX01", "RX=1", "cells:FR6=spent:6", "cards:mini-sd=1")
    for done, step in (("", "copied"), ("copied", "verified"), ("verified", "formatted")):
        if done:
            assert run("back", out, f"cards:mini-sd={done}").status == 0
        for other in ("copied", "verified", "formatted"):
            if other != step:
                assert run("back", out, f"cards:mini-sd={other}").status == 2
        assert closing(run, out) == f"cards:mini-sd: the cards are to be {step} first"
    run("back", out, "cards:mini-sd=formatted")
    assert run("stage", out, "closed").status == 0


def test_a_list_with_one_line_open_is_not_packed_and_says_what_is_open(
    run: Run, plan: Path
) -> None:
    run("pack", plan, "TX01", "cells:FR6=6")
    said = run("stage", plan, "packed")
    assert said == Said(
        1,
        "",
        "kitprep: not packed: RX=1 and cards:mini-sd are open: pack them, or leave them out with "
        "a reason; TX01 is packed with checks still open: say what was read\n",
    )


@pytest.mark.parametrize(
    "words",
    [
        ("back", "TX01=wet"),
        ("back", "cells:FR6=spent:5"),
        ("hand", "TX01", "--to", "Ines"),
        ("cells", "TX01"),
        ("confirm", "12A:ines:recorder:tap=1"),
        ("stage", "out"),
    ],
)
def test_nothing_is_added_to_a_closed_job(run: Run, out: Path, words: tuple[Any, ...]) -> None:
    run("back", out, "TX01", "RX=1", "cells:FR6=spent:6", "cards:mini-sd=1", *STEPS)
    assert run("stage", out, "closed").status == 0
    before = run("ledger", "export").answer
    said = run(words[0], out, *words[1:])
    assert said.status in (1, 2)
    assert "closed" in said.messages
    assert run("ledger", "export").answer == before


def test_while_something_is_open_status_says_so(run: Run, plan: Path) -> None:
    run("pack", plan, *PACKED)
    said = run("status", plan)
    assert said.status == 1
    assert "  not read  TX01  Pack\n" in said.answer
