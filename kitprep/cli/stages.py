"""``stage``: says that a job is packed, out, returned or closed, where it is."""

from argparse import Namespace
from contextlib import closing

from kitprep.cli import DONE, OPEN, answer, say
from kitprep.cli.answers import open_job
from kitprep.walks.stages import hindrance


def run_stage(given: Namespace) -> int:
    """Records the stage; 1 where something stands in the way."""
    with closing(open_job(given)) as job:
        reason = hindrance(job.worked, job.state, given.stage)
        if reason is not None:
            say(f"kitprep: not {given.stage}: {reason}")
            return OPEN
        job.advance(given.stage)
        answer(f"{job.name}: {given.stage}\n")
        return DONE
