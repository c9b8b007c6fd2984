"""A glimpse of a plan says what the plan says, and nothing where the plan is not as expected."""

import os
import unicodedata
from datetime import date
from pathlib import Path

import pytest

from kitprep.definitions.glimpse import Glimpse, SeenBreak, SeenScene, glimpse
from kitprep.definitions.loading import load_day
from kitprep.definitions.problems import DefinitionError

SCENE = """
[[scene]]
number = 7
start = 07:30:00
end = "09:00"
"""

LEAST = "day = 2027-03-14\n" + SCENE


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    return tmp_path / "day.toml"


def seen(plan: Path, text: str) -> Glimpse | None:
    plan.write_text(text, "utf-8", newline="")
    return glimpse(plan)


def test_what_a_plan_leaves_out_is_as_usual(plan: Path) -> None:
    scene = SeenScene(7 * 60 + 30, 9 * 60, "7", "", ())
    assert seen(plan, LEAST) == Glimpse(date(2027, 3, 14), "", 20.0, 30, (scene,), ())


def test_hours_go_on_past_midnight(plan: Path) -> None:
    text = LEAST.replace('"09:00"', '"25:30"') + '[[break]]\nname="Tea"\nstart="24:10"\nend="24:25"'
    found = seen(plan, text)
    assert found is not None
    assert (found.scenes[0].start, found.scenes[0].end) == (450, 1530)
    assert found.breaks == (SeenBreak(24 * 60 + 10, 24 * 60 + 25, "Tea"),)


def test_text_is_cleaned_as_in_every_definition(plan: Path) -> None:
    hostile = (
        'title = " \\u001b[2J\\u202eNight\\u200b e\\u0301\\n[red]x "\n'
        + LEAST.replace("number = 7", 'number = "\\u009b7\\tA"')
        + 'place = "\\u2067quay"\nsources = ["in\\u00ades"]'
    )
    found = seen(plan, hostile)
    assert found is not None
    assert found.title == unicodedata.normalize("NFC", "[2J Night e\u0301 [red]x")
    assert found.scenes[0].number == "7 A"
    assert found.scenes[0].place == "quay"
    assert found.scenes[0].sources == ("ines",)


def test_a_byte_order_mark_and_other_line_ends_are_no_matter(plan: Path) -> None:
    assert seen(plan, "\ufeff" + LEAST.replace("\n", "\r\n")) == seen(plan, LEAST)


ODD = {
    "nothing at all": "",
    "no TOML": "day = 2027-03-14\n[[scene]",
    "no scene": "day = 2027-03-14",
    "no day": SCENE,
    "a day as text": LEAST.replace("2027-03-14", '"2027-03-14"'),
    "a day with its time": LEAST.replace("2027-03-14", "2027-03-14T07:00:00"),
    "one table for the scenes": LEAST.replace("[[scene]]", "[scene]"),
    "scenes that are no tables": 'day = 2027-03-14\nscene = ["7"]',
    "a scene that ends before it starts": LEAST.replace('"09:00"', '"01:30"'),
    "a scene of no time": LEAST.replace('"09:00"', '"07:30"'),
    "a time that is none": LEAST.replace('"09:00"', '"nine"'),
    "a time with seconds": LEAST.replace("07:30:00", "07:30:30"),
    "a time past the end of the next day": LEAST.replace('"09:00"', '"48:01"'),
    "a scene without its end": LEAST.replace("end", "ends"),
    "a scene without a number": LEAST.replace("number = 7", ""),
    "a number of blanks": LEAST.replace("7\n", '"\\u200b "\n', 1),
    "a number of half": LEAST.replace("number = 7", "number = 7.5"),
    "a number that is too long": LEAST.replace("number = 7", f'number = "{"7" * 51}"'),
    "a place that is no text": LEAST + "place = 3",
    "sources in one text": LEAST + 'sources = "ines"',
    "a source that is no text": LEAST + "sources = [7]",
    "a title that is too long": f'title = "{"x" * 201}"\n' + LEAST,
    "a temperature that is no number": "temperature_c = true\n" + LEAST,
    "a lead that is no whole number": "lead_min = 1.5\n" + LEAST,
    "a lead of less than nothing": "lead_min = -1\n" + LEAST,
    "a lead of years": "lead_min = 999999999999\n" + LEAST,
    "a break without a name": LEAST + '[[break]]\nstart = "12:00"\nend = "13:00"',
    "tables within tables": "x = " + "[" * 5000,
    "a number of thousands of digits": "lead_min = " + "9" * 5000 + "\n" + LEAST,
}


@pytest.mark.parametrize("text", ODD.values(), ids=ODD.keys())
def test_what_is_odd_is_left_to_the_reading_in_earnest_which_refuses_it(
    text: str, plan: Path
) -> None:
    assert seen(plan, text) is None
    with pytest.raises(DefinitionError):
        load_day(plan)


def test_a_file_that_cannot_be_read_gives_no_glimpse(plan: Path) -> None:
    assert glimpse(plan) is None
    plan.mkdir()
    assert glimpse(plan) is None
    (plan / "day.toml").write_bytes(b"title = \xff")
    assert glimpse(plan / "day.toml") is None
    assert glimpse(plan / ("x" * 300)) is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_left_untouched_for_it_can_be_read_only_once(plan: Path) -> None:
    os.mkfifo(plan)
    assert glimpse(plan) is None
