"""Packing at the screen: what is asked, what is recorded, and what is said when it is wrong."""

from collections.abc import Callable

from kitprep.job import Job

from .conftest import Opener
from .seat import Seat

ANSWERS = {"power": "yes", "firmware": "5.2", "card": "yes", "cells": "3.1", "contacts": "yes"}


async def pack_here(at: Seat) -> None:
    """Takes the marked line to its end, giving good answers."""
    key = at.mark
    assert key is not None
    await at.enter()
    item = at.packed(key)
    if item.counted:
        await at.answer(str(item.line.qty))
        return
    # The tag once more: it is in its case.
    await at.answer(*(ANSWERS[check] for check in item.line.checks), key)


async def test_a_unit_is_looked_at_first_and_ticked_last(seat: Opener) -> None:
    async with seat("pack") as at:
        assert at.mark == "TX01"
        await at.enter()
        assert "Switch it on" in at.asked
        await at.answer("yes")
        assert "version it shows" in at.asked
        await at.answer("5.2")
        assert "format it in the pack" in at.asked
        await at.answer("1")
        assert "What does a tester read on its weakest cell, or the gauge?" in at.asked
        await at.answer("3.1")
        assert at.packed("TX01").mark == "todo"
        assert "Put it in Transmitter pouch" in at.asked
        await at.enter()
        assert at.packed("TX01").mark == "packed"
        assert at.packed("TX01").state.checks == {
            "power": "yes", "firmware": "5.2", "card": "yes", "cells": "3.1"
        }  # fmt: skip
        assert "[x] packed    TX01" in at.text
        assert at.mark == "TX02"


async def test_the_whole_pouch_line_by_line(seat: Opener) -> None:
    async with seat("pack") as at:
        pouch = at.screen.view.cases[0]  # type: ignore[attr-defined]
        for _ in pouch.items:
            await pack_here(at)
        assert at.screen.view.cases[0].done == len(pouch.items)  # type: ignore[attr-defined]
        assert "Transmitter pouch: 12 of 12, complete: count it (^K), shut it" in at.said
        assert at.mark == "RX01"


async def test_a_count_below_the_need_is_a_part_and_not_packed(seat: Opener) -> None:
    async with seat("pack") as at:
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("18")
        assert at.packed("cells:FR6").mark == "part"
        assert "2 missing" in at.said
        assert "[~] part      18 of 20" in at.text
        await at.enter()
        await at.answer("20")
        assert at.packed("cells:FR6").mark == "packed"


async def test_a_count_needs_digits(seat: Opener) -> None:
    async with seat("pack") as at:
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("a few")
        assert "in digits" in at.said
        assert at.packed("cells:FR6").state.seen == 0


async def test_tags_scanned_in_one_burst_are_asked_for_in_turn(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX02\rTX01\rRX11\r")
        assert at.asked.startswith("TX02 1/5")
        assert "Waiting: TX01, RX11" in at.said
        for first, following in (("TX02", "TX01 1/5"), ("TX01", "RX11 1/3")):
            assert at.asked.startswith(first)
            await at.answer("1", "5.2", "1", "3.1")
            await at.enter()
            assert at.packed(first).mark == "packed"
            assert at.asked.startswith(following)


async def test_a_burst_with_line_feeds_tabs_and_frames_is_read_as_codes(seat: Opener) -> None:
    async with seat("pack") as at:
        for ending in ("\n", "\r\n", "\t"):
            await at.burst(f"TX11{ending}")
            assert at.asked.startswith("TX11 1/5"), ending
            await at.action("stop")
        assert at.packed("TX11").state.seen == 0


async def test_scanning_a_unit_again_puts_it_in(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("AD1\r")
        await at.answer("1")
        assert "Put it in" in at.asked
        await at.burst("AD1\r")
        assert at.packed("AD1").mark == "packed"


async def test_wrong_tags_are_said_at_once(seat: Opener) -> None:
    async with seat("pack") as at:
        for code, says in (
            ("RX99", "RX99 is no tag of this kit"),
            ("TX06", "TX06 is in repair in the kit file; leave it"),
            ("TX14", "TX14 (Two-cell bodypack) is not needed today"),
        ):
            await at.burst(f"{code}\r")
            assert says in at.said
            assert "[!]" in at.said
        assert at.app.job.state.head == 0


async def test_a_tag_of_another_case_is_said_and_taken_in_hand(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX31\r")
        assert "TX31 goes in Set bag" in at.said
        assert at.mark == "TX31"
        assert at.asked.startswith("TX31 1/4")


async def test_a_packed_tag_is_said_with_who_packed_it(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("AD1\r")
        await at.answer("1")
        await at.enter()
        await at.burst("AD1\r")
        assert "AD1 is packed already, by Ana" in at.said


async def test_a_number_that_is_typed_is_a_count_even_where_a_tag_is_scanned(seat: Opener) -> None:
    async with seat("pack") as at:
        at.screen.rows.go_to("cards:mini-sd")
        await at.enter()
        await at.press("4", "enter")
        assert at.packed("cards:mini-sd").mark == "packed"


async def test_a_firmware_that_differs_is_told_and_stays_on_the_statement(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX02\r")
        await at.answer("1", "5.1")
        assert "TX02 reads 5.1, 5.2 is wanted" in at.said
        assert "[!] firmware 5.1" in at.text


async def test_what_was_signed_with_a_doubt_says_so_in_the_log(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    for line in before.worked.packing:
        for check in line.checks:
            value = "0.9" if (line.key, check) == ("TX01", "cells") else ANSWERS[check]
            before.record(line.key, "checked", check=check, value=value)
        before.record(line.key, "packed", qty=line.qty)
    async with seat("pack", of=before, size=(120, 60)) as at:
        await at.action("done")
        assert "[!] TX01: cells reads 0.9" in at.text
        await at.pilot.press("ctrl+s")
        await at.settle()
        assert at.app.job.state.stage == "packed"
        await at.go("log")
        assert "packed and signed (signed as read: TX01 cells reads 0.9, 3 V wanted)" in at.text


async def test_a_warning_about_the_last_reading_is_not_painted_over(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    before.record("TX01", "packed", qty=1)  # ticked by a scanner, and looked at afterwards
    for check in ("power", "card", "cells"):
        before.record("TX01", "checked", check=check, value=ANSWERS[check])
    async with seat("pack", of=before) as at:
        await at.burst("TX01\r")
        await at.answer("5.1")
        assert "TX01 reads 5.1, 5.2 is wanted" in at.said
        assert at.walk.asking is None


async def test_a_unit_that_does_not_come_up_cannot_be_put_in(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX02\r")
        await at.answer("2")
        assert "leave the unit out with a reason" in at.said
        assert "Switch it on" in at.asked
        assert "like it, not on the list: TX03, TX04, TX05" in at.text
        await at.action("leave_out")
        await at.answer("dead on the bench")
        assert at.packed("TX02").mark == "skipped"
        assert at.packed("TX02").state.skipped == "dead on the bench"


async def test_not_checked_is_recorded_as_unverified(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX02\r")
        await at.action("not_checked")
        assert at.packed("TX02").state.checks == {"power": "did not check"}
        assert "power is unverified" in at.said
        assert "[?] power did not check" in at.text


async def test_nothing_is_left_out_without_a_reason(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.action("leave_out")
        assert "Why is TX01" in at.asked
        await at.burst("\r")
        assert at.packed("TX01").mark == "todo"
        assert "An answer is needed" in at.said
        await at.answer("on the other unit")
        assert "[-] left out  TX01" in at.text


async def test_a_wrong_tick_is_taken_out_again(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("AD1\r")
        await at.answer("1")
        await at.enter()
        at.screen.rows.go_to("AD1")
        await at.action("take_out")
        assert at.packed("AD1").mark == "todo"
        assert "[ ] to do     AD1" in at.text


async def test_moving_the_cursor_away_leaves_the_line_for_later(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.enter()
        assert "Switch it on" in at.asked
        await at.press("down")
        assert at.asked.startswith("Scan or type a tag")
        assert at.packed("TX01").state.seen == 0


async def test_the_walk_is_taken_up_at_the_start_of_its_case(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    before.record("RX11", "checked", check="power", value="yes")
    async with seat("pack", of=before) as at:
        assert at.mark == "RX01"
        assert "You were in Receiver case" in at.said


async def test_packing_is_closed_only_when_nothing_is_open_without_a_reason(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    *others, last = before.worked.packing
    for line in others:
        before.record_all(
            [
                *((line.key, "checked", {"check": c, "value": ANSWERS[c]}) for c in line.checks),
                (line.key, "packed", {"qty": line.qty}),
            ]
        )
    async with seat("pack", of=before) as at:
        await at.action("done")
        assert "1 line is open" in at.said
        assert at.app.job.state.stage == "packing"
        assert at.mark == last.key
        await at.action("leave_out")
        await at.answer("the grip brings them")
        assert "Nothing is open" in at.said
        await at.action("done")
        assert "Packing is complete" in at.text
        assert "the grip brings them" in at.text
        await at.pilot.press("escape")
        await at.settle()
        assert at.app.job.state.stage == "packing"
        await at.action("done")
        await at.pilot.press("ctrl+s")
        await at.settle()
        assert at.app.job.state.stage == "packed"
        await at.action("gone_out")
        assert at.app.job.state.stage == "out"
        await at.burst("TX01\r")
        assert "The job has gone out" in at.said


async def test_a_packed_job_that_is_opened_again_is_packing_again(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    before.record("AD1", "packed", qty=1)
    before.advance("packed")
    async with seat("pack", of=before) as at:
        at.screen.rows.go_to("AD1")
        await at.action("take_out")
        assert at.app.job.state.stage == "packing"


async def test_a_case_over_ten_kilos_is_closed_with_a_word_on_lifting(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    name = next(load.case for load in before.worked.cases if load.name == "Cart case")
    cart = [line for line in before.worked.packing if line.case == name]
    for line in cart[1:]:
        before.record(line.key, "packed", qty=line.qty)
    async with seat("pack", of=before) as at:
        at.screen.rows.go_to(cart[0].key)
        await pack_here(at)
        assert "Cart case: 6 of 6, complete" in at.said
        assert "lift close to you" in at.said
