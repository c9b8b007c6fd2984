"""Lids at the screens: a scanned case is gone on with, takes what is in hand, is counted shut."""

from collections.abc import Callable

import pytest

from kitprep.job import Job
from kitprep.tui.widgets.code_input import ECHO_S
from kitprep.walks.cases import pieces, shut
from kitprep.walks.pack import CaseView, pack_view

from .conftest import Opener
from .seat import Seat

NAMES = {":": "colon", "-": "minus"}
ANSWERS = {"power": "yes", "firmware": "5.2", "card": "yes", "cells": "3.1", "contacts": "yes"}


def case(job: Job, id: str) -> CaseView:
    return next(c for c in pack_view(job.worked, job.state).cases if c.case == id)


def fill(job: Job, id: str) -> None:
    """Everything in a case read and ticked."""
    for item in case(job, id).items:
        line = item.line
        read = [(line.key, "checked", {"check": c, "value": ANSWERS[c]}) for c in line.checks]
        job.record_all([*read, (line.key, "packed", {"qty": line.qty})])


async def in_hand(at: Seat, tag: str) -> None:
    """A unit with everything read, that is only to be put in."""
    await at.burst(f"{tag}\r")
    await at.answer(*(ANSWERS[check] for check in at.packed(tag).line.checks))
    assert "Put it in" in at.asked


async def test_a_lid_leads_to_the_first_open_line_of_its_case(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("case:rx-case\r")
        assert at.mark == "RX01"
        assert at.said.startswith("Receiver case: 0 of ")
        assert at.app.job.state.head == 0
        assert at.app.case == "rx-case"


async def test_a_typed_lid_does_as_a_scanned_one(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.press(*(NAMES.get(c, c) for c in "case:rx-case"), "enter")
        assert at.mark == "RX01"


async def test_the_lid_of_its_case_puts_in_what_is_in_hand(seat: Opener) -> None:
    async with seat("pack") as at:
        await in_hand(at, "TX01")
        await at.burst("case:pouch\r")
        assert at.packed("TX01").mark == "packed"


async def test_the_lid_of_another_case_is_said_at_once_and_nothing_is_put_in(seat: Opener) -> None:
    async with seat("pack") as at:
        await in_hand(at, "TX01")
        await at.burst("case:rx-case\r")
        assert "TX01 goes in Transmitter pouch, not in Receiver case" in at.said
        assert at.packed("TX01").mark == "todo"
        assert "Put it in" in at.asked


async def test_a_lid_is_no_answer_to_a_reading(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX01\r")
        await at.burst("case:pouch\r")
        assert "TX01 is in hand" in at.said
        assert at.packed("TX01").state.checks == {}


async def test_a_case_that_no_kit_has_is_said(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("case:crate\r")
        assert "case:crate is no case of this kit" in at.said


async def test_a_full_case_is_counted_and_shut(seat: Opener, job: Callable[..., Job]) -> None:
    before = job()
    fill(before, "pouch")
    number = pieces(case(before, "pouch"))
    async with seat("pack", of=before) as at:
        await at.burst("case:pouch\r")
        assert "count the pieces in it" in at.asked
        assert str(number) not in at.asked
        await at.answer("many")
        assert "in digits" in at.said
        await at.answer(str(number - 1))
        assert f"{number - 1} counted, {number} ticked" in at.said
        assert shut(case(before, "pouch")) == "differs"
        assert "out of count" in at.text
        await at.action("count_case")
        await at.answer(str(number))
        assert f"shut at a count of {number}" in at.said
        assert shut(case(before, "pouch")) == "shut"
        at.screen.rows.go_to("TX01", top=True)
        await at.settle()
        assert ", shut" in at.text


async def test_a_count_that_differs_keeps_packing_open(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    for load in before.worked.cases:
        if load.case is not None:
            fill(before, load.case)
    for item in pack_view(before.worked, before.state).unfinished:
        before.record(item.line.key, "skipped", reason="not in any case")
    before.record("case:pouch", "counted", qty=1)
    async with seat("pack", of=before) as at:
        await at.action("done")
        assert "1 counted" in at.said
        assert "Packing is complete" not in at.text
        await at.burst("case:pouch\r")
        await at.answer(str(pieces(case(before, "pouch"))))
        await at.action("done")
        assert "Packing is complete" in at.text
        assert "shut at" in at.text


@pytest.mark.parametrize("how", ["enter", "escape"])
async def test_a_count_can_wait(seat: Opener, job: Callable[..., Job], how: str) -> None:
    before = job()
    fill(before, "pouch")
    async with seat("pack", of=before) as at:
        await at.burst("case:pouch\r")
        await at.pilot.pause(2 * ECHO_S)  # an Enter at once would be the scanner's own
        await at.press(how)
        assert at.walk.asking is None
        assert shut(case(before, "pouch")) == ""


async def test_a_lid_says_on_any_screen_how_far_its_case_is(seat: Opener) -> None:
    async with seat("day") as at:
        await at.burst("case:pouch\r")
        notes = [str(note.message) for note in at.app._notifications]
        assert notes == ["Transmitter pouch: 0 of 12 lines packed"]


async def test_at_wrap_a_lid_leads_to_what_is_still_to_go_back_into_it(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    fill(before, "pouch")
    fill(before, "rx-case")
    before.advance("packed")
    before.advance("out")
    before.record("TX01", "returned", counts={"back": 1})
    async with seat("wrap", of=before) as at:
        await at.burst("case:rx-case\r")
        assert at.mark == "RX01"
        await at.burst("case:pouch\r")
        assert at.mark == "TX02"
        assert "Transmitter pouch: 1 of 12 lines with an outcome" in at.said
        assert at.wrapped("TX02").mark == "out"
        await at.burst("case:power-case\r")
        assert "nothing of it went out" in at.said
