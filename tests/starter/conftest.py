"""Runs ``kitprep new`` in this process."""

import argparse

import pytest
from new_running import New

from kitprep.cli.making_words import new_words
from kitprep.cli.starting import run_new


@pytest.fixture
def new(capsys: pytest.CaptureFixture[str]) -> New:
    """The status, the answer and the messages of one call."""

    def call(*words: object) -> tuple[int, str, str]:
        parser = argparse.ArgumentParser()
        new_words(parser)
        status = run_new(parser.parse_args([str(word) for word in words]))
        return status, *capsys.readouterr()

    return call
