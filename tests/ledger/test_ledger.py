"""What the ledger promises to those who write in it and read from it, on both databases."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
import sqlalchemy as sa

from kitprep.ledger.entries import GENESIS, Body, Draft, Entry, new_id
from kitprep.ledger.errors import Refused, Stale
from kitprep.ledger.store import Ledger

from .conftest import NewUrl
from .making import NOON_MS, draft, made_id


def test_a_new_ledger_is_empty(ledger: Ledger) -> None:
    assert ledger.head() == (0, GENESIS)
    assert ledger.jobs() == ()
    assert ledger.entries("foxes/day-01") == ()
    assert ledger.verify() == []


def test_an_entry_is_there_for_whoever_opens_the_ledger_next(url: str) -> None:
    with Ledger.open(url) as first:
        recorded = first.append([draft(1)])
    with Ledger.open(url) as second:
        assert second.entries("foxes/day-01") == recorded
        assert second.head() == (1, recorded[0].hash)


def test_entries_are_counted_without_gaps_and_each_item_by_itself(ledger: Ledger) -> None:
    made = [draft(1, "TX01"), draft(2, "TX02"), draft(3, "TX01", seen=1)]
    recorded = [ledger.append([each])[0] for each in made]
    assert [(entry.seq, entry.item, entry.item_seq) for entry in recorded] == [
        (1, "TX01", 1),
        (2, "TX02", 1),
        (3, "TX01", 2),
    ]


def test_the_same_tag_in_two_jobs_is_two_items(ledger: Ledger) -> None:
    today, tomorrow = ledger.append([draft(1, job="day-01"), draft(2, job="day-02")])
    assert (today.item_seq, tomorrow.item_seq) == (1, 1)
    assert ledger.jobs() == ("day-01", "day-02")


def test_a_body_comes_back_with_every_character(ledger: Ledger) -> None:
    body: Body = {
        "why": "Größe 🎙 \u0000 \u2028 ' \" \\ %s :x ?",
        "n": [1, 2.5, -0.0, None, True, {}],
    }
    (recorded,) = ledger.append([Draft(made_id(1), "Füchse: 1", "Gün's %s ?", 0, body)])
    assert ledger.entries("Füchse: 1") == (recorded,)
    assert ledger.entries("Füchse: 1")[0].body == body
    assert ledger.verify() == []


def test_the_longest_names_fit(ledger: Ledger) -> None:
    longest = "🎙" * 200
    ledger.append([draft(1, longest, job=longest)])
    assert ledger.jobs() == (longest,)


def test_a_job_is_read_from_where_the_reader_stands(ledger: Ledger) -> None:
    ledger.append([draft(number, f"TX{number:02}") for number in range(1, 6)])
    assert [entry.seq for entry in ledger.entries("foxes/day-01", after=3)] == [4, 5]
    assert ledger.entries("foxes/day-01", after=5) == ()


def test_reading_one_job_does_not_pass_over_the_others(file: Path, file_url: str) -> None:
    asked = "SELECT * FROM entry WHERE job = 'day-01' AND seq > 7 ORDER BY seq"
    with sa.create_engine(file_url).connect() as connection:
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {asked}").all()
    assert [row[-1] for row in plan] == ["SEARCH entry USING INDEX entry_by_job (job=? AND seq>?)"]


def test_nothing_sent_is_nothing_recorded(ledger: Ledger) -> None:
    assert ledger.append([]) == ()
    assert ledger.head() == (0, GENESIS)


def test_a_bag_is_recorded_whole_or_not_at_all(ledger: Ledger) -> None:
    ledger.append([draft(1, "TX02")])
    bag = [draft(2, "TX01"), draft(3, "TX02", seen=0), draft(4, "TX03")]
    with pytest.raises(Stale):
        ledger.append(bag)
    assert ledger.head()[0] == 1
    assert ledger.verify() == []


def test_two_drafts_for_one_item_in_one_call_follow_each_other(ledger: Ledger) -> None:
    ledger.append([draft(1)])
    chained = ledger.append([draft(2, seen=1), draft(3, seen=2)])
    side_by_side = ledger.append([draft(4, seen=3), draft(5, seen=3), draft(6, seen=3)])
    assert [entry.item_seq for entry in chained + side_by_side] == [2, 3, 4, 5, 6]


def test_whoever_did_not_see_the_newest_entry_is_told_who_and_when(ledger: Ledger) -> None:
    ledger.append([draft(1, to="pouch")])
    (newest,) = ledger.append([draft(2, seen=1, to="camera B")])
    with pytest.raises(Stale) as caught:
        ledger.append([draft(3, seen=1)])
    assert caught.value.newest == newest
    assert caught.value.draft == draft(3, seen=1)
    assert str(caught.value) == "TX01 is at entry 2 and you saw 1; look at it again, then decide"
    assert ledger.head()[0] == 2


def test_whoever_saw_entries_that_are_not_there_is_told_so(ledger: Ledger) -> None:
    with pytest.raises(Stale, match="TX01 has no entry and you saw 4") as caught:
        ledger.append([draft(1, seen=4)])
    assert caught.value.newest is None


def test_a_lost_acknowledgement_retried_gives_the_same_entry_once(url: str) -> None:
    with Ledger.open(url) as ledger:
        recorded = ledger.append([draft(1)])  # and the writer died before it could show this
    with Ledger.open(url) as ledger:
        ledger.append([draft(2, seen=1)])
        assert ledger.append([draft(1)]) == recorded
        assert ledger.head()[0] == 2


def test_a_bag_retried_together_with_something_new_adds_only_the_new(ledger: Ledger) -> None:
    bag = ledger.append([draft(1, "TX01"), draft(2, "TX02")])
    again = ledger.append([draft(1, "TX01"), draft(3, "TX01", seen=1), draft(2, "TX02")])
    assert (again[0], again[2]) == bag
    assert (again[1].seq, again[1].item_seq) == (3, 2)


def test_the_same_draft_twice_in_one_call_is_one_entry(ledger: Ledger) -> None:
    first, second = ledger.append([draft(1), draft(1)])
    assert first == second
    assert ledger.head()[0] == 1


@pytest.mark.parametrize(
    "other", [draft(1, to="camera B"), draft(1, item="TX02"), draft(1, job="day-02")]
)
def test_an_id_recorded_with_another_content_is_refused(ledger: Ledger, other: Draft) -> None:
    ledger.append([draft(1)])
    with pytest.raises(Refused, match=f"the id {made_id(1)} is recorded with another content"):
        ledger.append([other])
    assert ledger.head()[0] == 1


def test_what_can_never_be_recorded_is_refused_before_anything_is_written(ledger: Ledger) -> None:
    with pytest.raises(Refused, match=r"^TX09 cannot be recorded: its item holds control"):
        ledger.append([draft(1), draft(2, item="TX09\x1b")])
    assert ledger.head()[0] == 0


def test_order_is_that_of_recording_whatever_the_clocks_say(url: str) -> None:
    hour_ms = 3_600_000
    clocks = [NOON_MS, NOON_MS - hour_ms, NOON_MS + hour_ms, NOON_MS - hour_ms + 1]
    ids = [new_id(clock, bytes(10)) for clock in clocks]
    with Ledger.open(url) as one, Ledger.open(url) as other:
        for seen, id in enumerate(ids):
            writer = (one, other)[seen % 2]
            writer.append([Draft(id, "day-01", "TX01", seen, {"at": clocks[seen]})])
        recorded = one.entries("day-01")
        assert [entry.id for entry in recorded] == ids
        assert [entry.item_seq for entry in recorded] == [1, 2, 3, 4]
        assert other.verify() == []


@pytest.mark.parametrize(
    "statement",
    ["UPDATE entry SET text = 'x'", "UPDATE entry SET seq = 9 WHERE seq = 1", "DELETE FROM entry",
     "DELETE FROM entry WHERE seq = 1", "TRUNCATE entry", "REPLACE INTO entry SELECT * FROM entry",
     "INSERT OR REPLACE INTO entry SELECT 9, id, job, item, 9, text, hash FROM entry",
     "INSERT OR REPLACE INTO entry SELECT 9, 'x', job, item, item_seq, text, hash FROM entry"],
)  # fmt: skip
def test_entries_cannot_be_altered_or_removed(url: str, statement: str) -> None:
    if "postgresql" in url and "REPLACE" in statement:
        pytest.skip("PostgreSQL has no REPLACE")
    if "sqlite" in url and "TRUNCATE" in statement:
        pytest.skip("SQLite has no TRUNCATE")
    with Ledger.open(url) as ledger:
        recorded = ledger.append([draft(1)])
        engine = sa.create_engine(url)
        with pytest.raises(sa.exc.DBAPIError, match="only added to"), engine.begin() as connection:
            connection.exec_driver_sql(statement)
        engine.dispose()
        assert ledger.entries("foxes/day-01") == recorded
        assert ledger.head()[0] == 1


def test_the_settings_that_keep_entries_are_on_for_every_connection(file_url: str) -> None:
    with Ledger.open(file_url) as ledger:
        for _ in range(2):
            with ledger._engine.connect() as connection:
                found = {
                    name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                    for name in ("journal_mode", "synchronous", "fullfsync", "busy_timeout")
                }
            assert found == {
                "journal_mode": "delete", "synchronous": 3, "fullfsync": 1, "busy_timeout": 5000
            }  # fmt: skip


def test_the_servers_settings_are_on_for_every_connection(new_server_url: NewUrl) -> None:
    with Ledger.open(new_server_url()) as ledger, ledger._engine.connect() as connection:
        names = "synchronous_commit", "lock_timeout", "idle_in_transaction_session_timeout"
        found = [connection.exec_driver_sql(f"SHOW {name}").scalar() for name in names]
        level = connection.exec_driver_sql("SHOW transaction_isolation").scalar()
    assert (*found, level) == ("on", "5s", "10s", "read committed")


def test_a_ledger_set_to_wal_by_another_program_is_set_back(file: Path, file_url: str) -> None:
    with sa.create_engine(file_url).connect() as connection:
        connection.exec_driver_sql("PRAGMA journal_mode=WAL")
    with Ledger.open(file_url) as ledger:
        ledger.append([draft(1)])
    assert sorted(file.parent.iterdir()) == [file]
    assert file.read_bytes()[18:20] == b"\x01\x01"  # the format's mark for a rollback journal


def test_folders_made_for_a_ledger_are_the_users_alone(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    Ledger.open(f"sqlite:///{tmp_path}/one/two/ledger.db").close()
    modes = [stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "one", tmp_path / "one/two")]
    assert modes == [0o700, 0o700]
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o755


@pytest.mark.parametrize("name", ["a?b.db", "a%41.db", "a b#c.db", "Füchse.db", "a@b:c.db"])
def test_any_name_that_a_file_can_have_will_do(tmp_path: Path, name: str) -> None:
    from kitprep.ledger.place import file_url

    with Ledger.open(file_url(tmp_path / name)) as ledger:
        ledger.append([draft(1)])
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_two_threads_can_share_an_open_ledger(ledger: Ledger) -> None:
    from concurrent.futures import ThreadPoolExecutor

    def tick(number: int) -> Entry:
        return ledger.append([draft(number, f"TX{number:02}")])[0]

    with ThreadPoolExecutor(4) as pool:
        recorded = list(pool.map(tick, range(1, 41)))
    assert sorted(entry.seq for entry in recorded) == list(range(1, 41))
    assert ledger.verify() == []
