"""A company move: what is typed or scanned is ticked, counts are typed, nothing goes unseen."""

from collections.abc import Callable

import pytest

from kitprep.job import Job
from kitprep.tui.sheets.move import MoveSheet
from kitprep.tui.widgets.code_input import HABIT_S
from kitprep.walks.out import MoveLine, moves

from .conftest import Opener
from .seat import Seat

NAMES = {":": "colon", "-": "minus"}


@pytest.fixture
def out(job: Callable[..., Job]) -> Job:
    """Day 1, everything packed, and gone out."""
    opened = job()
    for line in opened.worked.packing:
        opened.record(line.key, "packed", qty=line.qty)
    opened.advance("packed")
    opened.advance("out")
    return opened


def line(job: Job, key: str) -> MoveLine:
    (move,) = moves(job.worked, job.state)
    return next(each for each in move.lines if each.key == key)


def counted(job: Job) -> MoveLine:
    """A thing of the move that goes by number, more than one of it."""
    (move,) = moves(job.worked, job.state)
    return next(each for each in move.lines if each.counted and each.qty > 1)


async def on_the_sheet(at: Seat) -> MoveSheet:
    await at.press("m")
    assert isinstance(at.app.screen, MoveSheet)
    return at.app.screen


def hand(code: str) -> list[str]:
    """The keys of a code, as a hand presses them."""
    return [NAMES.get(character, character) for character in code]


async def test_a_tag_typed_by_hand_ticks_that_thing_and_not_the_marked_line(
    seat: Opener, out: Job
) -> None:
    async with seat("day", of=out) as at:
        sheet = await on_the_sheet(at)
        await at.press(*"RX21")
        assert "=> RX21" in at.text
        await at.press("enter")
        assert line(out, "RX21").aboard
        assert not line(out, "TX01").aboard
        assert "RX21 in. 1 of " in sheet.prompt.said


async def test_enter_ticks_the_marked_line_and_goes_to_the_next(seat: Opener, out: Job) -> None:
    async with seat("day", of=out) as at:
        sheet = await on_the_sheet(at)
        assert sheet.rows.key == "0\nTX01"
        await at.press("enter")
        assert "[x] seen in  TX01" in at.text
        assert sheet.rows.key != "0\nTX01"


async def test_a_scanned_tag_is_ticked_at_once(seat: Opener, out: Job) -> None:
    async with seat("day", of=out) as at:
        await on_the_sheet(at)
        await at.burst("RX21\rRX01\r")
        assert (line(out, "RX21").aboard, line(out, "RX01").aboard) == (True, True)


async def test_what_goes_by_number_is_counted_against_what_was_packed(
    seat: Opener, out: Job
) -> None:
    thing = counted(out)
    async with seat("day", of=out) as at:
        sheet = await on_the_sheet(at)
        await at.press(*hand(thing.key), "enter")
        assert f"{thing.qty} went out. How many are in?" in sheet.prompt.asked
        await at.press(str(thing.qty - 1), "enter")
        assert not line(out, thing.key).aboard
        assert line(out, thing.key).seen == thing.qty - 1
        assert f"[~] part     {thing.qty - 1} of {thing.qty}" in at.text
        await at.press(*hand(thing.key), "enter", *str(thing.qty), "enter")
        assert line(out, thing.key).aboard


async def test_the_sheet_shows_what_was_packed_and_not_what_was_planned(
    seat: Opener, job: Callable[..., Job]
) -> None:
    before = job()
    thing = counted(before)
    for each in before.worked.packing:
        more = 1 if each.key == thing.key else 0
        before.record(each.key, "packed", qty=each.qty + more)
    async with seat("day", of=before) as at:
        await on_the_sheet(at)
        assert line(before, thing.key).qty == thing.qty + 1
        assert f"{thing.qty + 1} x" in at.text


async def test_what_is_not_packed_cannot_be_seen_in(seat: Opener) -> None:
    async with seat("day") as at:
        sheet = await on_the_sheet(at)
        await at.press("enter")
        assert "TX01 is not packed" in sheet.prompt.said
        assert at.app.job.state.stage == "planned"
        assert at.app.job.state.head == 0


async def test_a_wrong_tick_is_taken_back(seat: Opener, out: Job) -> None:
    async with seat("day", of=out) as at:
        sheet = await on_the_sheet(at)
        await at.press("enter", "up", "enter")
        assert "TX01 is seen in. Take that back?" in sheet.prompt.asked
        await at.press("1")
        assert not line(out, "TX01").aboard
        await at.pilot.pause(HABIT_S)
        await at.press("up", "enter")
        assert line(out, "TX01").aboard


async def test_a_tag_that_is_not_on_the_sheet_is_said(seat: Opener, out: Job) -> None:
    async with seat("day", of=out) as at:
        sheet = await on_the_sheet(at)
        await at.burst("RX99\r")
        assert "RX99 is no tag of this kit" in sheet.prompt.said


async def test_esc_leaves_the_question_first_and_then_the_sheet(seat: Opener, out: Job) -> None:
    thing = counted(out)
    async with seat("day", of=out) as at:
        sheet = await on_the_sheet(at)
        await at.press(*hand(thing.key), "enter", "escape")
        assert sheet.prompt.asked.startswith("Scan or type a tag")
        await at.press("escape")
        assert at.screen.NAME == "day"


async def test_names_are_whole_where_there_is_room(seat: Opener, out: Job) -> None:
    (move,) = moves(out.worked, out.state)
    async with seat("day", of=out, size=(80, 60)) as at:
        await on_the_sheet(at)
        for each in move.lines:
            assert each.name in at.text


async def test_what_was_not_seen_in_is_named_when_the_sheet_is_left(seat: Opener, out: Job) -> None:
    async with seat("day", of=out, size=(120, 60)) as at:
        await on_the_sheet(at)
        await at.press("escape")
        assert not at.app._notifications  # nothing of the move was begun
        await on_the_sheet(at)
        await at.press("enter", "escape")
        (move,) = moves(out.worked, out.state)
        missed = [each for each in move.to_come if not each.aboard]
        first = missed[0].name if missed[0].counted else missed[0].key
        (note,) = [str(note.message) for note in at.app._notifications]
        assert note.startswith(f"Not seen in at {move.leaving.place}: {first}")
        assert "TX01" not in note


async def test_nothing_is_said_when_all_was_seen_in(seat: Opener, out: Job) -> None:
    (move,) = moves(out.worked, out.state)
    for each in move.to_come:
        out.record(each.key, "moved", to=move.leaving.place)
    async with seat("day", of=out) as at:
        await on_the_sheet(at)
        await at.press("escape")
        assert not at.app._notifications
