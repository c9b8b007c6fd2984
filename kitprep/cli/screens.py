"""``open`` and ``demo``: the screens."""

import gc
from argparse import Namespace
from pathlib import Path

from kitprep.bundled import demo_plan
from kitprep.cli import DONE, answer
from kitprep.ledger.place import default_url

WELCOME = "This is the demo job. {app.new} makes a kit and a day of your own; {app.help} is help"
"""What is said to someone who named no plan."""


def run_open(given: Namespace) -> int:
    """The screens on a plan, or on the demo."""
    return _screens(given.plan or demo_plan(), given, "" if given.plan else WELCOME)


def run_demo(given: Namespace) -> int:
    """The screens on a day of the demo."""
    if given.where:
        answer(f"{demo_plan(given.day)}\n")
        return DONE
    return _screens(demo_plan(given.day), given)


def _screens(plan: Path, given: Namespace, greeting: str = "") -> int:
    # Nothing of what is loaded now is garbage; to look for some again and again was measured to
    # cost a tenth of the way to the first picture; it is looked for once the files are read.
    gc.disable()
    from kitprep.tui.app import run

    return run(plan, given.ledger or default_url(), given.who, greeting)
