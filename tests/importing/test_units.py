"""Rows become units of the kit's models, or every mistake of every row is told at its cell."""

from datetime import date
from pathlib import Path
from types import MappingProxyType

import pytest

from kitprep.definitions.kit import AddedUnit
from kitprep.definitions.loading import load_kit
from kitprep.importing.columns import guess
from kitprep.importing.problems import ImportProblems
from kitprep.importing.table import read_table
from kitprep.importing.units import Wishes, units_of
from kitprep.importing.words import Meanings, Names

HEADINGS = "Tag,Model,Serial,Firmware,Case,Weight,Value,Owner,Due,State,Notes"


def units(
    kit: Path,
    sheet: str,
    wishes: Wishes = Wishes(),  # noqa: B008
    instead_of: tuple[str, ...] = (),
    meanings: Meanings = MappingProxyType({}),
) -> tuple[AddedUnit, ...]:
    names = Names.of(load_kit(kit))
    table = read_table(sheet.encode(), "stock.csv")
    return units_of(table, guess(table, names.models), names, wishes, meanings, instead_of)


def refusals(kit: Path, sheet: str, wishes: Wishes = Wishes()) -> list[str]:  # noqa: B008
    with pytest.raises(ImportProblems) as refused:
        units(kit, sheet, wishes)
    return refused.value.lines


def test_a_full_row_is_a_full_unit(kit: Path) -> None:
    row = 'TX02,slim-pack,SN-2,5.2,pouch,62,"1,900",HIRE-7,2027-03-20,repair,Loose socket'
    (unit,) = units(kit, f"{HEADINGS}\n{row}\n")
    assert unit == AddedUnit.model_validate(
        {
            "tag": "TX02",
            "model": "slim-pack",
            "serial": "SN-2",
            "firmware": "5.2",
            "case": "pouch",
            "weight_g": 62,
            "value": 1900,
            "owner": "HIRE-7",
            "due": date(2027, 3, 20),
            "state": "repair",
            "notes": "Loose socket",
        }
    )


def test_what_a_row_leaves_out_the_unit_leaves_out(kit: Path) -> None:
    (unit,) = units(kit, f"{HEADINGS}\nTX02,slim-pack,,,,-,n/a,,,,\n")
    assert unit.model_fields_set - {"state"} == {"tag", "model"}


def test_models_and_cases_are_known_by_id_and_by_name_in_any_letters(kit: Path) -> None:
    sheet = "Tag,Model,Case\nA,SLIM BODYPACK,transmitter pouch\nB,Rx-M,Pouch\nC,stereo-adapter,\n"
    found = [(unit.model, unit.case) for unit in units(kit, sheet)]
    assert found == [("slim-pack", "pouch"), ("rx-m", "pouch"), ("stereo-adapter", None)]


@pytest.mark.parametrize(
    ("word", "state"),
    [("OK", "ok"), ("Good", "ok"), ("Faulty", "repair"), ("defekt", "repair"), ("lost", "missing")],
)
def test_states_are_known_by_their_usual_words(kit: Path, word: str, state: str) -> None:
    (unit,) = units(kit, f"Tag,Model,State\nA,slim-pack,{word}\n")
    assert unit.state == state


def test_who_owns_them_and_till_when_can_be_said_for_all(kit: Path) -> None:
    sheet = "Tag,Model,Owner\nA,slim-pack,\nB,slim-pack,own\nC,slim-pack,HIRE-8\n"
    wishes = Wishes(owner="HIRE-7", due=date(2027, 3, 20))
    found = [(unit.owner, unit.due) for unit in units(kit, sheet, wishes)]
    assert found == [
        ("HIRE-7", date(2027, 3, 20)),
        ("own", None),
        ("HIRE-8", date(2027, 3, 20)),
    ]


def test_every_mistake_of_every_row_is_told_at_its_cell(kit: Path) -> None:
    rows = [
        "TX02,slim-pak,S1,,puch,heavy,dear,HIRE-7,soon,so so,",
        ",slim-pack,S2,,,,,,,,",
        "TX03,,S3,,,,,,,,",
        "TX01,slim-pack,1.23E+11,,,,,,,,",
        "TX03,lav,S5,,,,,,,,",
        "TX04,pad,S6,,,,,HIRE-7,,,#REF!",
        f"{'T' * 51},slim-pack,,,,-1,,,,,",
    ]
    lines = refusals(kit, "\n".join([HEADINGS, *rows]))
    assert lines[:-2] == [
        'stock.csv: row 2, column B "Model": no model "slim-pak" here; did you mean "slim-pack"? '
        "Or say --models slim-pak=slim-pack",
        'stock.csv: row 2, column E "Case": no case "puch" in the kit; did you mean "pouch"? '
        "Or say --cases puch=new",
        'stock.csv: row 2, column F "Weight": "heavy" is no number; write digits, '
        "such as 62 or 0.5",
        'stock.csv: row 2, column G "Value": "dear" is no number; write digits, such as 62 or 0.5',
        'stock.csv: row 2, column I "Due": "soon" is no date; write year, month, day, '
        "as in 2027-03-14",
        'stock.csv: row 2, column J "State": "so so" is no state; write ok, repair or missing',
        'stock.csv: row 3, column A "Tag": there is no tag here; write one',
        'stock.csv: row 4, column B "Model": there is no model here; write one',
        'stock.csv: row 5, column A "Tag": the tag "TX01" is in the kit, on a slim-pack; '
        "write another",
        'stock.csv: row 5, column C "Serial": "1.23E+11" is what a spreadsheet makes of a long '
        "number; make the column text, and write it out",
        'stock.csv: row 6, column A "Tag": the tag "TX03" is in row 4 too; write another',
        'stock.csv: row 6, column B "Model": "lav" is counted by qty, as any item; '
        "take this unit out; or say --models lav=ignore",
        'stock.csv: row 7, column B "Model": "pad" is counted by qty; take its qty out, and write '
        "a unit for each; or say --models pad=ignore",
        'stock.csv: row 7, column H "Owner": owner "HIRE-7" is a hire with no day to return it; '
        "fill in a due column, or say --due",
        'stock.csv: row 7, column K "Notes": #REF! is an error of the spreadsheet\'s; mend the '
        "formula, or clear it",
    ]
    # These two are a unit's own bounds, in the words of its definition.
    assert lines[-2].startswith('stock.csv: row 8, column A "Tag": this is longer than 50 ')
    assert lines[-1].startswith('stock.csv: row 8, column F "Weight": this cannot be -1')


def test_tags_in_other_letters_are_the_same_tag(kit: Path) -> None:
    lines = refusals(kit, "Tag,Model\ntx01,rx-m\nA,rx-m\na,rx-m\n")
    assert [line.split(": ")[1] for line in lines] == [
        'row 2, column A "Tag"',
        'row 4, column A "Tag"',
    ]


def test_the_name_of_a_counted_adapter_is_no_tag(kit: Path) -> None:
    assert "is in the kit, on a pad" in refusals(kit, "Tag,Model\npad#1,rx-m\n")[0]


def test_tags_that_the_import_takes_the_place_of_are_free(kit: Path) -> None:
    (unit,) = units(kit, "Tag,Model\nTX01,rx-m\n", instead_of=("TX01",))
    assert unit.tag == "TX01"


def test_a_name_that_two_models_have_is_no_name(kit: Path) -> None:
    kit.write_text(kit.read_text().replace('"Portable receiver"', '"Slim bodypack"'))
    (line,) = refusals(kit, "Tag,Model\nA,Slim bodypack\n")
    assert line.endswith('is the name of several; write one of "rx-m", "slim-pack"')


def test_an_open_question_about_figures_is_asked_with_the_way_to_say_it(kit: Path) -> None:
    sheet = "Tag\tModel\tValue\tDue\nA\tslim-pack\t1,900\t03/04/2027\n"
    lines = refusals(kit, sheet)
    assert "say --decimal point or --decimal comma" in lines[0]
    assert "say --dates day-first or --dates month-first" in lines[1]
    (unit,) = units(kit, sheet, Wishes(decimal=".", dates="month-first"))
    assert (unit.value, unit.due) == (1900, date(2027, 3, 4))
