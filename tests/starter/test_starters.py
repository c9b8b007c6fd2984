"""A starter checks clean, works out ready, and tells a beginner what every line is."""

import re
import shutil
import tomllib
from datetime import date
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.bundled import bundle
from kitprep.definitions.loading import load_day, load_kit
from kitprep.files import write_folder
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay
from kitprep.starter.answers import MOST_CAST, Answers, NoAnswer, read_answers
from kitprep.starter.making import DAY, KIT, TABLE_NAMES, day_text, kit_id, kit_text, starter_files

RECEIVERS = ("rack", "portables")
TODAY = date(2027, 3, 13)
TABLES = {name: (bundle() / "shared" / name).read_text("utf-8") for name in TABLE_NAMES}
USUAL = Answers("A job", 2, "boom-pack", True, "portables", date(2027, 3, 14), 7 * 60)


def made(folder: Path, answers: Answers) -> WorkedDay:
    write_folder(folder, starter_files(answers, TABLES))
    day = load_day(folder / DAY)
    return work_out(day.kit, day.plan)


KINDS = [
    kind
    for kind in product(
        (0, 1, 2, 5, MOST_CAST), ("wired", "plug-on", "boom-pack"), (False, True), RECEIVERS
    )
    if kind[:3] != (0, "wired", False)  # nothing to hear by radio, which is refused
]


@pytest.mark.parametrize(("cast", "boom", "hop", "receivers"), KINDS)
def test_every_starter_is_ready_and_proven(
    tmp_path: Path, cast: int, boom: str, hop: bool, receivers: str
) -> None:
    answers = Answers("A job", cast, boom, hop, receivers, date(2027, 3, 14), 420)  # type: ignore[arg-type]
    worked = made(tmp_path / "job", answers)
    assert worked.shortfalls == ()
    assert worked.notices == ()
    assert "weight" in worked.proven
    # One pack for each of the cast, one for a boom by radio, one for the mix.
    assert worked.peak.packs == cast + (boom != "wired") + hop


@pytest.mark.parametrize("call", [0, 5 * 60, 13 * 60, 23 * 60 + 59])
def test_a_day_that_runs_past_midnight_is_ready_too(tmp_path: Path, call: int) -> None:
    answers = Answers("A job", 3, "plug-on", True, "rack", date(2027, 3, 14), call)
    assert made(tmp_path / "job", answers).ready


def test_the_boom_is_on_input_1_and_the_cast_come_after_it(tmp_path: Path) -> None:
    worked = made(tmp_path / "job", USUAL)
    inputs = {link.source: link.inputs for link in worked.links}
    assert inputs == {"boom": (1,), "cast-1": (2,), "cast-2": (3,), "mix": (1, 2)}


def test_the_folder_stands_alone_and_may_be_moved(tmp_path: Path) -> None:
    made(tmp_path / "job", USUAL)
    shutil.move(tmp_path / "job", tmp_path / "elsewhere")
    assert load_day(tmp_path / "elsewhere" / DAY).kit.kit == "a-job"


def test_the_tables_say_where_they_are_now(tmp_path: Path) -> None:
    files = starter_files(USUAL, TABLES)
    for name in TABLE_NAMES:
        assert f'include = ["tables/{name}"]' in files[f"tables/{name}"].decode()
        assert "../" not in files[f"tables/{name}"].decode()


def test_the_models_of_a_usual_kit_are_all_there(tmp_path: Path) -> None:
    made(tmp_path / "job", USUAL)
    kit = load_kit(tmp_path / "job" / KIT)
    forms = [model.form for model in kit.transmitters]
    assert forms == ["bodypack", "bodypack", "plug-on", "handheld", "boom-pack"]
    cells = [[(o.cell, o.count) for o in model.power] for model in kit.transmitters[:2]]
    assert cells == [[("CR123A", 1)], [("FR6", 2)]]
    assert "P48" in kit.transmitters[2].mic_power
    assert [(model.modules, model.modes) for model in kit.receivers] == [
        (1, ("mono",)),
        (1, ("mono", "stereo")),
        (4, ("mono", "stereo")),
    ]
    assert [len(cable.to) for cable in kit.cables] == [1, 2, 1]


@pytest.mark.parametrize("text", [kit_text(USUAL), day_text(USUAL)], ids=["kit", "day"])
def test_every_key_is_explained_by_a_comment(text: str) -> None:
    comments = " ".join(line.partition("#")[2] for line in text.splitlines() if "#" in line)
    keys = set(re.findall(r"^\s*([a-z0-9_]+) = ", text, re.MULTILINE))
    keys |= set(re.findall(r"[{,] ([a-z0-9_]+) = ", text))
    # What these are is said by their value, or by the line above them.
    plain = {"kit", "name", "id", "include", "day", "title", "from", "number"}
    assert {key for key in keys - plain if not re.search(rf"\b{key}\b", comments)} <= {
        # each of these has a comment in its own line that says it in other words
        "temperature_c", "reserve", "spare", "lead_min", "handover_min", "between", "listeners",
        # a cell and how many, under a heading that says so; a scene's own words
        "cell", "count", "start", "end", "place", "card",
    }  # fmt: skip


def test_every_made_up_figure_is_marked_as_an_example() -> None:
    figure = re.compile(r"\s*(tag|qty|weight_g|tuning_mhz|watts|wh|packs|outlets|volts) = ")
    lines = [line for line in kit_text(USUAL).splitlines() if figure.match(line)]
    assert len(lines) > 60
    assert [line for line in lines if not re.search(r"# example", line)] == []
    hours = [line for line in kit_text(USUAL).splitlines() if re.search(r"hours = \d", line)]
    assert [line for line in hours if not line.endswith("# example")] == []


@pytest.mark.parametrize("text", [kit_text(USUAL), day_text(USUAL)], ids=["kit", "day"])
def test_no_line_is_too_long_for_a_screen(text: str) -> None:
    assert [line for line in text.splitlines() if len(line) > 100] == []


def test_the_same_answers_give_the_same_bytes() -> None:
    assert starter_files(USUAL, TABLES) == starter_files(USUAL, TABLES)


@given(st.text(min_size=1, max_size=120))
def test_any_job_name_makes_files_that_read(name: str) -> None:
    try:
        answers = read_answers({"job": name}, TODAY)
    except NoAnswer:
        return
    kit = tomllib.loads(kit_text(answers))
    assert kit["name"] == answers.job
    assert re.fullmatch("[a-z0-9-]{1,50}", kit["kit"])
    assert tomllib.loads(day_text(answers))["kit"] == "kit.toml"


@pytest.mark.parametrize(
    ("job", "kit"),
    [
        ("Harbour of Foxes", "harbour-of-foxes"),
        ("Été à l'île!", "ete-a-l-ile"),
        ("狐の港", "my-kit"),
    ],
)
def test_a_kit_is_named_after_its_job(job: str, kit: str) -> None:
    assert kit_id(job) == kit


def test_with_nothing_said_the_usual_answers_are_taken() -> None:
    assert read_answers({}, TODAY) == Answers(
        "My first job", 2, "wired", False, "portables", date(2027, 3, 14), 420
    )


@pytest.mark.parametrize(
    ("key", "written", "message"),
    [
        ("cast", "17", 'cast cannot be "17"; write a number from 0 to 16'),
        ("cast", "two", 'cast cannot be "two"; write a number from 0 to 16'),
        ("cast", "²", 'cast cannot be "²"; write a number from 0 to 16'),
        ("boom", "fishing rod", '"fishing rod" is none of them; write wired or plug-on or'),
        ("hop", "maybe", '"maybe" is none of them; write yes or no'),
        ("receivers", "", '"" is none of them; write rack or portables'),
        ("day", "14.3.2027", '"14.3.2027" is no date; write year, month, day, as in 2027-03-14'),
        ("first_call", "7", '"7" is not a time; write "HH:MM", such as "07:30"'),
        ("first_call", "24:00", "a first call at 24:00 is on the next day; write that day"),
        ("job", " \t ", "the job has no name; write one"),
        ("job", "caf\udce9", "the job's name has letters that are no text; write it anew"),
        ("job", "x" * 81, "is longer than 80 characters; shorten it"),
    ],
)
def test_an_answer_that_cannot_be_used_says_what_to_write(
    key: str, written: str, message: str
) -> None:
    with pytest.raises(NoAnswer) as refused:
        read_answers({key: written}, TODAY)
    assert message in str(refused.value)


def test_a_day_with_nothing_by_radio_is_refused() -> None:
    with pytest.raises(NoAnswer, match="leave nothing to hear by radio"):
        read_answers({"cast": "0", "boom": "wired", "hop": "no"}, TODAY)


def test_the_beginning_of_a_word_will_do() -> None:
    assert read_answers({"boom": "Plug", "receivers": "r", "hop": "Y"}, TODAY) == Answers(
        "My first job", 2, "plug-on", True, "rack", date(2027, 3, 14), 420
    )
