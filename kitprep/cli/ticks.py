"""``pack``, ``confirm`` and ``back``: what the walks' screens do, for a shell or a scanner.

Every thing is looked up before anything is recorded; one that is wrong is told and the rest is
still recorded, for a scanner does not type them again.
"""

import sys
from argparse import Namespace
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing

from kitprep.cli import BAD, DONE, OPEN, answer, say
from kitprep.cli.answers import open_job, say_one_job
from kitprep.definitions.text import clean_line, shown
from kitprep.job import Job, Told
from kitprep.ledger.errors import Contested, NotNow, Stale
from kitprep.ledger.events import CARD_STEPS
from kitprep.planning.held import numbers
from kitprep.planning.packing import find_units
from kitprep.walks.cases import (
    is_lid,
    lid,
    lid_back,
    says_case,
    says_difference,
    shut,
)
from kitprep.walks.counting import read_count
from kitprep.walks.joining import NotJoining, joining
from kitprep.walks.line_check import CheckLine, all_lines, line_check, not_served
from kitprep.walks.may import packed_no_more
from kitprep.walks.naming import UNITS, case_code
from kitprep.walks.pack import (
    WHEN_NOT,
    CaseView,
    PackItem,
    pack_view,
    scan,
)
from kitprep.walks.packing_steps import more_than_held, surplus
from kitprep.walks.readings import hinders
from kitprep.walks.wrap import WrapItem, why_no_card_step, wrap_view


class _Wrong(Exception):
    """Something that cannot be recorded or does not balance, and why; with the exit status."""

    def __init__(self, says: str, status: int = BAD) -> None:
        super().__init__(says)
        self.status = status


class _NotAsPlanned(Exception):
    """What was recorded is an answer, and leaves something open."""


def _lines(words: Iterable[str]) -> Iterator[str]:
    """Each word; - stands for the lines of standard input."""
    for word in words:
        for line in sys.stdin if word == "-" else (word,):
            if cleaned := clean_line(line):
                yield cleaned


def _split(job: Job, line: str) -> tuple[str, str | None]:
    """A name and what stands after its equals sign; a tag may hold one itself."""
    day, state = job.worked, job.state
    if pack_view(day, state).named(line) or wrap_view(day, state).named(line):
        return line, None
    if line.casefold() in {tag.casefold() for tag in find_units(day.kit)}:
        return line, None
    name, equals, value = line.rpartition("=")
    return (name.strip(), value.strip()) if equals else (line, None)


def _each(given: Namespace, record: Callable[[Job, Namespace, str, str | None], str]) -> int:
    with closing(open_job(given)) as job:
        status = DONE
        for line in _lines(given.things):
            try:
                answer(record(job, given, *_split(job, line)) + "\n")
            except _NotAsPlanned as told:
                answer(f"{told}\n")
                status = max(status, OPEN)
            except _Wrong as wrong:
                say(f"kitprep: {wrong}")
                status = max(status, wrong.status)
            except (Stale, Contested, NotNow) as other:
                say(f"kitprep: {other}")
                status = max(status, other.exit_code)
        return status


def run_pack(given: Namespace) -> int:
    """Ticks lines, or leaves them out with a reason; a case is chosen by its lid, or counted."""
    return _each(given, _Packing().one)


class _Packing:
    """What is packed one after the other, into the case whose lid was read last, if one was."""

    def __init__(self) -> None:
        self._case: CaseView | None = None

    def one(self, job: Job, given: Namespace, name: str, value: str | None) -> str:
        """Ticks, counts or leaves out one line, or takes up a case."""
        if not job.state.head:
            say_one_job(job)  # before the first tick: later it would be too late to part them
        if late := packed_no_more(job.state, "kitprep back", "kitprep add"):
            raise _Wrong(late)
        if is_lid(name):
            self._case = _case(job, name)
            if value is None:
                return _says_open(self._case)
            return _count_case(job, self._case, value)
        item = _to_pack(job, name, look_again=bool(given.saw))
        if given.leave_out is None and self._case is not None:
            _goes_in(job, item, self._case)
        return _pack(job, given, item, value)


def _case(job: Job, name: str) -> CaseView:
    found = lid(job.worked, pack_view(job.worked, job.state), name)
    if found.case is None:
        raise _Wrong(found.says)
    return found.case


def _says_open(case: CaseView) -> str:
    """How far a case is, and under it what is still open."""
    still = [f"\n    {item.line.key}  {item.line.name}" for item in case.items if item.open]
    return says_case(case) + "".join(still)


def _count_case(job: Job, case: CaseView, value: str) -> str:
    number = read_count(value)
    if number is None:
        raise _Wrong(f"{case.name} is counted in pieces; write {case_code(case.case or '')}=NUMBER")
    job.record(case_code(case.case or ""), "counted", qty=number)
    after = _case(job, case_code(case.case or ""))
    if shut(after) == "differs":
        raise _Wrong(says_difference(after), OPEN)
    return f"[x] {says_case(after)}"


def _goes_in(job: Job, item: PackItem, case: CaseView) -> None:
    """Refuses what goes in another case than the one that is being packed."""
    if item.line.case not in (None, case.case):
        other = pack_view(job.worked, job.state).case_of(item)
        raise _Wrong(
            f"{item.line.key} goes in {other.name}, not in {case.name}; read that lid first, "
            f"{case_code(other.case or '')}"
        )


def _pack(job: Job, given: Namespace, item: PackItem, value: str | None) -> str:
    key = item.line.key
    if given.leave_out is not None:
        reason = clean_line(given.leave_out)
        if not reason:
            raise _Wrong(f"{key} can only be left out with a reason; write it after --leave-out")
        job.record(key, "skipped", reason=reason)
        return f"[-] {key} left out: {reason}"
    qty = _count(item, value)
    # What another job has is both jobs' to settle; more than the files have is a slip.
    if (above := more_than_held(item, qty)) and qty > numbers(job.day.kit).get(key, 0):
        raise _Wrong(
            f"{above}; count again, or write into the kit's file what there is, and pack then"
        )
    seen = list(_readings(item, given.saw))
    if seen:
        job.record_all(seen)
    if hindered := _in_the_way(seen):
        raise _Wrong(f"{key} is not ticked: {hindered}")
    job.record(key, "packed", qty=qty)
    after = pack_view(job.worked, job.state).find(key)
    assert after is not None
    needed = "" if after.mark == "packed" else f" of {after.line.qty}"
    more = f", {surplus(after)}" if surplus(after) else ""
    read = "".join(f"\n    [!] {doubt.says}" for doubt in after.doubts)
    if contested := job.now.says_contested([key]):
        say(f"kitprep: {contested}")
    return (
        f"[{'x' if after.mark == 'packed' else '~'}] {key} {after.mark}: {qty}{needed}{more}{read}"
    )


def _readings(item: PackItem, saw: Sequence[str]) -> Iterator[Told]:
    """What was read at the unit's checks, as events."""
    for word in saw:
        check, _, value = word.partition("=")
        check, value = check.strip(), clean_line(value)
        if check not in item.line.checks or not value:
            known = ", ".join(f"{name}=…" for name in item.line.checks) or "nothing"
            raise _Wrong(f"{item.line.key} is not looked at for {shown(check)}; write {known}")
        yield item.line.key, "checked", {"check": check, "value": value}


def _in_the_way(seen: Iterable[Told]) -> str | None:
    """What to do about the first reading with which the unit cannot go."""
    for _, _, facts in seen:
        check, value = facts["check"], facts["value"]
        if hinders(check, value):
            return WHEN_NOT[check]
    return None


def _to_pack(job: Job, name: str, look_again: bool) -> PackItem:
    view = pack_view(job.worked, job.state)
    named = view.named(name)
    if named is not None and (named.line.kind not in UNITS or look_again):
        return named  # a number may be counted again, and a unit looked at again
    found = scan(job.worked, view, name)
    if found.item is None:
        raise _Wrong(found.says)
    return found.item


def _count(item: PackItem, value: str | None) -> int:
    key, needed = item.line.key, item.line.qty
    if item.line.kind in UNITS:
        if value not in (None, "1"):
            raise _Wrong(f"{key} is one thing and not {value}; write {key} alone")
        return 1
    number = read_count(value or "")
    if number is None:
        raise _Wrong(f"{key} is counted; write how many are in, as in {key}={needed}")
    return number


def run_confirm(given: Namespace) -> int:
    """Records observations; with none given, lists what is to be asked."""
    if given.things:
        return _each(given, _confirm)
    with closing(open_job(given)) as job:
        for line in _all_checks(job):
            name = line.key.removeprefix("check:")
            answers = " | ".join(line.question.answers) or "what is read"
            why = f": {line.touched}" if line.touched else ""
            answer(f"{name}  {line.question.asks} [{answers}]  {line.verdict}{why}\n")
        for dead in not_served(job.worked):
            name = f"{dead.scene}:{dead.source}:{dead.destination}"
            answer(f"{name}  NOT SERVED, nothing to check: {dead.reason}\n")
    return DONE


def _all_checks(job: Job) -> tuple[CheckLine, ...]:
    return all_lines(job.worked, job.state)


def _confirm(job: Job, given: Namespace, name: str, value: str | None) -> str:
    key = f"check:{name}".casefold()
    line = next((c for c in _all_checks(job) if c.key.casefold() == key), None)
    if line is None:
        raise _Wrong(f"no question {shown(name)} today; kitprep confirm {given.plan} lists them")
    seen = _seen(line, value)
    if seen is None:
        offered = ", ".join(line.question.answers) or "what is read there"
        raise _Wrong(f"{name}: {line.question.asks} Write {name}= and one of: {offered}")
    job.record(line.key, "observed", answer=seen, chain=line.chain)
    scene = line_check(job.worked, job.state, line.link.scene)
    after = next(c for c in scene if c.key == line.key)
    if after.verdict == "differs":
        causes = "".join(f"\n    perhaps {cause}" for cause in line.question.likely(seen))
        planned = line.question.expected
        raise _NotAsPlanned(f"{name}: differs: {seen}, planned {planned}{causes}")
    return f"{name}: {after.verdict}"


def _seen(line: CheckLine, value: str | None) -> str | None:
    """The answer as the question offers it, or as it was read where it offers none."""
    answers = line.question.answers
    if not answers or not value:
        return value or None
    return next((answer for answer in answers if answer.casefold() == value.casefold()), None)


def run_add(given: Namespace) -> int:
    """Records what joins the job while it is out."""
    note = clean_line(given.note)
    with closing(open_job(given)) as job:
        try:
            joined = [joining(job.worked, job.state, word) for word in _lines(given.things)]
        except NotJoining as wrong:
            say(f"kitprep: {wrong}")
            return BAD
        things = {key: sum(qty for k, qty in joined if k == key) for key, _ in joined}
        job.record_all([(k, "added", {"qty": qty, "note": note}) for k, qty in things.items()])
        for key, qty in things.items():
            answer(f"[+] {key} added: {qty}, {job.state.item(key).packed} out\n")
    return DONE


def run_back(given: Namespace) -> int:
    """Records outcomes at wrap."""
    return _each(given, _back)


def _back(job: Job, given: Namespace, name: str, value: str | None) -> str:
    if is_lid(name):
        return _out_of_case(job, name)
    item = _out(job, name)
    key = item.line.key
    if value is not None and value in CARD_STEPS:
        if why := why_no_card_step(item, value):
            next_one = f"; write {key}={item.cards_open}" if item.cards_open else ""
            raise _Wrong(f"{why}{next_one}")
        job.record(key, "card", step=value)
        return f"[x] {key} {value}"
    counts = _outcome(item, value)
    holder = clean_line(given.holder or "") if "with" in counts else None
    if holder == "":
        raise _Wrong(f"{key} is with somebody; write --holder NAME")
    job.record(key, "returned", counts=counts, holder=holder, note=clean_line(given.note))
    after = _out(job, key)
    if after.contradiction and not after.difference:
        raise _NotAsPlanned(
            f"[?] {key} {after.contradiction}; count again, or write --note with why it is so"
        )
    difference = f", {after.difference:+d}" if after.difference else ""
    return f"[{'x' if after.settled else '~'}] {key} {after.mark}{difference}"


def _out_of_case(job: Job, name: str) -> str:
    """What is to go back into a case and has no outcome yet."""
    found = lid_back(job.worked, wrap_view(job.worked, job.state), name)
    if not found.items:
        raise _Wrong(found.says)
    still = [f"\n    {i.line.key}  {i.line.name}" for i in found.items if not i.settled]
    return found.says + "".join(still)


def _out(job: Job, name: str) -> WrapItem:
    """What went out under this tag or key, or with this serial."""
    folded = name.casefold()
    items = wrap_view(job.worked, job.state).items
    for item in items:
        if item.line.key.casefold() == folded:
            return item
    alike = [item for item in items if (item.line.serial or "").casefold() == folded]
    if len(alike) == 1:
        return alike[0]
    raise _Wrong(f"{shown(name)} did not go out on this job")


def _outcome(item: WrapItem, value: str | None) -> dict[str, int]:
    """ "wet" for a unit, "11" or "back:9,not seen:2" for what is counted."""
    if item.line.kind in UNITS:
        word = value or "back"
        if word not in item.outcomes:
            raise _Wrong(
                f"{item.line.key} cannot be {shown(word)}; write one of: {', '.join(item.outcomes)}"
            )
        return {word: 1}
    counts: dict[str, int] = {}
    for part in (value or "").split(","):
        word, colon, text = part.rpartition(":")
        word, number = word.strip() if colon else "back", read_count(text)
        if word not in item.outcomes or number is None:
            example = ",".join(f"{outcome}:1" for outcome in item.outcomes[:2])
            raise _Wrong(
                f"{item.line.key} is counted; write {item.line.key}={example}, "
                f"of: {', '.join(item.outcomes)}"
            )
        counts[word] = counts.get(word, 0) + number
    return counts
