"""Whatever is done in whatever order, the ledger does what a list in memory would do.

The model holds what a reader may rely on: each item's place is that of its newest entry, every
item is in exactly one place, and a retry, a refusal or a crash changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from kitprep.ledger.entries import Draft
from kitprep.ledger.errors import Refused, Stale
from kitprep.ledger.store import Ledger

from .conftest import NewUrl
from .making import draft

ITEMS = st.sampled_from(["TX01", "TX02", "RX01", "Größe M"])
PLACES = st.sampled_from(["pouch", "case 2", "Ines Brandt", "camera B"])
JOBS = st.sampled_from(["day-01", "day-02"])

Key = tuple[str, str]


class Crash(Exception):
    """Stands for the program's death between its statements."""


class Day(RuleBasedStateMachine):
    """Moves things about, in every way that can go right or wrong."""

    new_url: Callable[[], str]

    def __init__(self) -> None:
        super().__init__()
        self.number = 0
        self.sent: list[Draft] = []
        self.places: dict[Key, list[str]] = {}

    @initialize()
    def begin(self) -> None:
        self.url = self.new_url()
        self.ledger = Ledger.open(self.url)

    def teardown(self) -> None:
        if hasattr(self, "ledger"):
            self.ledger.close()

    def make(self, job: str, item: str, place: str, too_old: int = 0) -> Draft:
        self.number += 1
        seen = len(self.places.get((job, item), [])) - too_old
        return draft(self.number, item, seen, place, job)

    def keep(self, made: Draft) -> None:
        self.sent.append(made)
        self.places.setdefault((made.job, made.item), []).append(made.body["to"])

    @rule(job=JOBS, item=ITEMS, place=PLACES)
    def move(self, job: str, item: str, place: str) -> None:
        made = self.make(job, item, place)
        (entry,) = self.ledger.append([made])
        self.keep(made)
        assert entry.seq == len(self.sent)
        assert entry.item_seq == len(self.places[job, item])

    @rule(job=JOBS, items=st.lists(ITEMS, min_size=2, max_size=5), place=PLACES)
    def move_a_bag(self, job: str, items: list[str], place: str) -> None:
        bag = [self.make(job, item, place) for item in items]
        recorded = self.ledger.append(bag)
        for made in bag:
            self.keep(made)
        assert [entry.id for entry in recorded] == [made.id for made in bag]

    @precondition(lambda self: self.sent)
    @rule(data=st.data())
    def send_again(self, data: st.DataObject) -> None:
        made = data.draw(st.sampled_from(self.sent))
        (entry,) = self.ledger.append([made])
        assert entry.seq == self.sent.index(made) + 1

    @precondition(lambda self: self.sent)
    @rule(data=st.data())
    def send_an_id_with_something_else(self, data: st.DataObject) -> None:
        made = data.draw(st.sampled_from(self.sent))
        other = Draft(made.id, made.job, made.item, made.seen, made.body | {"to": "elsewhere"})
        with pytest.raises(Refused):
            self.ledger.append([self.make("day-01", "TX01", "pouch"), other])

    @rule(job=JOBS, item=ITEMS, place=PLACES, too_old=st.sampled_from([1, 2, -1]))
    def move_what_someone_else_has_moved(
        self, job: str, item: str, place: str, too_old: int
    ) -> None:
        with pytest.raises(Stale) as caught:
            self.ledger.append([self.make(job, item, place, too_old)])
        newest = self.places.get((job, item), [])
        assert (caught.value.newest is None) == (not newest)
        if caught.value.newest is not None:
            assert caught.value.newest.body["to"] == newest[-1]

    @rule(job=JOBS, item=ITEMS, place=PLACES)
    def crash_before_the_commit(self, job: str, item: str, place: str) -> None:
        dialect = self.ledger._engine.dialect
        commit, made = dialect.do_commit, self.make(job, item, place)

        def die(_connection: object) -> None:
            raise Crash

        dialect.do_commit = die  # type: ignore[method-assign,assignment]
        with pytest.raises(Crash):
            self.ledger.append([made])
        dialect.do_commit = commit  # type: ignore[method-assign]

    @rule()
    def reopen(self) -> None:
        self.ledger.close()
        self.ledger = Ledger.open(self.url)

    @rule()
    def move_to_another_ledger(self) -> None:
        url = self.new_url()
        with Ledger.open(url) as copy:
            assert copy.restore(self.ledger.export()) == len(self.sent)
        self.url = url
        self.reopen()

    @invariant()
    def every_item_is_where_its_newest_entry_says(self) -> None:
        if not hasattr(self, "ledger"):
            return
        replayed: dict[Key, list[str]] = {}
        for job in self.ledger.jobs():
            for entry in self.ledger.entries(job):
                replayed.setdefault((job, entry.item), []).append(entry.body["to"])
        assert replayed == self.places
        assert self.ledger.verify() == []


def test_the_ledger_does_what_a_list_in_memory_would_do(new_url: NewUrl, url: str) -> None:
    run_state_machine_as_test(
        type("Day", (Day,), {"new_url": staticmethod(new_url)}),
        settings=settings(
            max_examples=40 if url.startswith("sqlite") else 15,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
