"""``kitprep needs`` over several days: the job's peak by model, as text, JSON or CSV."""

import csv
import io
from collections.abc import Iterator
from typing import Any

from kitprep.planning.peak import JobPeak, PeakLine
from kitprep.reports.paper.data import formula_safe


def peak_json(peak: JobPeak) -> dict[str, Any]:
    """The document; ``needed`` has one figure a day, in the order of ``days``."""
    return {
        "kit": peak.kit,
        "days": [day.isoformat() for day in peak.days],
        "ready": peak.ready,
        "models": [_record(line) for line in peak.lines],
    }


def _record(line: PeakLine) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "model": line.model,
        "have": line.have,
        "peak": line.peak,
        "on": [day.isoformat() for day in line.on],
        "needed": list(line.needed),
        "short": line.short,
        "short_from": line.short_from.isoformat() if line.short_from else None,
        "short_to": line.short_to.isoformat() if line.short_to else None,
    }


def peak_csv(peak: JobPeak) -> str:
    """The same for a spreadsheet, one column a day."""
    out = io.StringIO()
    days = [day.isoformat() for day in peak.days]
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["kind", "model", "have", "peak", "short", "from", "to", *days])
    for line in peak.lines:
        record = _record(line)
        cells = [record[key] for key in ("kind", "model", "have", "peak", "short")]
        dates = [record["short_from"] or "", record["short_to"] or ""]
        writer.writerow([formula_safe(str(cell)) for cell in (*cells, *dates, *line.needed)])
    return out.getvalue()


def peak_text(peak: JobPeak) -> str:
    """The same on paper: what to hire first, then every model with the day that sets its peak."""
    return "\n".join(_lines(peak)) + "\n"


def _lines(peak: JobPeak) -> Iterator[str]:
    yield f"{peak.kit}, {len(peak.days)} days: {peak.days[0]} to {peak.days[-1]}"
    yield ""
    yield "TO HIRE OR BUY"
    short = [line for line in peak.lines if line.short]
    for line in short:
        until = "" if line.short_to == line.short_from else f" to {line.short_to}"
        yield f"  ! {line.short} x {line.model}, {line.short_from}{until}"
    if not short:
        yield "  Nothing. The kit has enough for every day."
    yield ""
    yield "THE PEAK OF EACH MODEL"
    yield f"  {'':<26}{'have':>6}{'peak':>6}  on"
    for line in peak.lines:
        on = "every day" if len(line.on) == len(peak.days) else ", ".join(map(str, line.on))
        yield f"  {line.model:<26}{line.have:>6}{line.peak:>6}  {on}"
