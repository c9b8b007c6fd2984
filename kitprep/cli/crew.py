"""While the job is out, and after: ``hand``, ``take``, ``cells``, ``swap``, ``spares``, ``clear``,
``report`` and ``ledger``."""

import sys
from argparse import Namespace
from datetime import datetime, time, timedelta

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.cli.answers import open_job
from kitprep.job import Job
from kitprep.ledger.place import default_url
from kitprep.walks.out import cell_round, holdings


def run_hand(given: Namespace) -> int:
    """Hands things to someone or something, or lists who has what."""
    job = open_job(given)
    if given.things:
        if not given.to:
            return _wrong("to whom, or to what? write --to NAME")
        out = [_carried(job, tag) for tag in given.things]
        inside = [key for key in out if not job.state.item(key).packed]
        if inside:
            return _wrong(f"{', '.join(inside)}: not packed yet; pack it first, then hand it over")
        job.record_all([(key, "handed", {"holder": given.to}) for key in out])
    for holding in holdings(job.worked, job.state):
        since = holding.since[:16].replace("T", " ")
        answer(f"{holding.holder}: {holding.line.key} {holding.line.name}, since {since} UTC\n")
    return DONE


def run_take(given: Namespace) -> int:
    """Takes things back from whoever has them."""
    job = open_job(given)
    job.record_all([(_carried(job, tag), "taken back", {}) for tag in given.things])
    answer(f"taken back: {', '.join(given.things)}\n")
    return DONE


def _carried(job: Job, tag: str) -> str:
    for line in job.worked.packing:
        if line.key.casefold() == tag.casefold():
            return line.key
    raise SystemExit(_wrong(f"{tag} is not on this job's list"))


def _wrong(sentence: str) -> int:
    say(f"kitprep: {sentence}")
    return BAD


def run_cells(given: Namespace) -> int:
    """Records fresh sets put in, or lists what is due; 1 while anything is overdue."""
    job = open_job(given)
    if given.things:
        job.record_all([(_carried(job, tag), "cells changed", {}) for tag in given.things])
    minute = given.at if given.at is not None else _minute_now(job)
    lines = cell_round(job.worked, job.state, minute)
    for line in lines:
        coming = f"before scene {line.next.before}" if line.next else ""
        by = f"by {_clock(line.next.by)}" if line.next else ""
        answer(
            f"{line.due:<9} {line.unit:<8} {line.cell:<8} {line.made} of {line.planned} made  "
            f"{coming} {by}".rstrip()
            + "\n"
        )
    return OPEN if any(line.due == "overdue" for line in lines) else DONE


def _clock(minute: int) -> str:
    from kitprep.definitions.text import clock

    return clock(minute)


def _minute_now(job: Job) -> int:
    from kitprep.job import local_now

    midnight = datetime.combine(job.day.plan.day, time())
    return int((local_now() - midnight) / timedelta(minutes=1))


def run_swap(given: Namespace) -> int:
    """Shows what can stand in for a unit; with --by, records the swap."""
    job = open_job(given)
    lost = _carried(job, given.tag)
    able = job.substitutes(lost)
    if given.by is None:
        for tag in able:
            answer(f"{tag}\n")
        return DONE if able else _nothing(lost)
    if given.by not in able:
        return _wrong(f"{given.by} cannot stand in for {lost}; {', '.join(able) or 'nothing'} can")
    job.record(lost, "swapped", by=given.by, reason=given.reason)
    answer(f"{given.by} for {lost}; ask the lines of its scenes again\n")
    return DONE


def _nothing(lost: str) -> int:
    say(f"kitprep: no one unit here can stand in for {lost}; kitprep needs says what would mend it")
    return OPEN


def run_spares(given: Namespace) -> int:
    """Shows the spares that cover any one failure; --take puts them on the list."""
    job = open_job(given)
    offered = job.worked.spares
    if given.take:
        job.record_all([(tag, "spare", {"taken": True}) for tag in offered])
    elif given.leave:
        job.record_all([(tag, "spare", {"taken": False}) for tag in sorted(job.state.spares)])
    for tag in job.worked.spares:
        answer(f"{'[x]' if tag in job.state.spares else '[ ]'} {tag}\n")
    return DONE


def run_clear(given: Namespace) -> int:
    """Lets the next plans count on a unit again."""
    job = open_job(given)
    job.clear(given.tag, given.note)
    answer(f"{given.tag} can be planned with again\n")
    return DONE


def run_report(given: Namespace) -> int:
    """The day as it went."""
    from kitprep.reports.report import report_json, report_text

    job = open_job(given)
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
        source = sys.stdin if str(given.file) == "-" else given.file.open(encoding="utf-8")
        with source:
            count = ledger.restore(source)
    answer(f"{count} entries restored\n")
    return DONE


def _verify(ledger, head: str | None) -> int:  # type: ignore[no-untyped-def]
    problems = ledger.verify(head)
    for problem in problems:
        say(f"entry {problem.seq}: {problem.what}")
    seq, last = ledger.head()
    if not problems:
        answer(f"{seq} entries, all as they were recorded; head {last}\n")
    return BAD if problems else DONE
