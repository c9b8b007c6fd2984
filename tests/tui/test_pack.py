"""Packing at the screen: what is asked, what is recorded, and what is said when it is wrong."""

from collections.abc import Callable

from kitprep.job import Job
from kitprep.tui.widgets.code_input import HABIT_S
from kitprep.walks.cases import pieces
from kitprep.walks.pack import pack_view
from kitprep.walks.readings import Wanted

from .conftest import Opener
from .seat import Seat

ANSWERS = {"power": "yes", "firmware": "5.2", "card": "yes", "cells": "3.1", "contacts": "yes"}


def fresh(job: Job, tag: str) -> str:
    """What a tester reads on one fresh cell of a unit."""
    found = Wanted(job.worked).fresh_set(tag)
    assert found is not None
    return f"{found.least:g}"


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
        assert "Put a fresh CR123A in. What does it read" in at.asked
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
        assert "AD1 Stereo input adapter is packed already, by Ana" in at.said
        assert at.asked.startswith("AD1 contacts, yes before; Enter keeps it")
        await at.pilot.press("escape")
        assert at.packed("AD1").mark == "packed"


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
            value = fresh(before, line.key) if check == "cells" else ANSWERS[check]
            value = "0.9" if (line.key, check) == ("TX01", "cells") else value
            before.record(line.key, "checked", check=check, value=value)
        before.record(line.key, "packed", qty=line.qty)
    async with seat("pack", of=before, size=(120, 60)) as at:
        await at.action("done")
        assert "Read, and not as wanted" in at.text
        assert "[!] TX01 cells reads 0.9, 3 V wanted" in at.text
        await at.pilot.press("ctrl+s")
        await at.settle()
        assert at.app.job.state.stage == "packed"
        await at.go("log")
        assert "packed and signed (signed as read: TX01 cells reads 0.9, 3 V wanted)" in at.text


async def packed_with_a_slip(at: Seat) -> None:
    """TX01 is in its case, and its firmware was mistyped."""
    await at.burst("TX01\r")
    await at.answer("1", "4.0", "1", "3.1", "TX01")
    assert at.packed("TX01").mark == "packed"


async def test_what_is_packed_with_a_doubt_shows_it_by_glyph_and_word(seat: Opener) -> None:
    async with seat("pack") as at:
        await packed_with_a_slip(at)
        assert "TX01 packed, firmware 4.0. Transmitter pouch: 1 of 12" in at.said
        row = next(line for line in at.text.splitlines() if "TX01 " in line)
        assert row.startswith("  [!] packed    TX01")
        assert "firmware 4.0" in row


async def test_a_packed_unit_scanned_again_is_read_again_with_the_value_before(
    seat: Opener,
) -> None:
    async with seat("pack") as at:
        await packed_with_a_slip(at)
        await at.burst("TX01\r")
        assert "what is read again" in at.asked
        assert "2 firmware 4.0" in at.asked
        await at.press("2")
        assert at.asked.startswith("TX01 firmware, 4.0 before; Enter keeps it. Read the version")
        await at.answer("5.2")
        assert "TX01: firmware 5.2" in at.said
        item = at.packed("TX01")
        assert (item.mark, item.doubts) == ("packed", ())
        assert "[x] packed    TX01" in at.text
        await at.go("log")
        assert "TX01 firmware: 4.0" in at.text
        assert "TX01 firmware: 5.2" in at.text


async def test_all_can_be_read_again_and_enter_keeps_what_there_is(seat: Opener) -> None:
    async with seat("pack") as at:
        await packed_with_a_slip(at)
        at.screen.rows.go_to("TX01")
        await at.action("read_again")
        await at.answer("all")
        await at.enter()
        assert at.asked.startswith("TX01 firmware, 4.0 before")
        await at.answer("5.2")
        await at.enter()
        await at.answer("3.2")
        checks = at.packed("TX01").state.checks
        assert checks == {"power": "yes", "firmware": "5.2", "card": "yes", "cells": "3.2"}
        assert at.walk.asking is None


async def test_a_slip_is_mended_before_the_unit_is_in_its_case(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX01\r")
        await at.answer("1", "4.0")
        assert "^G reads again" in at.said
        await at.action("read_again")
        await at.answer("firmware", "5.2")
        assert "format it in the pack" in at.asked


async def test_another_tag_scanned_after_a_double_scan_is_taken_in_hand(seat: Opener) -> None:
    async with seat("pack") as at:
        await packed_with_a_slip(at)
        await at.burst("TX01\rTX02\r")
        assert at.asked.startswith("TX02 1/5")


async def test_cells_that_read_more_than_they_can_give_are_told(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX01\r")
        await at.answer("1", "5.2", "1", "31")
        # CR123A: 3.0 V nominal, about 3.3 V fresh (from memory, as the table says).
        assert "TX01 reads 31, 3 to 3.3 V is wanted" in at.said
        assert "slip of the hand" in at.said


async def test_a_set_in_series_is_taken_where_the_count_fits(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("TX11\r")
        await at.answer("1", "5.2", "1")
        assert "volts of the weakest, or of all 2 in series" in at.asked
        await at.answer("3.1")
        assert at.packed("TX11").doubts == ()
        await at.action("read_again")
        await at.answer("cells", "2.4")
        assert "1.5 to 1.8 V for one, 3 to 3.6 V for the 2 in series" in at.said


async def test_a_count_above_what_the_kit_holds_is_asked_about(seat: Opener) -> None:
    async with seat("pack") as at:
        at.screen.rows.go_to("cards:mini-sd")
        held, needed = at.packed("cards:mini-sd").line.held, at.packed("cards:mini-sd").line.qty
        await at.enter()
        await at.answer(str(held + 1))
        assert f"{held + 1} counted, and the kit has {held}" in at.asked
        assert at.packed("cards:mini-sd").state.packed == 0
        await at.press("2")
        assert f"{needed} needed" in at.asked
        await at.answer(str(held + 1))
        await at.press("1")
        assert at.packed("cards:mini-sd").state.packed == held + 1
        assert f"{held + 1 - needed} more than needed" in at.said
        assert "write the new number there" in at.said


async def test_more_than_needed_is_told_in_the_list_too(seat: Opener) -> None:
    async with seat("pack") as at:
        at.screen.rows.go_to("cards:mini-sd")
        await at.enter()
        await at.answer("5")
        assert "1 more than needed" in at.said
        at.screen.rows.go_to("cards:mini-sd")
        await at.settle()
        assert "5 of 4" in at.text
        assert "1 extra" in at.text


# ---- answers by their keys


async def test_the_key_of_an_answer_answers_by_itself(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.enter()
        await at.press("1")
        assert at.packed("TX01").state.checks == {"power": "yes"}
        assert "version it shows" in at.asked


async def test_an_enter_after_the_key_of_an_answer_does_nothing_more(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("AD1\r")
        await at.press("1", "enter")
        assert "Put it in" in at.asked
        assert at.packed("AD1").mark == "todo"
        await at.pilot.pause(HABIT_S)
        await at.press("enter")
        assert at.packed("AD1").mark == "packed"


async def test_a_scanned_code_that_begins_with_the_key_of_an_answer_is_a_code(
    seat: Opener,
) -> None:
    async with seat("pack") as at:
        await at.burst("TX01\r")
        await at.burst("1TX99\r")
        assert at.packed("TX01").state.checks == {}
        assert "answer with one of the keys shown" in at.said


async def test_a_tag_that_begins_with_a_digit_is_typed_after_esc(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.enter()
        await at.press("escape", *"2TX", "enter")
        assert "2TX is no tag of this kit" in at.said
        assert at.packed("TX01").state.checks == {}


async def test_a_version_is_typed_whatever_it_begins_with(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.enter()
        await at.press("1", "1", "full_stop", "0", "enter")
        assert at.packed("TX01").state.checks == {"power": "yes", "firmware": "1.0"}


# ---- what was said


async def test_what_was_said_goes_when_the_cursor_is_moved_to_another_line(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("AD1\r")
        await at.answer("1")
        await at.enter()
        assert "packed" in at.said
        await at.press("down")
        assert at.said == ""


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
        assert "Has the kit left?" in at.asked
        await at.answer("no")
        assert (at.said, at.app.job.state.stage) == ("It has not gone out", "packed")
        await at.action("gone_out")
        await at.answer("yes")
        assert at.app.job.state.stage == "out"
        await at.burst("TX01\r")
        assert "The kit has gone out" in at.said


async def test_the_statement_says_which_cases_were_never_counted(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    for line in before.worked.packing:
        for check in line.checks:
            value = fresh(before, line.key) if check == "cells" else ANSWERS[check]
            before.record(line.key, "checked", check=check, value=value)
        before.record(line.key, "packed", qty=line.qty)
    pouch = pack_view(before.worked, before.state).cases[0]
    before.record("case:pouch", "counted", qty=pieces(pouch))
    async with seat("pack", of=before, size=(120, 60)) as at:
        await at.action("done")
        assert "[?] counted: Transmitter pouch; not counted: Receiver case, Cart case" in at.text


async def test_taking_the_offered_spares_says_what_changed(seat: Opener) -> None:
    async with seat("day") as at:
        await at.until(lambda: at.app.now.tried, "the spares are offered")
        await at.action("spares")
        await at.action("spares")
        gone, left = [str(note.message) for note in at.app._notifications]
        first = at.app.now.worked.spares[0]
        assert gone.startswith(first)
        assert gone.endswith("along: on the packing list from now on")
        assert left.endswith("along no more: off the packing list")


async def test_what_was_done_to_a_file_is_said_in_the_walks_own_line(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.app.run_command("app.take-back")
        await at.settle()
        assert at.said == "Nothing was written into a file since this day was opened"
        assert not at.app._notifications


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


# ---- what is left out, and what was said of it


def ready(job: Job, but: tuple[str, ...] = ()) -> None:
    """Every line read and packed, but for some."""
    for line in job.worked.packing:
        if line.key not in but:
            read = [(line.key, "checked", {"check": c, "value": ANSWERS[c]}) for c in line.checks]
            job.record_all([*read, (line.key, "packed", {"qty": line.qty})])


async def test_who_goes_without_what_is_left_out_is_said_and_is_on_the_statement(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    ready(before, but=("TX01",))
    links = [link for link in before.worked.links if link.transmitter == "TX01"]
    name = next(s for s in before.worked.plan.sources if s.id == links[0].source).name
    scenes = ", ".join(dict.fromkeys(link.scene for link in links))
    lost = f"{name} in scenes {scenes} goes without it"
    async with seat("pack", of=before, size=(120, 60)) as at:
        await at.action("leave_out")
        assert lost in at.asked
        await at.answer("left at the hire house")
        assert f"TX01 left out: left at the hire house; {lost} (^R replaces it)" in at.said
        assert "Transmitter pouch: 11 of 12 packed, 1 left out, complete" in at.said
        await at.action("done")
        says = f"[-] TX01 Slim bodypack left out: left at the hire house; {name} in scenes"
        assert says in at.text


async def test_the_unit_just_left_out_is_the_one_that_is_replaced(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.action("leave_out")
        await at.answer("left at the hire house")
        assert at.mark == "TX02"
        await at.action("replace")
        assert "What stands in for TX01?" in at.asked


async def test_a_count_that_is_left_at_a_part_goes_short(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    async with seat("pack", of=before, size=(120, 60)) as at:
        at.screen.rows.go_to("cells:FR6")
        await at.enter()
        await at.answer("19")
        await at.action("leave_out")
        await at.answer("one was flat")
        assert "1 of 20 goes short: one was flat" in at.said
        at.screen.rows.go_to("cells:FR6")
        await at.settle()
        assert "[-] short     19 of 20" in at.text
        assert "left out" not in at.said


async def test_the_key_that_counts_takes_the_case_that_was_just_named(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    pouch = pack_view(before.worked, before.state).cases[0]
    for item in pouch.items[:-1]:
        line = item.line
        read = [(line.key, "checked", {"check": c, "value": ANSWERS[c]}) for c in line.checks]
        before.record_all([*read, (line.key, "packed", {"qty": line.qty})])
    async with seat("pack", of=before) as at:
        at.screen.rows.go_to(pouch.items[-1].line.key)
        await at.settle()
        await pack_here(at)
        assert "Transmitter pouch: 12 of 12, complete: count it (^K)" in at.said
        assert at.mark == "RX01"
        await at.action("count_case")
        assert at.asked.startswith("Transmitter pouch: count the pieces in it")
        await at.action("stop")
        await at.action("next_case")
        await at.action("count_case")
        assert at.asked.startswith("Receiver case: count the pieces in it")


async def test_a_wrong_answer_is_not_said_any_more_once_a_right_one_is_taken(
    seat: Opener,
) -> None:
    async with seat("pack") as at:
        await packed_with_a_slip(at)
        await at.burst("TX01\r")
        await at.answer("5.2")
        assert "answer with one of the keys shown" in at.said
        await at.answer("firmware")
        assert at.asked.startswith("TX01 firmware, 4.0 before")
        assert at.said == ""


async def test_a_right_count_names_the_case_that_is_still_out_of_count(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    ready(before)
    pouch, receivers = pack_view(before.worked, before.state).cases[:2]
    before.record("case:rx-case", "counted", qty=pieces(receivers) - 1)
    async with seat("pack", of=before) as at:
        await at.burst("case:pouch\r")
        await at.answer(str(pieces(pouch)))
        differs = f"{pieces(receivers) - 1} counted, {pieces(receivers)} ticked"
        assert f"Every line is done, but Receiver case: {differs}" in at.said
        assert at.mark == receivers.items[0].line.key
