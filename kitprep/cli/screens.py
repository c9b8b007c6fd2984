"""``open`` and ``demo``: the screens."""

from argparse import Namespace

from kitprep.bundled import demo_plan
from kitprep.cli import DONE, answer
from kitprep.ledger.place import default_url


def run_open(given: Namespace) -> int:
    """The screens on a plan, or on the demo."""
    from kitprep.tui.app import run

    return run(given.plan or demo_plan(), given.ledger or default_url(), given.who)


def run_demo(given: Namespace) -> int:
    """The screens on a day of the demo."""
    if given.where:
        answer(f"{demo_plan(given.day)}\n")
        return DONE
    from kitprep.tui.app import run

    return run(demo_plan(given.day), given.ledger or default_url(), given.who)
