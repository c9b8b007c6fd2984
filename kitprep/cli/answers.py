"""``needs``, ``list`` and ``status``: what a day needs and where its job stands."""

from argparse import Namespace
from collections.abc import Sequence
from contextlib import closing

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.days.folder import one_job_with, says_one_job
from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.text import clean_line
from kitprep.job import Job, job_name, user_name
from kitprep.ledger.place import default_url, may_be_there
from kitprep.planning.day import work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.peak import Asked, job_peak
from kitprep.planning.remedies import WorkOut, remedies
from kitprep.planning.results import WorkedDay
from kitprep.reports.needs import needs_json, needs_text
from kitprep.reports.packing import list_csv, list_json, list_text
from kitprep.reports.peak import peak_csv, peak_json, peak_text
from kitprep.reports.status import status_json, status_text
from kitprep.walks.pack import pack_view


def run_needs(given: Namespace) -> int:
    """The worked-out day, or the peak of several; 1 when anything is short."""
    if len({path.resolve() for path in given.plans}) < len(given.plans):
        say("kitprep: one plan is here twice, and would be counted twice; write each once")
        return BAD
    days = [load_day(path) for path in given.plans]
    style = "json" if given.json else given.format
    if len(days) > 1:
        return _peak(days, given.ledger, style)
    if style == "csv":
        say("kitprep: csv is for several days; write more plans, or --json")
        return BAD
    worked, again = worked_out(days[0], given.ledger, tries=True)
    mends = remedies(worked, again)
    if style == "json":
        answer_json(needs_json(worked, mends))
    else:
        answer(needs_text(worked, mends))
    return DONE if worked.ready else OPEN


def _peak(days: Sequence[Day], ledger: str | None, style: str) -> int:
    kits = {day.kit.kit for day in days}
    if len(kits) > 1:
        names = ", ".join(sorted(kits))
        say(f"kitprep: these plans are of several kits ({names}); write those of one")
        return BAD
    jobs: dict[str, Day] = {}
    for day in days:
        other = jobs.setdefault(job_name(day), day)
        if other is not day:
            say(f"kitprep: {says_one_job(other.path, day.path, job_name(day))}")
            return BAD
    peak = job_peak([as_known(day, ledger) for day in days])
    if style == "json":
        answer_json(peak_json(peak))
    else:
        answer(peak_csv(peak) if style == "csv" else peak_text(peak))
    return DONE if peak.ready else OPEN


def worked_out(day: Day, ledger: str | None, tries: bool = False) -> tuple[WorkedDay, WorkOut]:
    """A day with what its job's ledger says, and how it is worked out otherwise in the same way.

    Where no ledger is yet none is made; the day is then as its files say. With ``tries`` R11 is
    answered too.
    """
    asked = as_known(day, ledger, tries)
    return asked.day, asked.again


def as_known(day: Day, ledger: str | None, tries: bool = False) -> Asked:
    """The same, and what the days after it hear of its job."""
    url = ledger or default_url()
    if not may_be_there(url):
        worked = work_out(day.kit, day.plan)
        return Asked(with_one_failure(worked) if tries else worked, work_out, job_name(day))
    with closing(Job.open_day(day, url, user_name(), "command", tries)) as job:
        return Asked(job.worked, job.work_out, job.name, bool(job.state.fixed_at))


def say_one_job(job: Job) -> None:
    """Says which other plans share the job's ticks, where any does."""
    for other in one_job_with(job.day):
        say(f"kitprep: {says_one_job(job.day.path, other, job.name)}")


def open_job(given: Namespace) -> Job:
    """The job that the words name; its ledger is made where there is none."""
    who = clean_line(given.who or "") or user_name()
    return Job.open(given.plan, given.ledger or default_url(), who, "command")


def run_list(given: Namespace) -> int:
    """The packing list, with its ticks; 1 when the day is short of anything."""
    with closing(open_job(given)) as job:
        view = pack_view(job.worked, job.state)
        if given.format == "json":
            answer_json(list_json(job.worked, view))
        elif given.format in ("md", "html"):
            answer(_sheet(job, given.format))
        else:
            write = list_csv if given.format == "csv" else list_text
            answer(write(job.worked, view))
        return DONE if job.worked.ready else OPEN


def _sheet(job: Job, style: str) -> str:
    from kitprep.reports.paper.build import paper
    from kitprep.reports.paper.html import html_paper
    from kitprep.reports.paper.text import markdown_paper

    write = html_paper if style == "html" else markdown_paper
    return write(paper(job.worked, job.day.kit, ("packing",)))


def run_status(given: Namespace) -> int:
    """Where the job stands; 1 while anything is open, or short for a day to come."""
    with closing(open_job(given)) as job:
        document = status_json(job.worked, job.state, job.minute())
        say_one_job(job)
    if given.json:
        answer_json(document)
    else:
        answer(status_text(document))
    return OPEN if document["open"] or not document["ready"] else DONE
