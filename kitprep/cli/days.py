"""``copy-day`` and ``compare``: from one day to the next."""

import os
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.days.compare import compare, compare_json, compare_text
from kitprep.days.copy import copied
from kitprep.definitions.loading import Day, load_day
from kitprep.files import NotWritten, write_new
from kitprep.reports.paper.returns import hired_things


def run_copy_day(given: Namespace) -> int:
    """A plan as another day's, in a new file that checks clean."""
    day = load_day(given.plan)
    try:
        # As bytes, so that line ends stay as they are.
        text = given.plan.read_bytes().decode("utf-8")
        moved = _kit_from(given.plan, given.new, day)
        write_new(given.new, copied(text, given.date, moved).encode(), check=load_day)
    except (NotWritten, OSError) as error:
        say(f"kitprep: {error}")
        return BAD
    except UnicodeEncodeError:
        say(f"kitprep: the way from {given.new} to its kit is no text; write it nearer to the kit")
        return BAD
    answer(f"{given.new}\n")
    say(*_to_look_at(day, given))
    return DONE


def _kit_from(plan: Path, new: Path, day: Day) -> str | None:
    """The kit's path from the new plan's folder; None where that is the old one."""
    if (
        os.path.realpath(plan.parent) == os.path.realpath(new.parent)
        or Path(day.plan.kit).is_absolute()
    ):
        return None
    kit = os.path.realpath(plan.parent / day.plan.kit)
    return os.path.relpath(kit, os.path.realpath(new.parent)).replace(os.sep, "/")


def _to_look_at(day: Day, given: Namespace) -> Iterator[str]:
    yield f"{given.new} is {given.plan} on {given.date.isoformat()}; all else is as it was."
    if day.plan.title:
        yield f'Its title is still "{day.plan.title}".'
    hired = hired_things(day.kit)
    late = {thing.owner for thing in hired if thing.due is not None and thing.due < given.date}
    for owner in sorted(late):
        yield f"Some of {owner} is due back before that day."


def run_compare(given: Namespace) -> int:
    """What to add, what to leave, who wears what; 1 when the later day is short of something."""
    from kitprep.planning.day import work_out

    days = [load_day(plan) for plan in (given.before, given.after)]
    found = compare(*(work_out(day.kit, day.plan) for day in days))
    if given.json:
        answer_json(compare_json(found))
    else:
        answer(compare_text(found))
    return DONE if found.ready else OPEN
