"""Sheets as CSV for a spreadsheet and as JSON for a program."""

import csv
import io
from typing import Any

from kitprep.reports.paper.sheet import Paper, Value

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def json_paper(paper: Paper) -> dict[str, Any]:
    """Every sheet with its notes and, block by block, its rows."""
    return {
        "kit": paper.kit,
        "day": paper.day,
        "title": paper.title,
        "sheets": [
            {
                "sheet": sheet.key,
                "title": sheet.title,
                "notes": list(sheet.notes),
                "blocks": [
                    {
                        "heading": block.heading,
                        "notes": list(block.notes),
                        "rows": list(block.records),
                    }
                    for block in sheet.blocks
                ],
            }
            for sheet in paper.sheets
        ],
    }


def csv_paper(paper: Paper) -> str:
    """One table: each row names its sheet and its block, and fills the columns that it has."""
    keys = list(
        dict.fromkeys(
            column.key
            for sheet in paper.sheets
            for block in sheet.blocks
            for column in block.columns
            if column.key
        )
    )
    out = io.StringIO()
    writer = csv.DictWriter(out, ["sheet", "block", *keys], lineterminator="\r\n")
    writer.writeheader()
    for sheet in paper.sheets:
        for block in sheet.blocks:
            for record in block.records:
                row: dict[str, Value] = {"sheet": sheet.key, "block": block.heading, **record}
                writer.writerow({key: formula_safe(value) for key, value in row.items()})
    return out.getvalue()


def formula_safe(value: Value) -> Value:
    """Text that a spreadsheet would take for a formula, kept text by a leading apostrophe."""
    if isinstance(value, str) and value.lstrip()[:1].startswith(_FORMULA):
        return "'" + value
    return value
