"""What an entry is, byte for byte, without any storage."""

from __future__ import annotations

import subprocess
import sys
import uuid
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import kitprep
from kitprep.ledger import entries
from kitprep.ledger.entries import GENESIS, Draft, Entry, Problem

from .making import draft


def chain(count: int) -> list[Entry]:
    """`count` entries of one item, as a ledger would hold them."""
    made: list[Entry] = []
    for number in range(1, count + 1):
        before = made[-1].hash if made else GENESIS
        made.append(entries.record(draft(number), number, number, before))
    return made


def test_an_id_is_the_example_of_the_standard() -> None:
    # RFC 9562, A.6: unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F
    random = (0xCC3 << 68 | 0x18C4DC0C0C07398F).to_bytes(10, "big")
    assert entries.new_id(0x017F22E279B0, random) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(st.integers(0, 2**48 - 1), st.binary(min_size=10, max_size=10))
def test_an_id_is_a_version_7_uuid_that_tells_its_time(now_ms: int, random: bytes) -> None:
    made = uuid.UUID(entries.new_id(now_ms, random))
    assert (made.version, made.variant, made.int >> 80) == (7, uuid.RFC_4122, now_ms)


@pytest.mark.parametrize(("now_ms", "length"), [(-1, 10), (2**48, 10), (0, 9), (0, 11)])
def test_an_id_is_not_made_from_a_wrong_time_or_too_little_chance(now_ms: int, length: int) -> None:
    with pytest.raises(ValueError, match="48 bits and 10 random bytes"):
        entries.new_id(now_ms, bytes(length))


def test_a_body_is_written_in_one_way_only() -> None:
    assert entries.canonical({"b": [1, 2.5, None, True], "a": "Größe\n"}) == (
        '{"a":"Größe\\n","b":[1,2.5,null,true]}'
    )
    assert entries.canonical({"b": 1, "a": 2}) == entries.canonical({"a": 2, "b": 1})


@pytest.mark.parametrize(
    "body",
    [{"a": float("nan")}, {"a": float("inf")}, {1: "a"}, {"a": (1, 2)}, {"a": {1, 2}},
     {"a": "\ud800"}, {"a": b"b"}, {"a": 1, 2: 3}, ["a"], "a", None],
)  # fmt: skip
def test_a_body_that_json_would_alter_is_no_body(body: object) -> None:
    with pytest.raises(ValueError, match="not plain JSON"):
        entries.canonical(body)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "value"),
    [("id", ""), ("id", "x" * 37), ("job", ""), ("job", "a\nb"), ("item", "x" * 201),
     ("item", "\x00"), ("item", "\ud800"), ("body", {"a": float("nan")})],
)  # fmt: skip
def test_a_draft_says_why_it_cannot_be_recorded(name: str, value: object) -> None:
    fault = entries.fault(replace(draft(1), **{name: value}))  # type: ignore[arg-type]
    assert fault is not None
    assert fault.startswith(f"its {name} ")
    assert entries.fault(draft(1)) is None


def test_the_hash_covers_the_hash_before_and_every_byte() -> None:
    # printf '%s\n%s' "$(printf '0%.0s' {1..64})" '{"a":1}' | sha256sum
    assert entries.chain_hash(GENESIS, '{"a":1}') == (
        "f21735afd2cd6af4fc5804b0045cebfd545aef8396d29d030c39cb8880b45b7f"
    )


def test_a_stored_entry_reads_back_as_it_was_recorded() -> None:
    made = entries.record(Draft("i", "j", "k", 0, {"é": [1.5, "\u2028"]}), 1, 1, GENESIS)
    again = entries.stored(1, "i", "j", "k", 1, made.text, made.hash)
    assert again == made


def test_a_whole_chain_has_no_problem() -> None:
    assert entries.verify(chain(9)) == []
    assert entries.verify([]) == []


@pytest.mark.parametrize(
    "change",
    [{"seq": 77}, {"id": "another"}, {"job": "another"}, {"item": "TX02"}, {"item_seq": 77},
     {"text": "{}"}, {"text": "x"}, {"hash": GENESIS}],
)  # fmt: skip
def test_an_altered_column_is_found_at_its_entry(change: dict[str, object]) -> None:
    whole = chain(9)
    altered = replace(whole[4], **change)  # type: ignore[arg-type]
    columns = (altered.seq, altered.id, altered.job, altered.item, altered.item_seq)
    whole[4] = entries.stored(*columns, altered.text, altered.hash)
    assert entries.verify(whole)[0].seq == 5


def test_an_entry_altered_with_its_hash_is_found_at_the_next() -> None:
    whole = chain(9)
    whole[4] = entries.record(draft(5, to="elsewhere"), 5, 5, whole[3].hash)
    found = entries.verify(whole)
    assert found == [Problem(6, "its hash does not follow from it and the entry before")]


def test_a_removed_entry_is_found_in_its_place() -> None:
    whole = chain(9)
    del whole[4]
    assert entries.verify(whole) == [Problem(5, "it is missing, or not in its place")]


def test_two_entries_swapped_are_found_at_the_first() -> None:
    whole = chain(9)
    whole[4], whole[5] = whole[5], whole[4]
    assert entries.verify(whole)[0].seq == 5


def test_a_tail_cut_off_is_found_with_a_noted_hash_only() -> None:
    whole = chain(9)
    noted = whole[-1].hash
    assert entries.verify(whole[:7]) == []
    assert [problem.seq for problem in entries.verify(whole[:7], noted)] == [7]


def test_a_hash_noted_earlier_still_holds_when_the_ledger_has_grown() -> None:
    whole = chain(9)
    assert entries.verify(whole, whole[3].hash) == []
    assert entries.verify(whole, GENESIS) == []


def test_an_items_entries_must_follow_each_other_even_in_a_sound_chain() -> None:
    first = entries.record(draft(1), 1, 1, GENESIS)
    skipped = entries.record(draft(2), 3, 2, first.hash)
    assert entries.verify([first, skipped]) == [Problem(2, "it is not the next entry for its item")]


def test_an_id_used_twice_is_found_even_in_a_sound_chain() -> None:
    first = entries.record(draft(1), 1, 1, GENESIS)
    again = entries.record(draft(1), 2, 2, first.hash)
    assert entries.verify([first, again]) == [Problem(2, "its id was used before")]


@pytest.mark.parametrize("name", ["entries", "errors", "place"])
def test_only_the_store_costs_a_database_library(name: str) -> None:
    look = f"import sys, kitprep.ledger.{name}; sys.exit('sqlalchemy' in sys.modules)"
    root = Path(kitprep.__file__).parents[1]
    subprocess.run([sys.executable, "-c", look], cwd=root, check=True)
