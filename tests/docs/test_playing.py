"""A page of commands comes out only where the program does as the page says."""

from collections.abc import Callable
from pathlib import Path

import pytest

from kitprep.docs.playing import HEAD, NotAsWritten, play
from kitprep.ledger.store import Ledger

Play = Callable[[str], str]

FILES = """\
```toml kit.toml
kit = "small"
name = "Small"
```

```toml day.toml
kit = "kit.toml"
day = 2027-03-16
```
"""


@pytest.fixture
def played(tmp_path: Path) -> Play:
    """Plays a page in a new folder."""

    def run(page: str) -> str:
        (tmp_path / "folder").mkdir(exist_ok=True)
        return play(page, tmp_path / "folder", f"sqlite:///{tmp_path / 'ledger.db'}")

    return run


def console(*lines: str) -> str:
    return "\n".join(("```console", *lines, "```", ""))


def test_an_answer_stands_below_its_command(played: Play) -> None:
    page = played(FILES + console("$ kitprep check kit.toml"))
    assert page.endswith(
        console("$ kitprep check kit.toml", "kit.toml: a kit of 0 tagged units, in order")
    )


def test_messages_stand_among_the_answer(played: Play) -> None:
    page = played(console("$ kitprep check no.toml  # exit status 2"))
    assert "no.toml:1:1: there is no such file" in page


def test_a_command_that_ends_otherwise_stops_the_making(played: Play) -> None:
    with pytest.raises(NotAsWritten, match="ended with exit status 2"):
        played(console("$ kitprep check no.toml"))


def test_only_what_begins_as_said_is_kept(played: Play) -> None:
    page = played(console("$ kitprep schema kit", '|  "$schema"'))
    assert page == console(
        "$ kitprep schema kit",
        "…",
        ' "$schema": "https://json-schema.org/draft/2020-12/schema",',
        "…",
    )


def test_a_part_that_is_not_there_stops_the_making(played: Play) -> None:
    with pytest.raises(NotAsWritten, match="no part begins with 'SHORT'"):
        played(FILES + console("$ kitprep check kit.toml", "| SHORT"))


def test_lines_of_a_file_are_written_anew(played: Play, tmp_path: Path) -> None:
    played(
        FILES
        + '```toml kit.toml:2\nname = "Smaller"\n```\n'
        + "```toml day.toml:day\nday = 2027-03-17\n```\n"
    )
    assert (tmp_path / "folder" / "kit.toml").read_text() == 'kit = "small"\nname = "Smaller"\n'
    assert (tmp_path / "folder" / "day.toml").read_text() == 'kit = "kit.toml"\nday = 2027-03-17\n'


def test_the_ledgers_head_is_always_shown_alike_and_still_the_true_one(
    played: Play, tmp_path: Path
) -> None:
    Ledger.open(f"sqlite:///{tmp_path / 'ledger.db'}").close()
    page = played(console("$ kitprep ledger verify", f"$ kitprep ledger verify --head {HEAD}"))
    assert page.count(HEAD) == 3


def test_nothing_but_our_own_commands_is_run(played: Play) -> None:
    with pytest.raises(NotAsWritten, match="only kitprep and cd"):
        played(console("$ rm kit.toml"))
