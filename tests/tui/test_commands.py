"""The table of commands: one source for keys, foot, palette and help."""

from collections import Counter

import pytest
from textual.binding import Binding
from textual.keys import KEY_DISPLAY_ALIASES

from kitprep.tui.app import KitprepApp
from kitprep.tui.commands import (
    COMMANDS,
    EVERYWHERE,
    FORBIDDEN,
    LETTERS,
    SCREENS,
    everywhere,
    of_screen,
    written,
)
from kitprep.tui.palette import CommandsProvider
from kitprep.tui.screens import screen_modes
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.screens.frame import MOST_KEYS
from kitprep.tui.screens.walk import WalkScreen
from kitprep.tui.sheets.help import WORDS
from kitprep.walks.answers import answer_keys
from kitprep.walks.line_check import line_check

from .conftest import Opener

NAMES = [name for name, _, _ in SCREENS]


def test_ids_are_unique() -> None:
    assert [i for i, n in Counter(command.id for command in COMMANDS).items() if n > 1] == []


def test_no_key_is_one_that_terminals_keep_for_themselves() -> None:
    for command in COMMANDS:
        assert command.keys, command.id
        for key in command.keys:
            assert key not in FORBIDDEN, command.id
            assert not ("enter" in key and key != "enter"), command.id


@pytest.mark.parametrize("name", NAMES)
def test_no_key_means_two_things_on_one_screen(name: str) -> None:
    keys = Counter(
        key
        for command in (*everywhere(), *of_screen(name))
        for key in command.keys
        if key != "escape"
    )
    assert [key for key, times in keys.items() if times > 1] == []


@pytest.mark.parametrize("name", ["pack", "wrap"])
def test_no_letter_is_a_command_where_something_can_always_be_typed(name: str) -> None:
    for command in of_screen(name):
        assert all(len(key) > 1 for key in command.keys), command.id


def test_digits_are_kept_for_answers() -> None:
    assert not any(key.isdigit() for command in COMMANDS for key in command.keys)


def test_no_answer_has_the_letter_of_a_screen() -> None:
    answers = (*(str(n) for n in range(1, 10)), "both", "none", "did not check")
    assert not set(answer_keys(answers)) & set(LETTERS.values())


@pytest.mark.parametrize("name", NAMES)
def test_every_command_has_its_action_and_binding(name: str) -> None:
    screen = screen_modes()[name]()  # type: ignore[operator]
    assert isinstance(screen, JobScreen)
    for command in of_screen(name):
        assert hasattr(screen, f"action_{command.does.partition('(')[0]}"), command.id
    bound = {binding.id for binding in type(screen).BINDINGS if isinstance(binding, Binding)}
    assert {command.id for command in of_screen(name)} <= bound
    for command in everywhere():
        assert hasattr(KitprepApp, f"action_{command.does.partition('(')[0]}"), command.id
    assert name in WORDS


@pytest.mark.parametrize("name", NAMES)
async def test_the_foot_fits_and_help_names_every_key(name: str, seat: Opener) -> None:
    async with seat(name) as at:
        foot = at.screen.foot()
        assert len(foot) <= MOST_KEYS
        last = at.text.splitlines()[-1]
        for command in foot:
            if command.id != "app.commands":  # it is the one to go where there is no room for all
                assert f"{written(command.keys[0])} {command.title}" in last, last
        at.app.action_help()
        await at.settle()
        await at.settle()
        sheet = at.app.screen
        rows = sheet.painted.rows  # type: ignore[attr-defined]
        text = "\n".join("".join(part for part, _ in row.line) for row in rows)
        for command in (*everywhere(), *of_screen(name)):
            assert command.title in text
            for key in command.keys:
                assert written(key) in text, command.id


async def test_every_command_is_in_the_palette(seat: Opener) -> None:
    async with seat("day") as at:
        found = [hit.text async for hit in CommandsProvider(at.screen).discover()]
        assert len(found) == len(COMMANDS)
        for command in COMMANDS:
            assert any(command.title in (name or "") for name in found)


async def test_a_command_of_another_screen_only_opens_that_screen(seat: Opener) -> None:
    async with seat("day") as at:
        await at.app.run_command("pack.take-out")
        await at.settle()
        await at.settle()
        assert at.screen.NAME == "pack"
        assert at.app.job.state.head == 0


async def test_keys_alone_reach_every_screen_and_every_list(seat: Opener) -> None:
    async with seat("day") as at:
        for number, name in enumerate(NAMES):
            await at.press(f"f{number + 2}")
            assert name == at.screen.NAME
            assert at.app.focused is not None
            chosen = [row.key for row in at.screen.rows.rows if row.key]
            if len(chosen) > 1 and at.mark != chosen[-1]:
                before = at.mark
                await at.press("down")
                assert at.mark != before, name


async def test_letters_open_screens_where_nothing_is_typed(seat: Opener) -> None:
    async with seat("day") as at:
        for letter, name in (("s", "scene"), ("o", "power"), ("g", "log"), ("d", "day")):
            await at.press(letter)
            assert name == at.screen.NAME
        await at.press("k")
        assert isinstance(at.screen, WalkScreen)
        await at.press("d")
        assert at.screen.NAME == "pack"
        assert at.walk.prompt.field.value == "d"


async def test_every_question_of_the_demo_can_be_answered_by_keys(seat: Opener) -> None:
    async with seat("day", day=2) as at:
        job = at.app.job
        for needs in job.worked.scenes:
            for line in line_check(job.worked, job.state, needs.scene.number):
                answers = line.question.answers
                assert len(answer_keys(answers)) == len(answers)


def test_keys_are_written_as_people_read_them() -> None:
    assert [written(key) for key in ("ctrl+d", "f1", "enter", "question_mark", "o")] == [
        "^D",
        "F1",
        "Enter",
        "?",
        "O",
    ]
    assert KEY_DISPLAY_ALIASES  # the names that Textual knows; ours stand beside them
    assert EVERYWHERE == "*"
