"""``kitprep status``: where a job stands, and every line that is open."""

from typing import Any

from kitprep.ledger.events import JobState
from kitprep.planning.results import WorkedDay
from kitprep.walks.line_check import line_check
from kitprep.walks.pack import pack_view
from kitprep.walks.wrap import wrap_view


def status_json(day: WorkedDay, job: JobState) -> dict[str, Any]:
    """The stage, the three walks in numbers, and what the walk of this stage has open."""
    packing, wrap = pack_view(day, job), wrap_view(day, job)
    checks = [line for needs in day.scenes for line in line_check(day, job, needs.scene.number)]
    verdicts = [line.verdict for line in checks]
    open_lines = _open(day, job)
    return {
        "kit": day.kit.kit,
        "day": day.plan.day.isoformat(),
        "stage": job.stage,
        "ready": day.ready,
        "pack": {
            "lines": len(packing.items),
            "packed": packing.done,
            "left_out": len(packing.skipped),
            "unchecked": sum(bool(item.unchecked) for item in packing.items if item.state.packed),
            "complete": packing.complete,
        },
        "line_check": {
            "lines": len(checks),
            "as_planned": verdicts.count("as planned"),
            "differs": verdicts.count("differs"),
            "unverified": verdicts.count("unverified"),
            "to_ask": verdicts.count("open") + verdicts.count("ask again"),
        },
        "wrap": {
            "lines": len(wrap.items),
            "settled": len(wrap.items) - len(wrap.unsettled),
            "still_out": [item.line.key for item in wrap.still_out],
            "may_close": wrap.may_close,
        },
        "open": open_lines,
    }


def _open(day: WorkedDay, job: JobState) -> list[dict[str, str]]:
    """What the walk that is under way has not settled: the wrap, once anything is back."""
    wrap = wrap_view(day, job)
    if job.stage == "closed":
        return []
    if job.stage in ("out", "returned") or any(item.state.outcome for item in wrap.items):
        return [{"key": i.line.key, "name": i.line.name, "state": i.mark} for i in wrap.unsettled]
    if job.stage == "packed":
        return []
    packing = [item for item in pack_view(day, job).items if not item.settled]
    return [{"key": i.line.key, "name": i.line.name, "state": i.mark} for i in packing]


def status_text(document: dict[str, Any]) -> str:
    """The same in a few lines."""
    pack, check, wrap = document["pack"], document["line_check"], document["wrap"]
    lines = [
        f"{document['kit']} {document['day']}: {document['stage']}"
        + ("" if document["ready"] else ", with things short (kitprep needs says which)"),
        f"  pack        {pack['packed']} of {pack['lines']} packed, {pack['left_out']} left out, "
        f"{pack['unchecked']} packed but not checked",
        f"  line check  {check['as_planned']} as planned, {check['differs']} differ, "
        f"{check['unverified']} unverified, {check['to_ask']} to ask",
        f"  wrap        {wrap['settled']} of {wrap['lines']} settled, "
        f"{len(wrap['still_out'])} still out",
    ]
    if document["open"]:
        lines.append("OPEN")
        lines += [f"  {o['state']:<9} {o['key']}  {o['name']}" for o in document["open"]]
    return "\n".join(lines) + "\n"
