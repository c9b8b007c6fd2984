"""``needs``, ``list`` and ``status``: what a day needs and where its job stands."""

from argparse import Namespace
from collections.abc import Sequence
from contextlib import closing

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.text import clean_line
from kitprep.job import Job, user_name
from kitprep.ledger.place import default_url
from kitprep.planning.day import work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.peak import job_peak
from kitprep.planning.remedies import remedies
from kitprep.reports.needs import needs_json, needs_text
from kitprep.reports.packing import list_csv, list_json, list_text
from kitprep.reports.peak import peak_csv, peak_json, peak_text
from kitprep.reports.status import status_json, status_text
from kitprep.walks.pack import pack_view


def run_needs(given: Namespace) -> int:
    """The worked-out day, or the peak of several; 1 when anything is short."""
    days = [load_day(path) for path in given.plans]
    style = "json" if given.json else given.format
    if len(days) > 1:
        return _peak(days, style)
    if style == "csv":
        say("kitprep: csv is of several days; write more plans, or take --json")
        return BAD
    worked = with_one_failure(work_out(days[0].kit, days[0].plan))
    mends = remedies(worked, work_out)
    if style == "json":
        answer_json(needs_json(worked, mends))
    else:
        answer(needs_text(worked, mends))
    return DONE if worked.ready else OPEN


def _peak(days: Sequence[Day], style: str) -> int:
    kits = {day.kit.kit for day in days}
    if len(kits) > 1:
        say(f"kitprep: these plans are of several kits ({', '.join(sorted(kits))}); take one kit's")
        return BAD
    peak = job_peak([work_out(day.kit, day.plan) for day in days])
    if style == "json":
        answer_json(peak_json(peak))
    else:
        answer(peak_csv(peak) if style == "csv" else peak_text(peak))
    return DONE if peak.ready else OPEN


def open_job(given: Namespace) -> Job:
    """The job that the words name; its ledger is made where there is none."""
    who = clean_line(given.who or "") or user_name()
    return Job.open(given.plan, given.ledger or default_url(), who, "command")


def run_list(given: Namespace) -> int:
    """The packing list, with its ticks."""
    with closing(open_job(given)) as job:
        view = pack_view(job.worked, job.state)
        if given.format == "json":
            answer_json(list_json(job.worked, view))
        elif given.format in ("md", "html"):
            answer(_sheet(job, given.format))
        else:
            write = list_csv if given.format == "csv" else list_text
            answer(write(job.worked, view))
        return DONE


def _sheet(job: Job, style: str) -> str:
    from kitprep.reports.paper.build import paper
    from kitprep.reports.paper.html import html_paper
    from kitprep.reports.paper.text import markdown_paper

    write = html_paper if style == "html" else markdown_paper
    return write(paper(job.worked, ("packing",)))


def run_status(given: Namespace) -> int:
    """Where the job stands; 1 while anything is open."""
    with closing(open_job(given)) as job:
        document = status_json(job.worked, job.state)
    if given.json:
        answer_json(document)
    else:
        answer(status_text(document))
    return OPEN if document["open"] else DONE
