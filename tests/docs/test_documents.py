"""The documents are what the program makes of itself now, and stand by themselves."""

import re
import sys
import tempfile
from pathlib import Path

import pytest

import kitprep
from kitprep.cli.words import COMMANDS
from kitprep.docs.pages import FOLDER, PAGES
from kitprep.docs.screens import words
from kitprep.docs.units import UNITS, NoUnit, unit_of

STALE = "is stale; run python -m kitprep.docs"
README = Path(__file__).parents[2] / "README.md"


def committed(name: str) -> str:
    return (FOLDER / name).read_text("utf-8")


@pytest.mark.parametrize("name", [name for name in PAGES if name.endswith(".md")])
def test_the_page_is_as_the_program_is(name: str) -> None:
    assert PAGES[name]() == committed(name), f"kitprep/docs/{name} {STALE}"


def test_the_picture_shows_what_the_screen_shows() -> None:
    """By its words: colours and the inner names of a picture may change with Textual."""
    assert words(PAGES["day.svg"]()) == words(committed("day.svg")), f"kitprep/docs/day.svg {STALE}"


@pytest.mark.parametrize("name", PAGES)
def test_nothing_points_outside_or_at_the_machine_that_made_it(name: str) -> None:
    text = committed(name).replace("http://www.w3.org/2000/svg", "")  # a name, not an address
    here = (tempfile.gettempdir(), sys.prefix, str(README.parent))
    outside = ("http:", "https:", "@import", "@font-face")
    assert [word for word in (*outside, *here) if word in text] == []


def test_the_picture_is_a_whole_screen() -> None:
    lines = words(committed("day.svg")).splitlines()
    assert len(lines) == 30
    assert lines[0].startswith(" Mon 15 Mar  Day 2")
    assert lines[-1].endswith("F1 Help")


def test_the_readme_leads_to_every_document() -> None:
    links = re.findall(r"\]\(([^)]+)\)", README.read_text("utf-8"))
    assert {f"kitprep/docs/{name}" for name in PAGES} <= set(links)
    assert all((README.parent / link).exists() for link in links if "://" not in link)


# ---- the reference


def rows(heading: str = "") -> list[list[str]]:
    """The cells of every key of the files, or of one table."""
    text = committed("reference.md").partition("\n## The kit\n")[2]
    if heading:
        text = text.partition(f"\n### {heading}\n")[2].partition("\n### ")[0]
    found = [re.split(r" ?(?<!\\)\| ?", line)[1:-1] for line in text.splitlines()]
    return [cells for cells in found if len(cells) == 5 and cells[0].startswith("`")]


def test_every_key_has_a_type_and_a_meaning() -> None:
    assert len(rows()) > 100
    assert [cells[0] for cells in rows() if not cells[1] or not cells[4]] == []


def test_every_number_has_a_unit_that_is_explained() -> None:
    numbers = [cells for cells in rows() if re.search(r"number|\[low, high\]", cells[1])]
    numbers = [cells for cells in numbers if cells[0] != "`number`"]  # of a scene: a name
    assert len(numbers) > 30
    for key, _, unit, *_ in numbers:
        assert unit, key
        assert set(unit.split(", ")) <= set(UNITS), key


def test_a_number_without_a_unit_stops_the_making() -> None:
    with pytest.raises(NoUnit, match="no unit is known for brightness"):
        unit_of("Supply", "brightness")


@pytest.mark.parametrize(
    ("heading", "row"),
    [
        (
            "At the top of the file",
            ["`kit`", "id", "", "**needed**", "Names the kit in the ledger"],
        ),
        (
            "`[[cable]]`",
            ["`length_m`", "number above 0", "m", "–", "Length, in metres"],
        ),
        (
            "`[[item]]`",
            ["`spare`", "number from 0, below 1", "share", "`0.0`", "Spare share, rounded up"],
        ),
        (
            "`[[scene]]`",
            ["`start`", "time", "", "**needed**", "When it begins, on the clock of the day"],
        ),
    ],
)
def test_a_key_reads_like_this(heading: str, row: list[str]) -> None:
    assert row in rows(heading)


def test_every_command_is_in_it_with_how_it_is_written() -> None:
    text = committed("reference.md")
    for name in COMMANDS:
        assert f"\n### kitprep {name}\n" in text
    assert "\nkitprep needs PLAN… [--json] [--format text|json|csv] [--ledger URL]\n" in text


def test_every_argument_has_a_meaning() -> None:
    assert re.findall(r"^- `[^`]+`: None$", committed("reference.md"), re.MULTILINE) == []


def test_every_variable_that_the_program_heeds_is_in_it() -> None:
    code = Path(kitprep.__file__).parent.rglob("*.py")
    heeded = {name for path in code for name in re.findall(r"KITPREP_[A-Z]+", path.read_text())}
    assert {name for name in heeded if f"`{name}`" not in committed("reference.md")} == set()
