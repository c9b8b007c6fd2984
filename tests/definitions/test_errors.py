"""Every mistake in a definition file is told in one line: where, what is wrong, what to write.

``errors/`` holds files with one mistake each, or a named few of a kind, and beside each the whole
of what ``kitprep check FILE`` says of it in that folder. Where a wording changes, that command
writes it anew; read it aloud before it stays.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import kitprep.definitions
from kitprep.cli import main

HERE = Path(__file__).parent / "errors"
CASES = sorted(golden.stem for golden in HERE.glob("*.txt"))
CODE = Path(kitprep.definitions.__file__).parent


def golden(case: str) -> str:
    return (HERE / f"{case}.txt").read_text("utf-8")


@pytest.mark.parametrize("case", CASES)
def test_a_mistake_is_told_in_the_words_beside_its_file(
    case: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(HERE)
    status = main(["check", f"{case}.toml"])
    answer, messages = capsys.readouterr()
    assert messages == golden(case)
    assert answer == ""
    assert status == 2


def test_each_file_with_mistakes_has_its_words() -> None:
    assert sorted(path.stem for path in HERE.glob("*.toml")) == [
        case for case in CASES if case != "missing-file"
    ]


@pytest.mark.parametrize("case", CASES)
def test_each_line_says_where_what_is_wrong_and_what_to_write(case: str) -> None:
    for line in golden(case).splitlines():
        assert re.fullmatch(r"[\w./-]+\.toml:\d+:\d+: .+; [^;]+", line)


@pytest.mark.parametrize("case", CASES)
def test_each_column_is_that_of_something_written(case: str) -> None:
    whole_file = ("there is no such file", "this is a folder", "says nothing", "not UTF-8")
    for line in golden(case).splitlines():
        name, row, column, message = line.split(":", 3)
        if not any(words in message for words in whole_file):
            written = (HERE / name).read_text("utf-8").splitlines()[int(row) - 1]
            assert not written[int(column) - 1].isspace()


ELSEWHERE = {
    "this is a kit, where a day plan belongs; write the path of a day that uses it": (
        "test_loading.py, for check takes a kit as well"
    ),
    "this cannot be read (": "test_loading.py, for it takes more than a file",
    "); write the path of a TOML file": "the same",
    "; write something else": "the net under pydantic's words; no file is known to reach it",
}
"""What no golden file can show, and why."""


def test_there_is_no_message_that_no_file_calls_forth() -> None:
    told = "".join(golden(case) for case in CASES)
    never = [words for words in _messages() if words not in told and words not in ELSEWHERE]
    assert never == []


def _messages() -> Iterator[str]:
    """The fixed words of every message of the package; those on syntax are in test_syntax.py."""
    for module in sorted(CODE.glob("*.py")):
        if module.name in ("syntax.py", "locator.py"):
            continue
        tree = ast.parse(module.read_text("utf-8"))
        explanations = {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        explanations |= {
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.keyword) and node.arg == "description"
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and node not in explanations:
                yield from _pieces(node.value)


def _pieces(constant: object) -> list[str]:
    if isinstance(constant, str) and re.search(r"; ?\w|^write |did you", constant):
        return [piece for piece in constant.split("{}") if piece]
    return []
