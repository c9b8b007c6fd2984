"""The file that an import makes reads back as the same units, and knows a person's hand."""

import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.definitions.kit import AddedUnit
from kitprep.definitions.loading import load_kit
from kitprep.importing.columns import Columns
from kitprep.importing.memory import recall, remember
from kitprep.importing.writing import include_line, includes, is_untouched, units_text

TEXT = st.text(st.characters(codec="utf-8"), max_size=30)
UNITS = st.builds(
    lambda tag, serial, weight, notes, due: AddedUnit.model_validate(
        {
            "model": "slim-pack",
            "tag": f"T{tag}",
            "serial": serial,
            "weight_g": weight,
            "notes": notes,
            **({"owner": "HIRE-7", "due": due} if due else {}),
        }
    ),
    TEXT,
    st.none() | TEXT,
    st.none() | st.floats(0, 1e6) | st.integers(0, 1000),
    TEXT,
    st.none() | st.dates(date(2000, 1, 1)),
)


def unit(tag: str = "TX02") -> AddedUnit:
    return AddedUnit.model_validate({"model": "slim-pack", "tag": tag})


@given(st.lists(UNITS, min_size=1, max_size=4), TEXT)
def test_units_read_back_as_they_were(units: list[AddedUnit], source: str) -> None:
    text = units_text(units, source)
    entries = tomllib.loads(text)["unit"]
    read = [AddedUnit.model_validate(entry) for entry in entries]
    # A serial that is empty says nothing, and is not written.
    assert [u.model_dump() | {"serial": u.serial or None} for u in read] == [
        u.model_dump() | {"serial": u.serial or None} for u in units
    ]
    assert is_untouched(text)


def test_the_same_units_give_the_same_bytes() -> None:
    assert units_text([unit()], "a.csv") == units_text([unit()], "a.csv")


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("TX02", "TX03"),
        lambda text: text + "# mine\n",
        lambda text: text.replace("# sum ", "# sum 0"),
        lambda text: "# mine\n" + text,
        lambda text: 'kit = "x"\n',
        lambda text: "\n\n",
    ][:-1],
)
def test_a_file_that_a_person_changed_is_known(change) -> None:  # type: ignore[no-untyped-def]
    assert not is_untouched(change(units_text([unit()], "a.csv")))


def test_an_empty_file_is_nobodys_work() -> None:
    assert is_untouched(" \n")


def test_a_sheet_whose_name_is_no_text_is_named_as_well_as_may_be() -> None:
    text = units_text([unit()], "caf\udce9.csv")
    assert "caf\\udce9.csv" in text
    assert is_untouched(text.encode().decode())


def test_other_line_ends_are_no_change() -> None:
    assert is_untouched(units_text([unit()], "a.csv").replace("\n", "\r\n"))


def test_the_line_to_include_makes_the_kit_take_the_file_in(kit: Path) -> None:
    folder = kit.parent / "stock & more"
    folder.mkdir()
    file = folder / 'un"its.toml'
    file.write_text(units_text([unit()], "a.csv"))
    line, text = include_line(kit, file)
    assert (line, text) == (None, r'include = ["stock & more/un\"its.toml"]')
    assert not includes(kit, file)
    kit.write_text(f"{text}\n{kit.read_text()}")
    assert includes(kit, file)
    assert [u.tag for u in load_kit(kit).transmitters[0].units] == ["TX01", "TX02"]


def test_a_kit_that_includes_something_is_told_its_whole_line_anew(kit: Path) -> None:
    (kit.parent / "cells.toml").write_text("")
    kit.write_text('# A kit\ninclude = ["cells.toml"]\n' + kit.read_text())
    assert include_line(kit, kit.parent / "units.toml") == (
        2,
        'include = ["cells.toml", "units.toml"]',
    )


def test_a_file_that_is_included_by_an_included_file_counts(kit: Path) -> None:
    (kit.parent / "more.toml").write_text('include = ["units.toml"]')
    kit.write_text('include = ["more.toml", "gone.toml"]\n' + kit.read_text())
    assert includes(kit, kit.parent / "units.toml")


def test_columns_are_remembered_for_their_headings(tmp_path: Path) -> None:
    place = tmp_path / "new" / "columns.json"
    assert recall(place, ["A", "B"]) is None
    assert remember(place, ["A", "B"], Columns({"tag": 1, "model": 0}))
    assert recall(place, ["A", "B"]) == {"tag": 1, "model": 0}
    assert recall(place, ["B", "A"]) is None


def test_only_the_newest_headings_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kitprep.importing.memory._MOST", 3)
    place = tmp_path / "columns.json"
    for n in range(5):
        remember(place, [str(n)], Columns({"tag": 0}))
    assert [recall(place, [str(n)]) is not None for n in range(5)] == [
        False,
        False,
        True,
        True,
        True,
    ]


@pytest.mark.parametrize(
    "kept",
    [
        "not json",
        "[]",
        "[" * 100_000,
        '{"[\\"A\\"]": 3}',
        '{"[\\"A\\"]": {"tag": 0, "model": 0}}',
        "\ud800".encode("utf-8", "surrogatepass"),
    ],
)
def test_a_memory_that_makes_no_sense_is_forgotten(tmp_path: Path, kept: str | bytes) -> None:
    place = tmp_path / "columns.json"
    place.write_bytes(kept if isinstance(kept, bytes) else kept.encode())
    assert recall(place, ["A"]) is None
    assert remember(place, ["A"], Columns({"tag": 0}))


def test_columns_of_a_narrower_sheet_or_of_unknown_roles_are_passed_over(tmp_path: Path) -> None:
    place = tmp_path / "columns.json"
    place.write_text('{"[\\"A\\"]": {"tag": 0, "model": 9, "colour": 0, "notes": true}}')
    assert recall(place, ["A"]) == {"tag": 0}
