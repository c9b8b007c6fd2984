"""The project's table of cells against published figures.

Each line says how well it is known: "seen" in a stored page; "secondary" seen in a page that quotes
another; "worked out" from a seen formula; "from memory" where nobody has looked it up yet.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from kitprep.definitions.kit import Cell
from kitprep.planning.cells import capacity

TABLE = Path(__file__).parents[2] / "shared" / "cells.toml"
ROWS: dict[str, dict[str, Any]] = {
    row["type"]: row for row in tomllib.loads(TABLE.read_text(encoding="utf-8"))["cell"]
}
CELLS = {name: Cell.model_validate(row) for name, row in ROWS.items()}

FIGURES = [
    ("LR6", "volts", 1.5, "secondary: battery handbooks; 1.58-1.60 fresh (advanced-battery.com)"),
    ("LR6", "fresh_volts", 1.6, "secondary: 1.58-1.60 V fresh (advanced-battery.com)"),
    ("LR6", "mah", 2200, "seen: LR6 sheet, 43 ohm 4 h/day to 0.9 V"),
    ("LR6", "mass_g", 22, "seen: the same sheet, 22.0 g"),
    ("LR6", "lithium_g", 0, "secondary: IEC 60086-1, letter L is alkaline"),
    ("FR6", "volts", 1.5, "secondary: batteryequivalents.com"),
    ("FR6", "fresh_volts", 1.8, "secondary: up to 1.8 V (batteryequivalents.com)"),
    ("FR6", "mah", 3000, "secondary: lygte-info.dk, nearly flat 25-1000 mA"),
    ("FR6", "mass_g", 14.5, "seen: product safety data sheet (pharmapdf.com)"),
    ("FR6", "lithium_g", 0.98, "from memory"),
    ("HR6", "volts", 1.2, "seen: IEC 61951-2 product sheets"),
    ("HR6", "fresh_volts", 1.4, "from memory: about 1.4 V at rest after a charge"),
    ("HR6", "mah", 1500, "seen: rated minimum, not the average of 1580 (data sheet of 2014/03)"),
    ("HR6", "mass_g", 26, "seen: the same sheet"),
    ("HR6", "lithium_g", 0, "seen: IATA special provisions A123, A199 "),
    ("CR123A", "volts", 3.0, "secondary: CR17345 (specification table)"),
    ("CR123A", "fresh_volts", 3.3, "from memory: 3.2-3.3 V"),
    ("CR123A", "mah", 1400, "secondary: 1400-1550, the low end (specification table)"),
    ("CR123A", "mass_g", 17, "secondary: 16-17 g, the high end (specification table)"),
    ("CR123A", "lithium_g", 0.58, "seen: material safety data sheet 2.001.0010"),
    ("6LR61", "volts", 9.0, "seen: 9 V alkaline sheet (studylib.net 18190212)"),
    ("6LR61", "fresh_volts", 9.6, "worked out: six of 1.6 V, as LR6"),
    ("6LR61", "mass_g", 45, "seen: the same sheet"),
    ("6LR61", "mah", 550, "secondary: 550-565 at a light load (liquisearch.com)"),
    ("2ICR19/66", "volts", 7.2, "from memory: label values"),
    ("2ICR19/66", "fresh_volts", 8.4, "worked out: two of 4.20 V, full (cell sheets)"),
    ("2ICR19/66", "mah", 2200, "from memory: label values"),
    ("2ICR19/66", "mass_g", 100, "from memory: about 100 g"),
    ("2ICR19/66", "wh", 15.84, "worked out: 7.2 V x 2.2 Ah (49 CFR 171.8)"),
]


@pytest.mark.parametrize(
    ("cell", "key", "published", "source"), FIGURES, ids=[f"{f[0]} {f[1]}, {f[3]}" for f in FIGURES]
)
def test_the_table_has_the_published_figure(
    cell: str, key: str, published: float, source: str
) -> None:
    assert getattr(CELLS[cell], key) == published


def test_no_figure_is_in_the_table_without_its_source() -> None:
    """What is not in the list above, in the capacities or in words, is no figure."""
    known = {(cell, key) for cell, key, _, _ in FIGURES}
    figures = {
        (cell, key)
        for cell, row in ROWS.items()
        for key in row
        if key in ("volts", "fresh_volts", "mah", "mass_g", "lithium_g", "wh")
    }
    assert figures - known <= {("6LR61", "lithium_g")}  # alkaline, as LR6
    assert all(row["source"].strip() for row in ROWS.values())


def test_six_cells_joined_in_a_holder_hold_3_48_grams_of_lithium() -> None:
    """6 x 0.58 g: the same data sheet gives the pack of six, seen."""
    lithium = CELLS["CR123A"].lithium_g
    assert lithium is not None
    assert round(6 * lithium, 2) == 3.48


@pytest.mark.parametrize("cell", ["FR6", "CR123A"])
def test_no_lithium_cell_holds_less_than_its_charge_takes(cell: str) -> None:
    """6.94 g/mol over 26.80 Ah/mol is 0.259 g/Ah: a floor by Faraday's law, worked out."""
    row = CELLS[cell]
    assert row.lithium_g is not None
    assert row.mah is not None
    assert row.lithium_g >= 0.259 * row.mah / 1000


def test_a_leading_digit_is_cells_in_series() -> None:
    """IEC 60086-1: 6LR61 is six of 1.5 V, 9 V; 2ICR is two of 3.6 V, 7.2 V (secondary)."""
    assert CELLS["6LR61"].volts == 6 * 1.5
    assert CELLS["2ICR19/66"].volts == 2 * 3.6


COLD = [
    ("LR6", 0, 0.50, 0.60),
    ("LR6", -20, 0.10, 0.20),
    ("FR6", 0, 0.95, 0.95),
    ("FR6", -20, 0.70, 0.80),
    ("HR6", 0, 0.85, 0.90),
    ("HR6", -20, 0.0, 0.50),
    ("2ICR19/66", 0, 0.85, 0.90),
    ("2ICR19/66", -20, 0.50, 0.60),
]


@pytest.mark.parametrize(
    ("cell", "celsius", "least", "most"),
    COLD,
    ids=[f"{c[0]} at {c[1]} °C, handbook curves, from memory" for c in COLD],
)
def test_capacity_in_the_cold_is_as_handbooks_draw_it(
    cell: str, celsius: float, least: float, most: float
) -> None:
    assert least <= float(capacity(CELLS[cell], celsius)) <= most


@pytest.mark.parametrize("cell", sorted(CELLS))
def test_nothing_gains_capacity_in_the_cold(cell: str) -> None:
    shares = [capacity(CELLS[cell], celsius) for celsius in range(-40, 41)]
    assert shares == sorted(shares)
    assert capacity(CELLS[cell], 20) == 1
