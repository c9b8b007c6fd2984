"""Pack: what goes in which case, and what is still open?"""

from collections import deque
from functools import partial
from typing import ClassVar

from textual.binding import BindingType

from kitprep.tui.commands import Command, of_screen
from kitprep.tui.drawing.lines import Row, counted
from kitprep.tui.drawing.pack import case_rows, line_rows, pack_rows, statement_rows
from kitprep.tui.screens.cases import CasesScreen
from kitprep.tui.screens.walk import Ask, Take
from kitprep.tui.sheets.statement import StatementSheet
from kitprep.tui.widgets.note import Note
from kitprep.walks.answers import NOT_CHECKED, meant
from kitprep.walks.cases import is_lid, out_of_count, says_difference
from kitprep.walks.cautions import lifting
from kitprep.walks.naming import full_name, short_name
from kitprep.walks.pack import (
    WHEN_NOT,
    PackItem,
    PackView,
    doubts,
    scan,
)
from kitprep.walks.packing_steps import Step, may_pack, next_open, next_step, resume_at
from kitprep.walks.readings import reading, wanted_reading

MOST = 9999


class PackScreen(CasesScreen):
    """Line by line into the cases."""

    NAME = "pack"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("pack")]

    def __init__(self) -> None:
        super().__init__()
        self.bench: deque[str] = deque()

    def foot(self) -> tuple[Command, ...]:
        """When packing is closed the next thing is that it goes out."""
        out = next(command for command in of_screen(self.NAME) if command.id == "pack.gone-out")
        packed = self.state.stage == "packed"
        return tuple(out if packed and c.id == "pack.done" else c for c in super().foot())

    def begin(self) -> None:
        """The first line of the case that was being packed."""
        item = resume_at(self.view)
        if item is None:
            self.say("Nothing is to be packed for this day", "warn")
            return
        self.rows.go_to(item.line.key, top=True)
        if any(i.state.at for i in self.view.items):
            case = self.view.case_of(item).name
            self.say(
                f"You were in {case}: begin again at its first line, and look at what is ticked"
            )
            return
        looked_at = next((c for c in self.view.cases if c.case and c.case == self.door.case), None)
        if looked_at is not None:
            self.rows.go_to(looked_at.items[0].line.key, top=True)

    def draw(self) -> None:
        """The list and the line under the cursor."""
        view = self.view
        self.rows.show(lambda width: pack_rows(self.day, view, width, self.glyphs))
        self.draw_detail()

    def draw_detail(self) -> None:
        """Why the line goes; beside the list also how far each case is."""
        view, item = self.view, self.item_here()

        def drawn(width: int) -> list[Row]:
            rows: list[Row] = []
            if self.has_class("-wide") or self.has_class("-huge"):
                rows += case_rows(view, item.line.case if item else None, width, self.glyphs)
            return rows + line_rows(self.day, view, item, width, self.glyphs)

        self.query_one("#detail", Note).show(drawn)

    # A tag comes in

    def is_tag(self, code: str, fast: bool) -> bool:
        """A number that was typed is an answer, whatever tags there are."""
        if not fast and code.strip().isdecimal():
            return False
        return is_lid(code) or self.view.named(code) is not None

    async def heard(self, code: str, how: str) -> None:
        """Puts a scanned thing on the bench, or says what is wrong with it."""
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
            return
        if is_lid(code):
            await self.heard_lid(code, how)
            return
        view = self.view
        found = scan(self.day, view, code, self.case_here(view))
        named = view.named(code)
        item = found.item or (named if named is not None and named.to_read else None)
        if item is None:
            self.say(found.says, "bad")
            return
        key = item.line.key
        if self.asking is None or self.step is None:
            self.work_on(key, found.says if item.line.case != self.case_here(view) else "")
        elif self.asking.key != key:
            if key not in self.bench:
                self.bench.append(key)
            self.say(f"{found.says}: on the bench, after {self.asking.key}. {self._bench()}")
        elif self.step.kind == "put in":
            await self.put_in(key, how)
        else:
            self.say(f"{key} is in hand: answer what is asked")

    def _bench(self) -> str:
        return f"Waiting: {', '.join(self.bench)}" if self.bench else ""

    # One line, step by step

    def work_on(self, key: str, says: str = "") -> None:
        """Takes a line in hand."""
        self.say(says, "warn" if says else "")
        self._ask_next(key)

    def _ask_next(self, key: str, warned: bool = False) -> None:
        view = self.view
        item = view.find(key)
        step = next_step(view, item) if item is not None else None
        if item is None or step is None:
            self._finished(view, key, warned)
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

    async def _read(self, key: str, step: Step, typed: str, how: str) -> str:
        value = meant(step.answers, typed) if step.answers else typed.strip()[:60]
        if value is None:
            return f"{typed}: answer with one of the keys shown"
        if not await self.door.tell(key, "checked", how, check=step.name, value=value):
            return ""
        item = self.view.find(key)
        wanted = wanted_reading(self.day, item.line, step.name) if item else None
        worth = reading(step.name, value, wanted)
        if worth == "in the way":
            self.say(f"{key}: {WHEN_NOT[step.name]}", "bad")
        elif worth == "differs":
            self.say(
                f"{key} reads {value}, {wanted or 'more'} is wanted. {WHEN_NOT[step.name]}", "bad"
            )
        elif worth == "unverified":
            self.say(f"{key}: {step.name} is unverified", "warn", " [?] ")
        else:
            self.say(f"{key}: {step.name} {value}", "good", " [x] ")
        self._ask_next(key, warned=worth in ("in the way", "differs"))
        return ""

    async def put_in(self, key: str, how: str = "key") -> None:
        """What is in hand is in its case."""
        if await self.door.tell(key, "packed", how, qty=1):
            self._finished(self.view, key)

    async def _count(self, key: str, typed: str, how: str) -> str:
        item = self.view.find(key)
        if item is None or not typed.strip().isdecimal() or int(typed) > MOST:
            return f"{typed}: type how many are in, in digits"
        number = int(typed)
        if not await self.door.tell(key, "packed", how, qty=number):
            return ""
        if number >= item.line.qty:
            self._finished(self.view, key)
            return ""
        self.stop_asking()
        missing = item.line.qty - number
        self.say(
            f"{number} of {item.line.qty}: {missing} missing. Enter counts again", "warn", " [~] "
        )
        return ""

    def _finished(self, view: PackView, key: str, warned: bool = False) -> None:
        """Says where the case stands, and goes on: the bench first, then the next open line.

        A warning about the last reading stays on the screen instead.
        """
        item = view.find(key)
        self.step = None
        while self.bench and (waiting := view.find(self.bench[0])) is not None:
            if not waiting.finished:
                break
            self.bench.popleft()
        if item is not None and not warned:
            self._say_case(view, item)
        if self.bench:
            self._ask_next(self.bench.popleft())
            return
        self.stop_asking()
        self.go_to_open(view, key, warned)

    def go_to_open(self, view: PackView, after: str, warned: bool = False) -> None:
        """The cursor on the next open line after one, or the word that nothing is open."""
        following = next_open(view, after)
        if following is not None:
            self.rows.go_to(following.line.key)
        elif not warned:
            done = self.door.key("pack.done")
            says = f"Nothing is open. {done}: read the statement and close packing"
            self.say(says, "good", " [x] ")

    def _say_case(self, view: PackView, item: PackItem) -> None:
        case = view.case_of(item)
        became = "left out" if item.mark == "skipped" else "packed"
        done = f"{short_name(item.line)} {became}. {case.name}: {case.done} of {len(case.items)}"
        if all(other.finished for other in case.items):
            load = next((load for load in self.day.cases if load.case == case.case), None)
            count = self.door.key("pack.count-case")
            done += f", complete: count it ({count}), shut it. {lifting(load) if load else ''}"
        self.say(done, "good", " [x] ")

    # Commands

    async def action_go(self) -> None:
        """Enter: the marked line in hand."""
        item = self.item_here()
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
        elif item is None:
            return
        elif item.counted and item.mark == "packed":
            words = f"{item.line.name}: {item.state.packed} are in. Count again: how many?"
            self.ask(Ask(item.line.key, words, partial(self._count, item.line.key)))
        elif next_step(self.view, item) is None:
            out = f"{self.door.key('pack.take-out')}: out again"
            self.say(f"{full_name(item.line)} is packed already, by {item.state.who}; {out}")
        else:
            self.work_on(item.line.key)

    def action_leave_out(self) -> None:
        """A line stays here; why is asked."""
        item = self.item_here()
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
        elif item is None:
            return
        elif item.mark == "packed":
            out = f"{self.door.key('pack.take-out')} takes it out first"
            self.say(f"{full_name(item.line)} is packed; {out}", "bad")
        else:
            key = item.line.key
            words = f"Why is {full_name(item.line)} left out? It stays on the statement"
            self.step = None
            self.ask(Ask(key, words, partial(self._leave_out, key), free=True))

    async def _leave_out(self, key: str, typed: str, how: str) -> str:
        if await self.door.tell(key, "skipped", how, reason=typed.strip()):
            self._finished(self.view, key)
        return ""

    async def action_take_out(self) -> None:
        """Mends a tick that was wrong."""
        item = self.item_here()
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
        elif item is None or item.mark in ("todo", "short"):
            self.say("Nothing is ticked on this line")
        else:
            key = item.line.key
            again = [("job", "stage", {"stage": "packing", "note": f"{key} taken out"})]
            reopened = again if self.state.stage == "packed" else []
            if await self.door.tell_all([(key, "unpacked", {}), *reopened]):
                self.stop_asking()
                self.say(f"{full_name(item.line)} is taken out again", "", " [ ] ")

    async def action_not_checked(self) -> None:
        """Goes on without a reading."""
        if self.asking is None or self.step is None or self.step.kind != "check":
            self.say("Nothing is being read now")
        else:
            await self._read(self.asking.key, self.step, NOT_CHECKED, "key")

    async def action_replace(self) -> None:
        """Another unit goes in this one's place."""
        item = self.item_here()
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
        elif item is None or item.counted:
            self.say("Only a unit can be replaced by another")
        else:
            self.step = None
            said = ", ".join(f"{check} {value}" for check, value in item.state.checks.items())
            await self.replace(item.line.key, item.line.key, f"at packing: {said or 'not there'}")

    def swapped(self, by: str) -> None:
        """To the unit that goes instead, where one does."""
        if self.view.find(by) is not None:
            self.rows.go_to(by)

    def action_stop(self) -> None:
        """Leaves the line, and what lies on the bench, for later."""
        self.step = None
        self.bench.clear()
        super().action_stop()

    def action_edit(self) -> None:
        """What the kit's file says of the marked unit."""
        from kitprep.tui.sheets.edit import edit

        item = self.item_here()
        edit(self.door, f"unit:{item.line.key}" if item is not None else None)

    def action_done(self) -> None:
        """The statement, when nothing is open without a reason."""
        view = self.view
        if self.state.stage not in ("planned", "packing"):
            out = self.door.key("pack.gone-out")
            self.say(f"Packing is closed already; {out} says that the kit has gone out")
        elif view.unfinished or not view.items:
            unfinished = view.unfinished
            first = f"; the first is {full_name(unfinished[0].line)}" if unfinished else ""
            self.say(f"{counted(len(unfinished), 'line is', 'lines are')} open{first}", "bad")
            if unfinished:
                self.rows.go_to(unfinished[0].line.key)
        elif differing := out_of_count(view):
            self.say(says_difference(differing[0]), "bad")
            self.rows.go_to(differing[0].items[0].line.key, top=True)
        else:
            self.app.push_screen(
                StatementSheet(lambda width, glyphs: statement_rows(self.day, view, width, glyphs)),
                lambda signed: self.door.in_turn(partial(self._signed, signed)),
            )

    async def _signed(self, signed: bool | None) -> None:
        as_read = "; ".join(doubt.says for doubt in doubts(self.day, self.view))
        note = f"signed as read: {as_read}" if as_read else ""
        if signed and await self.door.advance("packed", note=note):
            out = self.door.key("pack.gone-out")
            self.say(f"Packed and signed. {out} when it leaves", "good", " [x] ")

    async def action_gone_out(self) -> None:
        """The kit leaves: from here on it is counted at wrap."""
        if self.state.stage != "packed":
            done = self.door.key("pack.done")
            self.say(f"Close packing first ({done}); then it goes out", "bad")
        elif await self.door.advance("out"):
            check, wrap = self.door.key("go.check"), self.door.key("go.wrap")
            self.say(f"Gone out. Line check is {check}, wrap is {wrap}", "good", " [x] ")
