"""Pack: what goes in which case, and what is still open?"""

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.binding import BindingType

from kitprep.definitions.text import counted
from kitprep.tui.commands import Command, of_screen
from kitprep.tui.drawing.lines import Row
from kitprep.tui.drawing.pack import case_rows, line_rows, pack_rows, packed_rows, statement_rows
from kitprep.tui.screens.in_hand import InHandScreen
from kitprep.tui.screens.walk import Ask
from kitprep.tui.sheets.statement import StatementSheet
from kitprep.tui.widgets.note import Note
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.cases import is_lid, out_of_count, says_difference
from kitprep.walks.naming import full_name
from kitprep.walks.pack import PackItem, doubts, line_meant, scan
from kitprep.walks.packing_steps import goes_without, next_step, resume_at


class PackScreen(InHandScreen):
    """Line by line into the cases."""

    NAME = "pack"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("pack")]

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
        self.go_on_to(item.line.key, top=True)
        if any(i.state.at for i in self.view.items):
            case = self.view.case_of(item).name
            self.say(
                f"You were in {case}: begin again at its first line, and look at what is ticked"
            )
            return
        looked_at = next((c for c in self.view.cases if c.case and c.case == self.door.case), None)
        if looked_at is not None:
            self.go_on_to(looked_at.items[0].line.key, top=True)

    def draw(self) -> None:
        """The list and the line under the cursor."""
        view = self.view
        self.show_list(lambda width: pack_rows(self.day, view, width, self.glyphs))
        self.draw_detail()

    def how_far(self, width: int) -> Sequence[Row]:
        """Of the whole list."""
        return packed_rows(self.view, width, self.glyphs)

    def draw_detail(self) -> None:
        """Why the line goes; beside the list also how far each case is."""
        view, item = self.view, self.item_here()

        def drawn(width: int) -> list[Row]:
            rows: list[Row] = []
            if self.has_class("-wide") or self.has_class("-huge"):
                rows += case_rows(view, item.line.case if item else None, width, self.glyphs)
            return rows + line_rows(self.day, item, width, self.glyphs)

        self.query_one("#detail", Note).show(drawn)

    # A tag comes in

    def is_tag(self, code: str, fast: bool) -> bool:
        """A number that was typed is an answer, whatever tags there are."""
        if not fast and code.strip().isdecimal():
            return False
        return is_lid(code) or self.view.named(code) is not None

    async def heard(self, code: str, how: str) -> None:
        """Puts a scanned thing on the bench, or says what is wrong with it."""
        if self.refused():
            return
        if is_lid(code):
            await self.heard_lid(code, how)
            return
        view = self.view
        found = scan(self.day, view, code, self.case_here(view))
        packed = line_meant(view.items, code)
        item = found.item or (packed if packed is not None and packed.to_read else None)
        if item is None and packed is not None and (self.asking is None or self.step is None):
            self.go_on_to(packed.line.key)
            self.again_or_count(packed)
            return
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

    # Commands

    async def action_go(self) -> None:
        """Enter: the marked line in hand."""
        item = self.item_here()
        if self.refused() or item is None:
            return
        if next_step(self.day, self.view, item) is None:
            self.again_or_count(item)
        else:
            self.work_on(item.line.key)

    def again_or_count(self, item: PackItem) -> None:
        """What is packed can be read or counted once more."""
        if item.counted:
            self.count_again(item)
        elif item.read:
            self.ask_again(item)
        else:
            out = f"{self.door.key('pack.take-out')}: out again"
            self.say(f"{full_name(item.line)} is packed already, by {item.state.packed_by}; {out}")

    def action_read_again(self) -> None:
        """One reading of the line in hand or under the cursor once more, or all."""
        item = self.item_here()
        if self.refused() or item is None:
            return
        if item.read:
            self.ask_again(item)
        else:
            self.say(f"Nothing has been read on {full_name(item.line)}")

    def action_leave_out(self) -> None:
        """A line stays here; why is asked."""
        item = self.item_here()
        if self.refused() or item is None:
            return
        if item.mark == "packed":
            out = f"{self.door.key('pack.take-out')} takes it out first"
            self.say(f"{full_name(item.line)} is packed; {out}", "bad")
        else:
            key = item.line.key
            words = f"Why is {full_name(item.line)} left out? It stays on the statement"
            if lost := goes_without(self.day, item):
                words += f"; {lost}"
            self.step = None
            self.ask(Ask(key, words, partial(self._leave_out, key), free=True))

    async def _leave_out(self, key: str, typed: str, how: str) -> str:
        if await self.door.tell(key, "skipped", how, reason=typed.strip()):
            self.finished(self.view, key)
        return ""

    async def action_take_out(self) -> None:
        """Mends a tick that was wrong."""
        item = self.item_here()
        if self.refused():
            return
        if item is None or item.mark in ("todo", "short"):
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
            await self.not_checked(self.asking.key or "", self.step, NOT_CHECKED)

    async def action_replace(self) -> None:
        """Another unit goes in the place of the one just left out, or of the marked one."""
        item = self.view.find(self.stays_here or "") or self.item_here()
        if self.refused():
            return
        if item is None or item.counted:
            self.say("Only a unit can be replaced by another")
        else:
            self.step = None
            said = ", ".join(f"{check} {value}" for check, value in item.state.checks.items())
            await self.replace(item.line.key, item.line.key, f"at packing: {said or 'not there'}")

    def swapped(self, by: str) -> None:
        """To the unit that goes instead, where one does."""
        if self.view.find(by) is not None:
            self.go_on_to(by)

    def action_stop(self) -> None:
        """Leaves the line, and what lies on the bench, for later."""
        self.step = None
        self.bench.clear()
        self.again.clear()
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
                self.go_on_to(unfinished[0].line.key)
        elif differing := out_of_count(view):
            self.say(says_difference(differing[0]), "bad")
            self.go_on_to(differing[0].items[0].line.key, top=True)
        else:
            self.app.push_screen(
                StatementSheet(lambda width, glyphs: statement_rows(self.day, view, width, glyphs)),
                lambda signed: self.door.in_turn(partial(self._signed, signed)),
            )

    async def _signed(self, signed: bool | None) -> None:
        as_read = "; ".join(doubt.says for doubt in doubts(self.view))
        note = f"signed as read: {as_read}" if as_read else ""
        if signed and await self.door.advance("packed", note=note):
            out = self.door.key("pack.gone-out")
            self.say(f"Packed and signed. {out} when it leaves", "good", " [x] ")

    async def action_gone_out(self) -> None:
        """The kit leaves: from here on it is counted at wrap."""
        if self.state.stage != "packed":
            done = self.door.key("pack.done")
            self.say(f"Close packing first ({done}); then it goes out", "bad")
        else:
            words = "Has the kit left? From here on this list stays as it is, and wrap goes by it"
            self.ask_whether(None, words, "It has not gone out", self._gone_out)

    async def _gone_out(self, how: str) -> None:
        if await self.door.advance("out"):
            check, wrap = self.door.key("go.check"), self.door.key("go.wrap")
            self.say(f"Gone out. Line check is {check}, wrap is {wrap}", "good", " [x] ")
