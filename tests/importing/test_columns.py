"""What a column is: by its heading in several languages, by its cells, and by what people say."""

import pytest

from kitprep.importing.columns import Columns, complain_of_missing, guess, said
from kitprep.importing.problems import ImportProblems
from kitprep.importing.table import Row, Table

MODELS = ("slim-pack", "Slim bodypack", "rx-m", "Portable receiver")


def table(*headings: str, cells: "tuple[tuple[str, ...], ...]" = ()) -> Table:
    rows = tuple(Row(n, row) for n, row in enumerate(cells or (("",) * len(headings),), 2))
    return Table("stock.csv", headings, rows, ",", "utf-8-sig")


def roles(*headings: str) -> list[str]:
    sheet = table(*headings)
    columns = guess(sheet, MODELS)
    return [columns.role(n) for n in range(len(headings))]


@pytest.mark.parametrize(
    ("headings", "expected"),
    [
        (
            "Tag,Serial,Model,Firmware,Case,Weight,Value,Owner,Due,State,Notes",
            "tag serial model firmware case weight value owner due state notes",
        ),
        (
            "Asset No.,Description,Serial Number,Replacement Value,Due back,Remarks,Colour",
            "tag model serial value due notes ignore",
        ),
        (
            "Inventar-Nr.,Gerät,Seriennummer,Gewicht (kg),Neuwert,Rückgabe,Zustand,Bemerkung",
            "tag model serial weight value due state notes",
        ),
        (
            "Étiquette,Modèle,Numéro de série,Poids,Valeur,Propriétaire,Date de retour,État",
            "tag model serial weight value owner due state",
        ),
        ("BARCODE,Item,Unit weight,Hire reference", "tag model weight owner"),
        ("No,Type,S/N,Condition", "tag model serial state"),
        ("Item no,Item,Contract number,Number", "tag model owner ignore"),
    ],
)
def test_headings_are_understood(headings: str, expected: str) -> None:
    assert roles(*headings.split(",")) == expected.split()


def test_a_role_is_given_once_to_the_best_heading() -> None:
    assert roles("Notes for hire house", "Notes") == ["owner", "notes"]
    assert roles("Serial", "Serial number") == ["ignore", "serial"]


def test_a_column_full_of_the_kits_models_is_the_model_whatever_its_heading() -> None:
    sheet = table("Type", "What", cells=(("x", "slim-pack"), ("y", "SLIM BODYPACK"), ("z", "?")))
    assert guess(sheet, MODELS).by_role == {"model": 1}


@pytest.mark.parametrize(
    ("heading", "unit"),
    [("Weight", "g"), ("Weight (kg)", "kg"), ("weight in lbs", "lbs"), ("Gewicht [g]", "g")],
)
def test_a_heading_names_the_unit_of_weight(heading: str, unit: str) -> None:
    assert guess(table("Tag", heading), MODELS).weight_unit == unit


def test_columns_are_said_by_heading_or_by_letter() -> None:
    sheet = table("Tag", "Number", "Kind")
    columns = said("tag=Number, model=C", sheet, guess(sheet, MODELS))
    assert columns.by_role == {"tag": 1, "model": 2}


def test_a_heading_with_a_comma_is_said_in_quotes() -> None:
    sheet = table("Tag, old", "Tag")
    assert said('"tag=Tag, old"', sheet, Columns({})).by_role == {"tag": 0}


def test_a_column_can_be_ignored() -> None:
    sheet = table("Tag", "Notes")
    assert said("ignore=Notes", sheet, guess(sheet, MODELS)).by_role == {"tag": 0}


def test_all_that_is_wrong_in_what_was_said_is_told() -> None:
    with pytest.raises(ImportProblems) as refused:
        said("tga=A,model=Kidn,notes", table("Tag", "Kind"), Columns({}))
    assert refused.value.lines == [
        'stock.csv: --columns has "tga", which is nothing of a unit; did you mean "tag"?',
        'stock.csv: --columns has no column "Kidn" for model; did you mean "Kind"?',
        'stock.csv: --columns has "notes"; write what = column, as in tag=A',
    ]


def test_without_a_tag_or_a_model_it_says_how_to_say_it() -> None:
    with pytest.raises(ImportProblems) as refused:
        complain_of_missing(table("Colour"), Columns({}))
    assert refused.value.lines == [
        "stock.csv: no column is the tag; say which, as in --columns tag=A",
        "stock.csv: no column is the model; say which, as in --columns model=A",
    ]
