"""What nobody knows is said wherever a figure would stand, and "at least" before what is known."""

import json
from functools import cache
from typing import Any

from planning.building import (
    cells,
    destination,
    kit,
    plan,
    receiver,
    scene,
    source,
    thing,
    transmitter,
    worked,
)

from kitprep.ledger.events import JobState
from kitprep.planning.results import WorkedDay
from kitprep.reports.needs import needs_json, needs_text
from kitprep.reports.paper.cells import cell_sheet
from kitprep.reports.paper.hire import hire_sheet
from kitprep.reports.paper.sheet import Block
from kitprep.tui.drawing.lines import ASCII, text
from kitprep.tui.drawing.power import power_rows
from kitprep.walks.feeding import cell_round


@cache
def day() -> WorkedDay:
    """Ann on a pack of unknown life, Bob on one that lasts 3 h of two scenes of 2 h.

    The rack draws nobody knows what from packs that hold nobody knows what.
    """
    return worked(
        kit(
            transmitter("old", ["TX1"], name="Old pack", power=[cells("D", 2)]),
            transmitter("plug", ["TX2"], form="plug-on", power=[cells(hours=3)]),
            receiver(modules=2, power=[{"dc_v": [10, 18]}]),
            thing("cell", type="D", source="made up"),
            thing("stock", cell="D", qty=20),
            thing("supply", id="bag", volts=[12, 16], packs=2),
        ),
        plan(
            destination("rec", supplies=["bag"]),
            source("ann"),
            source("bob", form="plug-on"),
            scene("1", "09:00-11:00", "ann bob"),
            scene("2", "12:00-14:00", "ann bob"),
        ),
    )


@cache
def only_weights() -> WorkedDay:
    """Nothing is short; weights, and the lithium in C, are not in the kit."""
    return worked(kit(transmitter(), receiver()), plan(source("a"), scene("1", "09:00-10:00", "a")))


def block(heading: str) -> Block:
    return next(b for b in cell_sheet(day()).blocks if b.heading.startswith(heading))


def screen(width: int) -> str:
    """The power screen, its lines run together, for a sentence may be broken anywhere."""
    rows = power_rows(day(), JobState(), 9 * 60, width, ASCII)
    return " ".join(" ".join(text(row.line).split()) for row in rows)


def test_needs_says_at_least_and_what_is_not_known() -> None:
    lines = needs_text(day()).splitlines()
    assert "  D cells                       2     20      -  at least 2 planned, 0 spare" in lines
    assert "  C cells                       2   1000      -  2 planned, 0 spare" in lines
    assert max(map(len, lines)) <= 78
    packs = lines.index("  bag packs                     1      2      -")
    assert lines[packs + 1] == "    load not known, hours not known"
    below = lines[lines.index("NOT KNOWN") :]
    assert "  how long a set of cells lasts: TX1" in below
    assert "  how long a supply lasts, or what it carries: bag" in below


def test_needs_tells_a_program_which_figures_are_at_least() -> None:
    document: dict[str, Any] = json.loads(json.dumps(needs_json(day())))
    assert document["ready"] is False
    assert {c["cell"]: c["at_least"] for c in document["cells"]} == {"C": False, "D": True}
    (bag,) = document["supplies"]
    assert (bag["hours_per_pack"], bag["mains"], bag["at_least"]) == (None, False, True)


def test_nothing_short_is_said_with_what_is_not_known() -> None:
    assert only_weights().ready
    assert "  Nothing, as far as is known. See NOT KNOWN." in needs_text(only_weights())
    assert hire_sheet(only_weights()).notes == (
        "Nothing is short, as far as is known; kitprep needs lists what is not known.",
    )


def test_the_cell_sheet_leaves_the_number_of_changes_open() -> None:
    devices = block("In every device")
    assert devices.notes == ("Not known how long a set lasts in TX1: look often, change early.",)
    assert {row["unit"]: row["changes"] for row in devices.records} == {"TX1": None, "TX2": 1}
    assert block("To take").notes == (
        "At the least for D: nobody knows how long some of these sets last.",
    )
    assert block("Supplies").notes == ("At the least for bag: what is short says why.",)
    (bag,) = block("Supplies").paper[1]
    assert bag[1:5] == (None, "not known", 1, 2)


def test_the_round_of_cells_says_so_in_its_turn() -> None:
    """After what is due, before what comes later: TX2's set is changed before scene 2 at 12:00."""
    lines = cell_round(day(), JobState(), 9 * 60)
    assert [(line.unit, line.due) for line in lines] == [("TX1", "not known"), ("TX2", "later")]
    assert lines[0].says == "how long a set lasts: look often, change early"


def test_the_power_screen_says_so_at_every_width() -> None:
    for width in (56, 76, 116):
        said = screen(width)
        assert "not known how long a set lasts in TX1" in said
        assert "hours not known a pack, at least 1 pack to carry" in said
        assert "at least" in said.split("Cells to carry")[1].split("Supplies")[0]
    assert "? nobody knows how long a set lasts" in screen(116)
