"""``kitprep paper`` run in this process."""

import argparse

import pytest
from paper_running import Print

from kitprep.cli.making_words import paper_words
from kitprep.cli.sheets import run_paper


@pytest.fixture
def out(capsys: pytest.CaptureFixture[str]) -> Print:
    """The status, the answer and the messages of one call."""

    def call(*words: object) -> tuple[int, str, str]:
        parser = argparse.ArgumentParser()
        paper_words(parser)
        status = run_paper(parser.parse_args([str(word) for word in words]))
        return status, *capsys.readouterr()

    return call
