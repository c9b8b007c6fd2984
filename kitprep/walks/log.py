"""The job's log: each event as one sentence, with the clock of the place."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from kitprep.definitions.text import clean_line
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import JOB, Event, read_event

NO_NAMES: Mapping[str, str] = {}

STAGE_WORDS = {
    "planned": "planned",
    "packing": "packing has begun",
    "packed": "packed and signed",
    "out": "the kit has gone out",
    "returned": "everything has an outcome",
    "closed": "the job is closed",
}


def local_time(at: str) -> tuple[str, str]:
    """Day and clock of a moment (UTC, ISO 8601) where the reader is; empty where it is no time."""
    try:
        here = datetime.fromisoformat(at).astimezone()
    except (ValueError, OverflowError, OSError):
        return "", clean_line(at)[:16]
    return here.strftime("%Y-%m-%d"), here.strftime("%H:%M:%S")


def said_by(entry: Entry, names: Mapping[str, str] = NO_NAMES) -> str:
    """An entry as "Ana at 21:42: TX01 packed", for those who came second."""
    event = read_event(entry)
    _, time = local_time(event.at)
    return f"{clean_line(event.who) or 'someone'} at {time[:5]}: {sentence(event, names)}"


def sentence(event: Event, names: Mapping[str, str] = NO_NAMES) -> str:
    """What happened, in a few words; what a newer program wrote is told by its kind.

    ``names`` says how lines are called, by key; others go by their key.
    """
    said = clean_line(f"{_subject(event, names)} {_what(event)}").strip()
    return said or "something that this program does not know"


def _subject(event: Event, names: Mapping[str, str]) -> str:
    if event.item == JOB:
        return ""
    if event.item.startswith("check:"):
        scene, _, rest = event.item.removeprefix("check:").partition(":")
        return f"scene {scene}, {' '.join(rest.split(':'))}:"
    return names.get(event.item, event.item)


def _what(event: Event) -> str:
    facts = event.facts
    match event.kind:
        case "packed":
            qty = facts.get("qty", 1)
            return "packed" if qty == 1 else f"packed: {qty}"
        case "unpacked":
            return "taken out again"
        case "skipped":
            return f"left out: {facts.get('reason', '')}"
        case "checked":
            return f"{facts.get('check', 'check')}: {facts.get('value', '')}"
        case "handed":
            number = f"{facts['qty']} " if "qty" in facts else ""
            return f"{number}handed to {facts.get('holder', '')}"
        case "chosen anew":
            return "chosen anew among what is in the bag"
        case "added":
            return f"added while out: {facts.get('qty', 1)}{_noted(facts)}"
        case "taken back":
            number = f"{facts['qty']} " if "qty" in facts else ""
            whose = f" from {facts['holder']}" if facts.get("holder") else ""
            return f"{number}taken back{whose}"
        case "returned":
            return _returned(event)
        case "card":
            return f"cards {facts.get('step', '')}"
        case "swapped":
            return f"swapped for {facts.get('by', '')}: {facts.get('reason', '')}"
        case "withdrawn":
            back = not facts.get("withdrawn", True)
            return "is on the plan again" if back else f"off the plan: {facts.get('reason', '')}"
        case "claimed":
            return f"taken by {facts.get('job', '')}"
        case "released":
            return f"given back by {facts.get('job', '')}"
        case "cleared":
            return f"can be planned with again: {facts.get('note', '')}"
        case "wanted":
            return f"is wanted by {facts.get('by', '')}"
        case "spare":
            return "taken along as a spare" if facts.get("taken", True) else "left as a spare"
        case "counted":
            return f"counted: {facts.get('qty', '')} in it"
        case "cells changed":
            at = f" at {facts['at_destination']}" if facts.get("at_destination") else ""
            what = "pack" if event.item.startswith("supply:") else "set of cells"
            return f"has a fresh {what}{at}"
        case "standby":
            return "put to sleep" if facts.get("asleep", True) else "woken"
        case "moved":
            number = f"{facts['qty']} " if "qty" in facts else ""
            seen = "not seen in after all" if facts.get("seen", True) is False else "seen in"
            return f"{number}{seen}, leaving {facts.get('to', '')}"
        case "contested":
            return f"wanted, and out on {facts.get('by', '')}"
        case "observed":
            return str(facts.get("answer", ""))
        case "stage":
            note = f" ({facts['note']})" if facts.get("note") else ""
            return STAGE_WORDS.get(str(facts.get("stage")), str(facts.get("stage"))) + note
    return event.kind


def _noted(facts: Mapping[str, Any]) -> str:
    return f" ({facts['note']})" if facts.get("note") else ""


def _returned(event: Event) -> str:
    counts = event.facts.get("counts")
    if not isinstance(counts, dict) or not counts:
        return "outcome taken off"
    alone = len(counts) == 1 and next(iter(counts.values())) == 1
    words = ", ".join(word if alone else f"{n} {word}" for word, n in counts.items() if n)
    holder = f" {event.facts['holder']}" if event.facts.get("holder") else ""
    note = f" ({event.facts['note']})" if event.facts.get("note") else ""
    return f"{words or 'none'}{holder}{note}"
