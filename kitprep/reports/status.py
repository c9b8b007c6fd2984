"""``kitprep status``: where a job stands, and every line that is open."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from kitprep.definitions.text import clock, counted
from kitprep.ledger.events import JobState
from kitprep.planning.results import NotCounted, WorkedDay
from kitprep.reports.needs import not_usable_json
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.cases import Counts, counts
from kitprep.walks.feeding import cell_round, pack_round
from kitprep.walks.line_check import CheckLine, all_lines, not_served
from kitprep.walks.pack import PackItem, doubts, pack_view
from kitprep.walks.readings import Doubt
from kitprep.walks.wrap import wrap_view

NOT_OUT = ("planned", "packing", "packed")
"""The stages in which nothing can be back yet."""


def status_json(day: WorkedDay, job: JobState, minute: int) -> dict[str, Any]:
    """The stage, the three walks in numbers, what the walk of this stage has open, what was read
    and is not as wanted, the cells that are due at a minute of the day, and what of the kit the day
    does not count on."""
    packing, wrap = pack_view(day, job), wrap_view(day, job)
    checks, cases = all_lines(day, job), counts(packing)
    verdicts = [line.verdict for line in checks]
    open_lines = _open(day, job, checks)
    return {
        "kit": day.kit.kit,
        "day": day.plan.day.isoformat(),
        "stage": job.stage,
        "ready": day.ready,
        "pack": {
            "lines": len(packing.items),
            "packed": packing.done,
            "left_out": len(packing.skipped),
            "unchecked": sum(_not_looked_at(item) for item in packing.items),
            "complete": packing.complete,
            "cases_counted": list(cases.counted),
            "cases_not_counted": list(cases.not_counted),
        },
        "line_check": {
            "lines": len(checks),
            "as_planned": verdicts.count("as planned"),
            "differs": verdicts.count("differs"),
            "unverified": verdicts.count("unverified"),
            "to_ask": verdicts.count("open") + verdicts.count("ask again"),
            "not_served": len(not_served(day)),
        },
        "wrap": {
            "lines": len(wrap.items),
            "settled": len(wrap.items) - len(wrap.unsettled),
            "still_out": [item.line.key for item in wrap.still_out],
            "may_close": wrap.may_close,
        },
        "open": open_lines,
        "readings": [
            {"key": d.key, "check": d.check, "value": d.value, "wanted": d.wanted, "worth": d.worth}
            for d in doubts(packing)
        ],
        "cells": _cells(day, job, minute),
        "packs": _packs(day, job, minute),
        "carried_over": [
            {
                "key": each.key,
                "name": each.name,
                "what": each.what,
                "job": each.job,
                "note": each.note,
            }
            for each in day.not_counted
        ],
        "not_usable": not_usable_json(day),
    }


def _not_looked_at(item: PackItem) -> bool:
    """Whether a packed unit has a check that nobody has made."""
    return bool(item.state.packed) and (
        bool(item.unchecked) or NOT_CHECKED in item.state.checks.values()
    )


def _cells(day: WorkedDay, job: JobState, minute: int) -> list[dict[str, Any]]:
    """While the kit is out: the sets that are due, and those that are due at another time than was
    planned, for what was done since."""
    if job.stage != "out":
        return []
    planned = {feed.unit: feed.changes for feed in day.feeds}
    return [
        {
            "unit": line.unit,
            "due": line.due,
            "made": line.made,
            "before": line.next.before,
            "by": clock(line.next.by),
            "mid_scene": line.next.mid_scene,
            "dead_at": None if line.runs_out is None else clock(line.runs_out.at),
            "dead_in": None if line.runs_out is None else line.runs_out.scene,
            "says": line.says,
        }
        for line in cell_round(day, job, minute)
        if line.next is not None
        and (line.due in ("overdue", "due") or line.next not in planned[line.unit])
    ]


def _packs(day: WorkedDay, job: JobState, minute: int) -> list[dict[str, Any]]:
    """While the kit is out: the supplies on which a fresh pack is due."""
    if job.stage != "out":
        return []
    return [
        {
            "supply": line.id,
            "at": list(line.at),
            "due": line.due,
            "before": line.next.before,
            "by": clock(line.next.by),
            "mid_scene": line.next.mid_scene,
            "says": line.says,
        }
        for line in pack_round(day, job, minute)
        if line.next is not None and line.due in ("overdue", "due")
    ]


def _open(day: WorkedDay, job: JobState, lines: Sequence[CheckLine]) -> list[dict[str, str]]:
    """What the walk that is under way has not settled (the wrap, once anything is back), what was
    read and nobody has accepted, and what the line check has not settled."""
    wrap = wrap_view(day, job)
    over = job.stage == "closed" or wrap.may_close
    checks = [] if over else list(_line_check(day, job, lines))
    if job.stage not in NOT_OUT or any(item.state.outcome for item in wrap.items):
        left = [{"key": i.line.key, "name": i.line.name, "state": i.mark} for i in wrap.unsettled]
        return left + checks
    if job.stage == "packed":
        return checks
    packing = pack_view(day, job)
    to_pack = [
        {
            "key": item.line.key,
            "name": item.line.name,
            "state": "not read" if item.mark == "packed" else item.mark,
        }
        for item in packing.unfinished
    ]
    to_pack += [
        {"key": doubt.key, "name": doubt.says, "state": doubt.worth}
        for doubt in doubts(packing)
        if doubt.worth != "in the way"
    ]
    return to_pack + checks


def _line_check(
    day: WorkedDay, job: JobState, lines: Sequence[CheckLine]
) -> Iterator[dict[str, str]]:
    """What differed, one by one; once the kit is out, what is not served, and by scene what is
    still to be asked."""
    for line in lines:
        if line.verdict == "differs":
            says = f"saw {line.state.answer}, planned {line.question.expected}"
            yield {"key": line.key, "name": says, "state": "differs"}
    if job.stage in NOT_OUT:
        return
    for dead in not_served(day):
        key = f"check:{dead.scene}:{dead.source}:{dead.destination}"
        yield {"key": key, "name": dead.reason, "state": "unserved"}
    to_ask = Counter(line.link.scene for line in lines if line.verdict in ("open", "ask again"))
    for scene, count in to_ask.items():
        says = f"{count} {'line' if count == 1 else 'lines'} of the line check"
        yield {"key": f"check:{scene}", "name": says, "state": "to ask"}


def status_text(document: dict[str, Any]) -> str:
    """The same in a few lines."""
    pack, check = document["pack"], document["line_check"]
    cases = Counts(tuple(pack["cases_counted"]), tuple(pack["cases_not_counted"])).says
    lines = [
        f"{document['kit']} {document['day']}: {document['stage']}"
        + ("" if document["ready"] else ", with things short (kitprep needs says which)"),
        f"  pack        {pack['packed']} of {pack['lines']} packed, {pack['left_out']} left out, "
        f"{pack['unchecked']} packed but not checked",
        *([f"  cases       {cases}"] if cases else []),
        f"  line check  {check['as_planned']} as planned, {check['differs']} differ, "
        f"{check['unverified']} unverified, {check['to_ask']} to ask"
        + (f", {counted(check['not_served'], 'link')} not served" if check["not_served"] else ""),
        f"  wrap        {_wrap(document)}",
    ]
    if document["open"]:
        lines.append("OPEN")
        lines += [f"  {o['state']:<9} {o['key']}  {o['name']}" for o in document["open"]]
    if document["readings"] and document["stage"] not in ("planned", "packing"):
        lines.append("READ AT PACKING, NOT AS WANTED")
        lines += [f"  {Doubt(**each).says}" for each in document["readings"]]
    if document["cells"]:
        lines.append("CELLS (kitprep cells lists all)")
        lines += [f"  {c['due']:<9} {c['unit']}  {c['says']}" for c in document["cells"]]
    if document["packs"]:
        lines.append("PACKS (kitprep cells lists all)")
        lines += [f"  {p['due']:<9} supply:{p['supply']}  {p['says']}" for p in document["packs"]]
    if document["carried_over"]:
        lines.append("NOT COUNTED ON (kitprep clear, once it is fit, back or bought)")
        lines += [f"  {NotCounted(**each).to_clear}" for each in document["carried_over"]]
    return "\n".join(lines) + "\n"


def _wrap(document: dict[str, Any]) -> str:
    """How far the wrap is, once anything can be back."""
    wrap = document["wrap"]
    if document["stage"] in NOT_OUT and not wrap["settled"]:
        return "nothing has gone out yet"
    return f"{wrap['settled']} of {wrap['lines']} settled, {len(wrap['still_out'])} still out"
