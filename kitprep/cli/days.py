"""``copy-day`` and ``compare``: from one day to the next."""

from argparse import Namespace
from collections.abc import Iterator, Mapping

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.days.compare import compare, compare_json, compare_text
from kitprep.days.copy import copied, worn
from kitprep.days.folder import way_to_kit
from kitprep.definitions.loading import Day, load_day
from kitprep.editing.surgery import NotEditable
from kitprep.files import NotWritten, write_new
from kitprep.reports.paper.returns import hired_things


def run_copy_day(given: Namespace) -> int:
    """A plan as another day's, in a new file that checks clean."""
    day = load_day(given.plan)
    wears = _worn(day, given) if given.worn else {}
    try:
        # As bytes, so that line ends stay as they are.
        text = given.plan.read_bytes().decode("utf-8")
        kit = way_to_kit(given.plan, given.new, day.plan.kit)
        after = copied(text, given.date, kit, wears)
        write_new(given.new, after.encode(), check=load_day)
    except (NotWritten, NotEditable, OSError) as error:
        say(f"kitprep: {error}")
        return BAD
    except UnicodeEncodeError:
        say(f"kitprep: the way from {given.new} to its kit is no text; write it nearer to the kit")
        return BAD
    answer(f"{given.new}\n")
    say(*_to_look_at(day, given, wears))
    return DONE


def _worn(day: Day, given: Namespace) -> dict[int, str]:
    """Who wears what, as planned and as the ledger says that it was swapped."""
    from kitprep.cli.answers import worked_out

    return worn(worked_out(day, given.ledger)[0])


def _to_look_at(day: Day, given: Namespace, wears: Mapping[int, str]) -> Iterator[str]:
    rest = "who wears what is carried over" if wears else "all else is as it was"
    yield f"{given.new} is {given.plan} on {given.date.isoformat()}; {rest}."
    if day.plan.title:
        yield f'Its title is still "{day.plan.title}".'
    hired = hired_things(day.kit)
    late = {thing.owner for thing in hired if thing.due is not None and thing.due < given.date}
    for owner in sorted(late):
        yield f"Some of {owner} is due back before that day."


def run_compare(given: Namespace) -> int:
    """What to add, what to leave, who wears what; 1 when the later day is short of something."""
    from kitprep.cli.answers import worked_out

    days = [load_day(plan) for plan in (given.before, given.after)]
    found = compare(*(worked_out(day, given.ledger)[0] for day in days))
    if given.json:
        answer_json(compare_json(found))
    else:
        answer(compare_text(found))
    return DONE if found.ready else OPEN
