"""What is in the ledger, said as the screens that recorded it would have said it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from pathlib import Path

from kitprep.definitions.loading import load_day
from kitprep.job import Job
from kitprep.ledger.events import OTHERS_WORDS, Event, read_event
from kitprep.planning.day import work_out
from kitprep.planning.held import names_by_number
from kitprep.walks.naming import spoken

from .people import Tick

MATTERS = {
    "packed": "qty",
    "checked": "value",
    "skipped": "reason",
    "observed": "answer",
    "swapped": "by",
    "handed": "holder",
    "stage": "stage",
}
"""The fact of each kind that a screen tells with it; counts of outcomes are told apart."""


def names_on(plan: Path) -> set[str]:
    """How the lines of a day's list are called."""
    day = load_day(plan)
    return set(spoken(work_out(day.kit, day.plan)).values())


def ticks(job: Job, who: Collection[str]) -> Counter[Tick]:
    """All that these have recorded, as their screens would have told it."""
    found: Counter[Tick] = Counter()
    names = {**names_by_number(job.day.kit), **spoken(job.worked)}  # some are off the list by now
    events = [read_event(entry) for entry in job.ledger.entries(job.name)]
    told = {(e.at, e.facts.get("by", e.item)) for e in events if e.kind in ("returned", "swapped")}
    for event in events:
        goes_along = event.kind in ("taken back", "added") and (event.at, event.item) in told
        if event.who in who and not goes_along and event.kind not in OTHERS_WORDS:
            found[event.who, _what(event, names), event.kind, _fact(event)] += 1
    return found


def _what(event: Event, names: Mapping[str, str]) -> str:
    if event.kind == "observed":
        _, scene, *_, question = event.item.split(":")
        return f"{scene} {question}"
    return names.get(event.item, event.item)


def _fact(event: Event) -> str:
    if event.kind == "returned":
        counts = event.facts["counts"]
        return ", ".join(f"{word} {n}" for word, n in sorted(counts.items()))
    return str(event.facts.get(MATTERS.get(event.kind, ""), ""))
