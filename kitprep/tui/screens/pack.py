"""Pack: what goes in which case, and what is still open?"""

from collections import deque
from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual.binding import BindingType

from kitprep.tui.commands import Command, of_screen
from kitprep.tui.drawing.lines import Row, counted
from kitprep.tui.drawing.pack import case_rows, line_rows, pack_rows, statement_rows
from kitprep.tui.screens.walk import Ask, WalkScreen
from kitprep.tui.sheets.statement import StatementSheet
from kitprep.tui.widgets.note import Note
from kitprep.walks.answers import NOT_CHECKED, meant
from kitprep.walks.cautions import lifting
from kitprep.walks.naming import full_name, short_name
from kitprep.walks.pack import (
    WHEN_NOT,
    PackItem,
    PackView,
    pack_view,
    reading,
    scan,
    wanted_reading,
)
from kitprep.walks.packing_steps import Step, may_pack, next_open, next_step, resume_at

MOST = 9999


class PackScreen(WalkScreen):
    """Line by line into the cases."""

    NAME = "pack"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("pack")]

    def __init__(self) -> None:
        super().__init__()
        self.bench: deque[str] = deque()
        self.step: Step | None = None

    @property
    def view(self) -> PackView:
        """The list as it stands."""
        return pack_view(self.day, self.state)

    def foot(self) -> tuple[Command, ...]:
        """When packing is closed the next thing is that it goes out."""
        out = next(command for command in of_screen(self.NAME) if command.id == "pack.gone-out")
        packed = self.state.stage == "packed"
        return tuple(out if packed and c.id == "pack.done" else c for c in super().foot())

    def item_here(self) -> PackItem | None:
        """The line under the cursor."""
        return self.view.find(self.rows.key or "")

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
        return self.view.named(code) is not None

    def heard(self, code: str, how: str) -> None:
        """Puts a scanned thing on the bench, or says what is wrong with it."""
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
            return
        view = self.view
        found = scan(self.day, view, code, self._case_here(view))
        named = view.named(code)
        item = found.item or (named if named is not None and named.to_read else None)
        if item is None:
            self.say(found.says, "bad")
            return
        key = item.line.key
        if self.asking is None or self.step is None:
            self.work_on(key, found.says if item.line.case != self._case_here(view) else "")
        elif self.asking.key != key:
            if key not in self.bench:
                self.bench.append(key)
            self.say(f"{found.says}: on the bench, after {self.asking.key}. {self._bench()}")
        elif self.step.kind == "put in":
            self._put_in(key, how)
        else:
            self.say(f"{key} is in hand: answer what is asked")

    def _case_here(self, view: PackView) -> str | None:
        item = view.find(self.rows.key or "")
        return item.line.case if item else None

    def _bench(self) -> str:
        return f"Waiting: {', '.join(self.bench)}" if self.bench else ""

    # One line, step by step

    def work_on(self, key: str, says: str = "") -> None:
        """Takes a line in hand."""
        self.say(says, "warn" if says else "")
        self._ask_next(key)

    def _ask_next(self, key: str) -> None:
        view = self.view
        item = view.find(key)
        step = next_step(view, item) if item is not None else None
        if item is None or step is None:
            self._finished(view, key)
            return
        number, steps = step.place
        lead = f"{key} {number}/{steps}: " if steps > 1 else f"{item.line.name}. "
        takes: dict[str, Callable[[str, str], str]] = {
            "check": partial(self._read, key, step),
            "count": partial(self._count, key),
            "put in": lambda typed, how: "Enter when it is in, or scan it again",
        }
        enter = partial(self._put_in, key, "key") if step.kind == "put in" else None
        self.step = step
        self.ask(Ask(key, lead + step.asks, takes[step.kind], step.answers, enter))

    def _read(self, key: str, step: Step, typed: str, how: str) -> str:
        value = meant(step.answers, typed) if step.answers else typed.strip()[:60]
        if value is None:
            return f"{typed}: answer with one of the keys shown"
        if not self.door.tell(key, "checked", how, check=step.name, value=value):
            return ""
        item = self.view.find(key)
        wanted = wanted_reading(self.day, item.line, step.name) if item else None
        worth = reading(step.name, value, wanted)
        if worth == "in the way":
            self.say(f"{key}: {WHEN_NOT[step.name]}", "bad")
        elif worth == "differs":
            self.say(f"{key} reads {value}, {wanted} is wanted. {WHEN_NOT[step.name]}", "bad")
        elif worth == "unverified":
            self.say(f"{key}: {step.name} is unverified", "warn", " [?] ")
        else:
            self.say(f"{key}: {step.name} {value}", "good", " [x] ")
        self._ask_next(key)
        return ""

    def _put_in(self, key: str, how: str = "key") -> None:
        if self.door.tell(key, "packed", how, qty=1):
            self._finished(self.view, key)

    def _count(self, key: str, typed: str, how: str) -> str:
        item = self.view.find(key)
        if item is None or not typed.strip().isdecimal() or int(typed) > MOST:
            return f"{typed}: type how many are in, in digits"
        number = int(typed)
        if not self.door.tell(key, "packed", how, qty=number):
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

    def _finished(self, view: PackView, key: str) -> None:
        """Says where the case stands, and goes on: the bench first, then the next open line."""
        item = view.find(key)
        self.step = None
        while self.bench and (waiting := view.find(self.bench[0])) is not None:
            if not waiting.finished:
                break
            self.bench.popleft()
        if item is not None:
            self._say_case(view, item)
        if self.bench:
            self._ask_next(self.bench.popleft())
            return
        self.stop_asking()
        following = next_open(view, key)
        if following is not None:
            self.rows.go_to(following.line.key)
        else:
            self.say("Nothing is open. ^D: read the statement and close packing", "good", " [x] ")

    def _say_case(self, view: PackView, item: PackItem) -> None:
        case = view.case_of(item)
        became = "left out" if item.mark == "skipped" else "packed"
        done = f"{short_name(item.line)} {became}. {case.name}: {case.done} of {len(case.items)}"
        if all(other.finished for other in case.items):
            load = next((load for load in self.day.cases if load.case == case.case), None)
            done += f", complete: shut it. {lifting(load) if load else ''}"
        self.say(done, "good", " [x] ")

    # Commands

    def action_go(self) -> None:
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
            self.say(
                f"{full_name(item.line)} is packed already, by {item.state.who}; ^T: out again"
            )
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
            self.say(f"{full_name(item.line)} is packed; ^T takes it out first", "bad")
        else:
            key = item.line.key
            words = f"Why is {full_name(item.line)} left out? It stays on the statement"
            self.step = None
            self.ask(Ask(key, words, partial(self._leave_out, key), free=True))

    def _leave_out(self, key: str, typed: str, how: str) -> str:
        if self.door.tell(key, "skipped", how, reason=typed.strip()):
            self._finished(self.view, key)
        return ""

    def action_take_out(self) -> None:
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
            if self.door.tell_all([(key, "unpacked", {}), *reopened]):
                self.stop_asking()
                self.say(f"{full_name(item.line)} is taken out again", "", " [ ] ")

    def action_not_checked(self) -> None:
        """Goes on without a reading."""
        if self.asking is None or self.step is None or self.step.kind != "check":
            self.say("Nothing is being read now")
        else:
            self._read(self.asking.key, self.step, NOT_CHECKED, "key")

    def action_replace(self) -> None:
        """Another unit goes in this one's place."""
        item = self.item_here()
        if refused := may_pack(self.state.stage):
            self.say(refused, "bad")
        elif item is None or item.counted:
            self.say("Only a unit can be replaced by another")
        else:
            self.step = None
            said = ", ".join(f"{check} {value}" for check, value in item.state.checks.items())
            self.replace(item.line.key, item.line.key, f"at packing: {said or 'not there'}")

    def swapped(self, by: str) -> None:
        """To the unit that goes instead, where one does."""
        if self.view.find(by) is not None:
            self.rows.go_to(by)

    def action_next_case(self) -> None:
        """To the first line of the next case."""
        self._to_case(1)

    def action_previous_case(self) -> None:
        """To the first line of the case before."""
        self._to_case(-1)

    def _to_case(self, by: int) -> None:
        cases = [case.case for case in self.view.cases]
        if cases:
            here = self._case_here(self.view)
            case = self.view.cases[((cases.index(here) if here in cases else 0) + by) % len(cases)]
            self.rows.go_to(case.items[0].line.key, top=True)
            self.door.case = case.case or ""
            self.door.remember_where()

    def action_stop(self) -> None:
        """Leaves the line, and what lies on the bench, for later."""
        self.step = None
        self.bench.clear()
        super().action_stop()

    def action_done(self) -> None:
        """The statement, when nothing is open without a reason."""
        view = self.view
        if self.state.stage not in ("planned", "packing"):
            self.say("Packing is closed already; ^O says that the kit has gone out")
        elif view.unfinished or not view.items:
            unfinished = view.unfinished
            first = f"; the first is {full_name(unfinished[0].line)}" if unfinished else ""
            self.say(f"{counted(len(unfinished), 'line is', 'lines are')} open{first}", "bad")
            if unfinished:
                self.rows.go_to(unfinished[0].line.key)
        else:
            self.app.push_screen(
                StatementSheet(lambda width, glyphs: statement_rows(self.day, view, width, glyphs)),
                self._signed,
            )

    def _signed(self, signed: bool | None) -> None:
        if signed and self.door.advance("packed"):
            self.say("Packed and signed. ^O when it leaves", "good", " [x] ")

    def action_gone_out(self) -> None:
        """The kit leaves: from here on it is counted at wrap."""
        if self.state.stage != "packed":
            self.say("Close packing first (^D); then it goes out", "bad")
        elif self.door.advance("out"):
            self.say("Gone out. Line check is F6, wrap is F7", "good", " [x] ")
