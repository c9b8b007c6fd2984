"""Keys of one's own: what cannot be is told at its place; what can be works everywhere."""

import itertools
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from kitprep.cli import main
from kitprep.definitions.problems import DefinitionError
from kitprep.job import Job
from kitprep.tui.app import KitprepApp
from kitprep.tui.commands import COMMANDS
from kitprep.tui.keymap import default_place, keys_of, read_keymap, with_keys
from kitprep.tui.sheets.help import WORDS, HelpSheet

from .seat import Seat


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "keys.toml"


def told(file: Path, text: str) -> list[str]:
    file.write_text(text, "utf-8")
    with pytest.raises(DefinitionError) as refusal:
        read_keymap(file)
    return [line.removeprefix(str(file)) for line in refusal.value.lines]


def test_no_file_means_the_usual_keys(file: Path) -> None:
    assert read_keymap(file) == {}
    assert all(keys_of(command, {}) == command.keys for command in COMMANDS)


def test_a_key_or_a_list_of_keys_takes_the_place_of_the_usual_ones(file: Path) -> None:
    file.write_text('[keys]\n"pack.done" = "ctrl+y"\n"go.log" = ["f10", "v"]\n', "utf-8")
    assert read_keymap(file) == {"pack.done": ("ctrl+y",), "go.log": ("f10", "v")}


def test_the_usual_keys_written_out_are_no_mistake(file: Path) -> None:
    lines = [f'"{c.id}" = {list(c.keys)}'.replace("'", '"') for c in COMMANDS]
    file.write_text("[keys]\n" + "\n".join(lines), "utf-8")
    assert read_keymap(file) == {c.id: c.keys for c in COMMANDS}


def test_two_commands_can_change_their_keys(file: Path) -> None:
    file.write_text('[keys]\n"pack.done" = "ctrl+o"\n"pack.gone-out" = "ctrl+d"\n', "utf-8")
    assert len(read_keymap(file)) == 2


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            '"pack.dne" = "ctrl+y"',
            ':2:1: there is no command "pack.dne"; did you mean "pack.done"?',
        ),
        ('"pack.done" = "ctrl+m"', ':2:15: "ctrl+m" never arrives'),
        ('"pack.done" = "ctrl+u"', ':2:15: "ctrl+u" is the field\'s own'),
        ('"pack.done" = "@@bad"', ':2:15: "@@bad" is no key that every terminal sends'),
        ('"pack.done" = "ctrl+ynter"', ':2:15: "ctrl+ynter" is no key'),
        ('"pack.done" = "f13"', ':2:15: "f13" is no key'),
        ('"pack.done" = ""', ':2:15: "" is no key'),
        ('"day.open" = ["f11", "7"]', ':2:22: "7" is kept for answers'),
        ('"pack.done" = "e"', ':2:15: "e" is typed into the field'),
        ('"pack.done" = 7', ":2:15: write a key in quotes"),
        ('"pack.done" = []', ":2:15: no key is left"),
        ('"app.quit" = []', ":2:14: no way to quit is left"),
        ('"app.quit" = "q"', ':2:14: "q" is typed into the field'),
        ('"pack.done" = "ctrl+q"', ':2:15: "ctrl+q" does app.quit as well'),
        ('"app.quit" = "ctrl+d"', ':2:14: "ctrl+d" does pack.done as well'),
        ('"go.log" = "f2"', ':2:12: "f2" does go.day as well'),
    ],
)
def test_what_cannot_be_is_told_with_its_place_and_the_way_on(
    text: str, says: str, file: Path
) -> None:
    lines = told(file, f"[keys]\n{text}\n")
    assert any(line.startswith(says) for line in lines), lines


def test_what_is_not_known_and_what_is_no_toml_are_told(file: Path) -> None:
    assert told(file, "key = 1\n")[0].startswith(':1:1: "key" is not known here')
    assert told(file, "keys = 1\n")[0].startswith(":1:8: write a table here")
    assert told(file, "[keys\n")[0].startswith(":1:")


def test_a_wrong_file_ends_the_program_with_2(capsys: pytest.CaptureFixture[str]) -> None:
    place = default_place()
    place.parent.mkdir(parents=True)
    place.write_text('[keys]\n"app.quit" = []\n', "utf-8")
    assert main(["keys"]) == 2
    assert f"{place}:2:14: no way to quit is left" in capsys.readouterr().err


def test_the_table_shows_ones_own_keys_and_the_files_place(
    capsys: pytest.CaptureFixture[str],
) -> None:
    place = default_place()
    place.parent.mkdir(parents=True)
    place.write_text('[keys]\n"pack.done" = "ctrl+y"\n', "utf-8")
    assert main(["keys"]) == 0
    said = capsys.readouterr().out
    assert str(place) in said
    assert any(
        "pack.done" in line and "^Y" in line and "yours" in line for line in said.split("\n")
    )
    assert all(command.id in said for command in COMMANDS)


async def test_ones_own_keys_work_and_are_shown(job: Callable[..., Job]) -> None:
    opened = job()
    app = KitprepApp(
        opened.day.plan, lambda: opened, keymap={"day.what-if": ("x",), "go.log": ("f10",)}
    )
    async with app.run_test(size=(120, 40)) as pilot:
        at = Seat(app, pilot)
        await at.settle()
        assert "X What if" in at.text
        assert "F10 Log" in at.text
        await at.press("i")
        assert app.screen is at.screen
        await at.press("f10")
        assert at.screen.NAME == "log"
        await at.press("f8")
        await at.press("f2", "x")
        assert type(app.screen).__name__ == "WhatIfSheet"
    opened.close()


async def test_help_and_what_is_said_name_the_keys_as_they_are_set(job: Callable[..., Job]) -> None:
    opened = job()
    keys = {"day.moves": ("x",), "pack.done": ("ctrl+y",), "app.hush": ("f7", "escape")}
    app = KitprepApp(opened.day.plan, lambda: opened, keymap=keys)
    async with app.run_test(size=(120, 60)) as pilot:
        at = Seat(app, pilot)
        await at.settle()
        await at.press("f1")
        await at.settle()
        assert isinstance(app.screen, HelpSheet)
        rows = app.screen.painted.rows  # type: ignore[attr-defined]
        help_words = " ".join("".join(part for part, _ in row.line).strip() for row in rows)
        assert "X shows what must come along" in help_words
        assert "M shows" not in help_words
        await at.press("escape")
        app.alarm("So it is.")
        await at.settle()
        assert at.banner.endswith("So it is. (F7)")
        await at.go("pack")
        await at.action("gone_out")
        assert "Close packing first (^Y)" in at.said
    opened.close()


def test_every_key_in_our_words_is_a_commands() -> None:
    for words in itertools.chain.from_iterable(WORDS.values()):
        assert not re.search(r"\^[A-Z]|\bF\d", words), words
        assert "{" not in with_keys(words, {})
