"""``check`` and ``schema``: about the files themselves."""

from argparse import Namespace
from pathlib import Path

from kitprep.cli import BAD, DONE, answer, answer_json, say
from kitprep.days.folder import one_job_with, says_one_job
from kitprep.definitions.kit import Kit
from kitprep.definitions.kit_checks import left_out
from kitprep.definitions.loading import Day, load_any
from kitprep.definitions.plan import Plan
from kitprep.definitions.problems import DefinitionError
from kitprep.definitions.schema import json_schema
from kitprep.definitions.text import counted
from kitprep.ledger.names import job_name
from kitprep.planning.held import past_due
from kitprep.planning.notices import plan_notices
from kitprep.planning.packing import find_units


def run_check(given: Namespace) -> int:
    """Every problem of every file, one a line."""
    status = DONE
    told: set[Path] = set()
    for path in given.files:
        try:
            found = load_any(path)
        except DefinitionError as error:
            say(*error.lines)
            status = BAD
        else:
            answer(f"{path}: {_summary(found)}\n")
            if isinstance(found, Day):
                overdue = past_due(found.kit, found.plan.day)
                say(*(f"{path}: not counted on: {each.sentence}" for each in overdue))
                say(*(f"{path}: {notice}" for notice in plan_notices(found.plan)))
                told.add(path.resolve())
                others = [o for o in one_job_with(found) if o.resolve() not in told]
                say(*(f"{path}: {says_one_job(path, o, job_name(found))}" for o in others))
    return status


def _summary(found: object) -> str:
    if isinstance(found, Day):
        scenes = counted(len(found.plan.scenes), "scene")
        return f"a day plan of {scenes} and {counted(len(found.plan.sources), 'source')}, in order"
    if isinstance(found, Kit):
        unknown = ", ".join(left_out(found))
        units = counted(len(find_units(found)), "tagged unit")
        return f"a kit of {units}, in order" + (f"; not known: {unknown}" if unknown else "")
    return "tables that a kit can include, in order"


def run_schema(given: Namespace) -> int:
    """JSON Schema, draft 2020-12."""
    model = Kit if given.what == "kit" else Plan
    answer_json(json_schema(model))
    return DONE
