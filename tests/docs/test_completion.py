"""The completion that ``kitprep completion`` prints, in the shells that it is for."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from shells import START, Shell

IN_A_FOLDER = ("day-01.toml", "day-01.pdf", "my kit.toml", "kit.toml", "units.csv", "units.txt")


@pytest.fixture(scope="module", params=START)
def shell(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Shell]:
    """A shell in a job's folder, with what else lies about in one."""
    if shutil.which(request.param) is None:
        pytest.skip(f"{request.param} is not on this machine")
    folder: Path = tmp_path_factory.mktemp(request.param)
    for name in IN_A_FOLDER:
        (folder / name).touch()
    (folder / "old").mkdir()
    (folder / "old" / "day-00.toml").touch()
    opened = Shell(request.param, folder)
    yield opened
    opened.close()


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ("kitprep spa\t", "kitprep spares"),
        ("kitprep completion z\t", "kitprep completion zsh"),
        ("kitprep needs --js\t", "kitprep needs --json"),
        ("kitprep list day\t--form\tcs\t", "kitprep list day-01.toml --format csv"),
        ("kitprep check day\t", "kitprep check day-01.toml"),
        ("kitprep check old\td\t", "kitprep check old/day-00.toml"),
        ("kitprep labels my\t", "kitprep labels my kit.toml"),
        ("kitprep import un\t--kit ki\t", "kitprep import units.csv --kit kit.toml"),
        ("kitprep paper day\t-o day\t", "kitprep paper day-01.toml -o day-01."),
        ("kitprep new ol\t", "kitprep new old"),
    ],
)
def test_tab_completes_commands_options_and_files(shell: Shell, typed: str, line: str) -> None:
    assert shell.line_after(typed).removesuffix("/") == line


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ("kitprep check day\tki\t", "kitprep check day-01.toml kit.toml"),
        ("kitprep list --format c\tday\t", "kitprep list --format csv day-01.toml"),
        ("kitprep old/d\t", "kitprep old/day-00.toml"),
    ],
)
def test_tab_completes_more_files_and_a_plan_without_a_command(
    shell: Shell, typed: str, line: str
) -> None:
    if "tcsh" in shell.process.args:
        pytest.skip("tcsh looks at the word before, and no further")
    assert shell.line_after(typed) == line
