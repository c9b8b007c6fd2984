"""``swap``, ``replan`` and ``spares``: what stands in for what fails."""

from argparse import Namespace
from typing import Any

from kitprep.cli import DONE, OPEN, answer, say
from kitprep.cli.on_list import Wrong, on_list, on_the_job_of
from kitprep.definitions.text import clean_line, shown
from kitprep.job import Job
from kitprep.ledger.events import JOB
from kitprep.planning.difference import worn
from kitprep.walks.standing_in import says_swap


def run_swap(given: Namespace) -> int:
    """Shows what can stand in for a unit; with --by, records the swap."""
    return on_the_job_of(given, _swap)


def _swap(job: Job, given: Namespace) -> int:
    reason: dict[str, Any] = {"reason": clean_line(given.reason)}
    out = {tag.casefold(): tag for tag in job.state.withdrawn}
    tag = out.get(clean_line(given.tag).casefold()) or _planned(job, given.tag)
    able = (tag,) if tag in job.state.withdrawn else job.substitutes(tag)
    if given.nothing:
        if not any(tag in (x.transmitter, x.adapter, x.receiver) for x in job.worked.links):
            raise Wrong(f"{tag} serves nothing today; leave it out with kitprep pack --leave-out")
        job.record(tag, "withdrawn", **reason)
        _says_withdrawn(job, tag)
        return DONE
    if given.by is None:
        for other in able:
            where = job.where(other)
            answer(f"{other:<8} {where}{'; ' if where else ''}{_difference(job, tag, other)}\n")
        return DONE if able else _none(job, tag)
    by = {other.casefold(): other for other in able}.get(clean_line(given.by).casefold())
    if by is None and tag in job.state.withdrawn:
        raise Wrong(
            f"{tag} is off the plan, and nothing stands in for it; kitprep add takes in what is "
            f"fetched, and --by {tag} plans with {tag} again"
        )
    if by is None:
        raise Wrong(
            f"{shown(given.by)} cannot stand in for {tag}; {', '.join(able) or 'nothing'} can"
        )
    if by == tag:
        job.record(tag, "withdrawn", withdrawn=False, **reason)
        if any(tag in (x.transmitter, x.adapter, x.receiver) for x in job.worked.links):
            answer(f"{tag} is planned with again; ask the lines of its scenes again\n")
        else:
            answer(f"{tag} can be planned with again; as the day stands nothing needs it\n")
        return DONE
    is_there = job.state.out is None or bool(job.state.item(by).packed)
    fetched = "" if is_there else "; it was not in the bag, and is recorded as added while out"
    job.record(tag, "swapped", by=by, **reason)
    answer(f"{by} for {tag}{fetched}; ask the lines of its scenes again\n")
    return DONE


def _planned(job: Job, word: str) -> str:
    """A unit on the list; one that was left out is off it once the rest is out."""
    left = {key.casefold(): (key, item.skipped) for key, item in job.state.items.items()}
    key, reason = left.get(clean_line(word).casefold(), ("", None))
    if job.state.out is not None and reason is not None and not job.state.item(key).packed:
        raise Wrong(
            f"{key} was left out at packing ({reason}) and is off the plan; kitprep add takes in "
            "what is fetched, it or another, and it is planned with"
        )
    return on_list(job, word)


def _says_withdrawn(job: Job, tag: str) -> None:
    if job.state.out is None:
        answer(f"the day is worked out without {tag}\n")
        return
    answer(f"the day is worked out without {tag}, with what is in the bag; nobody else is moved\n")
    anew = job.chosen_anew()
    if anew is not None:
        says = says_swap(job.worked, anew, job.state)
        answer(f"by moving others: {says}; kitprep replan PLAN --take does that\n")


def run_replan(given: Namespace) -> int:
    """Says what to choose anew among what is in the bag would change; --take does it."""
    return on_the_job_of(given, _replan)


def _replan(job: Job, given: Namespace) -> int:
    if job.state.out is None:
        raise Wrong("the kit is not out yet: the day is chosen anew with every change till then")
    anew = job.chosen_anew()
    if anew is None:
        answer("to choose anew among what is in the bag serves no more\n")
    else:
        answer(f"{says_swap(job.worked, anew, job.state)}\n")
        for change in worn(job.worked, anew):
            answer(
                f"  {change.name}: {change.before or 'nothing'} to {change.after or 'nothing'}\n"
            )
        if given.take:
            job.record(JOB, "chosen anew")
            answer("chosen anew; ask the lines of its scenes again\n")
    return DONE if job.worked.ready else OPEN


def _difference(job: Job, lost: str, by: str) -> str:
    """What a unit in another's place would change."""
    if by == lost:
        return "on the plan again"
    return says_swap(job.worked, job.with_swap(lost, by), job.state, lost, by)


def _none(job: Job, lost: str) -> int:
    for why in job.why_none(lost):
        answer(f"{why}\n")
    say(
        f"kitprep: no single unit here can stand in for {lost}; kitprep needs says what would mend "
        "it, --nothing works the day out without it, and kitprep add takes in what is fetched"
    )
    return OPEN


def run_spares(given: Namespace) -> int:
    """Shows the spares that cover any one failure; --take puts them on the list."""
    return on_the_job_of(given, _spares)


def _spares(job: Job, given: Namespace) -> int:
    if given.take:
        fresh = [tag for tag in job.worked.spares if tag not in job.state.spares]
        job.record_all([(tag, "spare", {"taken": True}) for tag in fresh])
    elif given.leave:
        job.record_all([(tag, "spare", {"taken": False}) for tag in sorted(job.state.spares)])
    for tag in dict.fromkeys((*job.worked.spares, *sorted(job.state.spares))):
        answer(f"{'[x]' if tag in job.state.spares else '[ ]'} {tag}\n")
    return DONE
