"""The days that lie beside one another, and the next one's name."""

from pathlib import Path

import pytest

from kitprep.days.folder import days_beside, next_file, way_to_kit
from kitprep.definitions.loading import load_day


def test_the_days_of_one_kit_stand_by_their_dates(folder: Path) -> None:
    first = folder / "day-01.toml"
    late = folder / "a-late-one.toml"
    text = first.read_text("utf-8")
    late.write_text(text.replace("day = 2027-03-14", "day = 2027-04-01"), "utf-8")
    (folder / "broken.toml").write_text("day = 2027-03-20\n[[scene]", "utf-8")
    (folder / "b-kit.toml").write_bytes((folder / "kit.toml").read_bytes())
    other = folder / "of-another-kit.toml"
    other.write_text(text.replace('kit = "kit.toml"', 'kit = "b-kit.toml"'), "utf-8")
    names = [day.path.name for day in days_beside(load_day(first))]
    assert names == ["day-01.toml", "day-02.toml", "day-03.toml", "a-late-one.toml"]


@pytest.mark.parametrize(
    ("there", "name"),
    [
        (["day-01.toml"], "day-02.toml"),
        (["day-01.toml", "day-02.toml", "day-03.toml"], "day-04.toml"),
        (["day-09.toml"], "day-10.toml"),
        (["day 9.toml"], "day 10.toml"),
        (["call.toml"], "call-2.toml"),
        (["call.toml", "call-2.toml"], "call-3.toml"),
    ],
)
def test_the_next_name_is_the_next_number_that_is_free(
    there: list[str], name: str, tmp_path: Path
) -> None:
    for one in there:
        (tmp_path / one).touch()
    assert next_file(tmp_path / there[0]) == tmp_path / name


def test_the_way_to_the_kit_changes_with_the_folder(tmp_path: Path) -> None:
    plan = tmp_path / "a" / "day.toml"
    assert way_to_kit(plan, tmp_path / "a" / "next.toml", "kit.toml") is None
    assert way_to_kit(plan, tmp_path / "b" / "next.toml", "kit.toml") == "../a/kit.toml"
    assert way_to_kit(plan, tmp_path / "b" / "next.toml", "/kits/kit.toml") is None
