"""``kitprep labels`` run in this process."""

import argparse

import pytest
from labels_running import Labels

from kitprep.cli.making_words import labels_words
from kitprep.cli.tags import run_labels


@pytest.fixture
def labels(capsys: pytest.CaptureFixture[str]) -> Labels:
    """The status, the answer and the messages of one call."""

    def call(*words: object) -> tuple[int, str, str]:
        parser = argparse.ArgumentParser()
        labels_words(parser)
        status = run_labels(parser.parse_args([str(word) for word in words]))
        return status, *capsys.readouterr()

    return call
