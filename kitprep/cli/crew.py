"""While the job is out, and after: ``hand``, ``take``, ``cells``, ``swap``, ``spares``, ``clear``,
``report`` and ``ledger``."""

import sys
from argparse import Namespace
from collections.abc import Callable
from contextlib import closing
from typing import TYPE_CHECKING, Any

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say
from kitprep.cli.answers import open_job
from kitprep.definitions.text import clean_line, clock, shown
from kitprep.job import Job
from kitprep.ledger.events import JOB
from kitprep.ledger.place import default_url, file_path, may_be_there
from kitprep.planning.difference import worn
from kitprep.planning.held import numbers
from kitprep.planning.results import PackLine
from kitprep.walks.feeding import cell_round, pack_round, sleeping
from kitprep.walks.log import local_time
from kitprep.walks.naming import UNITS
from kitprep.walks.out import holdings, on_the_job, says_handed
from kitprep.walks.standing_in import says_swap

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger


class _Wrong(Exception):
    """Something that cannot be recorded, and why."""


def _on(given: Namespace, run: Callable[[Job, Namespace], int]) -> int:
    """Runs something on the job that the words name."""
    with closing(open_job(given)) as job:
        try:
            return run(job, given)
        except _Wrong as wrong:
            say(f"kitprep: {wrong}")
            return BAD


def _line(job: Job, word: str) -> PackLine | None:
    """What is on the list, or out with the job, under this tag or key, however it is written."""
    folded = clean_line(word).casefold()
    lines = on_the_job(job.worked, job.state)
    return next((line for line in lines if line.key.casefold() == folded), None)


def _on_list(job: Job, word: str) -> str:
    line = _line(job, word)
    if line is None:
        raise _Wrong(f"{shown(word)} is not on this job's list")
    return line.key


def _all_on_list(job: Job, given: Namespace) -> list[str]:
    """Each thing once."""
    return list(dict.fromkeys(_on_list(job, word) for word in given.things))


def _some_on_list(job: Job, given: Namespace) -> dict[str, int | None]:
    """Each thing once, with how many of what goes by number; None for all of them."""
    found: dict[str, int | None] = {}
    for word in given.things:
        name, equals, text = word.rpartition("=")
        if _line(job, word) is not None or not equals:
            found[_on_list(job, word)] = None
            continue
        line = _line(job, name)
        if line is None or line.kind in UNITS or not (text.isdecimal() and 0 < int(text) < 10_000):
            raise _Wrong(f"{shown(word)}: write a TAG, or KEY=NUMBER of what goes by number")
        found[line.key] = int(text)
    return found


def run_hand(given: Namespace) -> int:
    """Hands things to someone or something, or lists who has what."""
    return _on(given, _hand)


def _hand(job: Job, given: Namespace) -> int:
    things, holder = _some_on_list(job, given), clean_line(given.to)
    if bool(things) != bool(holder):
        raise _Wrong("to whom, or to what? write --to NAME" if things else "what? write its TAG")
    inside = [key for key in things if not job.state.item(key).packed]
    if inside:
        raise _Wrong(f"{', '.join(inside)}: not packed yet; pack it first, then hand it over")
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
        raise _Wrong(f"{key}: {here} of {state.packed} are here, {others}; kitprep take first")
    return here if qty is None else qty


def run_take(given: Namespace) -> int:
    """Takes things back from whoever has them."""
    return _on(given, _take)


def _take(job: Job, given: Namespace) -> int:
    things, whose = _some_on_list(job, given), clean_line(given.whose)
    told = []
    for key, qty in things.items():
        held = {hold.holder: hold for hold in job.state.item(key).held}
        if not held:
            raise _Wrong(f"{key}: with nobody; kitprep hand lists who has what")
        holder = next((name for name in held if name.casefold() == whose.casefold()), None)
        if whose and holder is None:
            raise _Wrong(f"{key}: not with {whose}, but with {', '.join(held)}")
        if qty is not None and holder is None:
            if len(held) > 1:
                raise _Wrong(f"{key}: with {', '.join(held)}; write --from NAME")
            holder = next(iter(held))
        if qty is not None and holder is not None and qty > held[holder].qty:
            raise _Wrong(f"{key}: {holder} has {held[holder].qty} of them")
        facts = {"holder": holder} if holder is not None else {}
        told.append((key, "taken back", facts if qty is None else {**facts, "qty": qty}))
    job.record_all(told)
    answer(f"taken back: {', '.join(things)}\n")
    return DONE


def run_cells(given: Namespace) -> int:
    """Records fresh sets put in, or lists what is due; 1 while anything is overdue."""
    return _on(given, _cells)


def _cells(job: Job, given: Namespace) -> int:
    feeds = {feed.unit for feed in job.worked.feeds}
    feeds |= {f"supply:{load.id}" for load in job.worked.supplies if not load.mains}
    keys = _all_on_list(job, given)
    others = [key for key in keys if key not in feeds]
    if others:
        raise _Wrong(f"{', '.join(others)}: takes no cells today; kitprep cells lists what does")
    minute = given.at if given.at is not None else job.minute()
    job.record_all([(key, "cells changed", {"minute": minute}) for key in keys])
    lines = cell_round(job.worked, job.state, minute)
    for line in lines:
        answer(
            f"{line.due:<9} {line.unit:<8} {line.cell:<8} {line.made} of {line.planned} made  "
            f"{line.says}".rstrip()
            + "\n"
        )
    packs = pack_round(job.worked, job.state, minute)
    for pack in packs:
        answer(f"{pack.due:<9} supply:{pack.id}  {pack.says}\n")
    late = [*(line.due for line in lines), *(pack.due for pack in packs)]
    return OPEN if "overdue" in late else DONE


def run_standby(given: Namespace) -> int:
    """Records packs put to sleep or woken, or says which should be; 1 where any is not as it
    should be."""
    return _on(given, _standby)


def _standby(job: Job, given: Namespace) -> int:
    minute = given.at if given.at is not None else job.minute()
    found = sleeping(job.worked, job.state, minute)
    packs = {link.transmitter for link in job.worked.links}
    keys = _all_on_list(job, given)
    if others := [key for key in keys if key not in packs]:
        raise _Wrong(f"{', '.join(others)}: no transmitter in use; only those are put to sleep")
    if given.wake and not (keys or given.all):
        raise _Wrong("which were woken? write their TAGs, or --all")
    if given.all:
        keys = [*found.asleep, *found.to_wake] if given.wake else list(found.awake)
    told = {"asleep": not given.wake, "minute": minute}
    job.record_all([(key, "standby", told) for key in keys])
    found = sleeping(job.worked, job.state, minute)
    answer(f"{clock(minute)} {found.planned} should be asleep, {len(found.asleep)} are\n")
    for says, tags in (
        ("asleep", found.asleep),
        ("awake", found.awake),
        ("to wake, its signal to be seen", found.to_wake),
    ):
        for tag in tags:
            answer(f"  {tag:<8} {says}\n")
    return OPEN if found.awake or found.to_wake else DONE


def run_swap(given: Namespace) -> int:
    """Shows what can stand in for a unit; with --by, records the swap."""
    return _on(given, _swap)


def _swap(job: Job, given: Namespace) -> int:
    reason: dict[str, Any] = {"reason": clean_line(given.reason)}
    out = {tag.casefold(): tag for tag in job.state.withdrawn}
    tag = out.get(clean_line(given.tag).casefold()) or _on_list(job, given.tag)
    able = (tag,) if tag in job.state.withdrawn else job.substitutes(tag)
    if given.nothing:
        if not any(tag in (x.transmitter, x.adapter, x.receiver) for x in job.worked.links):
            raise _Wrong(f"{tag} serves nothing today; leave it out with kitprep pack --leave-out")
        job.record(tag, "withdrawn", **reason)
        _says_withdrawn(job, tag)
        return DONE
    if given.by is None:
        for other in able:
            where = job.where(other)
            answer(f"{other:<8} {where}{'; ' if where else ''}{_difference(job, tag, other)}\n")
        return DONE if able else _none(tag)
    by = {other.casefold(): other for other in able}.get(clean_line(given.by).casefold())
    if by is None:
        raise _Wrong(
            f"{shown(given.by)} cannot stand in for {tag}; {', '.join(able) or 'nothing'} can"
        )
    if by == tag:
        job.record(tag, "withdrawn", withdrawn=False, **reason)
        answer(f"{tag} is planned with again; ask the lines of its scenes again\n")
        return DONE
    fetched = "; it was not in the bag, and is recorded as added while out" if job.where(by) else ""
    job.record(tag, "swapped", by=by, **reason)
    answer(f"{by} for {tag}{fetched}; ask the lines of its scenes again\n")
    return DONE


def _says_withdrawn(job: Job, tag: str) -> None:
    if job.state.out is None:
        answer(f"the day is worked out without {tag}\n")
        return
    answer(f"the day is worked out without {tag}, with what is in the bag; nobody else is moved\n")
    anew = job.chosen_anew()
    if anew is not None:
        says = says_swap(job.worked, anew, "", "")
        answer(f"by moving others: {says}; kitprep replan PLAN --take does that\n")


def run_replan(given: Namespace) -> int:
    """Says what to choose anew among what is in the bag would change; --take does it."""
    return _on(given, _replan)


def _replan(job: Job, given: Namespace) -> int:
    if job.state.out is None:
        raise _Wrong("the kit is not out yet: the day is chosen anew with every change till then")
    anew = job.chosen_anew()
    if anew is None:
        answer("to choose anew among what is in the bag serves no more\n")
    else:
        answer(f"{says_swap(job.worked, anew, '', '')}\n")
        for change in worn(job.worked, anew):
            answer(
                f"  {change.name}: {change.before or 'nothing'} to {change.after or 'nothing'}\n"
            )
        if given.take:
            job.record(JOB, "chosen anew")
            answer("chosen anew; ask the lines of its scenes again\n")
    return DONE if job.worked.ready else OPEN


def _difference(job: Job, lost: str, by: str) -> str:
    """What a unit in another's place would change."""
    if by == lost:
        return "on the plan again"
    return says_swap(job.worked, job.with_swap(lost, by), lost, by)


def _none(lost: str) -> int:
    say(
        f"kitprep: no one unit here can stand in for {lost}; kitprep needs says what would mend "
        "it, and --nothing works the day out without it"
    )
    return OPEN


def run_spares(given: Namespace) -> int:
    """Shows the spares that cover any one failure; --take puts them on the list."""
    return _on(given, _spares)


def _spares(job: Job, given: Namespace) -> int:
    if given.take:
        fresh = [tag for tag in job.worked.spares if tag not in job.state.spares]
        job.record_all([(tag, "spare", {"taken": True}) for tag in fresh])
    elif given.leave:
        job.record_all([(tag, "spare", {"taken": False}) for tag in sorted(job.state.spares)])
    for tag in dict.fromkeys((*job.worked.spares, *sorted(job.state.spares))):
        answer(f"{'[x]' if tag in job.state.spares else '[ ]'} {tag}\n")
    return DONE


def run_clear(given: Namespace) -> int:
    """Lets the next plans count on a unit again."""
    return _on(given, _clear)


def _clear(job: Job, given: Namespace) -> int:
    name, equals, count = clean_line(given.tag).rpartition("=")
    folded = (name if equals else count).strip().casefold()
    tag = next((unit for unit in job.kit.units if unit.casefold() == folded), None)
    if tag is None or (job.kit.unit(tag).usable and not job.kit.unit(tag).left):
        raise _Wrong(
            f"{shown(given.tag)} did not come back as anything that would have to be put right"
        )
    have = numbers(job.day.kit).get(tag)
    if equals and count.strip() != str(have):
        raise _Wrong(
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
