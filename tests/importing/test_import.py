"""``kitprep import``: shows, asks, writes whole or not at all, and says what to include."""

import io
import time
import tomllib
from pathlib import Path

import pytest
from import_running import Import

from kitprep.cli import spreadsheet
from kitprep.definitions.loading import load_kit

SHEET = "Asset;Gerät;Gewicht (kg)\nTX02;Slim bodypack;0,062\nRX01;rx-m;\n"


def tags(kit: Path) -> list[str]:
    return [unit["tag"] for unit in tomllib.loads(kit.with_name("units.toml").read_text())["unit"]]


def test_a_sheet_becomes_a_file_of_units_by_the_kit(take_in: Import, kit: Path) -> None:
    before = kit.read_bytes()
    status, answer, messages = take_in(SHEET, "--yes")
    assert (status, answer) == (0, f"{kit.parent}/units.toml\n")
    assert tags(kit) == ["TX02", "RX01"]
    assert kit.read_bytes() == before
    assert messages.splitlines() == [
        f"{kit.parent}/stock.csv: 2 rows, semicolons, UTF-8; each column is taken for",
        "  A   Asset                     TX02                      tag",
        "  B   Gerät                     Slim bodypack             model",
        "  C   Gewicht (kg)              0,062                     weight, read as 62 g",
        f"2 units are in {kit.parent}/units.toml:",
        "      1 slim-pack",
        "      1 rx-m",
        f"The kit does not take them in yet; write this above the first [[ in {kit}:",
        'include = ["units.toml"]',
    ]


def test_the_kit_takes_them_in_by_the_line_it_is_told(take_in: Import, kit: Path) -> None:
    _, _, messages = take_in(SHEET, "--yes")
    kit.write_text(messages.splitlines()[-1] + "\n" + kit.read_text())
    whole = load_kit(kit)
    assert [unit.tag for unit in whole.transmitters[0].units] == ["TX01", "TX02"]
    assert whole.transmitters[0].units[1].weight_g == 62


def test_a_second_import_takes_the_place_of_the_first(take_in: Import, kit: Path) -> None:
    take_in(SHEET, "--yes")
    kit.write_text('include = ["units.toml"]\n' + kit.read_text())
    status, _, messages = take_in(SHEET.replace("RX01", "RX02"), "--yes")
    assert status == 0
    assert tags(kit) == ["TX02", "RX02"]
    assert "does not take them in" not in messages


def test_a_file_that_a_person_changed_is_never_written_over(take_in: Import, kit: Path) -> None:
    take_in(SHEET, "--yes")
    units = kit.with_name("units.toml")
    units.write_text(units.read_text() + "# mine\n")
    before = units.read_bytes()
    status, answer, messages = take_in(SHEET, "--yes")
    assert (status, answer) == (2, "")
    assert messages.splitlines()[-1] == (
        f"kitprep: {units} is not as an import left it, and nothing is written over; write "
        "another name after --to, or empty the file first"
    )
    assert units.read_bytes() == before


def test_a_persons_own_file_is_never_written_over(take_in: Import, kit: Path) -> None:
    before = kit.read_bytes()
    status, _, _ = take_in(SHEET, "--yes", "--to", kit)
    assert status == 2
    assert kit.read_bytes() == before


def test_one_mistake_and_nothing_is_written(take_in: Import, kit: Path, config: Path) -> None:
    status, answer, messages = take_in(SHEET.replace("rx-m", "rx-n"), "--yes")
    assert (status, answer) == (2, "")
    assert messages.splitlines()[-1] == (
        f'{kit.parent}/stock.csv: row 3, column B "Gerät": no model "rx-n" here; '
        'did you mean "rx-m"? Or say --models rx-n=rx-m'
    )
    assert sorted(path.name for path in kit.parent.iterdir()) == ["kit.toml", "stock.csv"]
    assert not config.exists()


def test_a_dry_run_prints_the_file_and_writes_nothing(
    take_in: Import, kit: Path, config: Path
) -> None:
    status, answer, messages = take_in(SHEET, "--dry-run")
    assert status == 0
    assert [unit["tag"] for unit in tomllib.loads(answer)["unit"]] == ["TX02", "RX01"]
    assert "2 units would be written; this was a dry run:" in messages
    assert not kit.with_name("units.toml").exists()
    assert not config.exists()


def test_columns_that_were_said_are_remembered_for_these_headings(
    take_in: Import, kit: Path
) -> None:
    sheet = "One,Two\nrx-m,A\n"
    assert take_in(sheet, "--yes")[0] == 2
    assert take_in(sheet, "--yes", "--columns", "tag=Two,model=A")[0] == 0
    status, _, messages = take_in("One,Two\nrx-m,B\n", "--yes")
    assert status == 0
    assert "each column is as last time" in messages
    assert tags(kit) == ["B"]


def test_where_nobody_can_be_asked_the_guess_is_shown_and_not_taken(
    take_in: Import, kit: Path
) -> None:
    status, answer, messages = take_in(SHEET)
    assert (status, answer) == (2, "")
    assert messages.endswith(
        "kitprep: nobody is here to ask; add --yes if the columns above are right\n"
    )
    assert not kit.with_name("units.toml").exists()


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr(spreadsheet, "can_ask", lambda: True)
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def test_a_person_changes_columns_until_they_are_right(
    take_in: Import, kit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed(monkeypatch, "Z=serial", "C=serial", "")
    status, _, messages = take_in("Tag,Model,Number on the back\nA,rx-m,77\n")
    assert status == 0
    assert 'has no column "Z" for serial; write a letter up to C' in messages
    assert tomllib.loads(kit.with_name("units.toml").read_text())["unit"][0]["serial"] == "77"


OWN_WORDS = "Tag;Type;Where\nA;Receiver portable;Bag 2\nB;The red one;Bag 2\nC;Old lead;Bin\n"


def test_a_person_says_what_the_sheets_own_words_stand_for(
    take_in: Import, kit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed(monkeypatch, "", "", "2=slim-pak", "2=slim bodypack", "3=ignore", "5=new", "9=x", "")
    status, _, messages = take_in(OWN_WORDS)
    assert status == 0
    assert "2 stands for nothing yet; write 2=WHAT, or =ignore" in messages
    assert 'no model "slim-pak" here; did you mean "slim-pack"?' in messages
    assert "write a number up to 5, = and what it is" in messages
    assert "1 row left out: Old lead (what is counted has its qty in the kit)" in messages
    made = tomllib.loads(kit.with_name("units.toml").read_text())
    assert made["unit"] == [
        {"model": "rx-m", "tag": "A", "case": "bag-2"},
        {"model": "slim-pack", "tag": "B", "case": "bag-2"},
    ]
    assert made["case"] == [{"id": "bag-2", "name": "Bag 2"}, {"id": "bin", "name": "Bin"}]
    kit.write_text('include = ["units.toml"]\n' + kit.read_text())
    again = take_in(OWN_WORDS, "--yes")
    assert again[0] == 0
    assert tomllib.loads(kit.with_name("units.toml").read_text()) == made
    load_kit(kit)


def test_the_kit_takes_them_in_at_once_where_a_person_says_so(
    take_in: Import, kit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit.write_text("# Mine\n" + kit.read_text())
    before = kit.read_text()
    typed(monkeypatch, "", "no")
    assert take_in(SHEET)[0] == 0
    assert kit.read_text() == before
    typed(monkeypatch, "", "yes")
    status, _, messages = take_in(SHEET)
    assert status == 0
    assert '+include = ["units.toml"]' in messages.splitlines()
    assert kit.read_text().replace('include = ["units.toml"]\n', "") == before
    assert [unit.tag for unit in load_kit(kit).transmitters[0].units] == ["TX01", "TX02"]


def test_a_kit_that_does_not_read_with_them_stays_as_it_was(
    take_in: Import, kit: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = kit.read_bytes()

    def ask(question: str, usual: str = "") -> str:
        if usual == "no":  # meanwhile somebody spoils the file of units
            kit.with_name("units.toml").write_text("[[unit]]\ntag = 3\n")
            return "yes"
        return ""

    monkeypatch.setattr(spreadsheet, "can_ask", lambda: True)
    monkeypatch.setattr(spreadsheet, "ask", ask)
    status, _, messages = take_in(SHEET)
    assert status == 2
    assert "kitprep: the kit is as it was: " in messages
    assert kit.read_bytes() == before


def test_where_nobody_looks_no_guess_is_taken(take_in: Import, kit: Path) -> None:
    status, _, messages = take_in(OWN_WORDS, "--yes")
    assert status == 2
    assert messages.splitlines()[-5:] == [
        f'{kit.parent}/stock.csv: row 2, column B "Type": no model "Receiver portable" here; '
        'write one of "pad", "rx-m", "slim-pack", "stereo-adapter"; or say --models '
        "'Receiver portable=rx-m'",
        f'{kit.parent}/stock.csv: row 2, column C "Where": no case "Bag 2" in the kit; write '
        "\"pouch\", the only one; or say --cases 'Bag 2=new' (and in one more row)",
        f'{kit.parent}/stock.csv: row 3, column B "Type": no model "The red one" here; write one '
        'of "pad", "rx-m", "slim-pack", "stereo-adapter"; or say --models '
        "'The red one=MODEL'",
        f'{kit.parent}/stock.csv: row 4, column B "Type": no model "Old lead" here; write one of '
        '"pad", "rx-m", "slim-pack", "stereo-adapter"; or say --models \'Old lead=MODEL\'',
        f'{kit.parent}/stock.csv: row 4, column C "Where": no case "Bin" in the kit; write '
        '"pouch", the only one; or say --cases Bin=new',
    ]
    words = ("--models", "Receiver portable=rx-m,The red one=slim-pack,Old lead=ignore")
    assert take_in(OWN_WORDS, "--yes", *words, "--cases", "Bag 2=new,Bin=new")[0] == 0
    assert tags(kit) == ["A", "B"]


def test_a_dry_run_shows_what_would_be_made_of_the_words(take_in: Import, kit: Path) -> None:
    status, answer, messages = take_in("Tag,Model,Case\nA,Portable receivers,Bag 2\n", "--dry-run")
    assert status == 0
    assert tomllib.loads(answer) == {
        "case": [{"id": "bag-2", "name": "Bag 2"}],
        "unit": [{"model": "rx-m", "tag": "A", "case": "bag-2"}],
    }
    assert "a new case, bag-2" in messages


def test_example_units_of_a_first_kit_are_named(take_in: Import, kit: Path) -> None:
    kit.write_text(kit.read_text().replace('tag = "TX01"', 'tag = "TX01"    # example'))
    _, _, messages = take_in(SHEET, "--yes")
    assert (
        f"{kit} still has example units, which are planned with as if you had them: TX01; "
        "take out what is not yours."
    ) in messages


@pytest.mark.parametrize("lines", [("q",), ()], ids=["q", "end of input"])
def test_a_person_may_stop(
    take_in: Import, kit: Path, monkeypatch: pytest.MonkeyPatch, lines: tuple[str, ...]
) -> None:
    typed(monkeypatch, *lines)
    status, _, messages = take_in(SHEET)
    assert status == 2
    assert messages.endswith("kitprep: nothing was written\n")
    assert not kit.with_name("units.toml").exists()


def test_a_configuration_that_cannot_be_written_costs_nothing_else(
    take_in: Import, kit: Path, config: Path
) -> None:
    config.parent.write_text("in the way")
    status, _, messages = take_in(SHEET, "--yes")
    assert status == 0
    assert "kitprep: the columns could not be kept for the next time" in messages
    assert tags(kit) == ["TX02", "RX01"]


def test_a_missing_sheet_is_named(take_in: Import, kit: Path) -> None:
    stock = kit.with_name("stock.csv")
    stock.unlink(missing_ok=True)
    given = spreadsheet.Namespace(
        csv=stock, kit=kit, to=None, columns=None, owner=None, due=None, decimal=None, dates=None,
        models=None, cases=None, dry_run=False, yes=True,
    )  # fmt: skip
    assert spreadsheet.run_import(given) == 2


def test_hostile_cells_are_text_in_the_file_and_on_the_screen(take_in: Import, kit: Path) -> None:
    cells = '"]\n[[unit]]\ntag=""x"" # \x1b[2J \u202e"'
    status, _, messages = take_in(f"Tag,Model,Notes\nA,rx-m,{cells}\n", "--yes")
    assert status == 0
    assert "\x1b" not in messages
    (unit,) = tomllib.loads(kit.with_name("units.toml").read_text())["unit"]
    assert unit["tag"] == "A"
    assert unit["notes"].startswith('] [[unit]] tag="x" #')


def test_five_thousand_rows_take_seconds(take_in: Import, kit: Path) -> None:
    rows = "".join(f'T{n:04},slim-pack,S{n},62,"1,900","note {n}"\n' for n in range(5000))
    started = time.perf_counter()
    status, _, messages = take_in(f"Tag,Model,Serial,Weight,Value,Notes\n{rows}", "--yes")
    # It takes 0.3 s where this was written; the rest is for slow and busy machines.
    assert time.perf_counter() - started < 5
    assert status == 0
    assert "5000 units are in" in messages
