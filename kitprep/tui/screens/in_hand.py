"""The line in hand on the pack screen: what is read on it, how many are in, that it is in its case.

A reading can be made again at any time; the latest counts, and the log keeps them all.
"""

from collections import deque
from functools import partial

from kitprep.tui.drawing.lines import cut
from kitprep.tui.screens.cases import CasesScreen
from kitprep.tui.screens.walk import Ask, Take
from kitprep.walks.answers import meant
from kitprep.walks.cases import out_of_count, says_difference
from kitprep.walks.cautions import lifting
from kitprep.walks.counting import read_count
from kitprep.walks.naming import full_name, short_name
from kitprep.walks.pack import WHEN_NOT, PackItem, PackView
from kitprep.walks.packing_steps import (
    Step,
    goes_without,
    more_than_held,
    next_open,
    next_step,
    reading_of,
    says_left,
    surplus,
)
from kitprep.walks.readings import Doubt

VALUE_ROOM = 16
"""Cells for a value among those of which one is read again."""


class InHandScreen(CasesScreen):
    """One line, step by step. ``bench`` are those scanned meanwhile, ``again`` checks to repeat."""

    def __init__(self) -> None:
        super().__init__()
        self.bench: deque[str] = deque()
        self.again: deque[str] = deque()

    def work_on(self, key: str, says: str = "") -> None:
        """Takes a line in hand."""
        self.again.clear()
        self.say(says, "warn" if says else "")
        self.ask_next(key)

    def ask_next(self, key: str, warned: bool = False) -> None:
        """Asks the next thing about a line, or goes on where nothing is left."""
        view = self.view
        item = view.find(key)
        step = next_step(self.day, view, item) if item is not None else None
        if item is None or step is None:
            self.finished(view, key, warned)
            return
        number, steps = step.place
        lead = f"{key} {number}/{steps}: " if steps > 1 else f"{item.line.name}. "
        takes: dict[str, Take] = {
            "check": partial(self._read, key, step),
            "count": partial(self._count, key),
            "put in": lambda typed, how: "Enter when it is in, or scan it again",
        }
        enter = partial(self.put_in, key, "key") if step.kind == "put in" else None
        self.step = step
        self.ask(Ask(key, lead + step.asks, takes[step.kind], step.answers, enter))

    # What is read

    async def _read(self, key: str, step: Step, typed: str, how: str) -> str:
        if (value := _value(step, typed)) is None:
            return f"{typed}: answer with one of the keys shown"
        if await self._told(key, step, value, how):
            self.ask_next(key, warned=self._says_read(key, step.name, value))
        return ""

    async def not_checked(self, key: str, step: Step, value: str) -> None:
        """Goes on without a reading."""
        if await self._told(key, step, value, "key"):
            warned = self._says_read(key, step.name, value)
            if self.is_again:
                self._go_on_again(key)
            else:
                self.ask_next(key, warned)

    async def _told(self, key: str, step: Step, value: str, how: str) -> bool:
        return await self.door.tell(key, "checked", how, check=step.name, value=value)

    def _says_read(self, key: str, check: str, value: str) -> bool:
        """Says what a reading is worth; whether that is a warning."""
        item = self.view.find(key)
        doubt = next((d for d in item.doubts if d.check == check), None) if item else None
        if doubt is None:
            self.say(f"{key}: {check} {value}", "good", " [x] ")
        elif doubt.worth == "unverified":
            self.say(f"{key}: {check} is unverified", "warn", " [?] ")
        else:
            self.say(self._says_doubt(doubt), "bad")
        return doubt is not None and doubt.worth != "unverified"

    def _says_doubt(self, doubt: Doubt) -> str:
        if doubt.worth == "in the way":
            return f"{doubt.key}: {WHEN_NOT[doubt.check]}"
        wanted = doubt.wanted or "more"
        again = f"{self.door.key('pack.read-again')} reads again"
        return (
            f"{doubt.key} reads {doubt.value}, {wanted} is wanted ({again}). "
            f"{WHEN_NOT[doubt.check]}"
        )

    # Read again

    @property
    def is_again(self) -> bool:
        """Whether what is asked has been read before."""
        item = self.view.find(self.asking.key or "") if self.asking is not None else None
        return (
            item is not None
            and self.step is not None
            and self.step.kind == "check"
            and self.step.name in item.read
            and self.step.name not in item.to_read
        )

    def ask_again(self, item: PackItem) -> None:
        """Which of a unit's readings is made again; the only one there is, at once."""
        key = item.line.key
        self.step = None
        self.again.clear()
        packed = item.mark == "packed"
        self.say(f"{full_name(item.line)} is packed already, by {item.state.who}" if packed else "")
        if len(item.read) == 1:
            self._read_again(key, item.read)
            return
        values = item.state.checks
        offered = tuple(f"{check} {cut(values[check], VALUE_ROOM)}" for check in item.read)
        words = f"{key}: what is read again? Enter: nothing"
        take = partial(self._choose_again, key, offered)
        self.ask(Ask(key, words, take, (*offered, "all"), enter=partial(self._go_on_again, key)))

    def _choose_again(self, key: str, offered: tuple[str, ...], typed: str, how: str) -> str:
        chosen = meant((*offered, "all"), typed)
        item = self.view.find(key)
        if chosen is None or item is None:
            return f"{typed}: answer with one of the keys shown"
        self._read_again(key, item.read if chosen == "all" else (chosen.partition(" ")[0],))
        return ""

    def _read_again(self, key: str, checks: tuple[str, ...]) -> None:
        self.again = deque(checks)
        self._go_on_again(key)

    def _go_on_again(self, key: str) -> None:
        """The next reading that is made again, or on from where the line stands."""
        item = self.view.find(key)
        if item is not None and self.again:
            check = self.again.popleft()
            self.step = step = reading_of(self.day, item, check)
            before = cut(item.state.checks.get(check, "nothing"), VALUE_ROOM)
            words = f"{key} {check}, {before} before; Enter keeps it. {step.asks}"
            take = partial(self._read_once_more, key, step)
            keep = partial(self._go_on_again, key)
            self.ask(Ask(key, words, take, step.answers, enter=keep))
        elif item is not None and item.mark == "packed" and not item.to_read:
            self.finished(self.view, key, warned=True)
        else:
            self.ask_next(key, warned=True)

    async def _read_once_more(self, key: str, step: Step, typed: str, how: str) -> str:
        if (value := _value(step, typed)) is None:
            return f"{typed}: answer with one of the keys shown"
        if await self._told(key, step, value, how):
            self._says_read(key, step.name, value)
            self._go_on_again(key)
        return ""

    # In its case

    async def put_in(self, key: str, how: str = "key") -> None:
        """What is in hand is in its case."""
        if await self.door.tell(key, "packed", how, qty=1):
            self.finished(self.view, key)

    def count_again(self, item: PackItem) -> None:
        """Asks for the number of what is counted in already."""
        words = f"{item.line.name}: {item.state.packed} are in. Count again: how many?"
        self.ask(Ask(item.line.key, words, partial(self._count, item.line.key)))

    async def _count(self, key: str, typed: str, how: str) -> str:
        item = self.view.find(key)
        number = read_count(typed)
        if item is None or number is None:
            return f"{typed}: type how many are in, in digits"
        if says := more_than_held(item, number):
            self.step = None
            take = partial(self._all_the_same, key, number)
            self.ask(Ask(key, f"{says}. Are {number} in?", take, ("yes", "no")))
            return ""
        await self._counted(key, number, how)
        return ""

    async def _all_the_same(self, key: str, number: int, typed: str, how: str) -> str:
        answer = meant(("yes", "no"), typed)
        item = self.view.find(key)
        if answer is None or item is None:
            return f"{typed}: answer with one of the keys shown"
        if answer == "no":
            self.work_on(key) if item.mark != "packed" else self.count_again(item)
        else:
            await self._counted(key, number, how)
        return ""

    async def _counted(self, key: str, number: int, how: str) -> None:
        if not await self.door.tell(key, "packed", how, qty=number):
            return
        item = self.view.find(key)
        if item is None or number >= item.line.qty:
            self.finished(self.view, key)
            return
        self.step = None
        self.stop_asking()
        missing = item.line.qty - number
        says = f"{number} of {item.line.qty}: {missing} missing. Enter counts again"
        self.say(says, "warn", " [~] ")

    def finished(self, view: PackView, key: str, warned: bool = False) -> None:
        """Says where the case stands, and goes on: the bench first, then the next open line.

        A warning about the last reading stays on the screen instead, and so does who goes without.
        """
        item = view.find(key)
        self.step = None
        while self.bench and (waiting := view.find(self.bench[0])) is not None:
            if not waiting.finished:
                break
            self.bench.popleft()
        if item is not None and not warned:
            self._say_case(view, item)
            warned = item.mark == "skipped" and bool(goes_without(self.day, item))
        if self.bench:
            self.ask_next(self.bench.popleft(), warned)
            return
        self.stop_asking()
        self.go_to_open(view, key, warned)

    def go_to_open(self, view: PackView, after: str, warned: bool = False) -> None:
        """The cursor on the next open line after one, or on a case that is out of count, or the
        word that nothing is open."""
        following = next_open(view, after)
        if following is not None:
            self.go_on_to(following.line.key)
        elif not warned and (differing := out_of_count(view)):
            self.go_on_to(differing[0].items[0].line.key, top=True)
            self.say(f"Every line is done, but {says_difference(differing[0])}", "warn", " [!] ")
        elif not warned:
            done = self.door.key("pack.done")
            says = f"Nothing is open. {done}: read the statement and close packing"
            self.say(says, "good", " [x] ")

    def _say_case(self, view: PackView, item: PackItem) -> None:
        case = view.case_of(item)
        left = item.mark == "skipped"
        became = says_left(item) if left else "packed"
        lost = goes_without(self.day, item) if left else ""
        if lost:
            became += f"; {lost} ({self.door.key('pack.replace')} replaces it)"
        more = f", {surplus(item)}" if surplus(item) else ""
        if more_than_held(item, item.state.packed):
            more += ": write the new number there"
        doubt = next((d for d in item.doubts if item.mark == "packed"), None)
        more += "".join(f", {each.brief}" for each in item.doubts if doubt is not None)
        done = f"{short_name(item.line)} {became}{more}. {case.name}: "
        done += f"{case.done} of {len(case.items)}"
        done += f" packed, {case.left_out} left out" if case.left_out else ""
        complete = all(other.finished for other in case.items)
        if complete and case.case is None:
            done += ", complete"
        elif complete:
            load = next((load for load in self.day.cases if load.case == case.case), None)
            count = self.door.key("pack.count-case")
            done += f", complete: count it ({count}), shut it. {lifting(load) if load else ''}"
        worth = doubt.worth if doubt is not None else ""
        mark = {"": " [x] ", "unverified": " [?] "}.get(worth, " [!] ")
        mark = " [-] " if left else mark
        self.say(done, "warn" if doubt is not None or surplus(item) or left else "good", mark)
        self.full_case = case.case if complete else None
        self.stays_here = item.line.key if lost else None


def _value(step: Step, typed: str) -> str | None:
    """What was read, as it is recorded; None where it is no answer that is offered."""
    return meant(step.answers, typed) if step.answers else typed.strip()[:60]
