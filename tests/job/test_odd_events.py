"""One event that another version of the program wrote must not lock everybody out of a job."""

from __future__ import annotations

from typing import Any

import pytest

from kitprep.cli import main
from kitprep.ledger.entries import Draft, new_id
from kitprep.ledger.store import Ledger

from .world import World, packed

ODD: list[Any] = [None, "many", -1, 1.5, True, [], {}, {"a": []}, [1], "", 10**30]

KINDS = {
    "packed": "qty",
    "skipped": "reason",
    "checked": "check",
    "handed": "holder",
    "returned": "counts",
    "card": "step",
    "observed": "answer",
    "standby": "asleep",
    "moved": "to",
    "spare": "taken",
    "withdrawn": "withdrawn",
    "swapped": "by",
    "stage": "stage",
    "contested": "by",
    "wanted": "by",
    "polished": "with",
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_job_opens_whatever_an_event_says(
    file_world: World, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    job = file_world.job("Ana")
    packed(job)
    write(file_world, job.name, [{"kind": kind, KINDS[kind]: odd} for odd in (*ODD, *LISTS)])
    job.refresh()
    fresh = file_world.job("Ben")
    assert (fresh.state, fresh.worked) == (job.state, job.worked)
    job.record("TX2", "unpacked")
    for command in ("report", "hand", "cells", "status", "list"):
        assert main([command, str(file_world.plan()), "--ledger", file_world.url]) in (0, 1)
    capsys.readouterr()


LISTS: list[Any] = [{"back": "x"}, {"back": None, "wet": 2}]


@pytest.mark.parametrize("kind", ["claimed", "released", "contested", "cleared", "lent"])
def test_a_job_opens_whatever_is_said_of_a_kit(file_world: World, kind: str) -> None:
    job = file_world.job("Ana")
    job.record("TX1", "packed")
    told = [
        {"kind": kind, fact: odd}
        for fact in ("job", "day", "on", "off", "outcome", "by", "note")
        for odd in ODD
    ]
    write(file_world, "small", told)
    job.refresh()
    fresh = file_world.job("Ben")
    assert (fresh.state, fresh.kit, fresh.worked) == (job.state, job.kit, job.worked)
    assert fresh.found_unfit == job.found_unfit
    assert fresh.contested == job.contested


def write(world: World, stream: str, bodies: list[dict[str, Any]]) -> None:
    """Writes events on TX1 as another program may have."""
    seen = sum(entry.item == "TX1" for entry in world.entries(stream))
    with Ledger.open(world.url) as ledger:
        for number, body in enumerate(bodies):
            identity = new_id(number, number.to_bytes(10, "big"))
            ledger.append([Draft(identity, stream, "TX1", seen + number, {"who": "?", **body})])
