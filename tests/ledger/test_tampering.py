"""Whoever alters a ledger behind kitprep's back is found out, at the entry that was altered."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from kitprep.ledger.entries import GENESIS
from kitprep.ledger.errors import Unusable
from kitprep.ledger.store import Ledger

from .making import draft

TAMPERED = 5


def filled(ledger: Ledger) -> None:
    ledger.append([draft(number, f"TX{number % 3}", seen=0) for number in range(1, 10)])


def tamper(url: str, *statements: str) -> None:
    """Change the ledger as its database's owner can, the triggers out of the way."""
    engine = sa.create_engine(url)
    with engine.begin() as connection:
        if engine.dialect.name == "sqlite":
            for name in ("entry_stays", "entry_remains", "entry_yields"):
                connection.exec_driver_sql(f"DROP TRIGGER {name}")
        else:
            connection.exec_driver_sql("ALTER TABLE entry DISABLE TRIGGER ALL")
        for statement in statements:
            connection.exec_driver_sql(statement)
    engine.dispose()


@pytest.mark.parametrize(
    "change",
    ["id = 'x'", "job = 'x'", "item = 'x'", "item_seq = 77", "text = 'x'", "hash = 'x'",
     "text = replace(text, 'pouch', 'camera')", "text = text || ' '"],
)  # fmt: skip
def test_an_altered_column_is_found_at_its_entry(ledger: Ledger, url: str, change: str) -> None:
    filled(ledger)
    tamper(url, f"UPDATE entry SET {change} WHERE seq = {TAMPERED}")
    assert ledger.verify()[0].seq == TAMPERED


def test_an_altered_number_leaves_a_gap_that_is_found(ledger: Ledger, url: str) -> None:
    filled(ledger)
    tamper(url, f"UPDATE entry SET seq = 77 WHERE seq = {TAMPERED}")
    assert ledger.verify()[0].seq == TAMPERED


def test_a_removed_entry_is_found_in_its_place(ledger: Ledger, url: str) -> None:
    filled(ledger)
    tamper(url, f"DELETE FROM entry WHERE seq = {TAMPERED}")
    assert [problem.seq for problem in ledger.verify()] == [TAMPERED]


def test_swapped_entries_are_found_at_the_first(ledger: Ledger, url: str) -> None:
    filled(ledger)
    five_to_six = [f"UPDATE entry SET seq = {to} WHERE seq = {of}" for of, to in
                   ((5, 99), (6, 5), (99, 6))]  # fmt: skip
    tamper(url, *five_to_six)
    assert ledger.verify()[0].seq == TAMPERED


def test_a_tail_cut_off_is_found_with_a_noted_head_only(ledger: Ledger, url: str) -> None:
    filled(ledger)
    _, noted = ledger.head()
    tamper(url, "DELETE FROM entry WHERE seq > 7")
    assert ledger.verify() == []
    assert [problem.seq for problem in ledger.verify(noted)] == [7]


def test_a_ledger_emptied_is_found_with_a_noted_head_only(ledger: Ledger, url: str) -> None:
    filled(ledger)
    _, noted = ledger.head()
    tamper(url, "DELETE FROM entry")
    assert (ledger.head(), ledger.verify()) == ((0, GENESIS), [])
    assert [problem.seq for problem in ledger.verify(noted)] == [0]


@pytest.mark.parametrize(
    "change",
    ["text = CAST(x'ff' AS TEXT)", "text = x'00'", "text = 7", "hash = x'00'", "item_seq = 'x'",
     "seq = 'x'", "id = x'ff'", "job = 7.5", "item = CAST(x'c328' AS TEXT)"],
)  # fmt: skip
def test_what_is_no_text_or_number_at_all_is_found_too(file_url: str, change: str) -> None:
    with Ledger.open(file_url) as ledger:
        filled(ledger)
        tamper(file_url, f"UPDATE entry SET {change} WHERE seq = {TAMPERED}")
        assert ledger.verify()[0].seq == TAMPERED


def test_an_entry_whose_columns_and_text_disagree_is_not_shown(ledger: Ledger, url: str) -> None:
    filled(ledger)
    tamper(url, f"UPDATE entry SET item_seq = 50 WHERE seq = {TAMPERED}")
    with pytest.raises(Unusable, match=f"^entry {TAMPERED} of the ledger at .* is damaged"):
        ledger.entries("foxes/day-01")


def test_nothing_is_added_after_an_altered_head(ledger: Ledger, url: str) -> None:
    filled(ledger)
    tamper(url, "UPDATE entry SET text = 'x' WHERE seq = 9")
    with pytest.raises(Unusable, match=r"^entry 9 of the ledger"):
        ledger.append([draft(20, "TX09")])


def test_damage_to_an_index_is_found(file_url: str) -> None:
    with Ledger.open(file_url) as ledger:
        filled(ledger)
        engine = sa.create_engine(file_url)
        with engine.begin() as connection:
            connection.exec_driver_sql("PRAGMA writable_schema = ON")
            connection.exec_driver_sql(
                "UPDATE sqlite_schema SET sql = replace(sql, 'job, seq', 'seq, job')"
                " WHERE name = 'entry_by_job'"
            )
        engine.dispose()
        problems = ledger.verify()
        assert problems[0].seq == 0
        assert "entry_by_job" in problems[0].what
