"""Files as people have them: other line ends, other folders, several files for one kit."""

import os
from pathlib import Path

import pytest

from kitprep.bundled import demo_plan
from kitprep.definitions.kit import Kit
from kitprep.definitions.loading import Day, load_any, load_day, load_kit
from kitprep.definitions.problems import DefinitionError
from kitprep.definitions.text import clock

SMALL = """
kit = "small"
name = "Small"

[[case]]
id = "pouch"
name = "Pouch"
"""

PLAN = """
kit = "kit.toml"
day = 2027-03-14

[[destination]]
id = "recorder"
inputs = 2
connector = "XLR3"

[[source]]
id = "ines"
form = "bodypack"
to = "recorder"

[[scene]]
number = 7
start = "23:00"
end = "25:30"
sources = ["ines"]
"""


def told(path: Path) -> list[str]:
    """What is said of a file, without the folder it is in."""
    with pytest.raises(DefinitionError) as raised:
        load_any(path)
    return [line.replace(f"{path.parent}{os.sep}", "") for line in raised.value.lines]


def write(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.encode())
    assert load_kit(path).kit == "small"


def test_a_byte_order_mark_moves_no_column(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(b"\xef\xbb\xbfkit = 3\nname = 'x'\n")
    assert told(path) == ['kit.toml:1:7: kit cannot be 3; write it in quotes, as in "3"']


def test_windows_line_ends_move_no_line(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(b'kit = "x"\r\nname = "x"\r\n\r\n[[case]]\r\nid = "A"\r\nname = "x"\r\n')
    assert told(path) == [
        'kit.toml:5:6: "A" is not an id; write small letters, digits and hyphens, such as "a"'
    ]


def test_a_schema_line_may_stand_first(tmp_path: Path) -> None:
    path = write(tmp_path / "kit.toml", "#:schema ./kit.schema.json\n" + SMALL)
    assert load_kit(path).kit == "small"


def test_a_scene_may_run_past_midnight_and_bear_a_plain_number(tmp_path: Path) -> None:
    write(tmp_path / "kit.toml", SMALL)
    day = load_day(write(tmp_path / "day.toml", PLAN))
    scene = day.plan.scenes[0]
    # 23:00 to 25:30, half past one next morning: 25 * 60 + 30 = 1530.
    assert (scene.number, scene.start, scene.end, scene.minutes) == ("7", 1380, 1530, 150)


def test_a_time_without_quotes_is_taken_where_toml_has_it(tmp_path: Path) -> None:
    write(tmp_path / "kit.toml", SMALL)
    day = load_day(write(tmp_path / "day.toml", PLAN.replace('"23:00"', "23:00:00")))
    assert day.plan.scenes[0].start == 1380


def test_what_would_steer_a_terminal_is_cleaned_off_once(tmp_path: Path) -> None:
    text = SMALL.replace('"Pouch"', r'"P\u001b[2Jou\u202Ech\u00a0\u200b "')
    assert load_kit(write(tmp_path / "kit.toml", text)).cases[0].name == "P [2Jou ch"


def test_an_accent_is_one_character_however_it_was_typed(tmp_path: Path) -> None:
    one = load_kit(write(tmp_path / "one.toml", SMALL.replace("Pouch", "Étui")))
    other = load_kit(write(tmp_path / "other.toml", SMALL.replace("Pouch", "E\u0301tui")))
    assert one.cases == other.cases


# ---- several files


def test_a_file_that_two_others_include_is_read_once(tmp_path: Path) -> None:
    tables = "include = ['cells.toml']"
    write(tmp_path / "tables/cells.toml", "[[cell]]\ntype = 'FR6'\nsource = 'made up'\n")
    write(tmp_path / "tables/one.toml", tables)
    write(tmp_path / "tables/two.toml", tables)
    text = "include = ['tables/one.toml', 'tables/../tables/two.toml']\n" + SMALL
    kit = load_kit(write(tmp_path / "kit.toml", text))
    assert [cell.type for cell in kit.cells] == ["FR6"]


def test_entries_stand_in_the_order_of_the_files(tmp_path: Path) -> None:
    entry = "[[connector]]\nname = 'x'\npoles = 3\nid = "
    write(tmp_path / "a.toml", entry + "'A'")
    write(tmp_path / "b.toml", "include = ['c.toml']\n" + entry + "'B'")
    write(tmp_path / "c.toml", entry + "'C'")
    text = "include = ['a.toml', 'b.toml']\n" + SMALL + entry + "'own'"
    kit = load_kit(write(tmp_path / "kit.toml", text))
    assert [connector.id for connector in kit.connectors] == ["A", "C", "B", "own"]


def test_the_mistakes_of_every_file_are_told_together(tmp_path: Path) -> None:
    write(tmp_path / "a.toml", "colour = 1")
    write(tmp_path / "kit.toml", "include = ['a.toml', 'b.toml']\nnmae = 'x'\nkit = 'x'")
    lines = told(write(tmp_path / "day.toml", PLAN.replace("ines", "Ines")))
    assert [line.split(":")[0] for line in lines] == [
        "day.toml",
        "kit.toml",
        "kit.toml",
        "a.toml",
    ]


# ---- what is no file, or none that can be read


def test_a_place_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    write(tmp_path / "kit.toml", SMALL)
    with pytest.raises(DefinitionError) as raised:
        load_any(tmp_path / "kit.toml" / "day.toml")
    assert raised.value.lines == [
        f"{tmp_path}/kit.toml/day.toml:1:1: this cannot be read (not a directory); write the path "
        "of a TOML file"
    ]


def test_a_file_that_includes_a_link_to_itself_is_told(tmp_path: Path) -> None:
    (tmp_path / "loop.toml").symlink_to("loop.toml")
    path = write(tmp_path / "kit.toml", "include = ['loop.toml']\n" + SMALL)
    assert told(path) == [
        'kit.toml:1:12: there is no file "loop.toml"; write its path from this file\'s folder'
    ]


@pytest.mark.parametrize("name", ["é" * 200, "a" * 190 + "/" + "b", "x\x00y", ".", "/"])
def test_a_path_that_no_disk_has_is_told(name: str, tmp_path: Path) -> None:
    written = name.replace("\x00", "\\u0000")
    kit = write(tmp_path / "kit.toml", f'include = ["{written}"]\n' + SMALL)
    day = write(tmp_path / "day.toml", PLAN.replace("kit.toml", written))
    assert [line[:13] for line in told(kit)] == ["kit.toml:1:12"]
    assert [line[:12] for line in told(day)] == ["day.toml:2:7"]


def test_a_path_that_is_no_path_is_told_beside_other_mistakes(tmp_path: Path) -> None:
    include = 'include = ["x\\u0000y", "", 3]\ncolour = 1\n'
    lines = told(write(tmp_path / "kit.toml", include + SMALL))
    assert [line.split(": ")[0] for line in lines] == [
        "kit.toml:1:12",
        "kit.toml:1:24",
        "kit.toml:1:28",
        "kit.toml:2:1",
    ]


# ---- the demo


def test_the_demo_loads() -> None:
    assert isinstance(load_any(demo_plan().parent / "kit.toml"), Kit)
    assert all(isinstance(load_any(demo_plan(number)), Day) for number in (1, 2, 3))


def test_a_kit_where_a_day_plan_belongs_is_one_mistake(tmp_path: Path) -> None:
    kit = write(tmp_path / "kit.toml", SMALL)
    with pytest.raises(DefinitionError) as caught:
        load_day(kit)
    assert caught.value.lines == [
        f"{kit}:1:1: this is a kit, where a day plan belongs; write the path of a day that uses it"
    ]


@pytest.mark.parametrize(
    ("minutes", "written"),
    [(450, "07:30"), (1530, "25:30"), (0, "00:00"), (-70, "22:50 the day before")],
)
def test_a_minute_is_written_as_on_a_call_sheet(minutes: int, written: str) -> None:
    assert clock(minutes) == written
