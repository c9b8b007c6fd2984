"""``paper``: the day's sheets to print, and their tables as data."""

import json
from argparse import Namespace
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path

from kitprep.cli import BAD, DONE, answer, say
from kitprep.cli.answers import open_job
from kitprep.files import NotWritten, replace
from kitprep.reports.paper.build import SHEETS, paper
from kitprep.reports.paper.data import csv_paper, json_paper
from kitprep.reports.paper.html import html_paper
from kitprep.reports.paper.sheet import Paper
from kitprep.reports.paper.text import markdown_paper, text_paper


def _json_text(sheets: Paper) -> str:
    return json.dumps(json_paper(sheets), indent=1, ensure_ascii=False) + "\n"


_FORMATS: Mapping[str, tuple[Callable[[Paper], str], str]] = {
    "html": (html_paper, "utf-8"),
    "md": (markdown_paper, "utf-8"),
    "text": (text_paper, "utf-8"),
    # Spreadsheet programs take a CSV for UTF-8 only where it starts so.
    "csv": (csv_paper, "utf-8-sig"),
    "json": (_json_text, "utf-8"),
}

OURS = (".html", ".htm", ".md", ".txt", ".text", ".csv", ".json")
"""Endings of what is printed; anything else that is there already is left alone."""


def run_paper(given: Namespace) -> int:
    """The sheets of a day as its job stands, on the screen or in a file."""
    which = SHEETS if given.sheet == "all" else (given.sheet,)
    write, encoding = _FORMATS[given.format]
    with closing(open_job(given)) as job:
        text = write(paper(job.worked, job.day.kit, which))
    if given.output is None:
        answer(text)
        return DONE
    return put_down(given.output, text.encode(encoding))


def put_down(path: Path, content: bytes) -> int:
    """Writes a printed thing, in place of an earlier one but never of a kit or a plan."""
    try:
        if path.exists() and path.suffix.lower() not in OURS:
            raise NotWritten(f"{path} is there already, and is no sheet; write another name")
        replace(path, content)
    except NotWritten as error:
        say(f"kitprep: {error}")
        return BAD
    answer(f"{path}\n")
    return DONE
