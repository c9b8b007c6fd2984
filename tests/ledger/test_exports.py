"""The ledger as lines of JSON: out of one database, into another, nothing lost on the way."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from kitprep.ledger.entries import GENESIS
from kitprep.ledger.errors import LedgerError, Refused
from kitprep.ledger.store import Ledger

from .conftest import NewUrl
from .making import draft

# What `script` leaves behind, whichever database it ran on: the last line of its export.
HEAD_AFTER_SCRIPT = "89f1656c25e47ad378eebc8d73c9811a11a5816ca4b9c89ef5b7fdb5bff24a94"


def script(ledger: Ledger) -> list[str]:
    """A day with a bit of everything, a refusal and a stale tick included; gives the export."""
    ledger.append([draft(1, "TX01"), draft(2, "TX02"), draft(3, "RX01", to="Tasche Größe M")])
    for number in range(4, 40):
        ledger.append([draft(number, "TX03", seen=number - 4, to=f"scene {number}")])
    for wrong in (draft(1, "TX04"), draft(50, "TX01"), draft(51, "a\nb")):
        with pytest.raises(LedgerError):
            ledger.append([wrong])
    ledger.append([draft(52, "TX01", job="foxes/day-02"), draft(1, "TX01"), draft(53, "TX01", 1)])
    return list(ledger.export())


def test_the_same_script_gives_the_same_bytes_on_either_database(ledger: Ledger) -> None:
    lines = script(ledger)
    assert len(lines) == 3 + 36 + 2 + 1
    assert lines[-1] == f'{{"end":{{"hash":"{HEAD_AFTER_SCRIPT}","seq":41}}}}\n'


def test_both_databases_give_the_same_bytes(new_file_url: NewUrl, new_server_url: NewUrl) -> None:
    with Ledger.open(new_file_url()) as in_file, Ledger.open(new_server_url()) as on_server:
        assert script(in_file) == script(on_server)


def test_every_line_is_json_for_other_programs_to_read(ledger: Ledger) -> None:
    first, *_, last = (json.loads(line) for line in script(ledger))
    assert first["entry"]["item"] == "TX01"
    assert last["end"]["seq"] == 41


def test_an_export_restores_to_the_same_ledger(new_url: NewUrl) -> None:
    with Ledger.open(new_url()) as ledger, Ledger.open(new_url()) as copy:
        lines = script(ledger)
        assert copy.restore(lines) == 41
        assert list(copy.export()) == lines
        assert copy.entries("foxes/day-01") == ledger.entries("foxes/day-01")
        copy.append([draft(60, "TX01", seen=2)])
        assert copy.verify(ledger.head()[1]) == []


def test_an_export_goes_through_a_text_file(ledger: Ledger, tmp_path: Path) -> None:
    script(ledger)
    exported = tmp_path / "ledger.jsonl"
    with exported.open("w", encoding="utf-8") as out:
        out.writelines(ledger.export())
    with (
        exported.open(encoding="utf-8") as lines,
        Ledger.open(f"sqlite:///{tmp_path}/copy.db") as copy,
    ):
        assert copy.restore(lines) == 41


def test_a_ledger_of_many_pages_is_exported_and_restored_whole(new_url: NewUrl) -> None:
    with Ledger.open(new_url()) as ledger, Ledger.open(new_url()) as copy:
        ledger.append([draft(number, f"TX{number}") for number in range(1, 1204)])
        assert copy.restore(ledger.export()) == 1203
        assert copy.verify(ledger.head()[1]) == []


def test_the_export_of_an_empty_ledger_restores_to_an_empty_one(new_url: NewUrl) -> None:
    with Ledger.open(new_url()) as ledger, Ledger.open(new_url()) as copy:
        assert copy.restore(ledger.export()) == 0
        assert copy.head() == (0, GENESIS)


def test_others_can_write_while_an_export_is_under_way(new_url: NewUrl) -> None:
    url = new_url()
    with Ledger.open(url) as ledger, Ledger.open(url) as other, Ledger.open(new_url()) as copy:
        ledger.append([draft(number, f"TX{number}") for number in range(1, 800)])
        lines = ledger.export()
        first = next(lines)
        other.append([draft(900, "TX01", seen=0)])
        assert copy.restore([first, *lines]) in (799, 800)


def test_nothing_is_restored_over_entries(new_url: NewUrl) -> None:
    with Ledger.open(new_url()) as ledger:
        lines = script(ledger)
        with pytest.raises(Refused, match="this ledger has entries; restore into a new one"):
            ledger.restore(lines)
        assert list(ledger.export()) == lines


def altered(lines: list[str], kind: str) -> list[str]:
    swapped = [lines[0], lines[2], lines[1], *lines[3:]]
    return {
        "a cut-off end": lines[:-1],
        "a cut-off line": [*lines[:9], lines[9][:40]],
        "a missing line": lines[:9] + lines[10:],
        "a missing last entry": [*lines[:-2], lines[-1]],
        "swapped lines": swapped,
        "a line twice": [*lines[:9], lines[8], *lines[9:]],
        "another word": [line.replace("scene 12", "scene 13") for line in lines],
        "another hash": [line.replace('"hash":"', '"hash":"0') for line in lines],
        "a word more": [line.replace('"entry":{', '"entry":{"a":1,') for line in lines],
        "half a character": [line.replace("Größe", "\\ud800") for line in lines],
        "something after the end": [*lines, lines[-1]],
        "another file": ["# a shopping list\n"],
        "other json": ["[1, 2]\n"],
        "a number": ["7\n"],
        "nothing": [],
    }[kind]


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("a cut-off end", "it is cut off before its end"),
        ("a cut-off line", "line 10 holds something else than an entry"),
        ("a missing line", "line 10 is wrong: entry 10: it is missing"),
        ("a missing last entry", "line 41 names another last entry"),
        ("swapped lines", "line 2 is wrong: entry 2"),
        ("a line twice", "line 10 is wrong: entry 10"),
        ("another word", "line 12 is wrong: entry 12: its hash does not follow"),
        ("another hash", "line 1 is wrong: entry 1: its hash does not follow"),
        ("a word more", "line 1 is wrong: entry 1: what it says is not what was recorded"),
        ("half a character", "line 3 holds something else than an entry"),
        ("something after the end", "line 43 holds something else than an entry"),
        ("another file", "line 1 holds something else than an entry"),
        ("other json", "line 1 holds something else than an entry"),
        ("a number", "line 1 holds something else than an entry"),
        ("nothing", "it is cut off before its end"),
    ],
)
def test_a_damaged_export_is_refused_whole_with_its_line(
    new_url: NewUrl, kind: str, sentence: str
) -> None:
    with Ledger.open(new_url()) as ledger, Ledger.open(new_url()) as copy:
        lines = altered(script(ledger), kind)
        with pytest.raises(Refused, match=sentence) as caught:
            copy.restore(lines)
        assert str(caught.value).startswith("the export cannot be restored: ")
        assert str(caught.value).endswith("; use an untouched copy")
        assert copy.head() == (0, GENESIS)


def test_an_export_that_cannot_be_read_to_its_end_is_refused_whole(new_url: NewUrl) -> None:
    def failing(lines: list[str]) -> Iterator[str]:
        yield from lines[:20]
        raise OSError(5, "Input/output error", "/media/stick")

    with Ledger.open(new_url()) as ledger, Ledger.open(new_url()) as copy:
        with pytest.raises(Refused, match=r"the export cannot be restored: .*Input/output error"):
            copy.restore(failing(script(ledger)))
        assert copy.head() == (0, GENESIS)
