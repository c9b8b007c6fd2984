"""What stays out, comes back unfit or is used up is not counted on by the next day: who has it, how
many, since which job; and it is counted on again once it is back, cleared or counted anew."""

from __future__ import annotations

import pytest

from kitprep.cli import main
from kitprep.job import Job

from .world import World, back, packed


@pytest.fixture
def friday(world: World) -> Job:
    """A day that has gone out with everything: 8 cells and 2 packs for the bag, of 40 and 6."""
    job = world.job("Ana", world.plan("2027-03-12"))
    packed(job)
    job.advance("packed")
    job.advance("out")
    return job


def carried(world: World, day: str = "2027-03-15") -> list[str]:
    return [each.sentence for each in world.job("Ben", world.plan(day)).worked.not_counted]


def held(world: World) -> dict[str, int]:
    """What Monday's list counts on of what goes by number."""
    lines = world.job("Ben", world.plan("2027-03-15")).worked.packing
    return {line.key: line.held for line in lines if ":" in line.key}


def count(job: Job, key: str, holder: str = "", note: str = "", **counts: int) -> None:
    if job.state.stage != "out":
        job.advance("out")
    told = {word.replace("_", " "): n for word, n in counts.items()}
    job.record(key, "returned", counts=told, holder=holder or None, note=note)


def test_a_unit_that_stays_out_or_is_unfit_is_told_with_its_job(world: World, friday: Job) -> None:
    count(friday, "cells:CR123A", fresh=8)
    assert carried(world) == []
    back(friday, "TX1", "with", holder="B unit")
    back(friday, "TX2", "not seen", note="quay, scene 3")
    back(friday, "TX3", "wet")
    back(friday, "AD1")
    assert carried(world) == [
        "TX1: with B unit, small/2027-03-12",
        "TX2: not seen, small/2027-03-12 (quay, scene 3)",
        "TX3: wet, small/2027-03-12",
    ]
    assert carried(world, "2027-03-12") == []  # to its own job it is an open line, and not news


def test_of_what_goes_by_number_so_many_are_told(world: World, friday: Job) -> None:
    assert held(world) == {"cells:CR123A": 32, "supply:bag": 6}
    count(friday, "supply:bag", back=1, not_seen=1)
    count(friday, "cells:CR123A", fresh=3, spent=4, not_seen=1)
    assert carried(world) == [
        "CR123A cells: 1 not seen, 4 spent, of 40 in the kit, small/2027-03-12",
        "bag: 1 not seen, of 6 in the kit, small/2027-03-12",
    ]
    assert held(world) == {"cells:CR123A": 40 - 5, "supply:bag": 6 - 1}
    count(friday, "supply:bag", holder="Ines", **{"with": 2})
    assert carried(world)[1:] == ["bag: 2 with Ines, of 6 in the kit, small/2027-03-12"]


def test_the_key_is_said_where_kitprep_clear_wants_it_typed(
    world: World, friday: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    count(friday, "cells:CR123A", spent=8)
    back(friday, "TX3", "wet")
    main(["status", str(world.plan("2027-03-15")), "--ledger", world.url])
    assert (
        "NOT COUNTED ON (kitprep clear, once it is fit, back or bought)\n"
        "  TX3: wet, small/2027-03-12\n"
        "  CR123A cells (cells:CR123A): 8 spent, of 40 in the kit, small/2027-03-12\n"
    ) in capsys.readouterr().out


def test_cells_are_gone_with_the_bag_that_they_are_in_until_they_come_back(
    world: World, friday: Job
) -> None:
    assert carried(world) == ["CR123A cells: 8 packed by Ana, small/2027-03-12"]
    count(friday, "cells:CR123A", fresh=2, spent=4)  # of 2 nothing has been said yet
    assert carried(world) == [
        "CR123A cells: 4 spent, of 40 in the kit, small/2027-03-12",
        "CR123A cells: 2 packed by Ana, small/2027-03-12",
    ]
    assert held(world)["cells:CR123A"] == 40 - 4 - 2


def test_what_was_used_up_is_there_again_once_somebody_has_counted(
    world: World, friday: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    count(friday, "cells:CR123A", spent=8)
    assert held(world)["cells:CR123A"] == 32
    monday = str(world.plan("2027-03-15"))
    clear = ["clear", monday, "cells:CR123A", "--ledger", world.url]
    assert main([*clear[:2], "cells:CR123A=48", *clear[3:]]) == 2
    assert capsys.readouterr().err == (
        "kitprep: the kit's file has 40 of cells:CR123A; write qty = 48 there, and it is counted "
        "from then on\n"
    )
    assert main([*clear[:2], "cells:CR123A=40", *clear[3:]]) == 0
    assert capsys.readouterr().out == "cells:CR123A counted again: 40, as the kit's file says\n"
    assert held(world)["cells:CR123A"] == 40


def test_another_figure_in_the_kit_file_is_a_new_count(world: World, friday: Job) -> None:
    count(friday, "cells:CR123A", spent=8)
    kit = world.folder / "kit.toml"
    kit.write_text(kit.read_text("utf-8").replace("qty = 40", "qty = 56"), "utf-8")
    assert held(world)["cells:CR123A"] == 56
    # From then on what is used is taken off the new figure, and the old one is forgotten.
    saturday = world.job("Cy", world.plan("2027-03-13"))
    saturday.record("cells:CR123A", "packed", qty=8)
    count(saturday, "cells:CR123A", fresh=5, spent=3)
    assert held(world)["cells:CR123A"] == 56 - 3
    kit.write_text(kit.read_text("utf-8").replace("qty = 56", "qty = 40"), "utf-8")
    assert held(world)["cells:CR123A"] == 40


def test_cells_that_are_charged_again_are_not_used_up(world: World, friday: Job) -> None:
    kit = world.folder / "kit.toml"
    charged = 'cell = "CR123A"\nrechargeable = true'
    text = kit.read_text("utf-8").replace('[[stock]]\ncell = "CR123A"', f"[[stock]]\n{charged}")
    kit.write_text(text, "utf-8")
    count(friday, "cells:CR123A", fresh=1, spent=6, not_seen=1)
    assert held(world)["cells:CR123A"] == 40 - 1


def test_it_is_told_no_more_once_it_is_back(world: World, friday: Job) -> None:
    count(friday, "cells:CR123A", fresh=8)
    back(friday, "TX1", "not seen")
    count(friday, "supply:bag", back=1, not_seen=1)
    back(friday, "TX1")
    count(friday, "supply:bag", back=2)
    assert carried(world) == []


def test_it_is_told_no_more_once_it_is_cleared(
    world: World, friday: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    back(friday, "TX1", "not seen")
    count(friday, "supply:bag", back=1, not_seen=1)
    count(friday, "cells:CR123A", fresh=8)
    monday = str(world.plan("2027-03-15"))
    for key in ("tx1", "supply:BAG"):
        assert main(["clear", monday, key, "--ledger", world.url]) == 0
    assert main(["clear", monday, "supply:bag", "--ledger", world.url]) == 2
    capsys.readouterr()
    assert carried(world) == []


def test_each_job_answers_for_its_own(world: World, friday: Job) -> None:
    count(friday, "cells:CR123A", fresh=8)
    saturday = world.job("Cy", world.plan("2027-03-13"))
    saturday.record("supply:bag", "packed", qty=2)
    count(saturday, "supply:bag", not_seen=2)
    count(friday, "supply:bag", back=1, not_seen=1)
    assert carried(world) == [
        "bag: 1 not seen, of 6 in the kit, small/2027-03-12",
        "bag: 2 not seen, of 6 in the kit, small/2027-03-13",
    ]
    count(friday, "supply:bag", back=2)
    assert carried(world) == ["bag: 2 not seen, of 6 in the kit, small/2027-03-13"]


def test_status_tells_it(world: World, friday: Job, capsys: pytest.CaptureFixture[str]) -> None:
    back(friday, "TX1", "with", holder="B unit")
    main(["status", str(world.plan("2027-03-15")), "--ledger", world.url])
    assert "\n  TX1: with B unit, small/2027-03-12\n" in capsys.readouterr().out
