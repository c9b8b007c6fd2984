"""The same sheets in five formats, in each of which what people wrote is text and nothing else."""

import csv
import io
import json
import re
import unicodedata
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paper_running import Print, worked

from kitprep.bundled import demo_plan
from kitprep.definitions.text import clean_line
from kitprep.reports.paper.build import paper
from kitprep.reports.paper.data import csv_paper, formula_safe, json_paper
from kitprep.reports.paper.html import html_paper
from kitprep.reports.paper.sheet import BOX, Block, Column, Paper, Sheet
from kitprep.reports.paper.text import WIDTH, markdown_paper, text_paper

HOSTILE = [
    "</td></table></style></title><script>alert(1)</script>",
    "<img src=x onerror=alert(1)>\"' & &lt; &#0;",
    "bell \x07 escape \x1b[2J null \x00 line\u2028end",
    "\u202eexe.txt \u2066x",
    "מארק العربية abc 123",
    "W" * 10_000,
    "| a | b |\n\n# heading\n`code` **bold** [x](javascript:alert(1)) ![i](//x)",
    "狐の港 と長い長い長い名前",
]


class Tree(HTMLParser):
    """The tags that are open, the tags that were met, and the text between them."""

    EMPTY = ("meta", "path")

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.met: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.met.append((tag, dict(attrs)))
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def sheet_of(texts: list[str]) -> Paper:
    columns = (BOX, Column("what", "What"), Column("tag", "Tag", "tag"), Column("n", "N", "number"))
    blocks = tuple(
        Block(text, (text,), columns, ((None, text, text, 3), (None, "b", "c", None)))
        for text in texts
    )
    return Paper(
        "k", texts[0], "2027-03-14", texts[-1], (Sheet("x", "Sheet", tuple(texts), blocks),)
    )


def demo(number: int) -> Paper:
    return paper(worked(number), worked(number).kit)


# ---- HTML


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_page_needs_nothing_but_itself(number: int) -> None:
    page = html_paper(demo(number))
    tree = Tree(page)
    assert tree.open == []
    assert {tag for tag, _ in tree.met} <= {
        "html", "head", "meta", "title", "style", "body", "section", "header", "h1", "h2", "p",
        "table", "thead", "tbody", "tr", "th", "td", "span",
    }  # fmt: skip
    attributes = {name for _, attrs in tree.met for name in attrs}
    assert not attributes & {"src", "href", "style", "onload", "onerror", "srcset", "action"}
    assert not re.search(r"url\(|@import|http:|https:", page)
    assert "default-src 'none'" in page


def test_hostile_text_is_shown_as_text_in_html() -> None:
    page = html_paper(sheet_of(HOSTILE))
    tree = Tree(page)
    assert tree.open == []
    assert "script" not in {tag for tag, _ in tree.met}
    assert "img" not in {tag for tag, _ in tree.met}
    for text in HOSTILE:
        assert clean_line(text) in tree.texts
    assert not re.search(r"[\x00-\x08\x0b-\x1f\u202a-\u202e\u2066-\u2069]", page)


@given(st.lists(st.text(max_size=40), min_size=1, max_size=3))
def test_any_text_is_shown_as_text_in_html(texts: list[str]) -> None:
    tree = Tree(html_paper(sheet_of(texts)))
    assert tree.open == []
    assert {"".join(clean_line(text)) for text in texts if clean_line(text)} <= set(tree.texts)


def test_text_of_either_direction_stands_in_a_cell_of_its_own_direction() -> None:
    cells = [attrs for tag, attrs in Tree(html_paper(demo(1))).met if tag == "td"]
    assert all(
        attrs.get("dir") == "auto" for attrs in cells if attrs["class"] not in ("box", "write")
    )


@pytest.mark.parametrize(
    "rule",
    [
        r"@page \{[^}]*margin:",
        r"\.sheet \+ \.sheet \{ break-before: page; \}",
        r"tr \{ break-inside: avoid; \}",
        r"thead \{ display: table-header-group; \}",
        r"h2 \{[^}]*break-after: avoid",
        r"\.kept, \.card \{ break-inside: avoid; \}",
    ],
)
def test_the_page_has_rules_for_paper(rule: str) -> None:
    assert re.search(rule, html_paper(demo(1)))


def test_no_letter_is_under_10_points_and_all_ink_is_black_on_white() -> None:
    style = html_paper(demo(1)).partition("<style>")[2].partition("</style>")[0]
    sizes = [float(size) for size in re.findall(r"(?:font-size: |font: )([\d.]+)pt", style)]
    assert len(sizes) > 4
    assert min(sizes) >= 10
    assert set(re.findall(r"#[0-9a-f]{3,6}", style)) == {"#000", "#fff"}


def test_a_column_on_paper_only_has_no_key_and_one_in_data_only_no_heading() -> None:
    for number in (1, 2, 3):
        for sheet in demo(number).sheets:
            for block in sheet.blocks:
                assert all(c.key or c.heading or c.kind == "box" for c in block.columns)
                assert all(len(row) == len(block.columns) for row in block.rows)


# ---- plain text


@pytest.mark.parametrize("number", [1, 2, 3])
def test_text_fits_a_page_upright(number: int) -> None:
    lines = text_paper(demo(number)).replace("\f", "").splitlines()
    assert [line for line in lines if len(line) > WIDTH] == []
    assert [line for line in lines if line != line.rstrip()] == []


def test_each_sheet_of_text_starts_a_page() -> None:
    pages = text_paper(demo(1)).split("\f")
    assert [page.split("  ")[0] for page in pages] == [
        "PACKING LIST", "SCENE SHEET", "CELL SHEET", "HIRE REQUEST", "RETURN SHEET",
        "CASE LID CARDS",
    ]  # fmt: skip


def columns_taken(line: str) -> int:
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in line
    )


def test_hostile_text_steers_no_terminal_and_stays_in_its_columns() -> None:
    text = text_paper(sheet_of(HOSTILE))
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u202a-\u202e\u2066-\u2069]", text)
    tables = [line for line in text.splitlines() if line.startswith("  [ ]")]
    assert len(tables) >= 2 * len(HOSTILE)
    assert max(map(columns_taken, tables)) <= WIDTH


def test_nothing_of_a_long_text_is_cut_away() -> None:
    assert text_paper(sheet_of(["W" * 10_000])).count("W") >= 5 * 10_000


# ---- Markdown


def test_markdown_has_a_table_for_every_block() -> None:
    text = markdown_paper(demo(1))
    assert text.startswith("# Packing list\n\nHarbour of Foxes, A unit, 2027\\-03\\-14")
    blocks = [block for sheet in demo(1).sheets for block in sheet.blocks if block.rows]
    assert len(re.findall(r"^\| (---:? \| )*---:? \|$", text, re.MULTILINE)) == len(blocks)


def test_hostile_text_makes_no_mark_in_markdown() -> None:
    from markdown_it import MarkdownIt

    rendered = MarkdownIt("commonmark").enable("table").render(markdown_paper(sheet_of(HOSTILE)))
    assert set(re.findall(r"<([a-z0-9]+)", rendered)) <= {
        "h1", "h2", "p", "table", "thead", "tbody", "tr", "th", "td",
    }  # fmt: skip
    texts = Tree(rendered).texts
    for text in HOSTILE:
        assert any(" ".join(clean_line(text).split()) in " ".join(t.split()) for t in texts)


# ---- CSV and JSON


def test_csv_is_one_table_whose_rows_name_their_sheet() -> None:
    found = list(csv.DictReader(io.StringIO(csv_paper(demo(1)))))
    assert {row["sheet"] for row in found} == {"packing", "scenes", "cells", "return", "lids"}
    first = found[0]
    assert (first["block"], first["key"], first["qty"], first["weight_g"]) == (
        "Transmitter pouch", "TX01", "1", "62.0",
    )  # fmt: skip


def test_boxes_and_lines_to_write_on_are_not_data() -> None:
    document = json_paper(demo(2))
    for sheet in document["sheets"]:
        for block in sheet["blocks"]:
            assert all("" not in row for row in block["rows"])


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1", "＝1", "=HYPERLINK(1)", "\u00a0=1"],
)
def test_a_text_that_would_be_a_formula_stays_text(text: str) -> None:
    assert formula_safe(text) == "'" + text


@pytest.mark.parametrize("value", ["a=1", "TX01", "", None, -3, 1.5, "'=1"])
def test_other_values_stay_as_they_are(value: object) -> None:
    assert formula_safe(value) is value  # type: ignore[arg-type]


def test_no_cell_of_a_csv_starts_a_formula() -> None:
    hostile = sheet_of(["=1+1", "@x", "-2"])
    for row in csv.reader(io.StringIO(csv_paper(hostile))):
        assert [cell for cell in row if cell[:1] in tuple("=+-@")] == []


def test_json_holds_numbers_as_numbers_and_texts_as_they_are() -> None:
    document = json.loads(json.dumps(json_paper(demo(1))))
    assert document["kit"] == "foxes-a"
    assert [sheet["sheet"] for sheet in document["sheets"]][:2] == ["packing", "scenes"]
    row = document["sheets"][0]["blocks"][0]["rows"][0]
    assert (row["key"], row["qty"], row["weight_g"]) == ("TX01", 1, 62.0)
    hostile = json_paper(sheet_of(HOSTILE))["sheets"][0]["blocks"][0]["rows"][0]
    assert hostile["what"] == HOSTILE[0]


@pytest.mark.parametrize("write", [html_paper, text_paper, markdown_paper, csv_paper])
def test_the_same_day_gives_the_same_bytes(write) -> None:  # type: ignore[no-untyped-def]
    assert write(demo(2)) == write(demo(2))


# ---- the command


@pytest.mark.parametrize("form", ["html", "md", "text", "csv", "json"])
def test_the_sheets_go_to_the_screen_or_to_a_file(out: Print, tmp_path: Path, form: str) -> None:
    file = tmp_path / "sheets.out"
    status, answer, messages = out(demo_plan(1), "--format", form)
    assert (status, messages) == (0, "")
    assert out(demo_plan(1), "--format", form, "-o", file) == (0, f"{file}\n", "")
    assert file.read_text("utf-8-sig") == answer.replace("\r\n", "\n")


def test_a_csv_in_a_file_starts_as_spreadsheets_want_it(out: Print, tmp_path: Path) -> None:
    out(demo_plan(1), "--format", "csv", "-o", tmp_path / "a.csv")
    assert (tmp_path / "a.csv").read_bytes().startswith(b"\xef\xbb\xbfsheet,block,")


@pytest.mark.parametrize("sheet", ["packing", "scenes", "cells", "hire", "return", "lids"])
def test_one_sheet_can_be_had_alone(out: Print, sheet: str) -> None:
    _, answer, _ = out(demo_plan(2), "--sheet", sheet, "--format", "json")
    assert [found["sheet"] for found in json.loads(answer)["sheets"]] == [sheet]


def test_an_earlier_sheet_is_replaced_and_a_plan_never(out: Print, tmp_path: Path) -> None:
    page = tmp_path / "a.html"
    page.write_text("before")
    assert out(demo_plan(1), "-o", page)[0] == 0
    assert page.read_text().startswith("<!doctype html>")
    plan = tmp_path / "day.toml"
    plan.write_text("mine")
    status, answer, messages = out(demo_plan(1), "-o", plan)
    assert (status, answer) == (2, "")
    assert messages == f"kitprep: {plan} is there already, and is no sheet; write another name\n"
    assert plan.read_text() == "mine"
