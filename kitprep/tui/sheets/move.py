"""A company move: a small wrap of what is worn, rigged, plugged in or on a destination here."""

from collections.abc import Awaitable, Callable, Sequence
from functools import partial
from typing import ClassVar

from rich.cells import cell_len
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical

from kitprep.definitions.text import clock
from kitprep.tui.drawing.lines import Glyphs, Part, Role, Row, fill, heading, paragraph
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.code_input import CodeInput
from kitprep.tui.widgets.prompt import Prompt
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.answers import meant
from kitprep.walks.counting import read_count
from kitprep.walks.lookup import about
from kitprep.walks.may import not_out
from kitprep.walks.out import Move, MoveLine, moves

IDLE = "Scan or type a tag: it is seen in. Enter takes the marked line"


WORD = 9
"""Cells for the word of a line's state."""

MOST_NAMED = 12
"""Things that are named when the sheet is left without them."""


def move_rows(found: Sequence[Move], width: int, glyphs: Glyphs) -> list[Row]:
    """Each move with what must come along, seen in or not, and what the next place needs."""
    rows: list[Row] = []
    for number, move in enumerate(found):
        seen = sum(line.aboard for line in move.to_come)
        title = f"{clock(move.leaving.end)} {move.leaving.place} to {move.coming.place}"
        rows.append(heading(title, width, glyphs, f"{seen} of {len(move.to_come)} seen in"))
        rows += _thing_rows(number, move, width, glyphs)
        for need in move.needs:
            says = f"at {move.coming.place} by {clock(move.coming.start)}: {need}"
            rows += paragraph(says, width, "", "  - ")
        rows.append(Row(()))
    return rows


def _thing_rows(number: int, move: Move, width: int, glyphs: Glyphs) -> list[Row]:
    """A name is whole wherever there is room for it; what the thing does is cut first."""
    tags = min(max((len(_tag(line)) for line in move.lines), default=4), 12)
    room = max(width - 4 - WORD - tags - 2, 8)
    column = min(max((cell_len(line.name) for line in move.lines), default=4), room * 3 // 5)
    rows = []
    for line in move.lines:
        glyph, word, role = _mark(line)
        name = min(max(cell_len(line.name), column), room)
        parts: list[Part] = [
            (f"{glyph} {fill(word, WORD)}", role),
            (f"{fill(_tag(line), tags, glyphs.dots)} ", "key"),
            (fill(line.name, name, glyphs.dots), ""),
            (fill(f" {_place(line)}", room - name + 1, glyphs.dots), "dim"),
        ]
        rows.append(Row(tuple(parts), f"{number}\n{line.key}"))
    return rows


def _tag(line: MoveLine) -> str:
    if line.counted:
        return f"{line.seen} of {line.qty}" if line.seen else f"{line.qty} x"
    return line.key


def _place(line: MoveLine) -> str:
    at = "at " if line.where == "on a destination" else f"{line.where}: "
    return f"{at}{line.with_whom}"


def _mark(line: MoveLine) -> tuple[str, str, Role]:
    if not line.qty:
        return "[-]", "unpacked", "dim"
    if line.aboard:
        return "[x]", "seen in", "good"
    return ("[~]", "part", "warn") if line.seen else ("[ ]", "here", "")


def says_not_seen(found: Sequence[Move]) -> str:
    """What was not seen in, of each move that something was seen in of; empty where nothing was."""
    said = []
    for move in found:
        missed = [_called(line) + _so_far(line) for line in move.to_come if not line.aboard]
        if not any(line.aboard or line.seen for line in move.to_come) or not missed:
            continue
        more = len(missed) - MOST_NAMED
        named = ", ".join(missed[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
        said.append(f"Not seen in at {move.leaving.place}: {named}")
    return ". ".join(said)


def _so_far(line: MoveLine) -> str:
    return f" ({line.seen} of {line.qty})" if line.seen else ""


class MoveSheet(Sheet[None]):
    """Ticked as things are seen into the truck, by tag, by key, or by a count."""

    AUTO_FOCUS = "#code"
    ABOUT = "move"
    FOOT: ClassVar[str] = " Enter Seen in   Up/Down Line   Esc Close"
    BINDINGS: ClassVar[list[BindingType]] = []

    def __init__(self) -> None:
        super().__init__()
        self._asked: Callable[[str, str], Awaitable[None]] | None = None
        self._asked_of: str | None = None

    def compose(self) -> ComposeResult:
        """The lines, the field that is always ready, the foot."""
        with Vertical(id="sheet", classes="move"):
            yield RowList("sheet-rows", focusable=False)
            yield Prompt()
            yield Bar(id="sheet-foot")

    def on_mount(self) -> None:
        """At the first thing that is still to be seen in."""
        super().on_mount()
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        self._stop_asking()
        self._go_to_next(0, "")
        if not_out(self.door.now.worked, self.door.now.state):
            self.say("The kit has not gone out: this is what will have to come along")

    @property
    def moves(self) -> tuple[Move, ...]:
        """The day's moves as they stand."""
        return moves(self.door.now.worked, self.door.now.state)

    @property
    def rows(self) -> RowList:
        """The things."""
        return self.query_one(RowList)

    @property
    def prompt(self) -> Prompt:
        """The field, with what is asked and what was said."""
        return self.query_one(Prompt)

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """All moves of the day."""
        return move_rows(self.moves, width, glyphs)

    def say(self, words: str, role: Role = "", mark: str = " ") -> None:
        """What became of it."""
        self.prompt.say(words, role, mark)

    # What comes in

    @on(CodeInput.Scanned)
    def _code(self, event: CodeInput.Scanned) -> None:
        event.stop()
        how = "scan" if event.fast else "key"
        self.door.call_later(self.door.in_turn, partial(self._came, event.code, how))

    @on(CodeInput.Entered)
    def _enter(self, event: CodeInput.Entered) -> None:
        event.stop()
        self.door.call_later(self.door.in_turn, self._take_marked)

    @on(RowList.Chosen)
    def _chosen(self) -> None:
        self.door.in_turn(self._take_marked)

    @on(RowList.Moved)
    def _moved(self) -> None:
        if self._asked is not None and self.rows.key != self._asked_of:
            self._stop_asking()
            self.say("")

    def scanned(self, code: str) -> None:
        """A scan that came while the field had not the keys."""
        self.door.in_turn(partial(self._came, code, "scan"))

    async def _came(self, code: str, how: str) -> None:
        if not self.is_mounted:
            return  # the sheet was left meanwhile
        named = self._named(code)
        if self._asked is not None and (named is None or (how == "key" and code.isdecimal())):
            await self._asked(code, how)
        elif named is not None:
            await self._take(*named, how)
        else:
            self.say(about(self.door.now.worked, self.door.now.state, code), "bad")

    def _named(self, code: str) -> tuple[int, MoveLine] | None:
        """The line of a tag at the first move that still waits for it, or else at the last."""
        folded = code.strip().casefold()
        found = [
            (number, line)
            for number, move in enumerate(self.moves)
            for line in move.lines
            if line.key.casefold() == folded
        ]
        waiting = (at for at in found if not at[1].aboard)
        return next(waiting, found[-1] if found else None)

    async def _take_marked(self) -> None:
        if not self.is_mounted:
            return
        if self._asked is not None:
            self.say("An answer is needed; Esc leaves the line", "warn")
            return
        number, _, key = (self.rows.key or "").partition("\n")
        line = self._line(int(number), key) if number else None
        if line is None:
            return
        if line.aboard:
            self._ask_back(int(number), line)
        else:
            await self._take(int(number), line, "key")

    def _line(self, number: int, key: str) -> MoveLine | None:
        lines = self.moves[number].lines if number < len(self.moves) else ()
        return next((line for line in lines if line.key == key), None)

    async def _take(self, number: int, line: MoveLine, how: str) -> None:
        self._stop_asking()
        self.rows.go_to(f"{number}\n{line.key}")
        if not self.door.now.state.item(line.key).packed:
            self.say(f"{_called(line)} is not packed: nothing of it is here to come along", "bad")
        elif line.aboard:
            self.say(f"{_called(line)} is seen in already")
        elif line.counted and line.qty > 1:
            words = f"{line.name}: {line.qty} went out. How many are in?"
            self._ask(words, partial(self._count, number, line.key))
        else:
            await self._record(number, line, how)

    async def _record(self, number: int, line: MoveLine, how: str, **facts: int) -> None:
        place = self.moves[number].leaving.place
        if not await self._told(line.key, how, to=place, **facts) or not self.is_mounted:
            return
        move = self.moves[number]
        seen = sum(each.aboard for each in move.to_come)
        after = self._line(number, line.key)
        qty = facts.get("qty", line.qty)
        counts = f": {qty} of {line.qty}" if line.qty > 1 else ""
        says = f"{_called(line)} in{counts}. {seen} of {len(move.to_come)} seen in"
        if after is not None and after.aboard:
            more = f", {qty - line.qty} more than went out" if qty > line.qty else ""
            self.say(says + more, "warn" if more else "good", " [x] ")
        else:
            self.say(says, "warn", " [~] ")
        self._go_to_next(number, line.key)

    async def _told(self, key: str, how: str, **facts: object) -> bool:
        """Records it; why it was not recorded is said here, for the banner lies under the sheet."""
        told = await self.door.tell(key, "moved", how, **facts)
        if not told and self.is_mounted:
            self.say(self.door.alarm_says, "bad")
        return told

    def _go_to_next(self, number: int, key: str) -> None:
        """To the next thing that is still to be seen in, of this move before the others."""
        things = [(n, line) for n, move in enumerate(self.moves) for line in move.lines]
        at = next((i for i, (n, line) in enumerate(things) if (n, line.key) == (number, key)), -1)
        around = (*things[at + 1 :], *things[: at + 1])
        for n, line in around:
            if line.qty and not line.aboard:
                self.rows.go_to(f"{n}\n{line.key}")
                return

    # What is asked

    def _ask(
        self,
        words: str,
        take: Callable[[str, str], Awaitable[None]],
        answers: tuple[str, ...] = (),
    ) -> None:
        self._asked, self._asked_of = take, self.rows.key
        self.prompt.ask(words, answers)
        self.say("")

    def _stop_asking(self) -> None:
        self._asked, self._asked_of = None, None
        self.prompt.ask(IDLE, role="dim")

    async def _count(self, number: int, key: str, typed: str, how: str) -> None:
        line = self._line(number, key)
        qty = read_count(typed)
        if line is None or qty is None:
            self.say(f"{typed}: type how many are in, in digits", "bad")
            return
        self._stop_asking()
        await self._record(number, line, how, qty=qty)

    def _ask_back(self, number: int, line: MoveLine) -> None:
        words = f"{_called(line)} is seen in. Take that back?"
        self._ask(words, partial(self._take_back, number, line.key), ("yes", "no"))

    async def _take_back(self, number: int, key: str, typed: str, how: str) -> None:
        answer, line = meant(("yes", "no"), typed), self._line(number, key)
        if answer is None or line is None:
            self.say(f"{typed}: answer with one of the keys shown", "bad")
            return
        self._stop_asking()
        place = self.moves[number].leaving.place
        if answer == "yes" and await self._told(key, how, to=place, seen=False):
            self.say(f"{_called(line)} is here again", "", " [ ] ")

    def action_leave(self) -> None:
        """Esc: first the question, then the sheet."""
        if self._asked is not None:
            self._stop_asking()
            self.say("")
        else:
            if missed := says_not_seen(self.moves):
                self.door.notify(missed, severity="warning", markup=False)
            super().action_leave()


def _called(line: MoveLine) -> str:
    return line.name if line.counted else line.key
