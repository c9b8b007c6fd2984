"""What may be recorded of a job as it stands: one door for the screens and the command line.

Each sentence ends in the way on.
"""

from collections.abc import Callable, Mapping
from typing import Any

from kitprep.definitions.text import clean_line
from kitprep.ledger.events import JobState
from kitprep.planning.results import WorkedDay
from kitprep.walks.feeding import not_of_the_day, takes_no_cells, takes_no_sleep
from kitprep.walks.pack import pack_view
from kitprep.walks.wrap import why_no_card_step, wrap_view

Facts = Mapping[str, Any]


def why_not(day: WorkedDay, job: JobState, item: str, kind: str, facts: Facts) -> str:
    """Why this cannot be said of an item now; empty where it can."""
    rule = _RULES.get(kind)
    return rule(day, job, item, facts) if rule is not None else ""


def not_out(day: WorkedDay, job: JobState, item: str = "", facts: Facts | None = None) -> str:
    """Why nothing can have come back, moved on or joined yet; empty once the kit is out."""
    if job.is_out:
        return ""
    about = f"{clean_line(item)}: " if item else ""
    return f"{about}the kit has not gone out, the job is {job.stage}; say first that it is out"


def packed_no_more(job: JobState, back: str = "", joins: str = "") -> str:
    """Why nothing may be packed or taken out any more; empty where it may.

    ``back`` and ``joins`` name where one says what comes back, and what joins the job now.
    """
    if job.stage == "closed":
        return "the job is closed"
    if not job.is_out:
        return ""
    at_back, at_joins = (f" ({where})" if where else "" for where in (back, joins))
    return (
        f"the kit has gone out; say at wrap what comes back{at_back}, and as added what joins it "
        f"now{at_joins}"
    )


def _pack(day: WorkedDay, job: JobState, item: str, facts: Facts) -> str:
    late = packed_no_more(job)
    return f"{clean_line(item)}: {late}" if late else ""


def _left_out(day: WorkedDay, job: JobState, item: str, facts: Facts) -> str:
    if late := _pack(day, job, item, facts):
        return late
    line = pack_view(day, job).find(item)
    is_in = line.mark == "packed" if line is not None else job.item(item).packed
    return f"{clean_line(item)} is packed; take it out first, then leave it out" if is_in else ""


def _card(day: WorkedDay, job: JobState, item: str, facts: Facts) -> str:
    if early := not_out(day, job, item):
        return early
    found = wrap_view(day, job).find(item)
    if found is None:
        return f"{clean_line(item)} did not go out on this job"
    return why_no_card_step(found, str(facts.get("step", "")))


def _handed(day: WorkedDay, job: JobState, item: str, facts: Facts) -> str:
    if job.item(item).packed:
        return ""
    return f"{clean_line(item)}: not packed yet; pack it first, then hand it over"


def _cells(day: WorkedDay, job: JobState, item: str, facts: Facts) -> str:
    return takes_no_cells(day, item) or not_of_the_day(day, facts.get("minute"))


def _standby(day: WorkedDay, job: JobState, item: str, facts: Facts) -> str:
    return takes_no_sleep(day, item) or not_of_the_day(day, facts.get("minute"))


_RULES: Mapping[str, Callable[[WorkedDay, JobState, str, Facts], str]] = {
    "packed": _pack,
    "unpacked": _pack,
    "skipped": _left_out,
    "added": not_out,
    "handed": _handed,
    "cells changed": _cells,
    "standby": _standby,
    "moved": not_out,
    "returned": not_out,
    "card": _card,
}
