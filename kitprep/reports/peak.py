"""``kitprep needs`` over several days: the job's peak by model, as text, JSON or CSV."""

import csv
import io
from collections.abc import Iterator
from datetime import date
from typing import Any

from kitprep.definitions.text import counted
from kitprep.planning.peak import JobPeak, PeakLine
from kitprep.reports.paper.data import formula_safe
from kitprep.reports.wording import wrapped


def peak_json(peak: JobPeak) -> dict[str, Any]:
    """The document; ``needed`` has one figure a day, in the order of ``days``."""
    return {
        "kit": peak.kit,
        "days": [day.isoformat() for day in peak.days],
        "ready": peak.ready,
        "models": [_record(line) for line in peak.lines],
        "still_short": [
            {"day": day.isoformat(), "kind": s.kind, "scene": s.scene, "what": s.what}
            for day, s in peak.still_short
        ],
    }


def _record(line: PeakLine) -> dict[str, Any]:
    return {
        "kind": line.kind,
        "model": line.model,
        "name": line.name,
        "have": line.have,
        "peak": line.peak,
        "on": [day.isoformat() for day in line.on],
        "needed": list(line.needed),
        "short": line.short,
        "short_from": line.short_from.isoformat() if line.short_from else None,
        "short_to": line.short_to.isoformat() if line.short_to else None,
    }


def peak_csv(peak: JobPeak) -> str:
    """The models for a spreadsheet, one column a day."""
    out = io.StringIO()
    days = [day.isoformat() for day in peak.days]
    writer = csv.writer(out, lineterminator="\r\n")
    head = ["kind", "model", "name", "have", "peak", "peak on", "short", "from", "to"]
    writer.writerow([*head, *days])
    for line in peak.lines:
        facts = (line.kind, line.model, line.name, line.have, line.peak, _days(line, peak))
        spell = (line.short, line.short_from or "", line.short_to or "")
        writer.writerow([formula_safe(str(cell)) for cell in (*facts, *spell, *line.needed)])
    return out.getvalue()


def peak_text(peak: JobPeak) -> str:
    """The same on paper: what to hire first, then every model with the days that set its peak."""
    return "\n".join(_lines(peak)) + "\n"


def _lines(peak: JobPeak) -> Iterator[str]:
    yield f"{peak.kit}, {counted(len(peak.days), 'day')}: {peak.days[0]} to {peak.days[-1]}"
    for day, plans in zip(peak.days, peak.plans, strict=True):
        if plans > 1:
            yield f"{day} has {plans} plans; what they take is added up"
    yield ""
    yield "TO HIRE OR BUY"
    short = [line for line in peak.lines if line.short]
    for line in short:
        until = "on" if line.short_to == line.short_from else f"from {line.short_from} to"
        yield from wrapped([f"{line.short} x {_called(line)}, {until} {line.short_to}"], "! ")
    if not short:
        yield "  Nothing. The kit has enough of every model for every day."
    if peak.still_short:
        yield ""
        yield "STILL SHORT WITH ALL OF THAT"
    for day, s in peak.still_short:
        scene = f"scene {s.scene}: " if s.scene and not s.what.startswith("scene ") else ""
        yield from wrapped([f"{day}, {s.kind}: {scene}{s.what}"], "! ")
    yield ""
    yield "THE PEAK OF EACH MODEL"
    yield f"  {'':<26}{'have':>6}{'peak':>6}{'short':>7}  on"
    for line in peak.lines:
        figures = f"{line.have:>6}{line.peak:>6}{line.short or '-':>7}"
        yield f"  {line.model:<26}{figures}  {_days(line, peak)}"


def _called(line: PeakLine) -> str:
    """ "bag-rx-s (Portable receiver)", "FR6 cells"."""
    name = line.name
    return name if line.model == name.partition(" ")[0] else f"{line.model} ({name})"


def _days(line: PeakLine, peak: JobPeak) -> str:
    """The days that set the peak; days that follow each other as one spell."""
    if line.on == peak.days:
        return "every day"
    spells: list[list[date]] = []
    for day in line.on:
        if spells and peak.days.index(day) == peak.days.index(spells[-1][-1]) + 1:
            spells[-1].append(day)
        else:
            spells.append([day])
    return ", ".join(
        str(spell[0]) if len(spell) == 1 else f"{spell[0]} to {spell[-1]}" for spell in spells
    )
