"""The line check at the screen: the planned answer stays hidden until the seen one is in."""

from collections.abc import Callable
from typing import Any, cast

import pytest

from kitprep.job import Job
from kitprep.tui.screens.check import CheckScreen
from kitprep.walks.line_check import line_check

from .conftest import Opener
from .seat import Seat


def verdicts(at: Seat) -> dict[str, str]:
    return {line.question.name: line.verdict for line in at.screen.lines}  # type: ignore[attr-defined]


async def to_scene(at: Seat, number: str) -> None:
    for _ in range(12):
        if at.app.scene == number:
            return
        await at.action("next")
    raise AssertionError(number)


async def test_the_planned_answer_is_hidden_until_one_is_given(seat: Opener) -> None:
    async with seat("check", size=(120, 40)) as at:
        await to_scene(at, "15")
        band = [r for r in at.screen.rows.rows if r.key and r.key.startswith("check:15:band")]
        assert band
        assert ", planned " not in at.text
        # The pack in stereo has an adapter; every pack is offered the same answers.
        at.screen.rows.go_to("check:15:band:recorder:adapter")
        await at.settle()
        offered = at.asked.partition("?")[2].split()
        at.screen.rows.go_to("check:15:marek:recorder:adapter")
        await at.settle()
        assert at.asked.partition("?")[2].split() == offered


async def test_a_bar_says_how_far_the_scene_is_and_what_to_do_again(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    lines = line_check(before.worked, before.state, "12A")
    for line in lines[:4]:
        expected = line.question.expected
        before.record(line.key, "observed", answer=expected, chain=line.chain)
    of = f"of {len(lines)} lines"
    async with seat("check", of=before) as at:
        assert f"[~] checked 4 {of} [█" in at.text
        # A fresh set at either end of a chain: its lines ask again.
        assert await at.app.tell("TX01", "cells changed", minute=8 * 60)
        await at.settle()
        assert f"[ ] checked 0 {of}, 4 to ask again [·" in at.text
        assert await at.app.tell(lines[0].key, "observed", answer="0.1", chain=lines[0].chain)
        await at.settle()
        assert f"[!] checked 1 {of}, 1 differing, 3 to ask again [" in at.text


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_the_scene_and_its_tally_stay_in_sight_at_the_end_of_the_list(
    size: tuple[int, int], seat: Opener
) -> None:
    async with seat("check", size=size) as at:
        await at.settle()
        screen = cast(CheckScreen, at.screen)
        screen.rows.go_to(screen.lines[-1].key)
        await at.settle()
        assert screen.rows.key == screen.lines[-1].key
        top = at.text.splitlines()[:4]
        assert any(f"Scene {screen.needs.scene.number} " in line for line in top)
        assert any(f"0 of {len(screen.lines)} " in line for line in top)


async def test_answers_by_their_keys_go_on_to_the_next_question(seat: Opener) -> None:
    async with seat("check") as at:
        assert at.mark == "check:12A:ines:recorder:version"
        await at.answer("5.2")
        assert at.mark == "check:12A:ines:recorder:adapter"
        await at.press("n")
        await at.press("1")
        assert at.mark == "check:12A:ines:recorder:tap"
        await at.press("2")
        ines = {
            key: state.answer for key, state in at.app.job.state.items.items() if ":ines:" in key
        }
        assert ines == {
            "check:12A:ines:recorder:version": "5.2",
            "check:12A:ines:recorder:adapter": "none",
            "check:12A:ines:recorder:mode": "mono",
            "check:12A:ines:recorder:tap": "2",
        }
        assert "[x] as planned  tap        2" in at.text


async def test_a_wrong_answer_names_its_likely_causes_and_stays(seat: Opener) -> None:
    async with seat("check") as at:
        at.screen.rows.go_to("check:12A:ines:recorder:tap")
        await at.settle()
        await at.press("3")
        assert "differs: you saw 3, planned 2" in at.said
        assert "perhaps the lead is in another input" in at.text
        assert "[!] differs     tap        3, planned 2" in at.text
        assert at.mark == "check:12A:ines:recorder:tap"
        await at.press("2")
        assert "as planned" in at.said


async def test_an_input_goes_by_its_own_number(seat: Opener) -> None:
    async with seat("check") as at:
        await to_scene(at, "15")
        at.screen.rows.go_to("check:15:band:recorder:left")
        await at.settle()
        await at.press("7")
        assert at.app.job.state.item("check:15:band:recorder:left").answer == "7"
        at.screen.rows.go_to("check:15:band:recorder:right")
        await at.settle()
        await at.press("b")
        assert at.app.job.state.item("check:15:band:recorder:right").answer == "both"
        assert "one lead feeds both" in at.text


async def test_did_not_check_is_unverified_and_never_a_pass(seat: Opener) -> None:
    async with seat("check") as at:
        at.screen.rows.go_to("check:12A:ines:recorder:mode")
        await at.settle()
        await at.press("0")
        assert "[?] unverified" in at.text
        at.screen.rows.go_to("check:12A:ines:recorder:version")
        await at.settle()
        await at.press("ctrl+n")
        state = at.app.job.state.item("check:12A:ines:recorder:version")
        assert state.answer == "did not check"


async def test_a_scanner_fired_at_the_list_answers_nothing(seat: Opener) -> None:
    async with seat("check") as at:
        at.screen.rows.go_to("check:12A:ines:recorder:tap")
        await at.settle()
        head = at.app.job.state.head
        await at.burst("TX01\r")
        await at.pilot.pause(0.06)
        assert at.app.job.state.head == head
        assert at.screen.NAME == "check"
        assert "TX01 Slim bodypack" in at.said


async def test_a_unit_that_differs_is_replaced_and_its_lines_ask_again(seat: Opener) -> None:
    async with seat("check") as at:
        at.screen.rows.go_to("check:12A:ines:recorder:tap")
        await at.settle()
        await at.press("2")
        await at.press("ctrl+r")
        assert "Which unit of this chain" in at.asked
        await at.press("1")
        for _ in range(100):
            await at.settle()
            if "What stands in for TX01" in at.asked:
                break
        assert "TX03" in at.asked
        await at.press("1")
        assert "TX03 for TX01: nothing else changes. Take it?" in at.asked
        assert at.app.job.state.swaps == ()
        await at.press("1")
        assert at.app.job.state.swaps[0][0] == "TX01"
        by = at.app.job.state.swaps[0][1]
        assert f"{by} stands in for TX01" in at.said
        assert any(link.transmitter == by for link in at.app.job.worked.links)
        assert "[~] ask again   tap" in at.text


async def test_what_a_unit_would_change_is_said_before_it_is_taken(seat: Opener) -> None:
    async with seat("check") as at:
        await to_scene(at, "12B")
        at.screen.rows.go_to("check:12B:marek:recorder:tap")
        await at.settle()
        own = at.asked
        await at.press("ctrl+r", "1")
        await at.until(lambda: "What stands in for TX11" in at.asked, "the choice")
        await at.press("3")
        await at.until(lambda: "Take it?" in at.asked, "the difference")
        # A slim pack in place of a long one: other cells, a set and its spare.
        assert "TX03 for TX11: to add: 2 x CR123A cells; to leave: 2 x FR6 cells" in at.asked
        await at.press("2")
        assert "TX11 stays as it is" in at.said
        assert at.asked == own  # the line's own question, with its keys
        assert at.app.job.state.head == 0


async def test_escape_leaves_a_replacement_and_asks_the_line_again(seat: Opener) -> None:
    async with seat("check") as at:
        before = at.asked
        await at.press("ctrl+r")
        assert "Which unit of this chain" in at.asked
        await at.press("escape")
        assert at.asked == before
        assert at.app.job.state.head == 0


async def test_an_answer_that_a_swap_overtook_is_never_told_as_planned(
    seat: Opener, job: Callable[..., Job]
) -> None:
    other = job(who="Ben")
    async with seat("check") as at:
        record_all = at.app.job.record_all

        def swapped_first(*told: Any, **more: Any) -> Any:
            other.record("TX01", "swapped", by="TX03", reason="hum")
            return record_all(*told, **more)

        at.app.job.record_all = swapped_first  # type: ignore[method-assign]
        await at.press("ctrl+n")
        assert "asked again, something in the chain was swapped" in at.said
        assert "as planned" not in at.said
    other.close()


async def test_each_scene_has_its_own_lines(seat: Opener) -> None:
    async with seat("check") as at:
        first = at.mark
        await at.press("right")
        assert at.mark != first
        assert at.mark is not None
        assert at.mark.startswith("check:12B:")
        await at.press("left")
        assert at.mark == first
