"""The page as a real browser prints it, on both papers. Without the browser this is skipped."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from paper_running import worked
from test_formats import HOSTILE, sheet_of

from kitprep.reports.paper.build import paper
from kitprep.reports.paper.html import html_paper

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
NEEDED = [CHROMIUM, shutil.which("pdftotext"), shutil.which("pdfinfo")]
pytestmark = pytest.mark.skipif(
    not all(NEEDED), reason="needs chromium and poppler-utils (pdftotext, pdfinfo)"
)

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-pdf-header-footer",
]

POINTS = {"A4": (595, 842), "Letter": (612, 792)}


def printed(page: str, size: str, folder: Path) -> Path:
    """The page as a PDF on one paper; only the paper's size is added to its own rules."""
    sized = page.replace("@page {", f"@page {{ size: {size};", 1)
    assert sized != page
    (folder / "page.html").write_text(sized, "utf-8")
    pdf = folder / f"{size}.pdf"
    subprocess.run(
        [str(CHROMIUM), *FLAGS, f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={pdf}",
         (folder / "page.html").as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return pdf


def pages(pdf: Path) -> list[str]:
    done = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True
    )
    return done.stdout.split("\f")[:-1]


@pytest.mark.parametrize("size", POINTS)
def test_a_day_prints_on_both_papers(size: str, tmp_path: Path) -> None:
    folder = paper(worked(2), worked(2).kit)
    pdf = printed(html_paper(folder), size, tmp_path)
    info = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout
    width, height = (
        round(float(n)) for n in re.findall(r"Page size: +([\d.]+) x ([\d.]+)", info)[0]
    )
    assert (width, height) == POINTS[size]

    found = pages(pdf)
    assert all(page.strip() for page in found)
    assert found[0].strip().endswith(f"1 / {len(found)}")
    # Each sheet starts a page of its own.
    starts = [page.strip().splitlines()[0] for page in found]
    for sheet in folder.sheets:
        assert sheet.title in starts
    # A table that goes on has its headings again.
    going_on = [page for page in found if re.match(r"\s*Tag or count +What", page)]
    assert going_on
    # Nothing is lost at an edge.
    text = "".join("".join(found).split())
    for line in worked(2).packing:
        assert line.key in text or f"{line.qty}×" in text
        assert all(word in text for word in line.name.split())


def test_hostile_text_prints_as_text_and_inside_the_page(tmp_path: Path) -> None:
    found = pages(printed(html_paper(sheet_of(HOSTILE)), "A4", tmp_path))
    text = "".join(found)
    assert "<script>alert(1)</script>" in "".join(text.split())
    # Every letter of the long text is on paper: once on top, and four times in its block.
    assert text.count("W") - text.count("What") == 5 * 10_000
