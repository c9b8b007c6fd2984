"""Where the ledger is when nobody says otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitprep.ledger.place import default_url, file_path, file_url
from kitprep.ledger.store import Ledger


def test_the_environment_names_another_ledger(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KITPREP_LEDGER", " postgresql://crew@office/kit ")
    assert default_url() == "postgresql://crew@office/kit"


@pytest.mark.parametrize("said", [None, "", " "])
def test_without_a_word_it_is_a_file_in_the_users_data_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, said: str | None
) -> None:
    if said is None:
        monkeypatch.delenv("KITPREP_LEDGER", raising=False)
    else:
        monkeypatch.setenv("KITPREP_LEDGER", said)
    monkeypatch.setattr("platformdirs.user_data_dir", lambda *_, **__: str(tmp_path / "kitprep"))
    Ledger.open(default_url()).close()
    assert (tmp_path / "kitprep" / "ledger.db").is_file()


def test_a_path_in_the_home_folder_may_be_written_short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", "/home/ines")
    assert file_path("~/kit/ledger.db") == Path("/home/ines/kit/ledger.db")
    assert file_path("~kit.db") == Path.cwd() / "~kit.db"


def test_characters_that_end_a_path_in_a_url_are_written_otherwise() -> None:
    assert file_url(Path("/a?b/100%/c d.db")) == "sqlite:////a%3Fb/100%25/c d.db"
