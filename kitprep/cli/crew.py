"""While the job is out, and after: ``hand``, ``take``, ``cells``, ``swap``, ``spares``, ``clear``,
``report`` and ``ledger``."""

import sys
from argparse import Namespace
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.cli.answers import open_job
from kitprep.definitions.text import clean_line, clock, shown
from kitprep.job import Job, local_now
from kitprep.ledger.place import default_url
from kitprep.walks.out import cell_round, holdings, on_the_job

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger


class _Wrong(Exception):
    """Something that cannot be recorded, and why."""


def _on(given: Namespace, run: Callable[[Job, Namespace], int]) -> int:
    """Runs something on the job that the words name."""
    with closing(open_job(given)) as job:
        try:
            return run(job, given)
        except _Wrong as wrong:
            say(f"kitprep: {wrong}")
            return BAD


def _on_list(job: Job, word: str) -> str:
    """The key of something that is on the list, or out with the job, however it is written."""
    folded = clean_line(word).casefold()
    for line in on_the_job(job.worked, job.state):
        if line.key.casefold() == folded:
            return line.key
    raise _Wrong(f"{shown(word)} is not on this job's list")


def _all_on_list(job: Job, given: Namespace) -> list[str]:
    """Each thing once."""
    return list(dict.fromkeys(_on_list(job, word) for word in given.things))


def run_hand(given: Namespace) -> int:
    """Hands things to someone or something, or lists who has what."""
    return _on(given, _hand)


def _hand(job: Job, given: Namespace) -> int:
    keys, holder = _all_on_list(job, given), clean_line(given.to)
    if bool(keys) != bool(holder):
        raise _Wrong("to whom, or to what? write --to NAME" if keys else "what? write its TAG")
    inside = [key for key in keys if not job.state.item(key).packed]
    if inside:
        raise _Wrong(f"{', '.join(inside)}: not packed yet; pack it first, then hand it over")
    job.record_all([(key, "handed", {"holder": holder}) for key in keys])
    for holding in holdings(job.worked, job.state):
        since = holding.since[:16].replace("T", " ")
        held = f"{holding.line.key} {holding.line.name}"
        answer(f"{clean_line(holding.holder)}: {held}, since {since} UTC\n")
    return DONE


def run_take(given: Namespace) -> int:
    """Takes things back from whoever has them."""
    return _on(given, _take)


def _take(job: Job, given: Namespace) -> int:
    keys = _all_on_list(job, given)
    here = [key for key in keys if job.state.item(key).holder is None]
    if here:
        raise _Wrong(f"{', '.join(here)}: with nobody; kitprep hand lists who has what")
    job.record_all([(key, "taken back", {}) for key in keys])
    answer(f"taken back: {', '.join(keys)}\n")
    return DONE


def run_cells(given: Namespace) -> int:
    """Records fresh sets put in, or lists what is due; 1 while anything is overdue."""
    return _on(given, _cells)


def _cells(job: Job, given: Namespace) -> int:
    units = {feed.unit for feed in job.worked.feeds}
    keys = _all_on_list(job, given)
    others = [key for key in keys if key not in units]
    if others:
        raise _Wrong(f"{', '.join(others)}: takes no cells today; kitprep cells lists what does")
    job.record_all([(key, "cells changed", {}) for key in keys])
    minute = given.at if given.at is not None else _minute_now(job)
    lines = cell_round(job.worked, job.state, minute)
    for line in lines:
        coming = f"before scene {line.next.before}" if line.next else ""
        by = f"by {clock(line.next.by)}" if line.next else ""
        answer(
            f"{line.due:<9} {line.unit:<8} {line.cell:<8} {line.made} of {line.planned} made  "
            f"{coming} {by}".rstrip()
            + "\n"
        )
    return OPEN if any(line.due == "overdue" for line in lines) else DONE


def _minute_now(job: Job) -> int:
    midnight = datetime.combine(job.day.plan.day, time())
    return int((local_now() - midnight) // timedelta(minutes=1))


def run_swap(given: Namespace) -> int:
    """Shows what can stand in for a unit; with --by, records the swap."""
    return _on(given, _swap)


def _swap(job: Job, given: Namespace) -> int:
    reason: dict[str, Any] = {"reason": clean_line(given.reason)}
    out = {tag.casefold(): tag for tag in job.state.withdrawn}
    tag = out.get(clean_line(given.tag).casefold()) or _on_list(job, given.tag)
    able = (tag,) if tag in job.state.withdrawn else job.substitutes(tag)
    if given.nothing:
        if not any(tag in (x.transmitter, x.adapter, x.receiver) for x in job.worked.links):
            raise _Wrong(f"{tag} serves nothing today; leave it out with kitprep pack --leave-out")
        job.record(tag, "withdrawn", **reason)
        answer(f"the day is worked out without {tag}; kitprep needs is for the whole kit\n")
        return DONE
    if given.by is None:
        for other in able:
            answer(f"{other}\n")
        return DONE if able else _none(tag)
    by = {other.casefold(): other for other in able}.get(clean_line(given.by).casefold())
    if by is None:
        raise _Wrong(
            f"{shown(given.by)} cannot stand in for {tag}; {', '.join(able) or 'nothing'} can"
        )
    if by == tag:
        job.record(tag, "withdrawn", withdrawn=False, **reason)
        answer(f"{tag} is planned with again; ask the lines of its scenes again\n")
        return DONE
    job.record(tag, "swapped", by=by, **reason)
    answer(f"{by} for {tag}; ask the lines of its scenes again\n")
    return DONE


def _none(lost: str) -> int:
    say(
        f"kitprep: no one unit here can stand in for {lost}; kitprep needs says what would mend "
        "it, and --nothing works the day out without it"
    )
    return OPEN


def run_spares(given: Namespace) -> int:
    """Shows the spares that cover any one failure; --take puts them on the list."""
    return _on(given, _spares)


def _spares(job: Job, given: Namespace) -> int:
    if given.take:
        fresh = [tag for tag in job.worked.spares if tag not in job.state.spares]
        job.record_all([(tag, "spare", {"taken": True}) for tag in fresh])
    elif given.leave:
        job.record_all([(tag, "spare", {"taken": False}) for tag in sorted(job.state.spares)])
    for tag in dict.fromkeys((*job.worked.spares, *sorted(job.state.spares))):
        answer(f"{'[x]' if tag in job.state.spares else '[ ]'} {tag}\n")
    return DONE


def run_clear(given: Namespace) -> int:
    """Lets the next plans count on a unit again."""
    return _on(given, _clear)


def _clear(job: Job, given: Namespace) -> int:
    folded = clean_line(given.tag).casefold()
    tag = next((unit for unit in job.kit.units if unit.casefold() == folded), None)
    if tag is None or job.kit.unit(tag).usable:
        raise _Wrong(
            f"{shown(given.tag)} did not come back as anything that would have to be put right"
        )
    job.clear(tag, clean_line(given.note))
    answer(f"{tag} can be planned with again\n")
    return DONE


def run_report(given: Namespace) -> int:
    """The day as it went."""
    from kitprep.reports.report import report_json, report_text

    with closing(open_job(given)) as job:
        entries = job.ledger.entries(job.name)
        document = report_json(job.worked, job.state, entries, job.ledger.head())
    if given.json:
        answer_json(document)
    else:
        answer(report_text(document))
    return DONE


def run_ledger(given: Namespace) -> int:
    """Verifies, exports or restores the ledger itself."""
    from kitprep.ledger.store import Ledger

    with Ledger.open(given.ledger or default_url()) as ledger:
        if given.what == "verify":
            return _verify(ledger, given.head)
        if given.what == "export":
            for line in ledger.export():
                answer(line)
            return DONE
        try:
            source = sys.stdin if str(given.file) == "-" else given.file.open(encoding="utf-8")
        except OSError as error:
            say(f"kitprep: {given.file} cannot be read: {error.strerror}; name an export")
            return BAD
        with source:
            count = ledger.restore(source)
    answer(f"{count} entries restored\n")
    return DONE


def _verify(ledger: "Ledger", head: str | None) -> int:
    problems = ledger.verify(head)
    for problem in problems:
        say(f"entry {problem.seq}: {problem.what}")
    seq, last = ledger.head()
    if not problems:
        answer(f"{seq} entries, all as they were recorded; head {last}\n")
    return BAD if problems else DONE
