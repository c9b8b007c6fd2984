"""The days of a job that lie beside one another, and what the next one may be called."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.problems import DefinitionError, read_toml

_NUMBER = re.compile(r"(.*?)(\d+)")


def days_beside(day: Day) -> tuple[Day, ...]:
    """Every plan in a day's folder that draws on the same kit file and reads well, by date."""
    found = []
    for path, _ in _plans_beside(day):
        try:
            found.append(load_day(path))
        except DefinitionError:
            continue  # what is wrong with it is said when it is opened
    return tuple(sorted(found, key=lambda one: (one.plan.day, one.path.name)))


def one_job_with(day: Day) -> tuple[Path, ...]:
    """The other plans in a day's folder of its kit, its date and its ``job``: what is ticked of one
    is ticked of all."""
    mine = day.plan.day.isoformat(), day.plan.job
    return tuple(
        path
        for path, data in _plans_beside(day)
        if (str(data["day"]), data.get("job")) == mine and not path.samefile(day.path)
    )


def says_one_job(one: Path, other: Path, job: str) -> str:
    """That two plans share what the ledger has of a job, and what keeps them apart."""
    return (
        f"{one} and {other} are one job to the ledger, {job}; "
        'write job = "b-unit", or the like, into one of them'
    )


def _plans_beside(day: Day) -> Iterator[tuple[Path, dict[str, object]]]:
    """Every plan in a day's folder that draws on the same kit file, itself among them, as TOML."""
    kit = _kit(day.path, day.plan.kit)
    for path in sorted(day.path.parent.glob("*.toml")):
        if os.path.realpath(path) == kit:
            continue  # it may be long, and is no plan
        try:
            _, data = read_toml(path, str(path))
        except DefinitionError:
            continue
        if "day" in data and _kit(path, str(data.get("kit", ""))) == kit:
            yield path, data


def _kit(plan: Path, entry: str) -> str:
    return os.path.realpath(plan.parent / entry)


def next_file(plan: Path) -> Path:
    """A name that is free for the day after a plan's: day-02.toml after day-01.toml."""
    match = _NUMBER.fullmatch(plan.stem)
    begins, number, wide = (match[1], int(match[2]), len(match[2])) if match else (plan.stem, 1, 0)
    while True:
        number += 1
        name = f"{begins}{'' if match else '-'}{number:0{wide}d}{plan.suffix}"
        if not os.path.lexists(plan.with_name(name)):
            return plan.with_name(name)


def way_to_kit(plan: Path, new: Path, kit: str) -> str | None:
    """The kit's path from a new plan's folder; None where it is as it was."""
    here, there = (os.path.realpath(path.parent) for path in (plan, new))
    if here == there or Path(kit).is_absolute():
        return None
    return os.path.relpath(_kit(plan, kit), there).replace(os.sep, "/")
