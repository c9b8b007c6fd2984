"""The demo's files to copy, and the commands of a day run in this process."""

import argparse
import shutil
from pathlib import Path

import pytest
from days_running import Command

from kitprep.bundled import bundle
from kitprep.cli.days import run_compare, run_copy_day
from kitprep.cli.making_words import compare_words, copy_day_words


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo's folder, to write in."""
    for name in ("kits", "shared"):
        shutil.copytree(bundle() / name, tmp_path / name)
    return tmp_path / "kits" / "harbour-of-foxes"


@pytest.fixture
def copy_day(capsys: pytest.CaptureFixture[str]) -> Command:
    """``kitprep copy-day``: the status, the answer and the messages of one call."""

    def call(*words: object) -> tuple[int, str, str]:
        parser = argparse.ArgumentParser()
        copy_day_words(parser)
        status = run_copy_day(parser.parse_args([str(word) for word in words]))
        return status, *capsys.readouterr()

    return call


@pytest.fixture
def compare(capsys: pytest.CaptureFixture[str]) -> Command:
    """``kitprep compare``, likewise."""

    def call(*words: object) -> tuple[int, str, str]:
        parser = argparse.ArgumentParser()
        compare_words(parser)
        status = run_compare(parser.parse_args([str(word) for word in words]))
        return status, *capsys.readouterr()

    return call
