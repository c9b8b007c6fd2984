"""Any separator and any usual encoding, and rows that count as the spreadsheet counts them."""

import codecs
import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.definitions.text import clean_line
from kitprep.importing.problems import ImportProblems, letter
from kitprep.importing.table import SEPARATORS, read_table

ROWS = [["Tag", "Gerät", "Note"], ["TX01", "slim-pack", "a, b; c"], ["TX02", "long-pack", "€ 5"]]


def sheet(rows: list[list[str]], separator: str, line_end: str = "\r\n") -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator=line_end).writerows(rows)
    return out.getvalue()


def refusals(content: bytes) -> list[str]:
    with pytest.raises(ImportProblems) as refused:
        read_table(content, "stock.csv")
    return refused.value.lines


@pytest.mark.parametrize("separator", SEPARATORS)
@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le+bom", "utf-16-be+bom", "cp1252"]
)
def test_the_same_rows_come_out_of_every_kind_of_file(separator: str, encoding: str) -> None:
    text = sheet(ROWS, separator)
    if encoding.endswith("+bom"):
        name = encoding.removesuffix("+bom")
        mark = codecs.BOM_UTF16_LE if name == "utf-16-le" else codecs.BOM_UTF16_BE
        content = mark + text.encode(name)
    else:
        content = text.encode(encoding)
    table = read_table(content, "stock.csv")
    assert table.separator == separator
    assert [list(table.headings), *(list(row.cells) for row in table.rows)] == ROWS


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_every_line_end_will_do(line_end: str) -> None:
    assert len(read_table(sheet(ROWS, ";", line_end).encode(), "x").rows) == 2


def test_a_line_that_names_the_separator_is_followed_and_counted() -> None:
    table = read_table(b"sep=;\r\nTag,x;Model\r\nA;B\r\n", "x")
    assert table.headings == ("Tag,x", "Model")
    assert table.rows[0].number == 3


def test_amounts_with_a_decimal_comma_are_not_taken_for_two_columns() -> None:
    text = "Tag;Value\n" + "".join(f"T{n};1900,50\n" for n in range(80))
    assert read_table(text.encode(), "x").separator == ";"


def test_rows_count_as_the_spreadsheet_shows_them() -> None:
    # Row 1 headings, row 2 with a line end inside a cell, row 3 empty, row 4.
    table = read_table(b'Tag,Note\nA,"one\ntwo"\n\nB,x\n', "x")
    assert [row.number for row in table.rows] == [2, 4]
    assert table.rows[0].cell(1) == "one two"


def test_a_title_above_the_headings_is_passed_over() -> None:
    table = read_table(b"Our stock,,\n,,\nTag,Model,Note\nA,B,\n", "x")
    assert table.headings == ("Tag", "Model", "Note")
    assert table.rows[0].number == 4


def test_a_row_may_end_early() -> None:
    assert read_table(b"Tag,Model,Note\nA,B\n", "x").rows[0].cell(2) == ""


def test_cells_are_cleaned_as_every_text_is() -> None:
    table = read_table("Tag,Model\n T\u202eX\x1b[1,B\u00a0C\n".encode(), "x")
    assert table.rows[0].cells == (clean_line(" T\u202eX\x1b[1"), "B C")
    assert not any(c in table.rows[0].cells[0] for c in "\u202e\x1b")


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b"", "stock.csv: there are no rows under headings here; "),
        (b"Tag,Model\n", "stock.csv: there are no rows under headings here; "),
        (b"only one column\nA\nB\n", "stock.csv: there are no rows under headings here; "),
        (b"PK\x03\x04rest", "stock.csv: this is the spreadsheet program's own file; save it as"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "stock.csv: this is the spreadsheet program's own file; "),
        (b"Tag,Model\nA\0,B\n", "stock.csv: this is no text in UTF-8, UTF-16 or Windows-1252; "),
        (b"Tag,Model\nA\x81,B\n", "stock.csv: this is no text in UTF-8, UTF-16 or Windows-1252; "),
        (b"\xff\xfeT", "stock.csv: this is no text in UTF-8, UTF-16 or Windows-1252; "),
        (b'Tag,Model\nA,B\n"C,D\nE,F\n', "stock.csv: row 3: a quotation mark is left open here"),
        (b'Tag,Model\n"A"x,B\n', "stock.csv: row 2: a quotation mark is left open here, or text"),
        (b"Tag,Model\nA,B,C\n", "stock.csv: row 2, column C: there is no heading above this; "),
    ],
)
def test_what_is_no_table_says_so(content: bytes, line: str) -> None:
    (found,) = refusals(content)
    assert found.startswith(line)


def test_an_open_quotation_mark_in_a_long_file_is_told_at_its_row() -> None:
    text = "Tag,Model\n" + "A,B\n" * 3 + '"C,D\n' + "E,FFFFFFFFFFFFFFFFFFFFFFFFFFFF\n" * 9000
    assert refusals(text.encode())[0].startswith("stock.csv: row 5: a quotation mark")


@pytest.mark.parametrize(
    ("column", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (702, "AAA")]
)
def test_columns_are_named_as_in_a_spreadsheet(column: int, name: str) -> None:
    assert letter(column) == name


CELLS = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12)


@given(
    st.lists(st.tuples(CELLS, CELLS, CELLS), min_size=1, max_size=8), st.sampled_from([*SEPARATORS])
)
def test_whatever_is_in_the_cells_comes_out_of_its_own_row(
    cells: list[tuple[str, str, str]], separator: str
) -> None:
    rows = [["Tag", "Model", "Note"], *([f"T{n}", *row[1:]] for n, row in enumerate(cells))]
    text = sheet(rows, separator)
    try:
        table = read_table(text.encode("utf-8-sig"), "x")
    except ImportProblems:
        # The only way out: another separator cut the first rows just as well.
        assert any(other in text for other in SEPARATORS if other != separator)
        return
    if table.separator == separator:
        assert [row.cells[0] for row in table.rows] == [f"T{n}" for n in range(len(cells))]
        assert [row.cell(2) for row in table.rows] == [clean_line(row[2]) for row in cells]


@given(st.binary(max_size=300))
def test_any_bytes_are_a_table_or_a_refusal_in_words(content: bytes) -> None:
    lines = []
    try:
        read_table(content, "x")
    except ImportProblems as refused:
        lines = refused.lines
    assert all(line.startswith("x: ") for line in lines)
