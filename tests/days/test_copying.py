"""A copied plan is the same text but for its day, checks clean, and takes nobody's place."""

import difflib
import tomllib
from datetime import date
from pathlib import Path

import pytest
from days_running import Command
from hypothesis import given
from hypothesis import strategies as st

from kitprep.bundled import demo_plan
from kitprep.days.copy import copied
from kitprep.definitions.loading import load_day
from kitprep.definitions.problems import DefinitionError
from kitprep.job import Job
from kitprep.planning.day import work_out

NEW_DAY = date(2027, 3, 22)


def changed(one: str, other: str) -> list[str]:
    lines = difflib.ndiff(one.splitlines(), other.splitlines())
    return [line for line in lines if line[0] in "+-"]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_only_the_day_changes(number: int) -> None:
    text = demo_plan(number).read_text("utf-8")
    assert changed(text, copied(text, NEW_DAY)) == [
        f"- day = 2027-03-{13 + number}",
        "+ day = 2027-03-22",
    ]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("day = 2027-03-14  # Sunday\n", "day = 2027-03-22  # Sunday\n"),
        ("'day'=2027-03-14\n", "'day'=2027-03-22\n"),
        ('"d\\u0061y"   =   2027-03-14\n', '"d\\u0061y"   =   2027-03-22\n'),
        (
            "# day = 2027-03-14\r\nday = 2027-03-14\r\n",
            "# day = 2027-03-14\r\nday = 2027-03-22\r\n",
        ),
        ("\ufeffday = 2027-03-14", "\ufeffday = 2027-03-22"),
        (
            'notes = """\nday = 2027-03-14\n"""\nday = 2027-03-14\n[x]\nday = 2027-03-14\n',
            'notes = """\nday = 2027-03-14\n"""\nday = 2027-03-22\n[x]\nday = 2027-03-14\n',
        ),
    ],
)
def test_the_day_is_found_by_its_place_and_not_by_its_looks(before: str, after: str) -> None:
    assert copied(before, NEW_DAY) == after


def test_the_kit_is_found_again_from_another_folder() -> None:
    text = 'day = 2027-03-14\nkit = "kit.toml" # ours\n'
    assert copied(text, NEW_DAY, '../a "b"/kit.toml') == (
        'day = 2027-03-22\nkit = "../a \\"b\\"/kit.toml" # ours\n'
    )


COMMENT = st.text(st.characters(codec="utf-8", exclude_categories=("Cc",)), max_size=20)


@given(COMMENT, COMMENT, st.text(st.characters(codec="utf-8"), max_size=20), st.dates())
def test_whatever_stands_around_the_day_stays(one: str, two: str, title: str, day: date) -> None:
    import json

    quoted = json.dumps(title, ensure_ascii=False).replace("\x7f", "\\u007f")
    text = f"# {one}\ntitle = {quoted}\nday = 2027-03-14 # {two}\n"
    assert copied(text, day) == text.replace("day = 2027-03-14 #", f"day = {day.isoformat()} #")
    assert tomllib.loads(copied(text, day)) == {"title": title, "day": day}


def test_who_wears_what_is_written_in_where_each_source_stands() -> None:
    text = (
        'day = 2027-03-14\n\n[[source]]\nid = "a" # one\n\n'
        '# two\n[[source]]\nid = "b"\nwears = "TX2" # his\n\n[[source]]\nid = "c"\n'
    )
    assert copied(text, NEW_DAY, wears={0: "TX1", 1: "TX3"}) == (
        'day = 2027-03-22\n\n[[source]]\nid = "a" # one\nwears = "TX1"\n\n'
        '# two\n[[source]]\nid = "b"\nwears = "TX3" # his\n\n[[source]]\nid = "c"\n'
    )


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('title = "One" # t\nday = 2027-03-14\n', 'title = "Two" # t\nday = 2027-03-22\n'),
        ("day = 2027-03-14\n\n[x]\n", 'day = 2027-03-22\ntitle = "Two"\n\n[x]\n'),
    ],
)
def test_a_title_is_another_where_one_is_given(before: str, after: str) -> None:
    assert copied(before, NEW_DAY, title="Two") == after


# ---- the command


def test_a_copy_checks_clean_and_tells_what_to_look_at(folder: Path, copy_day: Command) -> None:
    new = folder / "day-04.toml"
    status, answer, messages = copy_day(folder / "day-01.toml", new, "--date", "2027-03-22")
    assert (status, answer) == (0, f"{new}\n")
    assert load_day(new).plan.day == NEW_DAY
    assert messages.splitlines() == [
        f"{new} is {folder / 'day-01.toml'} on 2027-03-22; all else is as it was.",
        'Its title is still "Day 1, quay and net loft".',
        "Some of HIRE-2207 is due back before that day.",
    ]


def test_what_is_still_on_hire_that_day_is_no_matter(folder: Path, copy_day: Command) -> None:
    _, _, messages = copy_day(
        folder / "day-01.toml", folder / "day-04.toml", "--date", "2027-03-20"
    )
    assert "due back" not in messages


def test_line_ends_and_every_byte_around_stay(folder: Path, copy_day: Command) -> None:
    plan = folder / "day-01.toml"
    plan.write_bytes(b"\xef\xbb\xbf" + plan.read_bytes().replace(b"\n", b"\r\n"))
    new = folder / "day-04.toml"
    assert copy_day(plan, new, "--date", "2027-03-22")[0] == 0
    assert new.read_bytes() == plan.read_bytes().replace(
        b"day = 2027-03-14", b"day = 2027-03-22", 1
    )


def test_a_copy_in_another_folder_finds_its_kit(folder: Path, copy_day: Command) -> None:
    (folder / "b unit").mkdir()
    new = folder / "b unit" / "day.toml"
    assert copy_day(folder / "day-01.toml", new, "--date", "2027-03-22")[0] == 0
    assert load_day(new).plan.kit == "../kit.toml"
    assert load_day(new).kit == load_day(folder / "day-01.toml").kit


def test_a_name_that_is_taken_is_refused(folder: Path, copy_day: Command) -> None:
    before = (folder / "day-02.toml").read_bytes()
    status, answer, messages = copy_day(
        folder / "day-01.toml", folder / "day-02.toml", "--date", "2027-03-22"
    )
    assert (status, answer) == (2, "")
    assert messages == (
        f"kitprep: {folder} has day-02.toml already, and nothing is written over; "
        "write another name\n"
    )
    assert (folder / "day-02.toml").read_bytes() == before


def test_a_plan_that_is_wrong_is_not_copied(folder: Path, copy_day: Command) -> None:
    plan = folder / "day-01.toml"
    plan.write_text(plan.read_text("utf-8").replace('"ines", "marek"', '"inez", "marek"', 1))
    with pytest.raises(DefinitionError, match='no source "inez" here'):
        copy_day(plan, folder / "day-04.toml", "--date", "2027-03-22")
    assert not (folder / "day-04.toml").exists()


def test_worn_carries_over_who_wears_what_as_it_was_swapped(
    folder: Path, copy_day: Command, tmp_path: Path
) -> None:
    plan, new, url = folder / "day-01.toml", folder / "day-04.toml", f"sqlite:///{tmp_path}/l.db"
    job = Job.open(plan, url, "Ana", "test")
    # Ines has TX01, the first slim pack; TX03 stands in for it.
    job.record("TX01", "swapped", by="TX03", reason="crackles")
    job.close()
    status, _, messages = copy_day(plan, new, "--date", "2027-03-22", "--worn", "--ledger", url)
    assert status == 0
    assert "who wears what is carried over." in messages
    day = load_day(new)
    assert day.plan.sources[0].wears == "TX03"
    worn = {link.source: link.transmitter for link in work_out(day.kit, day.plan).links}
    assert worn["ines"] == "TX03"


def test_a_date_that_is_none_is_told_by_the_parser(folder: Path, copy_day: Command) -> None:
    with pytest.raises(SystemExit):
        copy_day(folder / "day-01.toml", folder / "day-04.toml", "--date", "22.3.2027")
    assert not (folder / "day-04.toml").exists()
