"""Wrap at the screen: everything that went out ends with an outcome, and counts balance."""

from collections.abc import Callable

import pytest

from kitprep.job import Job
from kitprep.walks.line_check import all_lines

from .conftest import Opener


@pytest.fixture
def out(job: Callable[..., Job]) -> Callable[..., Job]:
    """A job that has gone out with everything on its list."""

    def gone() -> Job:
        opened = job()
        opened.record_all(
            [(line.key, "packed", {"qty": line.qty}) for line in opened.worked.packing]
        )
        opened.advance("packed")
        opened.advance("out")
        return opened

    return gone


async def test_a_scanned_tag_is_back(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        await at.burst("TX01\rTX02\rRX21\r")
        for tag in ("TX01", "TX02", "RX21"):
            assert at.wrapped(tag).mark == "back"
        at.screen.rows.go_to("TX01")
        await at.settle()
        assert "[x] back      TX01" in at.text


async def test_a_bar_says_how_far_the_count_is(seat: Opener, out: Callable[..., Job]) -> None:
    job = out()
    for tag, counts in (("TX01", {"back": 1}), ("TX02", {"back": 1}), ("TX11", {"not seen": 1})):
        job.record(tag, "returned", counts=counts)
    lines = len(job.worked.packing)
    async with seat("wrap", of=job) as at:
        assert f"[~] back 2 of {lines} lines, 1 with another outcome [█" in at.text
        pouch = len(next(c for t, c in at.screen.view.groups if t == "Transmitter pouch"))
        assert f" 3 of {pouch}" in at.text


async def test_a_tag_that_is_not_on_the_job_is_told_at_once(
    seat: Opener, out: Callable[..., Job]
) -> None:
    async with seat("wrap", of=out()) as at:
        head = at.app.job.state.head
        await at.burst("TX06\r")
        assert "TX06 did not go out on this job" in at.said
        await at.burst("TX01\r")
        await at.burst("TX01\r")
        assert "TX01 is accounted for already: back" in at.said
        assert at.app.job.state.head == head + 1


async def test_with_needs_a_name_and_a_later_scan_brings_it_back(
    seat: Opener, out: Callable[..., Job]
) -> None:
    async with seat("wrap", of=out()) as at:
        at.screen.rows.go_to("TX01")
        await at.enter()
        await at.answer("with")
        assert "with whom" in at.asked
        await at.answer("Costume, garment 12")
        assert at.wrapped("TX01").mark == "with"
        assert at.wrapped("TX01").state.outcome_holder == "Costume, garment 12"
        assert "[>] with      TX01" in at.text
        await at.burst("TX01\r")
        assert at.wrapped("TX01").mark == "back"


async def test_what_is_to_look_at_takes_a_note(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        at.screen.rows.go_to("TX02")
        await at.enter()
        await at.answer("wet")
        await at.answer("rain in scene 22")
        item = at.wrapped("TX02")
        assert (item.mark, item.state.note) == ("look at", "rain in scene 22")
        assert "[*] look at   TX02" in at.text
        assert "do not switch it on" in at.text or "rain in scene 22" in at.text


async def test_a_count_must_balance_and_the_difference_is_shown(
    seat: Opener, out: Callable[..., Job]
) -> None:
    async with seat("wrap", of=out()) as at:
        key = "item:lav"
        key = next(i.line.key for i in at.screen.view.items if i.line.name.startswith("Lav with"))  # type: ignore[attr-defined]
        at.screen.rows.go_to(key)
        await at.enter()
        assert "6 went out" in at.asked
        await at.answer("4")
        assert "2 to account for. How many with" in at.asked
        assert at.wrapped(key).mark == "part"
        await at.answer("0", "1", "0", "0", "0")
        assert "1 of 6 without an outcome" in at.said
        assert not at.wrapped(key).settled
        await at.enter()
        await at.answer("4", "0", "2")
        assert at.wrapped(key).mark == "not seen"
        assert at.wrapped(key).settled
        assert "[!] not seen" in at.text


async def test_a_surplus_is_a_discrepancy_too(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        key = next(i.line.key for i in at.screen.view.items if i.line.name.startswith("Lav with"))  # type: ignore[attr-defined]
        at.screen.rows.go_to(key)
        await at.enter()
        await at.answer("7")
        assert "1 more than the 6 that went out" in at.said
        assert at.wrapped(key).mark == "surplus"


async def test_cells_are_fresh_part_used_or_spent(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        assert "How many fresh" in at.asked
        await at.answer("6", "4", "10")
        assert at.wrapped("cells:FR6").state.outcome == {"fresh": 6, "part-used": 4, "spent": 10}
        assert at.wrapped("cells:FR6").settled


async def test_cells_that_went_into_units_and_come_back_fresh_are_asked_about(
    seat: Opener, out: Callable[..., Job]
) -> None:
    """TX11 had a set of two read at packing: of 20 FR6 at most 18 can be fresh."""
    before = out()
    before.record("TX11", "checked", check="cells", value="1.7")
    async with seat("wrap", of=before) as at:
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("20")
        assert (
            "20 fresh, and 2 of the 20 were put into units: at most 18 can be fresh. Why is it so"
        ) in at.asked
        assert at.wrapped("cells:FR6").mark == "doubtful"
        await at.enter()
        assert "How many fresh" in at.asked  # an empty Enter counts again
        await at.answer("18", "0", "2")
        assert at.wrapped("cells:FR6").settled
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("20", "TX11 stayed off")
        found = at.wrapped("cells:FR6")
        assert (found.settled, found.state.note) == (True, "TX11 stayed off")


async def test_cards_are_formatted_only_after_they_were_verified(
    seat: Opener, out: Callable[..., Job]
) -> None:
    async with seat("wrap", of=out()) as at:
        at.screen.rows.go_to("cards:mini-sd")
        await at.enter()
        await at.answer("4")
        assert "copied, to two places" in at.asked
        await at.answer("2")
        assert at.wrapped("cards:mini-sd").state.card_steps == ()
        assert "[~] cards" in at.text
        at.screen.rows.go_to("cards:mini-sd")
        await at.enter()
        await at.answer("1")
        assert "opened and its length" in at.asked
        await at.answer("1")
        assert "formatted" in at.asked
        await at.answer("1")
        assert at.wrapped("cards:mini-sd").state.card_steps == ("copied", "verified", "formatted")
        assert at.wrapped("cards:mini-sd").settled


async def test_things_with_a_holder_come_first(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        at.screen.rows.go_to("RX11")
        await at.action("hand")
        await at.answer("A camera")
        assert at.screen.view.groups[0][0] == "with A camera"  # type: ignore[attr-defined]
        at.screen.rows.scroll_home(animate=False)
        await at.settle()
        assert "with A camera" in at.text
        await at.burst("RX11\r")
        assert at.wrapped("RX11").state.holder is None


async def test_some_of_what_goes_by_number_are_handed_over(
    seat: Opener, out: Callable[..., Job]
) -> None:
    async with seat("wrap", of=out()) as at:
        all_of_them = at.wrapped("item:listener-unit").went_out
        at.screen.rows.go_to("item:listener-unit")
        await at.action("hand")
        await at.answer("2 Script")
        at.screen.rows.go_to("item:listener-unit")
        await at.action("hand")
        await at.answer("Director")
        held = at.wrapped("item:listener-unit").state.held
        assert [(hold.holder, hold.qty) for hold in held] == [
            ("Script", 2),
            ("Director", all_of_them - 2),
        ]
        await at.action("hand")
        await at.answer("1 Producer")
        assert f"0 of {all_of_them} are here" in at.said


async def test_a_pack_handed_to_another_than_planned_is_said(
    seat: Opener, out: Callable[..., Job]
) -> None:
    async with seat("wrap", of=out()) as at:
        at.screen.rows.go_to("TX01")
        await at.action("hand")
        await at.answer("Marek")
        assert "TX01 is planned for Ines and goes to Marek" in at.said


async def test_what_joins_while_out_is_counted_back(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        await at.action("joined")
        await at.answer("TX01")
        assert "TX01 is out already" in at.said
        await at.answer("TX03")
        assert at.wrapped("TX03").mark == "out"
        went_out = at.wrapped("item:lav").went_out
        await at.action("joined")
        await at.answer("item:lav=2")
        assert at.wrapped("item:lav").went_out == went_out + 2
        assert f"{went_out} + 2 added went out" in at.text


async def test_an_outcome_is_taken_off_again(seat: Opener, out: Callable[..., Job]) -> None:
    async with seat("wrap", of=out()) as at:
        await at.burst("TX01\r")
        at.screen.rows.go_to("TX01")
        await at.action("take_off")
        assert at.wrapped("TX01").mark == "out"


async def test_the_job_closes_only_when_everything_has_an_outcome(
    seat: Opener, out: Callable[..., Job]
) -> None:
    job = out()
    job.record("TX11", "checked", check="cells", value="1.7")
    for line in job.worked.packing:
        word, note = ("fresh", "TX11 stayed off") if line.kind == "cells" else ("back", "")
        if line.key not in ("TX01", "TX02"):
            job.record(line.key, "returned", counts={word: line.qty}, note=note)
        if line.kind == "cards":
            for step in ("copied", "verified", "formatted"):
                job.record(line.key, "card", step=step)
    async with seat("wrap", of=job) as at:
        await at.burst("TX01\r")
        await at.action("close")
        assert "Not closed: TX02 is without an outcome" in at.said
        assert at.mark == "TX02"
        assert at.app.job.state.stage == "out"
        at.screen.rows.go_to("TX02")
        await at.enter()
        await at.answer("not seen")
        assert "^D closes the job" in at.said
        await at.action("close")
        assert "Everything has an outcome" in at.text
        assert "TX02 Slim bodypack: not seen" in at.text
        assert "at most 18 can be fresh; TX11 stayed off" in at.text.replace("\n       ", " ")
        asked = len(all_lines(job.worked, job.state))
        assert f"of the line check {asked} not asked" in at.text
        await at.pilot.press("ctrl+s")
        await at.settle()
        assert at.app.job.state.stage == "closed"
        await at.burst("TX01\r")
        assert "The job is closed" in at.said


async def test_a_unit_that_was_swapped_out_must_come_back_too(
    seat: Opener, out: Callable[..., Job]
) -> None:
    job = out()
    job.record("TX01", "swapped", by="TX03", reason="went silent")
    assert all(line.key != "TX01" for line in job.worked.packing)
    async with seat("wrap", of=job) as at:
        await at.burst("TX01\r")
        assert at.wrapped("TX01").mark == "back"


async def test_the_next_day_tells_what_has_not_come_back(
    seat: Opener, out: Callable[..., Job], job: Callable[..., Job]
) -> None:
    first = out()
    first.record("TX01", "returned", counts={"with": 1}, holder="B unit", note="")
    first.record("item:lav", "returned", counts={"back": 5, "not seen": 1}, holder=None, note="")
    first.close()
    async with seat("day", of=job(day=2), size=(120, 80)) as at:
        text = " ".join(at.text.split())
        assert "TX01: with B unit" in text
        assert "Lav with a pack lead: 1 not seen" in text


async def test_what_another_took_off_while_the_statement_was_read_keeps_the_job_open(
    seat: Opener, out: Callable[..., Job], job: Callable[..., Job]
) -> None:
    mine = out()
    for line in mine.worked.packing:
        word = "fresh" if line.kind == "cells" else "back"
        mine.record(line.key, "returned", counts={word: line.qty})
        if line.kind == "cards":
            for step in ("copied", "verified", "formatted"):
                mine.record(line.key, "card", step=step)
    ben = job(who="Ben")
    async with seat("wrap", of=mine) as at:
        await at.action("close")
        assert "Everything has an outcome" in at.text
        ben.record("TX02", "returned", counts={}, holder=None, note="")
        await at.pilot.press("ctrl+s")
        await at.settle()
        assert "Not closed: TX02 is without an outcome" in at.banner
        assert at.app.job.state.stage == "out"
        await at.burst("TX02\r")
        await at.action("close")
        await at.pilot.press("ctrl+s")
        await at.settle()
        assert at.app.job.state.stage == "closed"
    ben.close()
