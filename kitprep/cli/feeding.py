"""``cells`` and ``standby``: fresh sets and packs, and what sleeps, while the job is out."""

from argparse import Namespace

from kitprep.cli import DONE, OPEN, answer
from kitprep.cli.on_list import Wrong, all_on_list, line_of, on_list, on_the_job_of
from kitprep.definitions.text import clock, shown
from kitprep.job import Job
from kitprep.walks.feeding import (
    SupplyLine,
    cell_round,
    not_of_the_day,
    pack_round,
    parts_of,
    sleeping,
)


def run_cells(given: Namespace) -> int:
    """Records fresh sets put in, or lists what is due; 1 while anything is overdue."""
    return on_the_job_of(given, _cells)


def _cells(job: Job, given: Namespace) -> int:
    changed = [_fed(job, word) for word in dict.fromkeys(given.things)]
    minute = given.at if given.at is not None else job.minute()
    job.record_all(
        [
            (key, "cells changed", {"minute": minute, **({"at_destination": at} if at else {})})
            for key, at in changed
        ]
    )
    lines = cell_round(job.worked, job.state, minute)
    for line in lines:
        answer(
            f"{line.due:<9} {line.unit:<8} {line.cell:<8} {line.made} of {line.planned} made  "
            f"{line.says}".rstrip()
            + "\n"
        )
    packs = pack_round(job.worked, job.state, minute)
    for pack in packs:
        answer(f"{pack.due:<9} {_called(job, pack)}  {pack.says}\n")
    late = [*(line.due for line in lines), *(pack.due for pack in packs)]
    return OPEN if "overdue" in late else DONE


def _called(job: Job, pack: SupplyLine) -> str:
    """ "supply:bag", or "supply:bag@bag-2" where it is in several parts of the unit."""
    key = f"supply:{pack.id}"
    return f"{key}@{pack.at[0]}" if len(parts_of(job.worked, key)) > 1 else key


def _fed(job: Job, word: str) -> tuple[str, str]:
    """What got a fresh set, and of a supply in several parts the destination where it went on."""
    name, _, at = word.partition("@")
    if line_of(job, word) is not None or not at:
        return on_list(job, word), ""
    key = on_list(job, name)
    there = {place.casefold(): place for part in parts_of(job.worked, key) for place in part}
    if at.casefold() not in there:
        known = " or ".join(f"{key}@{place}" for place in there.values()) or key
        raise Wrong(f"{shown(word)}: {key} is not at {shown(at)} today; write {known}")
    return key, there[at.casefold()]


def run_standby(given: Namespace) -> int:
    """Records packs put to sleep or woken, or says which should be; 1 where any is not as it
    should be."""
    return on_the_job_of(given, _standby)


def _standby(job: Job, given: Namespace) -> int:
    minute = given.at if given.at is not None else job.minute()
    found = sleeping(job.worked, job.state, minute)
    keys = all_on_list(job, given)
    if given.wake and not (keys or given.all):
        raise Wrong("which were woken? write their TAGs, or --all")
    if given.all:
        keys = [*found.asleep, *found.to_wake] if given.wake else list(found.awake)
    told = {"asleep": not given.wake, "minute": minute}
    job.record_all([(key, "standby", told) for key in keys])
    found = sleeping(job.worked, job.state, minute)
    when = "" if not_of_the_day(job.worked, minute) else f"{clock(minute)} "
    answer(f"{when}{found.planned} should be asleep, {len(found.asleep)} are\n")
    for says, tags in (
        ("asleep", found.asleep),
        ("awake", found.awake),
        ("to wake, its signal to be seen", found.to_wake),
    ):
        for tag in tags:
            answer(f"  {tag:<8} {says}\n")
    return OPEN if found.awake or found.to_wake else DONE
