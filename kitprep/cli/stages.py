"""``stage``: says that a job is packed, out, returned or closed, where it is."""

from argparse import Namespace
from contextlib import closing

from kitprep.cli import DONE, OPEN, answer, say
from kitprep.cli.answers import open_job
from kitprep.definitions.text import clean_line
from kitprep.walks.line_check import says_not_settled
from kitprep.walks.stages import hindrance


def run_stage(given: Namespace) -> int:
    """Records the stage; 1 where something stands in the way."""
    with closing(open_job(given)) as job:
        accepted = clean_line(given.accept)
        reason = hindrance(job.worked, job.state, given.stage, accepted=accepted)
        if reason is not None:
            say(f"kitprep: not {given.stage}: {reason}")
            return OPEN
        job.advance(given.stage, accepted)
        answer(f"{job.name}: {given.stage}\n")
        if given.stage == "closed" and (left := says_not_settled(job.worked, job.state)):
            say(f"kitprep: {left}; kitprep report names them")
        return DONE
