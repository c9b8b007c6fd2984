"""A ledger that cannot be used says so in one sentence with the way on, and nothing is written."""

from __future__ import annotations

import os
import pwd
import resource
import shutil
import signal
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from kitprep.ledger import errors
from kitprep.ledger.errors import Unusable
from kitprep.ledger.store import Ledger

from .making import draft
from .processes import Child, apart
from .sentences import reason, sentence

CANNOT_OPEN = "cannot be opened; check that the file and its folder are there and yours to write"


def fill_to(ledger: Ledger, count: int) -> None:
    ledger.append([draft(number, f"TX{number}") for number in range(1, count + 1)])


def test_a_full_disk_is_said_and_the_ledger_writes_on_once_there_is_room(
    file: Path, file_url: str
) -> None:
    with Ledger.open(file_url) as ledger:
        fill_to(ledger, 20)
        pages = [file.stat().st_size // 4096]

        @sa.event.listens_for(ledger._engine, "connect")
        def _(connection: sqlite3.Connection, _record: object) -> None:
            connection.execute(f"PRAGMA max_page_count={pages[0]}")

        many = [draft(number, f"RX{number}") for number in range(100, 200)]
        said = reason(lambda: ledger.append(many), file)
        assert said == "cannot grow, its disk is full; make room, then try again"
        assert ledger.head()[0] == 20
        pages[0] = 100_000
        assert ledger.append(many)[-1].seq == 120
        assert ledger.verify() == []


def test_a_file_that_may_not_grow_is_said_and_the_ledger_stays_whole(
    file: Path, file_url: str
) -> None:
    def work() -> str:
        with Ledger.open(file_url) as ledger:
            fill_to(ledger, 20)
            size = file.stat().st_size
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
            many = [draft(number, f"RX{number}") for number in range(100, 200)]
            return reason(lambda: ledger.append(many), file)

    assert apart(work).startswith("cannot be written or read, its disk is full, failing or unpl")
    with Ledger.open(file_url) as ledger:
        assert ledger.verify() == []
        assert ledger.head()[0] == 20
        assert ledger.append([draft(300)])[0].seq == 21


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any account can enter, unlike pytest's own."""
    folder = Path(tempfile.mkdtemp(prefix="kitprep-test-"))
    folder.chmod(0o755)
    yield folder
    for path in (folder, *folder.rglob("*")):
        if path.is_dir():
            path.chmod(0o755)
    shutil.rmtree(folder)


def as_a_user(work: Callable[[], Any]) -> Any:
    """Run `work` in a process that permissions hold for, which root's do not."""

    def plainly() -> Any:
        if os.geteuid() == 0:
            nobody = pwd.getpwnam("nobody")
            os.setgroups([])
            os.setgid(nobody.pw_gid)
            os.setuid(nobody.pw_uid)
        return work()

    return apart(plainly)


def test_a_read_only_folder_is_said_and_nothing_is_made_in_it(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    path = open_folder / "ledger.db"
    said = as_a_user(lambda: reason(lambda: Ledger.open(f"sqlite:///{path}"), path))
    assert said == CANNOT_OPEN
    path = open_folder / "deeper" / "ledger.db"
    said = as_a_user(lambda: reason(lambda: Ledger.open(f"sqlite:///{path}"), path))
    assert said == CANNOT_OPEN
    assert list(open_folder.iterdir()) == []


@pytest.mark.parametrize("readable", ["file", "folder"])
def test_a_ledger_that_may_only_be_read_is_read_and_not_written(
    open_folder: Path, readable: str
) -> None:
    path = open_folder / "ledger.db"
    with Ledger.open(f"sqlite:///{path}") as ledger:
        ledger.append([draft(1)])
    path.chmod(0o444 if readable == "file" else 0o666)
    open_folder.chmod(0o777 if readable == "file" else 0o555)

    def work() -> tuple[int, str]:
        with Ledger.open(f"sqlite:///{path}") as ledger:
            read = len(ledger.entries("foxes/day-01"))
            return read, reason(lambda: ledger.append([draft(2, "TX02")]), path)

    read, said = as_a_user(work)
    assert read == 1
    assert said in (
        "can be read but not written; allow writing to the file and its folder, or name another",
        CANNOT_OPEN,
    )
    with Ledger.open(f"sqlite:///{path}") as ledger:
        assert ledger.head()[0] == 1
        assert ledger.verify() == []


@pytest.mark.parametrize("lock", ["BEGIN IMMEDIATE", "BEGIN EXCLUSIVE"])
def test_a_file_locked_for_longer_than_the_wait_is_said(
    file: Path, file_url: str, lock: str
) -> None:
    def hold(send: Callable[[Any], None]) -> None:
        connection = sqlite3.connect(file, isolation_level=None)
        connection.execute(lock)
        send("locked")
        signal.pause()

    holder = Child(hold)
    holder.receive()
    try:

        def work() -> None:
            with Ledger.open(file_url, wait_s=0.3) as ledger:
                ledger.append([draft(1)])

        assert reason(work, file) == (
            "is locked by another program for more than 0.3 s; close it or wait, then try again"
        )
    finally:
        holder.kill()
    with Ledger.open(file_url) as ledger:
        assert ledger.head()[0] == 0


@pytest.mark.parametrize("kept", [0.9, 0.5, 0.1])
def test_a_truncated_file_is_said(file: Path, file_url: str, kept: float) -> None:
    with Ledger.open(file_url) as ledger:
        fill_to(ledger, 100)
    content = file.read_bytes()
    file.write_bytes(content[: int(len(content) * kept)])
    before = file.read_bytes()
    said = reason(lambda: Ledger.open(file_url), file)
    assert said == errors.DAMAGED
    assert file.read_bytes() == before


def test_damage_in_the_middle_of_a_file_is_said_or_found(file: Path, file_url: str) -> None:
    with Ledger.open(file_url) as ledger:
        fill_to(ledger, 300)
    whole = file.read_bytes()
    for at in range(4096, len(whole), 4096):
        file.write_bytes(whole[: at + 8] + b"\xff" * 64 + whole[at + 72 :])
        try:
            with Ledger.open(file_url) as ledger:
                assert ledger.verify() != [], f"page {at // 4096}"
        except Unusable as error:
            assert "is damaged; put back" in str(error)  # noqa: PT017 either of the two will do


@pytest.mark.parametrize("content", [b"a shopping list\n" * 99, b"\x89PNG\r\n\x1a\n" + bytes(5000)])
def test_a_file_that_is_no_database_is_said_and_left_alone(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "list.txt"
    path.write_bytes(content)
    said = reason(lambda: Ledger.open(f"sqlite:///{path}"), path)
    assert said == ("is not a database; name another file, or put back a good copy of this one")
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_in_the_files_place_is_said(tmp_path: Path) -> None:
    said = reason(lambda: Ledger.open(f"sqlite:///{tmp_path}"), tmp_path)
    assert said == CANNOT_OPEN


def test_a_file_in_a_folders_place_is_said(tmp_path: Path) -> None:
    (tmp_path / "day").write_text("x")
    path = tmp_path / "day" / "ledger.db"
    assert reason(lambda: Ledger.open(f"sqlite:///{path}"), path) == CANNOT_OPEN


def test_a_ledger_taken_away_is_missed_and_not_made_anew(file: Path, file_url: str) -> None:
    with Ledger.open(file_url) as ledger:
        file.rename(file.with_suffix(".away"))
        said = reason(lambda: ledger.append([draft(1)]), file)
        assert said == CANNOT_OPEN
        assert not file.exists()
        file.with_suffix(".away").rename(file)
        assert ledger.append([draft(1)])[0].seq == 1


def test_a_database_of_something_else_is_refused_and_left_alone(url: str) -> None:
    engine = sa.create_engine(url)
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE recipes (name VARCHAR)")
    said = sentence(lambda: Ledger.open(url))
    assert "holds something else, not a ledger; name an empty one" in said
    assert sa.inspect(engine).get_table_names() == ["recipes"]
    engine.dispose()


def test_a_ledger_of_a_newer_kitprep_is_refused(url: str) -> None:
    Ledger.open(url).close()
    engine = sa.create_engine(url)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE kitprep_ledger SET version = 2")
    engine.dispose()
    said = sentence(lambda: Ledger.open(url))
    assert said.endswith(" was written by a newer kitprep; update kitprep")


def test_a_ledger_whose_table_was_removed_is_said(url: str) -> None:
    with Ledger.open(url) as ledger:
        engine = sa.create_engine(url)
        with engine.begin() as connection:
            connection.exec_driver_sql("DROP TABLE entry")
        engine.dispose()
        for work in (lambda: ledger.append([draft(1)]), ledger.head, lambda: Ledger.open(url)):
            assert sentence(work).endswith(errors.DAMAGED)
