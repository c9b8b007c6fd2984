"""``kitprep report``: the day as it went, with times and hands: out, back, swapped, failed."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from kitprep.definitions.text import clean_line
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import OTHERS_WORDS, Event, JobState, read_event
from kitprep.planning.results import WorkedDay
from kitprep.walks.line_check import line_check
from kitprep.walks.pack import pack_view
from kitprep.walks.wrap import WrapItem, wrap_view


def report_json(
    day: WorkedDay, job: JobState, entries: Sequence[Entry], head: tuple[int, str]
) -> dict[str, Any]:
    """The document; ``head`` is the ledger's last entry, by which a cut-off tail would show."""
    wrap = wrap_view(day, job)
    events = [read_event(entry) for entry in entries]
    return {
        "kit": day.kit.kit,
        "day": day.plan.day.isoformat(),
        "stage": job.stage,
        "out": [_out(item) for item in wrap.items],
        "left_out": [
            {"key": item.line.key, "name": item.line.name, "reason": item.state.skipped}
            for item in pack_view(day, job).skipped
        ],
        "swaps": [_told(event, by=event.facts.get("by")) for event in _of(events, "swapped")],
        "withdrawn": [
            _told(event, withdrawn=bool(event.facts.get("withdrawn", True)))
            for event in _of(events, "withdrawn")
        ],
        "contested": [
            _told(event, by=event.facts.get("by"), kind=event.kind)
            for event in events
            if event.kind in OTHERS_WORDS
        ],
        "cells_changed": [_told(event) for event in _of(events, "cells changed")],
        "handed": [
            _told(event, holder=event.facts.get("holder")) for event in _of(events, "handed")
        ],
        "line_check": _line_check(day, job),
        "stages": [_told(event, stage=event.facts.get("stage")) for event in _of(events, "stage")],
        "ledger": {"entries": head[0], "hash": head[1]},
    }


def _of(events: Iterable[Event], kind: str) -> Iterator[Event]:
    return (event for event in events if event.kind == kind)


def _told(event: Event, **facts: Any) -> dict[str, Any]:
    note = event.facts.get("reason") or event.facts.get("note") or ""
    return {"item": event.item, "at": event.at, "who": event.who, "note": note, **facts}


def _out(item: WrapItem) -> dict[str, Any]:
    state = item.state
    return {
        "key": item.line.key,
        "name": item.line.name,
        "packed": item.went_out,
        "outcome": dict(state.outcome),
        "difference": item.difference if state.outcome else None,
        "state": item.mark,
        "with": state.outcome_holder or state.holder,
        "note": state.note,
        "owner": item.line.owner,
        "at": state.at,
        "who": state.who,
    }


def _line_check(day: WorkedDay, job: JobState) -> list[dict[str, Any]]:
    """Every answer that is not as planned, with what was expected."""
    return [
        {
            "scene": line.link.scene,
            "source": line.link.source,
            "destination": line.link.destination,
            "question": line.question.name,
            "answer": line.state.answer,
            "expected": line.question.expected,
            "verdict": line.verdict,
            "at": line.state.at,
            "who": line.state.who,
        }
        for needs in day.scenes
        for line in line_check(day, job, needs.scene.number)
        if line.state.answer is not None and line.verdict in ("differs", "unverified", "ask again")
    ]


def report_text(document: dict[str, Any]) -> str:
    """The same on paper."""
    return "\n".join(_plain(line) for line in _lines(document)) + "\n"


def _plain(line: str) -> str:
    """Without what would steer a terminal, whatever was written into the ledger."""
    text = line.lstrip(" ")
    return line[: len(line) - len(text)] + clean_line(text)


def _lines(document: dict[str, Any]) -> Iterator[str]:
    yield f"REPORT  {document['kit']}  {document['day']}  {document['stage']}"
    out = document["out"]
    settled = sum(line["state"] in ("back", "with") for line in out)
    yield f"{len(out)} lines went out; {settled} back or with someone by name"
    yield from _section(
        "TO LOOK AT", [_thing(o) for o in out if o["state"] not in ("back", "with")]
    )
    yield from _section("STAYS OUT", [_thing(o) for o in out if o["state"] == "with"])
    yield from _section("LEFT OUT", [f"{o['key']}  {o['reason']}" for o in document["left_out"]])
    yield from _section(
        "SWAPPED",
        [f"{s['by']} in for {s['item']}  {s['note']}  {_hand(s)}" for s in document["swaps"]],
    )
    yield from _section(
        "WITHOUT",
        [
            f"{w['item']}  {'taken off the plan' if w['withdrawn'] else 'on the plan again'}  "
            f"{w['note']}  {_hand(w)}"
            for w in document["withdrawn"]
        ],
    )
    yield from _section(
        "BETWEEN JOBS",
        [
            f"{c['item']}  {'out on' if c['kind'] == 'contested' else 'wanted by'} {c['by']}  "
            f"{_hand(c)}"
            for c in document["contested"]
        ],
    )
    yield from _section(
        "HANDED OUT",
        [f"{h['item']}  to {h['holder']}  {_hand(h)}" for h in document["handed"]],
    )
    yield from _section(
        "LINE CHECK",
        [
            f"scene {c['scene']} {c['source']} to {c['destination']}, {c['question']}: "
            f"{c['answer']} (planned {c['expected']}), {c['verdict']}  {_hand(c)}"
            for c in document["line_check"]
        ],
    )
    yield from _section(
        "CELLS CHANGED", [f"{c['item']}  {_hand(c)}" for c in document["cells_changed"]]
    )
    yield from _section("STAGES", [f"{s['stage']}  {_hand(s)}" for s in document["stages"]])
    ledger = document["ledger"]
    yield ""
    yield f"Ledger: {ledger['entries']} entries, head {ledger['hash']}"
    yield "Note this head: kitprep ledger verify --head shows by it whether anything was cut off."


def _section(heading: str, lines: Sequence[str]) -> Iterator[str]:
    if lines:
        yield ""
        yield heading
        yield from (f"  {line}" for line in lines)


def _thing(line: dict[str, Any]) -> str:
    difference = f", {line['difference']:+d}" if line["difference"] else ""
    holder = f" {line['with']}" if line["with"] else ""
    note = f"  {line['note']}" if line["note"] else ""
    became = ", ".join(
        word if count == 1 else f"{count} {word}"
        for word, count in line["outcome"].items()
        if count
    )
    return (
        f"{line['key']}  {line['name']}: {became or line['state']}{holder}{difference}{note}  "
        f"{_hand(line)}"
    )


def _hand(line: dict[str, Any]) -> str:
    return f"[{line['who']} {line['at'][:16].replace('T', ' ')} UTC]" if line["at"] else ""
