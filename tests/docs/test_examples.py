"""Help that teaches: every command has worked examples, and each works as it stands."""

import io
from contextlib import redirect_stdout
from pathlib import Path

import pytest
from lines import Place

from kitprep.cli import main
from kitprep.cli.examples import EXAMPLES, Example
from kitprep.cli.words import COMMANDS

ALL = [
    pytest.param(name, example, id=example.line)
    for name, examples in EXAMPLES.items()
    for example in examples
]

SIGNS = {"serve": (b"http://", b"\x03")}
"""What shows that a command is under way, and the key that ends it; else F1 and Ctrl+Q."""


def helped(monkeypatch: pytest.MonkeyPatch, *words: str) -> str:
    monkeypatch.setenv("COLUMNS", "80")
    said = io.StringIO()
    with redirect_stdout(said), pytest.raises(SystemExit):
        main([*words, "--help"])
    return said.getvalue()


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_one_or_two_examples_below_its_help(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    text = helped(monkeypatch, name)
    assert 1 <= len(EXAMPLES[name]) <= 2
    for example in EXAMPLES[name]:
        assert f"\n  {example.line}\n      {example.meaning}\n" in text


@pytest.mark.parametrize("words", [(), *((name,) for name in COMMANDS)])
def test_help_fits_80_columns(monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]) -> None:
    text = helped(monkeypatch, *words)
    assert [line for line in text.splitlines() if len(line) > 80] == []


def test_no_example_is_of_a_command_that_is_gone() -> None:
    assert set(EXAMPLES) <= set(COMMANDS)


@pytest.mark.parametrize(("name", "example"), ALL)
def test_the_example_ends_as_its_help_says(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str, example: Example
) -> None:
    place = Place(tmp_path)
    for variable, value in place.surroundings.items():
        monkeypatch.setenv(variable, value)
    for line in example.after:
        assert place.status(line) == 0
    if example.screens:
        if name == "serve":
            pytest.importorskip("textual_serve")
        sign, leave = SIGNS.get(name, (b"F1", b"\x11"))
        assert place.status_with_screens(example.line, sign, leave) == example.status
    else:
        assert place.status(example.line) == example.status
