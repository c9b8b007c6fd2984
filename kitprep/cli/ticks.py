"""``pack``, ``confirm`` and ``back``: what the walks' screens do, for a shell or a scanner.

Every thing is looked up before anything is recorded; one that is wrong is told and the rest is
still recorded, for a scanner does not type them again.
"""

import sys
from argparse import Namespace
from collections.abc import Callable, Iterable, Iterator

from kitprep.cli import BAD, DONE, answer, say
from kitprep.cli.answers import open_job
from kitprep.job import Job
from kitprep.walks.line_check import CheckLine, line_check
from kitprep.walks.pack import PackItem, pack_view, scan
from kitprep.walks.wrap import WrapItem, wrap_view

UNITS = ("transmitter", "receiver", "adapter")


class _Wrong(Exception):
    """Something that cannot be recorded, and why."""


def _things(words: Iterable[str]) -> Iterator[tuple[str, str | None]]:
    """Each word as a name and what stands after its equals sign; - stands for standard input."""
    for word in words:
        for line in sys.stdin if word == "-" else (word,):
            name, equals, value = line.strip().partition("=")
            if name:
                yield name, value if equals else None


def _each(given: Namespace, record: Callable[[Job, Namespace, str, str | None], str]) -> int:
    job = open_job(given)
    status = DONE
    for name, value in _things(given.things):
        try:
            answer(record(job, given, name, value) + "\n")
        except _Wrong as wrong:
            say(f"kitprep: {wrong}")
            status = BAD
    return status


def run_pack(given: Namespace) -> int:
    """Ticks lines, or leaves them out with a reason."""
    return _each(given, _pack)


def _pack(job: Job, given: Namespace, name: str, value: str | None) -> str:
    view = pack_view(job.worked, job.state)
    found = scan(job.worked, view, name)
    if found.item is None:
        raise _Wrong(found.says)
    key = found.item.line.key
    if given.leave_out:
        job.record(key, "skipped", reason=given.leave_out)
        return f"[-] {key} left out: {given.leave_out}"
    qty = _count(found.item, value)
    job.record(key, "packed", qty=qty)
    item = pack_view(job.worked, job.state).find(key)
    assert item is not None
    needed = "" if item.mark == "packed" else f" of {item.line.qty}"
    return f"[{'x' if item.mark == 'packed' else '~'}] {key} {item.mark}: {qty}{needed}"


def _count(item: PackItem, value: str | None) -> int:
    if item.line.kind in UNITS:
        if value not in (None, "1"):
            raise _Wrong(f"{item.line.key} is one thing; leave out ={value}")
        return 1
    if value is None or not value.isdecimal():
        raise _Wrong(f"{item.line.key}: how many? write {item.line.key}={item.line.qty}")
    return int(value)


def run_confirm(given: Namespace) -> int:
    """Records observations; with none given, lists what is to be asked."""
    if given.things:
        return _each(given, _confirm)
    job = open_job(given)
    for line in _all_checks(job):
        answers = " | ".join(line.question.answers) or "what is read"
        answer(
            f"{line.key.removeprefix('check:')}  {line.question.asks} [{answers}]  {line.verdict}\n"
        )
    return DONE


def _all_checks(job: Job) -> list[CheckLine]:
    return [
        line
        for needs in job.worked.scenes
        for line in line_check(job.worked, job.state, needs.scene.number)
    ]


def _confirm(job: Job, given: Namespace, name: str, value: str | None) -> str:
    line = next((c for c in _all_checks(job) if c.key == f"check:{name}"), None)
    if line is None:
        raise _Wrong(f"no question {name} today; kitprep confirm {given.plan} lists them")
    answers = line.question.answers
    if not value or (answers and value not in answers):
        raise _Wrong(f"{name}: {line.question.asks} write one of: {', '.join(answers) or '=…'}")
    job.record(line.key, "observed", answer=value, chain=line.chain)
    after = next(c for c in _all_checks(job) if c.key == line.key)
    causes = [f"\n    perhaps {cause}" for cause in line.question.causes]
    return f"{name}: {after.verdict}" + ("".join(causes) if after.verdict == "differs" else "")


def run_back(given: Namespace) -> int:
    """Records outcomes at wrap."""
    return _each(given, _back)


def _back(job: Job, given: Namespace, name: str, value: str | None) -> str:
    item = wrap_view(job.worked, job.state).find(name)
    if item is None:
        raise _Wrong(f"{name} did not go out on this job")
    if item.cards_open == value and value is not None:
        job.record(item.line.key, "card", step=value)
        return f"[x] {item.line.key} {value}"
    counts = _outcome(item, value)
    if "with" in counts and not given.holder:
        raise _Wrong(f"{name}: with whom? write --holder NAME")
    holder = given.holder if "with" in counts else None
    job.record(item.line.key, "returned", counts=counts, holder=holder, note=given.note)
    after = wrap_view(job.worked, job.state).find(name)
    assert after is not None
    difference = f", {after.difference:+d}" if after.difference else ""
    return f"[{'x' if after.settled else '~'}] {item.line.key} {after.mark}{difference}"


def _outcome(item: WrapItem, value: str | None) -> dict[str, int]:
    """ "wet" for a unit, "11" or "back:9,not seen:2" for what is counted."""
    if item.line.kind in UNITS:
        word = value or "back"
        if word not in item.outcomes:
            raise _Wrong(
                f'{item.line.key}: "{word}" is no outcome; write {", ".join(item.outcomes)}'
            )
        return {word: 1}
    counts: dict[str, int] = {}
    for part in (value or "").split(","):
        word, colon, number = part.strip().rpartition(":")
        word = word.strip() if colon else "back"
        if word not in item.outcomes or not number.strip().isdecimal():
            example = ",".join(f"{o}:1" for o in item.outcomes[:2])
            raise _Wrong(f"{item.line.key}: how many? write {item.line.key}={example}")
        counts[word] = counts.get(word, 0) + int(number)
    return counts
