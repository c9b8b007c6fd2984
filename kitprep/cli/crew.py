"""While the job is out, and after: ``hand``, ``take``, ``clear``, ``report`` and ``ledger``."""

import sys
from argparse import Namespace
from contextlib import closing
from typing import TYPE_CHECKING

from kitprep.cli import BAD, DONE, answer, answer_json, say
from kitprep.cli.answers import open_job
from kitprep.cli.on_list import Wrong, line_of, on_list, on_the_job_of
from kitprep.definitions.text import clean_line, shown
from kitprep.job import Job
from kitprep.ledger.place import default_url, file_path, may_be_there
from kitprep.planning.held import numbers
from kitprep.walks.counting import read_count
from kitprep.walks.log import local_time
from kitprep.walks.naming import UNITS
from kitprep.walks.out import holdings, says_handed

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger


def _some_on_list(job: Job, given: Namespace) -> dict[str, int | None]:
    """Each thing once, with how many of what goes by number; None for all of them."""
    found: dict[str, int | None] = {}
    for word in given.things:
        name, equals, text = word.rpartition("=")
        if line_of(job, word) is not None or not equals:
            found[on_list(job, word)] = None
            continue
        line, number = line_of(job, name), read_count(text)
        if line is None or line.kind in UNITS or not number:
            raise Wrong(f"{shown(word)}: write a TAG, or KEY=NUMBER of what goes by number")
        found[line.key] = number
    return found


def run_hand(given: Namespace) -> int:
    """Hands things to someone or something, or lists who has what."""
    return on_the_job_of(given, _hand)


def _hand(job: Job, given: Namespace) -> int:
    things, holder = _some_on_list(job, given), clean_line(given.to)
    if bool(things) != bool(holder):
        raise Wrong("to whom, or to what? write --to NAME" if things else "what? write its TAG")
    inside = [key for key in things if not job.state.item(key).packed]
    if inside:
        raise Wrong(f"{', '.join(inside)}: not packed yet; pack it first, then hand it over")
    told = []
    for key, qty in things.items():
        counted = {"qty": _to_hand(job, key, qty)} if job.state.item(key).packed > 1 else {}
        told.append((key, "handed", {"holder": holder, **counted}))
    remarks = [says_handed(job.worked, job.state, key, holder) for key in things]
    job.record_all(told)
    for holding in holdings(job.worked, job.state):
        number = "" if job.state.item(holding.line.key).packed == 1 else f"{holding.qty} "
        held = f"{number}{holding.line.key} {holding.line.name}"
        day, time = local_time(holding.since)
        answer(f"{clean_line(holding.holder)}: {held}, since {day} {time[:5]}\n")
    for remark in filter(None, remarks):
        say(f"kitprep: {remark}")
    return DONE


def _to_hand(job: Job, key: str, qty: int | None) -> int:
    """How many of what goes by number are handed over: they are taken of those that are here."""
    state = job.state.item(key)
    here = state.packed - state.handed
    if here < max(qty or 1, 1):
        others = ", ".join(f"{hold.qty} with {clean_line(hold.holder)}" for hold in state.held)
        raise Wrong(f"{key}: {here} of {state.packed} are here, {others}; kitprep take first")
    return here if qty is None else qty


def run_take(given: Namespace) -> int:
    """Takes things back from whoever has them."""
    return on_the_job_of(given, _take)


def _take(job: Job, given: Namespace) -> int:
    things, whose = _some_on_list(job, given), clean_line(given.whose)
    told = []
    for key, qty in things.items():
        held = {hold.holder: hold for hold in job.state.item(key).held}
        if not held:
            raise Wrong(f"{key}: with nobody; kitprep hand lists who has what")
        holder = next((name for name in held if name.casefold() == whose.casefold()), None)
        if whose and holder is None:
            raise Wrong(f"{key}: not with {whose}, but with {', '.join(held)}")
        if qty is not None and holder is None:
            if len(held) > 1:
                raise Wrong(f"{key}: with {', '.join(held)}; write --from NAME")
            holder = next(iter(held))
        if qty is not None and holder is not None and qty > held[holder].qty:
            raise Wrong(f"{key}: {holder} has {held[holder].qty} of them")
        facts = {"holder": holder} if holder is not None else {}
        told.append((key, "taken back", facts if qty is None else {**facts, "qty": qty}))
    job.record_all(told)
    answer(f"taken back: {', '.join(things)}\n")
    return DONE


def run_clear(given: Namespace) -> int:
    """Lets the next plans count on a unit again."""
    return on_the_job_of(given, _clear)


def _clear(job: Job, given: Namespace) -> int:
    known = {unit.casefold(): unit for unit in job.kit.units}
    word = clean_line(given.tag)
    name, equals, count = (word, "", "") if word.casefold() in known else word.rpartition("=")
    tag = known.get((name if equals or not count else count).strip().casefold())
    if tag is None or (job.kit.unit(tag).usable and not job.kit.unit(tag).left):
        raise Wrong(
            f"{shown(given.tag)} did not come back as anything that would have to be put right"
        )
    have = numbers(job.day.kit).get(tag)
    if equals and count.strip() != str(have):
        raise Wrong(
            f"the kit's file has {have} of {tag}; write qty = {count.strip()} there, and it is "
            "counted from then on"
            if have is not None
            else f"{tag} is one thing and is not counted; write {tag} alone"
        )
    job.clear(tag, clean_line(given.note))
    if have is None:
        answer(f"{tag} can be planned with again\n")
    else:
        answer(f"{tag} counted again: {have}, as the kit's file says\n")
    return DONE


def run_report(given: Namespace) -> int:
    """The day as it went."""
    from kitprep.reports.report import report_json, report_text

    with closing(open_job(given)) as job:
        entries = job.ledger.entries(job.name)
        document = report_json(job.worked, job.state, entries, job.ledger.head())
    if given.json:
        answer_json(document)
    else:
        answer(report_text(document))
    return DONE


def run_ledger(given: Namespace) -> int:
    """Verifies, exports or restores the ledger itself."""
    from kitprep.ledger.store import Ledger

    url = given.ledger or default_url()
    if given.what != "restore" and not may_be_there(url):
        at = file_path(url.partition(":///")[2])
        say(f"kitprep: there is no ledger at {shown(at)}; name the one to {given.what}")
        return BAD
    with Ledger.open(url) as ledger:
        if given.what == "verify":
            return _verify(ledger, given.head)
        if given.what == "export":
            for line in ledger.export():
                answer(line)
            return DONE
        try:
            source = sys.stdin if str(given.file) == "-" else given.file.open(encoding="utf-8")
        except OSError as error:
            say(f"kitprep: {given.file} cannot be read: {error.strerror}; name an export")
            return BAD
        with source:
            count = ledger.restore(source)
    answer(f"{count} entries restored\n")
    return DONE


def _verify(ledger: "Ledger", head: str | None) -> int:
    problems = ledger.verify(head)
    for problem in problems:
        say(f"entry {problem.seq}: {problem.what}")
    seq, last = ledger.head()
    if not problems:
        answer(f"{seq} entries, all as they were recorded; head {last}\n")
    return BAD if problems else DONE
