"""Drafts for the tests, with ids and times counted out, so that a test's bytes never change."""

from __future__ import annotations

from kitprep.ledger.entries import Draft, new_id

NOON_MS = 1_805_025_600_000


def draft(
    number: int, item: str = "TX01", seen: int = 0, to: str = "pouch", job: str = "foxes/day-01"
) -> Draft:
    """Draft number so-and-so: this item was seen at entry `seen` and goes `to` there."""
    return Draft(made_id(number), job, item, seen, {"to": to, "who": "Ines Brandt"})


def made_id(number: int) -> str:
    return new_id(NOON_MS + number, number.to_bytes(10, "big"))
