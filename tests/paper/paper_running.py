"""The demo's days worked out once, and how a test of ``kitprep paper`` calls it."""

from collections.abc import Callable
from functools import cache

from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay

Print = Callable[..., tuple[int, str, str]]
"""The status, the answer and the messages of one call."""


@cache
def worked(number: int) -> WorkedDay:
    """A day of the demo."""
    day = load_day(demo_plan(number))
    return work_out(day.kit, day.plan)
