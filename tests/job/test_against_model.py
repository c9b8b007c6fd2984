"""Whole jobs by random walks: five people, four jobs, one kit, against plain dicts.

Ana and Ben have one job; Cy's is on the same day in the evening, Di's at the same hours, Ed's on
the next day. Each acts on what they saw when they last looked. After every act the ledger must say
what the dicts say, in the same order, and everyone who looks must see the same.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import (
    HealthCheck,
    settings,
)
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test
from ledger.conftest import NewUrl

from kitprep.job import Job, Overtaken
from kitprep.ledger import kit_stream
from kitprep.ledger.claims import fold_kit
from kitprep.ledger.errors import Contested, NotNow, Refused, Unusable
from kitprep.ledger.events import CARD_STEPS, STAGES, JobState, read_event
from kitprep.walks.line_check import line_check

from .failing import Failing
from .model import UNFIT, Event, Model
from .world import Scene, World, served

EXAMPLES = int(os.environ.get("KITPREP_TEST_EXAMPLES", "1"))
"""How many times more than by default is tried."""

TAGS = ("TX1", "TX2", "TX3", "TX10", "TX20", "TX21", "AD1", "AD2", "RX1", "RX2")
COUNTED = ("cells:CR123A", "supply:bag", "cards:mini-sd")
NUMBERS = {"cells:CR123A": 40, "supply:bag": 6}
"""What the kit has of them; it lists no cards, so nobody is told of those."""
PEOPLE = ("Ana", "Ben", "Cy", "Di", "Ed")
EVENING: list[Scene] = [("1", "", "18:00", "20:00", "ines marek")]
ALL_DAY: list[Scene] = [("1", "", "09:00", "15:00", "ines marek mix")]

IN_THE_EVENING, NEXT_DAY = "small/2027-03-14/b", "small/2027-03-15"

person = st.sampled_from(PEOPLE)
tag = st.sampled_from(TAGS)
thing = st.sampled_from((*TAGS, *COUNTED))
outcome = st.sampled_from(("back", *UNFIT))


def clash(one: str, other: str) -> bool:
    """Whether two jobs cannot both have a unit: the evening's can, with those that day."""
    return one != other and (NEXT_DAY in (one, other) or IN_THE_EVENING not in (one, other))


class Crew(RuleBasedStateMachine):
    """Does to jobs all that can be done, in every order."""

    new_url: Callable[[], str]

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.world = World(Path(self.folder.name), self.new_url())
        self.plans = {
            "Ana": self.world.plan(),
            "Ben": self.world.plan(),
            "Cy": self.world.plan(job="b", scenes=EVENING),
            "Di": self.world.plan(job="c", scenes=ALL_DAY),
            "Ed": self.world.plan("2027-03-15"),
        }
        self.model = Model(TAGS, NUMBERS, clash)
        self.jobs: dict[str, Job] = {}
        self.views: dict[str, Any] = {}
        for who in PEOPLE:
            self.open(who)

    def teardown(self) -> None:
        if hasattr(self, "world"):
            self.world.close()
            self.folder.cleanup()

    def open(self, who: str) -> None:
        self.jobs[who] = self.world.job(who, self.plans[who])
        self.looked(who)

    def looked(self, who: str) -> None:
        """Someone has seen everything: it must be what the dicts say."""
        job = self.jobs[who]
        self.views[who] = self.model.seen_now(job.name)
        mine = self.model.job(job.name)
        assert plain(job.state) == {k: v for k, v in mine.items() if k != "fixed"}
        assert job.missing == self.model.missing(job.name)
        assert job.contested == self.model.contested(job.name)
        assert job.kit == fold_kit(self.world.entries("small"))
        assert {t: r.condition for t, r in job.kit.units.items() if r.condition} == {
            t: u["condition"] for t, u in self.model.kit.items() if u["condition"]
        }
        assert {t: {c.job: c.qty for c in r.claims} for t, r in job.kit.units.items()} == {
            t: u["claims"] for t, u in self.model.kit.items() if u["n"]
        }
        assert {t: {x.job: x.counts for x in r.left} for t, r in job.kit.units.items()} == {
            t: u["left"] for t, u in self.model.kit.items() if u["n"]
        }
        gone = {lost for lost, _ in mine["swaps"]} | mine["withdrawn"] | job.missing
        planned = {part for chain in served(job).values() for part in chain}
        assert not gone & planned
        if mine["fixed"] is None:
            assert not self.with_others(job.name) & planned

    def with_others(self, name: str) -> set[str]:
        """Units that another job of that day has at the same hours, and this one has not."""
        return {
            tag
            for tag, unit in self.model.kit.items()
            if name not in unit["claims"]
            and any(has[:16] == name[:16] and clash(name, has) for has in unit["claims"])
        }

    # Recording

    def tell(self, who: str, *events: Event) -> bool:
        """Records events as a person would, and sees that what was foreseen comes of it."""
        job = self.jobs[who]
        all_told = self.with_what_follows(who, events)
        foreseen = self.model.foresee(job.name, self.views[who], all_told)
        assert came_of(job, events) == foreseen
        if foreseen in ("closed", "not now"):
            return False  # said without another look
        if foreseen == "ok":
            self.model.record(job.name, who, all_told)
        elif isinstance(foreseen, tuple):
            self.model.contest(job.name, who, *foreseen)
        self.looked(who)
        return foreseen == "ok"

    def with_what_follows(self, who: str, events: Sequence[Event]) -> list[Event]:
        """What goes in while a job is out, as far as one has seen, has gone out too."""
        mine, _ = self.views[who]
        told = list(events)
        for _, kind, facts in events:
            if kind == "swapped" and mine["stage"] in ("out", "returned"):
                by = facts["by"]
                if not mine["items"].get(by, {"packed": 0})["packed"]:
                    told.append((by, "added", {"qty": 1}))
        return told

    @rule(who=person)
    def look(self, who: str) -> None:
        self.jobs[who].refresh()
        assert not self.jobs[who].refresh()
        self.looked(who)

    @rule(who=person)
    def begin_anew(self, who: str) -> None:
        self.jobs[who].close()
        self.open(who)

    @rule(who=person, item=thing, qty=st.integers(0, 9))
    def pack(self, who: str, item: str, qty: int) -> None:
        self.tell(who, (item, "packed", {"qty": qty if ":" in item else 1}))

    @rule(who=person, data=st.data())
    def pack_the_next_line(self, who: str, data: st.DataObject) -> None:
        lines = {line.key: line.qty for line in self.jobs[who].worked.packing}
        if lines:  # without a receiver there is nothing to pack
            key = data.draw(st.sampled_from(sorted(lines)))
            self.tell(who, (key, "packed", {"qty": lines[key]}))

    @rule(who=person, item=thing)
    def take_out(self, who: str, item: str) -> None:
        self.tell(who, (item, "unpacked", {}))

    @rule(who=person, item=thing)
    def leave_out(self, who: str, item: str) -> None:
        job = self.jobs[who]
        needed = {line.key: line.qty for line in job.worked.packing}.get(item, 1)
        if job.state.item(item).packed < needed:
            self.tell(who, (item, "skipped", {"reason": "lent"}))

    @rule(who=person, item=tag, check=st.sampled_from(("power", "cells")), yes=st.booleans())
    def check(self, who: str, item: str, check: str, yes: bool) -> None:
        self.tell(who, (item, "checked", {"check": check, "value": "yes" if yes else "no"}))

    @rule(who=person, item=thing, holder=st.sampled_from(("Ines", "B camera")))
    def hand(self, who: str, item: str, holder: str) -> None:
        self.tell(who, (item, "handed", {"holder": holder}))

    @rule(who=person, item=thing)
    def take(self, who: str, item: str) -> None:
        self.tell(who, (item, "taken back", {}))

    @rule(who=person, data=st.data())
    def observe(self, who: str, data: st.DataObject) -> None:
        job = self.jobs[who]
        scene = data.draw(st.sampled_from([n.scene.number for n in job.worked.scenes]))
        lines = {line.key: line for line in line_check(job.worked, job.state, scene)}
        if lines:
            line = lines[data.draw(st.sampled_from(sorted(lines)))]
            answer = data.draw(st.sampled_from(("did not check", line.question.expected)))
            self.tell(who, (line.key, "observed", {"answer": answer, "chain": line.chain}))

    @rule(who=person, item=tag, word=outcome)
    def give_back(self, who: str, item: str, word: str) -> None:
        holder = "Ines" if word == "with" else None
        self.tell(who, (item, "returned", {"counts": {word: 1}, "holder": holder, "note": ""}))

    @rule(who=person, item=tag)
    def take_the_outcome_off(self, who: str, item: str) -> None:
        self.tell(who, (item, "returned", {"counts": {}, "holder": None, "note": ""}))

    @rule(who=person, fresh=st.integers(0, 9), spent=st.integers(0, 9), lost=st.integers(0, 2))
    def count_cells_back(self, who: str, fresh: int, spent: int, lost: int) -> None:
        counts = {"fresh": fresh, "spent": spent, "not seen": lost}
        told = {"counts": counts, "holder": None, "note": ""}
        self.tell(who, ("cells:CR123A", "returned", told))

    @rule(who=person, step=st.sampled_from(CARD_STEPS))
    def card(self, who: str, step: str) -> None:
        self.tell(who, ("cards:mini-sd", "card", {"step": step}))

    @rule(who=person, number=st.integers(1, 4))
    def count_cards_back(self, who: str, number: int) -> None:
        told = {"counts": {"back": number}, "holder": None, "note": ""}
        self.tell(who, ("cards:mini-sd", "returned", told))

    @rule(who=person, item=tag, minute=st.integers(0, 1440))
    def fresh_cells(self, who: str, item: str, minute: int) -> None:
        if item in {feed.unit for feed in self.jobs[who].worked.feeds}:
            self.tell(who, (item, "cells changed", {"minute": minute}))

    @rule(who=person, items=st.sets(tag, min_size=1, max_size=4), asleep=st.booleans())
    def put_to_sleep(self, who: str, items: set[str], asleep: bool) -> None:
        told = {"asleep": asleep, "minute": 600}
        items &= {link.transmitter for link in self.jobs[who].worked.links}
        if items:
            self.tell(who, *((item, "standby", told) for item in sorted(items)))

    @rule(who=person, item=thing, place=st.sampled_from(("quay", "loft")))
    def see_in(self, who: str, item: str, place: str) -> None:
        self.tell(who, (item, "moved", {"to": place}))

    @rule(who=person, stage=st.sampled_from(STAGES), lots=st.integers(0, 4))
    def reach(self, who: str, stage: str, lots: int) -> None:
        if stage == "closed" and lots:
            return  # rarely, for nothing comes after it
        self.tell(who, ("job", "stage", {"stage": stage, "note": ""}))

    @rule(who=person, item=tag, taken=st.booleans())
    def spare(self, who: str, item: str, taken: bool) -> None:
        self.tell(who, (item, "spare", {"taken": taken}))

    @rule(who=person, item=tag, off=st.booleans())
    def withdraw(self, who: str, item: str, off: bool) -> None:
        job = self.jobs[who]
        before, out, known = served(job), job.state.out, job.now.known
        self.tell(who, (item, "withdrawn", {"withdrawn": off, "reason": ""}))
        if out and job.state.out == out.withdrawn_too(item, off) and job.now.known == known:
            # Out on set, whoever it did not touch has what they had.
            untouched = {s: chain for s, chain in before.items() if item not in chain}
            if off:
                assert untouched == {s: served(job).get(s) for s in untouched}

    @rule(who=person, data=st.data())
    def swap(self, who: str, data: st.DataObject) -> None:
        job = self.jobs[who]
        before = served(job)
        in_use = sorted({part for c in before.values() for part in c if isinstance(part, str)})
        if not in_use:
            return
        lost = data.draw(st.sampled_from(in_use))
        able = job.substitutes(lost)
        if not able:
            return
        by = data.draw(st.sampled_from(able))
        back = (by, lost) in job.state.swaps
        facts = plan_facts(job)
        done = self.tell(who, (lost, "swapped", {"by": by, "reason": "", "minute": 700}))
        one_more = plan_facts(job) == (facts[0], (*facts[1], (lost, by)), *facts[2:])
        if done and one_more and not back:
            # Nothing but the unit itself has changed place.
            put = {s: tuple(by if part == lost else part for part in c) for s, c in before.items()}
            assert served(job) == put

    @rule(who=person, item=thing)
    def clear(self, who: str, item: str) -> None:
        self.look(who)
        self.jobs[who].clear(item, "looked at")
        self.model.clear(item)
        self.looked(who)

    # Failing

    @rule(
        who=person,
        item=thing,
        when=st.sampled_from(("before", "after", "blind")),
        then=st.sampled_from(("the same", "look")),
    )
    def fail(self, who: str, item: str, when: Any, then: str) -> None:
        """The ledger fails under a tick; whatever is done next, it is there once or not at all."""
        job = self.jobs[who]
        self.look(who)
        event: Event = (item, "packed", {"qty": 1})
        foreseen = self.model.foresee(job.name, self.views[who], [event])
        if foreseen != "ok":
            return
        Failing(job).when.append(when)
        with pytest.raises(Unusable):
            job.record_all([event])
        assert job.state.item(item).seen == self.views[who][0]["items"].get(item, {"n": 0})["n"]
        if then == "look":
            job.refresh()
        if then != "look" or when == "before":
            job.record_all([event])
        self.model.record(job.name, who, [event])
        self.looked(who)

    # At the end of each walk

    @rule()
    def all_is_there_once_and_in_order(self) -> None:
        ledger = next(iter(self.jobs.values())).ledger
        names = {job.name for job in self.jobs.values()}
        entries = sorted((e for name in names for e in ledger.entries(name)), key=lambda e: e.seq)
        told = [(e.job, read_event(e).who, e.item, read_event(e).kind) for e in entries]
        assert told == self.model.log
        assert ledger.verify() == []


def came_of(job: Job, events: Sequence[Event]) -> str | tuple[str, str]:
    """Records events, and says what came of it as the model does."""
    try:
        job.record_all(events)
    except Overtaken as told:
        whose = read_event(told.newest).who if told.newest else "nobody"
        return "overtaken" if f" by {whose} at " in str(told) else str(told)
    except Contested as told:
        return told.tag, told.job
    except NotNow:
        return "not now"
    except Refused as told:
        return "closed" if " is closed, and nothing is added to it" in str(told) else str(told)
    return "ok"


def plan_facts(job: Job) -> tuple[Any, ...]:
    """All of the job's state that its plan depends on."""
    return job.now.known, job.state.swaps, job.state.spares, job.state.withdrawn


def plain(state: JobState) -> dict[str, Any]:
    """A job's state as the model has it."""
    return {
        "stage": state.stage,
        "swaps": list(state.swaps),
        "spares": set(state.spares),
        "withdrawn": set(state.withdrawn),
        "items": {
            key: {
                "n": item.seen,
                "ours": item.ours,
                "packed": item.packed,
                "skipped": item.skipped,
                "checks": dict(item.checks),
                "holder": item.holder,
                "outcome": dict(item.outcome),
                "outcome_holder": item.outcome_holder,
                "answer": item.answer,
                "cards": list(item.card_steps),
                "cells": len(item.cells_changed),
                "fresh": list(item.fresh_at),
                "asleep": item.asleep,
                "seen_in": list(item.seen_in),
                "who": item.who,
            }
            for key, item in state.items.items()
        },
    }


def test_jobs_do_what_plain_dicts_would_do(
    new_url: NewUrl, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kit_stream, "EVERY", 6)
    usual = 12 if url.startswith("sqlite") else 6
    run_state_machine_as_test(
        type("Crew", (Crew,), {"new_url": staticmethod(new_url)}),
        settings=settings(
            max_examples=usual * EXAMPLES,
            stateful_step_count=40,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
