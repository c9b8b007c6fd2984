"""One event that another version of the program wrote must not lock everybody out of a job."""

from __future__ import annotations

import inspect
import os
import re
from typing import Any

import pytest

from kitprep.cli import main
from kitprep.ledger import events
from kitprep.ledger.entries import Draft, new_id
from kitprep.ledger.store import Ledger
from kitprep.walks.log import sentence

from .world import World, packed

ODD: list[Any] = [None, "many", -1, 1.5, True, [], {}, {"a": []}, [1], "", 10**30]

KINDS = {
    "packed": ("qty", "for"),
    "unpacked": (),
    "skipped": ("reason",),
    "checked": ("check", "value"),
    "counted": ("qty",),
    "added": ("qty",),
    "handed": ("holder", "qty"),
    "taken back": ("holder", "qty"),
    "returned": ("counts", "holder", "note"),
    "card": ("step",),
    "observed": ("answer", "chain"),
    "cells changed": ("minute", "at_destination"),
    "standby": ("asleep", "minute"),
    "moved": ("to",),
    "spare": ("taken",),
    "withdrawn": ("withdrawn", "reason"),
    "swapped": ("by", "reason", "minute"),
    "stage": ("stage", "note", "list"),
    "contested": ("by",),
    "wanted": ("by",),
    "polished": ("with",),
}
"""Every kind of event with its facts, and one that only another version knows."""

ITEMS = ("TX1", "cells:CR123A", "job", "case:pouch", "check:1:ines:recorder:tap", "lent:9")


@pytest.mark.parametrize("kind", KINDS)
def test_a_job_opens_whatever_an_event_says(
    file_world: World, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    job = file_world.job("Ana")
    packed(job)
    told = [
        {"kind": kind, fact: odd}
        for fact in (*KINDS[kind], "at", "who", "how", "kind")
        for odd in (*ODD, *LISTS)
    ]
    for item in ITEMS:
        write(file_world, job.name, told, item)
    job.refresh()
    fresh = file_world.job("Ben")
    assert (fresh.state, fresh.worked) == (job.state, job.worked)
    assert all(sentence(event) for event in file_world.events(job))
    job.record("TX2", "unpacked")
    for command in ("report", "hand", "cells", "status", "list"):
        assert main([command, str(file_world.plan()), "--ledger", file_world.url]) in (0, 1)
    capsys.readouterr()


def test_every_kind_that_changes_an_item_is_tried() -> None:
    known = set(re.findall(r'case "([a-z ]+)"', inspect.getsource(events._after)))
    assert "packed" in known
    assert known <= set(KINDS)


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


def write(world: World, stream: str, bodies: list[dict[str, Any]], item: str = "TX1") -> None:
    """Writes events as another program may have."""
    seen = sum(entry.item == item for entry in world.entries(stream))
    with Ledger.open(world.url) as ledger:
        ledger.append(
            [
                Draft(new_id(number, os.urandom(10)), stream, item, seen + number, body)
                for number, body in enumerate(bodies)
            ]
        )
