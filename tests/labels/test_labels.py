"""One page of labels and lid cards: of a whole kit, of a day, or of a few things."""

import re
import shutil
from pathlib import Path

import pytest
from labels_running import Labels

from kitprep.bundled import bundle, demo_plan
from kitprep.labels.html import labels_html
from kitprep.labels.labels import LidLabel, TagLabel
from kitprep.reports.paper.sheet import Block

KIT = bundle() / "kits" / "harbour-of-foxes" / "kit.toml"


def tags(page: str) -> list[str]:
    return re.findall(r'<b(?: class="long")? dir="auto">(.*?)</b>', page)


def cases(page: str) -> list[str]:
    return re.findall(r'<p class="note" dir="auto">case:(.*?)</p>', page)


def test_a_kit_gives_a_label_for_every_tag_and_a_card_for_every_case(labels: Labels) -> None:
    status, page, messages = labels(KIT)
    assert (status, messages) == (0, "")
    assert tags(page)[:2] == ["TX01", "TX02"]
    assert len(tags(page)) == 22
    assert cases(page) == ["pouch", "rx-case", "cart-case", "power-case", "soft-bag", "pole-tube"]
    assert page.count("<svg") == 22 + 6


def test_a_label_says_what_it_is_its_serial_and_whose_it_is_when_hired(labels: Labels) -> None:
    _, page, _ = labels(KIT, "--what", "tags", "--only", "TX05", "tx01")
    assert tags(page) == ["TX01", "TX05"]
    assert re.findall(r'<span dir="auto">(.*?)</span>', page) == [
        "Slim bodypack", "serial SN-0417", "Slim bodypack", "serial SN-2207", "HIRE-2207",
    ]  # fmt: skip


def test_a_day_gives_labels_for_what_it_packs(labels: Labels) -> None:
    _, page, _ = labels(demo_plan(1))
    assert "TX06" not in tags(page)
    assert "TX41" in tags(page)
    assert '<td class="tag" dir="auto">20 ×</td><td class="text" dir="auto">FR6 cells</td>' in page


def test_a_few_cases_can_be_had_alone(labels: Labels) -> None:
    _, page, _ = labels(KIT, "--only", "soft-bag")
    assert (tags(page), cases(page)) == ([], ["soft-bag"])


def test_an_unknown_tag_is_told(labels: Labels) -> None:
    status, page, messages = labels(KIT, "--only", "TX0l")
    assert (status, page) == (2, "")
    assert messages.startswith('kitprep: no label "TX0l" here; did you mean "')


def test_tables_alone_have_no_labels(labels: Labels) -> None:
    table = bundle() / "shared" / "cells.toml"
    status, _, messages = labels(table)
    assert status == 2
    assert messages == f"kitprep: {table} is tables for a kit; write a kit or a day plan\n"


def test_a_kit_of_nothing_says_so(labels: Labels, tmp_path: Path) -> None:
    kit = tmp_path / "kit.toml"
    kit.write_text('kit = "a"\nname = "A"\n')
    status, _, messages = labels(kit)
    assert (status, messages) == (
        2,
        f"kitprep: nothing in {kit} has a tag or a case; write some first\n",
    )


def test_a_file_gets_the_page_and_a_plan_is_never_written_over(
    labels: Labels, tmp_path: Path
) -> None:
    page = tmp_path / "labels.html"
    assert labels(KIT, "-o", page) == (0, f"{page}\n", "")
    assert page.read_text().startswith("<!doctype html>")
    plan = tmp_path / "day.toml"
    shutil.copy(demo_plan(1), plan)
    assert labels(KIT, "-o", plan)[0] == 2


def test_the_page_needs_nothing_but_itself_and_hostile_text_is_text() -> None:
    text = "</b><script>alert(1)</script>"
    page = labels_html(text, [TagLabel(text, (text,))], [LidLabel("case:x", Block(text, (text,)))])
    assert "<script" not in page
    assert not re.search(r"\b(src|href|onload)=|url\(|@import|https?:(?!//www\.w3\.org/)", page)
    assert page.count("&lt;script&gt;") == 5


@pytest.mark.parametrize("tag", ["TX01", "A-tag-of-many-letters-and-figures-0123456789-01234"])
def test_no_letter_is_under_10_points(tag: str) -> None:
    page = labels_html("x", [TagLabel(tag, ("a",))], [])
    sizes = [float(size) for size in re.findall(r"(?:font-size: |font: )([\d.]+)pt", page)]
    assert min(sizes) >= 10
