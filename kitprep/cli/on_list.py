"""What the commands for while the job is out share: the job, and what on its list is meant."""

from argparse import Namespace
from collections.abc import Callable
from contextlib import closing

from kitprep.cli import BAD, say
from kitprep.cli.answers import open_job
from kitprep.definitions.text import clean_line, shown
from kitprep.job import Job
from kitprep.planning.results import PackLine
from kitprep.walks.out import on_the_job


class Wrong(Exception):
    """Something that cannot be recorded, and why."""


def on_the_job_of(given: Namespace, run: Callable[[Job, Namespace], int]) -> int:
    """Runs something on the job that the words name."""
    with closing(open_job(given)) as job:
        try:
            return run(job, given)
        except Wrong as wrong:
            say(f"kitprep: {wrong}")
            return BAD


def line_of(job: Job, word: str) -> PackLine | None:
    """What is on the list, or out with the job, under this tag or key, however it is written."""
    folded = clean_line(word).casefold()
    lines = on_the_job(job.worked, job.state)
    return next((line for line in lines if line.key.casefold() == folded), None)


def on_list(job: Job, word: str) -> str:
    line = line_of(job, word)
    if line is None:
        raise Wrong(f"{shown(word)} is not on this job's list")
    return line.key


def all_on_list(job: Job, given: Namespace) -> list[str]:
    """Each thing once."""
    return list(dict.fromkeys(on_list(job, word) for word in given.things))
