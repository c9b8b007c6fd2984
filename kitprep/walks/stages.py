"""When a job may go on to its next stage, and what stands in the way where it may not."""

from collections.abc import Callable, Sequence

from kitprep.ledger.events import STAGES, JobState, Stage
from kitprep.planning.results import PackLine, WorkedDay
from kitprep.walks.cases import out_of_count, says_difference
from kitprep.walks.pack import doubts, pack_view
from kitprep.walks.readings import Doubt
from kitprep.walks.wrap import WrapItem, says_outcome_missing, wrap_view

MOST_NAMED = 8
"""Lines that one sentence names."""

Called = Callable[[PackLine], str]
"""How a line is called: by its key where keys are typed, by its name where names are read."""


def _key(line: PackLine) -> str:
    return line.key


def hindrance(
    day: WorkedDay, job: JobState, stage: Stage, called: Called = _key, accepted: str = ""
) -> str | None:
    """Why the job cannot be called this yet, in one sentence, or None where it can.

    Packed when every line is packed and looked at or left out with a reason, no case's count is
    off, and what was read is as wanted or ``accepted`` as it is, with a reason; out when packed;
    returned when out; closed when everything that went out has an outcome.
    """
    if STAGES.index(stage) <= STAGES.index(job.stage):
        return f"the job is {job.stage} already"
    if stage in ("planned", "packing"):
        return "a job is packing from its first tick on"
    if stage == "closed":
        return _not_closed(day, job, called)
    if stage == "returned":
        return None if job.stage == "out" else "the job has not gone out"
    if open_lines := _not_packed(day, job, called):
        return open_lines
    if stage == "packed" and not accepted and (read := doubts(pack_view(day, job))):
        return f"{says_doubts(read)}: look again, or accept it with a reason"
    if stage == "out" and job.stage != "packed":
        return "the list has not been called complete; say packed first"
    return None


def says_doubts(read: Sequence[Doubt]) -> str:
    """ "TX02 firmware reads 4.0, 5.2 wanted; TX01 power was not checked"."""
    more = [f"{len(read) - MOST_NAMED} more"] if len(read) > MOST_NAMED else []
    return "; ".join([*(doubt.says for doubt in read[:MOST_NAMED]), *more])


def _not_packed(day: WorkedDay, job: JobState, called: Called) -> str | None:
    view = pack_view(day, job)
    to_pack = [called(item.line) for item in view.items if not item.settled]
    to_look_at = [called(item.line) for item in view.unfinished if item.mark == "packed"]
    says = []
    if to_pack:
        says.append(f"{some(to_pack)} open: pack them, or leave them out with a reason")
    if to_look_at:
        says.append(f"{some(to_look_at)} packed with checks still open: say what was read")
    if not view.items:
        says.append("nothing is on the list, so there is nothing to pack; kitprep needs says why")
    if not says and (differing := out_of_count(view)):
        says.append(says_difference(differing[0]))
    return "; ".join(says) or None


def _not_closed(day: WorkedDay, job: JobState, called: Called) -> str | None:
    view = wrap_view(day, job)
    if view.unsettled:
        return says_unsettled(view.unsettled, called)
    return None if view.may_close else "nothing went out, so there is nothing to close"


def says_unsettled(items: Sequence[WrapItem], called: Called) -> str:
    """What is missing of each of these lines before a job can be closed, naming them."""
    silent = [called(item.line) for item in items if not item.state.outcome]
    others = [item for item in items if item.state.outcome]
    says = []
    if silent:
        become = "it" if len(silent) == 1 else "each"
        says.append(f"{some(silent)} without an outcome: say what has become of {become}")
    room = max(MOST_NAMED - len(silent), 2)
    says += [f"{called(item.line)}: {says_outcome_missing(item)}" for item in others[:room]]
    if len(others) > room:
        says.append(f"{len(others) - room} more do not balance")
    return "; ".join(says)


def some(names: Sequence[str]) -> str:
    """ "TX01, TX02 and AD1 are", "TX01, TX02 and 4 more are"."""
    if len(names) == 1:
        return f"{names[0]} is"
    if len(names) <= MOST_NAMED:
        return f"{', '.join(names[:-1])} and {names[-1]} are"
    return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more are"
