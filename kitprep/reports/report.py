"""``kitprep report``: the day as it went, with times and hands: out, back, swapped, failed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from kitprep.definitions.text import clean_line, clock, counted
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import OTHERS_WORDS, Event, JobState, read_event
from kitprep.planning.results import Link, WorkedDay
from kitprep.walks.line_check import CheckLine, all_lines, not_served
from kitprep.walks.log import local_time
from kitprep.walks.pack import doubts, pack_view
from kitprep.walks.readings import Doubt
from kitprep.walks.wrap import WrapItem, wrap_view


def report_json(
    day: WorkedDay, job: JobState, entries: Sequence[Entry], head: tuple[int, str]
) -> dict[str, Any]:
    """The document; ``head`` is the ledger's last entry, by which a cut-off tail would show."""
    wrap = wrap_view(day, job)
    events = [read_event(entry) for entry in entries]
    last = {(event.item, event.kind): event for event in events}
    checks = all_lines(day, job)
    return {
        "kit": day.kit.kit,
        "day": day.plan.day.isoformat(),
        "stage": job.stage,
        "out": [_out(item, last) for item in wrap.items],
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
        "cards": [_told(event, step=event.facts.get("step")) for event in _of(events, "card")],
        "cells_changed": [
            _told(event, went_in=_clock(event)) for event in _of(events, "cells changed")
        ],
        "handed": [
            _told(event, holder=event.facts.get("holder"), qty=event.facts.get("qty"))
            for event in _of(events, "handed")
        ],
        "readings": [
            {"key": d.key, "check": d.check, "value": d.value, "wanted": d.wanted, "worth": d.worth}
            for d in doubts(pack_view(day, job))
        ],
        "line_check": _line_check(checks),
        "not_asked": _not_asked(checks),
        "not_served": [
            {
                "scene": dead.scene,
                "source": dead.source,
                "destination": dead.destination,
                "reason": dead.reason,
            }
            for dead in not_served(day)
        ],
        "stages": [_told(event, stage=event.facts.get("stage")) for event in _of(events, "stage")],
        "ledger": {"entries": head[0], "hash": head[1]},
    }


def _of(events: Iterable[Event], kind: str) -> Iterator[Event]:
    return (event for event in events if event.kind == kind)


def _told(event: Event, **facts: Any) -> dict[str, Any]:
    note = event.facts.get("reason") or event.facts.get("note") or ""
    return {"item": event.item, "at": event.at, "who": event.who, "note": note, **facts}


def _clock(event: Event) -> str:
    """When a set went in, as it was said."""
    minute = event.facts.get("minute")
    return clock(minute) if isinstance(minute, int) else ""


def _out(item: WrapItem, last: Mapping[tuple[str, str], Event]) -> dict[str, Any]:
    """A thing that went out; ``last`` has the newest event of each kind for each item."""
    state = item.state
    packed = last.get((item.line.key, "packed")) or last.get((item.line.key, "added"))
    back = last.get((item.line.key, "returned")) if state.outcome else None
    return {
        "key": item.line.key,
        "name": item.line.name,
        "packed": item.went_out,
        "added": item.state.added,
        "outcome": dict(state.outcome),
        "difference": item.difference if state.outcome else None,
        "state": item.mark,
        "with": state.outcome_holder or state.holder,
        "note": state.note,
        "owner": item.line.owner,
        "at": state.at,
        "who": state.who,
        "packed_at": packed.at if packed else "",
        "packed_by": packed.who if packed else "",
        "outcome_at": back.at if back else "",
        "outcome_by": back.who if back else "",
    }


def _line_check(lines: Iterable[CheckLine]) -> list[dict[str, Any]]:
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
        for line in lines
        if line.state.answer is not None and line.verdict in ("differs", "unverified", "ask again")
    ]


def _not_asked(lines: Iterable[CheckLine]) -> list[dict[str, Any]]:
    """Every link with questions that nobody has answered, with their names."""
    questions: dict[Link, list[str]] = {}
    for line in lines:
        if line.state.answer is None:
            questions.setdefault(line.link, []).append(line.question.name)
    return [
        {
            "scene": link.scene,
            "source": link.source,
            "destination": link.destination,
            "questions": names,
        }
        for link, names in questions.items()
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
    yield f"{counted(len(out), 'line')} went out; {settled} back or with someone by name"
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
        [
            f"{h['item']}  {h['qty'] or ''}{' ' if h['qty'] else ''}to {h['holder']}  {_hand(h)}"
            for h in document["handed"]
        ],
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
        "NOT ASKED AT LINE CHECK",
        [
            f"scene {n['scene']} {n['source']} to {n['destination']}: {', '.join(n['questions'])}"
            for n in document["not_asked"]
        ],
    )
    yield from _section(
        "READ AT PACKING, NOT AS WANTED", [Doubt(**each).says for each in document["readings"]]
    )
    yield from _section(
        "CARDS", [f"{c['item']}  {c['step']}  {_hand(c)}" for c in document["cards"]]
    )
    yield from _section(
        "NOT SERVED, SO NOT CHECKED",
        [
            f"scene {d['scene']} {d['source']} to {d['destination']}: {d['reason']}"
            for d in document["not_served"]
        ],
    )
    yield from _section(
        "CELLS CHANGED",
        [
            f"{c['item']}  {c['went_in'] + '  ' if c['went_in'] else ''}{_hand(c)}"
            for c in document["cells_changed"]
        ],
    )
    yield from _section("STAGES", [_stage(s) for s in document["stages"]])
    yield from _section("OUT AND BACK", [_out_and_back(o) for o in out])
    ledger = document["ledger"]
    yield ""
    yield "Times are by the clock here; the ledger, and --json, keep them in UTC."
    yield f"Ledger: {ledger['entries']} entries, head {ledger['hash']}"
    yield "Write this head down: kitprep ledger verify --head shows by it if anything was cut off."


def _section(heading: str, lines: Sequence[str]) -> Iterator[str]:
    if lines:
        yield ""
        yield heading
        yield from (f"  {line}" for line in lines)


def _stage(stage: dict[str, Any]) -> str:
    note = f"  {stage['note']}" if stage["note"] else ""
    return f"{stage['stage']}{note}  {_hand(stage)}"


def _thing(line: dict[str, Any]) -> str:
    note = f"  {line['note']}" if line["note"] else ""
    return f"{line['key']}  {line['name']}: {_became(line)}{note}  {_hand(line)}"


def _out_and_back(line: dict[str, Any]) -> str:
    packed = _by(line["packed_by"], line["packed_at"])
    outcome = _by(line["outcome_by"], line["outcome_at"])
    packed_first = line["packed"] - line["added"]
    count = f" {packed_first} + {line['added']} added" if line["added"] else f" {packed_first}"
    count = "" if count == " 1" else count
    return f"{line['key']}  {line['name']}: out{count} {packed}, {_became(line)} {outcome}".rstrip()


def _became(line: dict[str, Any]) -> str:
    holder = f" {line['with']}" if line["with"] else ""
    difference = f", {line['difference']:+d}" if line["difference"] else ""
    became = ", ".join(
        word if count == 1 else f"{count} {word}"
        for word, count in line["outcome"].items()
        if count
    )
    return f"{became or line['state']}{holder}{difference}"


def _hand(line: dict[str, Any]) -> str:
    return _by(line["who"], line["at"])


def _by(who: str, at: str) -> str:
    """Whose hand it was, and when by the clock here; the ledger keeps the time in UTC."""
    day, time = local_time(at)
    return f"[{who} {day} {time[:5]}]" if at else ""
