"""``kitprep list``: the packing list by case, as text, JSON or CSV."""

import csv
import io
from collections.abc import Iterator
from typing import Any

from kitprep.definitions.text import counted
from kitprep.planning.results import PackLine, WorkedDay
from kitprep.reports.needs import not_usable_json
from kitprep.reports.paper.data import formula_safe
from kitprep.walks.pack import CaseView, PackItem, PackView

GLYPHS = {"todo": "[ ]", "packed": "[x]", "part": "[~]", "skipped": "[-]", "short": "[!]"}
"""One mark a state; the word stands beside it wherever there is room."""

COLUMNS = ("case", "key", "name", "qty", "held", "state", "why", "serial", "owner", "weight_g")


def list_text(day: WorkedDay, view: PackView) -> str:
    """By case, a box to tick before each line."""
    return "\n".join(_lines(day, view)) + "\n"


def _lines(day: WorkedDay, view: PackView) -> Iterator[str]:
    yield f"PACKING LIST  {day.kit.name}, {day.plan.day.isoformat()}  {day.plan.title}".rstrip()
    loads = {load.case: load for load in day.cases}
    for case in view.cases:
        load = loads[case.case]
        limit = "" if load.limit_g is None else f" of {load.limit_g / 1000:g}"
        unknown = (
            f", {counted(len(load.unknown), 'line')} of unknown weight" if load.unknown else ""
        )
        yield ""
        yield f"{case.name.upper()}  {load.weight_g / 1000:.1f}{limit} kg{unknown}"
        for item in case.items:
            yield _line(item)
    if day.not_counted:
        yield ""
        yield "NOT COUNTED ON"
        yield from (f"  {each.sentence}" for each in day.not_counted)


def _line(item: PackItem) -> str:
    line = item.line
    qty = f"{line.qty} x " if line.kind not in ("transmitter", "receiver", "adapter") else ""
    tag = f"{line.key}  " if not qty else ""
    short = f"  ! {line.held} held" if line.held < line.qty else ""
    reason = f"  ({item.state.skipped})" if item.mark == "skipped" else ""
    return f"  {GLYPHS[item.mark]} {tag}{qty}{line.name}  - {line.why}{short}{reason}"


def _record(case: CaseView, item: PackItem) -> dict[str, Any]:
    line: PackLine = item.line
    return {
        "case": case.case,
        "key": line.key,
        "name": line.name,
        "qty": line.qty,
        "held": line.held,
        "state": item.mark,
        "why": line.why,
        "serial": line.serial,
        "owner": line.owner,
        "weight_g": line.weight_g,
    }


def list_json(day: WorkedDay, view: PackView) -> dict[str, Any]:
    """The same for a program."""
    return {
        "kit": day.kit.kit,
        "day": day.plan.day.isoformat(),
        "complete": view.complete,
        "ready": day.ready,
        "not_usable": not_usable_json(day),
        "lines": [_record(case, item) for case in view.cases for item in case.items],
    }


def list_csv(day: WorkedDay, view: PackView) -> str:
    """The same for a spreadsheet; text that would be taken for a formula is kept text."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for case in view.cases:
        for item in case.items:
            record = _record(case, item)
            writer.writerow({key: formula_safe(value) for key, value in record.items()})
    return out.getvalue()
