"""When a job may go on to its next stage, and what stands in the way where it may not."""

from kitprep.ledger.events import STAGES, JobState, Stage
from kitprep.planning.results import WorkedDay
from kitprep.walks.pack import pack_view
from kitprep.walks.wrap import wrap_view


def hindrance(day: WorkedDay, job: JobState, stage: Stage) -> str | None:
    """Why the job cannot be called this yet, in one sentence, or None where it can.

    Packed when every line is packed and looked at or left out with a reason; out when packed;
    returned when out; closed when everything that went out has an outcome.
    """
    if STAGES.index(stage) <= STAGES.index(job.stage):
        return f"the job is {job.stage} already"
    if stage in ("planned", "packing"):
        return "a job is packing from its first tick on"
    if stage == "closed":
        wrap = wrap_view(day, job)
        open_lines = [item.line.key for item in wrap.unsettled]
        if open_lines:
            return f"{_some(open_lines)} without an outcome or out of count"
        return None if wrap.may_close else "nothing went out, so there is nothing to close"
    if stage == "returned":
        return None if job.stage == "out" else "the job has not gone out"
    unfinished = [item.line.key for item in pack_view(day, job).unfinished]
    if unfinished:
        return f"{_some(unfinished)} open: pack, look at, or leave out with a reason"
    if stage == "out" and job.stage != "packed":
        return "the list has not been called complete; say packed first"
    return None


def _some(keys: list[str]) -> str:
    """ "TX01, TX02 and 4 more are"."""
    shown = ", ".join(keys[:4]) + (f" and {len(keys) - 4} more" if len(keys) > 4 else "")
    return f"{shown} {'is' if len(keys) == 1 else 'are'}"
