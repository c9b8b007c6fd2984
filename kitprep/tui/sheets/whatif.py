"""What if: change a few things and see at once what becomes of the day; nothing is kept.

The day is worked out beside the screen, one question at a time; only the newest answer is shown.
"""

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical

from kitprep.definitions.text import clock
from kitprep.planning.difference import Difference, difference
from kitprep.planning.whatif import NotPossible, WhatIf, changed, with_word
from kitprep.reports.whatif import told
from kitprep.tui.drawing.whatif import choice_rows, outcome_rows
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.code_input import CodeInput
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList

if TYPE_CHECKING:
    pass

AS_PLANNED = "All is as planned. Mark a line with Enter, or type what is otherwise."
WORKING = "Working it out; go on meanwhile."


class WhatIfSheet(Sheet[None]):
    """Choices above, what they come to below, and between them a field for words and scans."""

    AUTO_FOCUS = "#what-if-code"
    ABOUT = "what-if"
    FOOT: ClassVar[str] = " Enter Change   Up/Down Choose   PgUp/PgDn Outcome   Esc Drop it all"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("pageup", "outcome(-1)", "Outcome up", show=False),
        Binding("pagedown", "outcome(1)", "Outcome down", show=False),
    ]

    def __init__(self, start: str | None = None) -> None:
        super().__init__()
        self._start = start
        self.what = WhatIf()
        self.found: Difference | None = None
        self._says = AS_PLANNED
        self._working = False

    def compose(self) -> ComposeResult:
        """Choices, the field, the outcome, the foot."""
        with Vertical(id="sheet", classes="what-if"):
            with Container(id="two"):
                with Vertical(id="choosing"):
                    yield RowList("sheet-rows", focusable=False)
                    yield CodeInput("what-if-code")
                    yield Note("what-if-said")
                yield RowList("outcome", focusable=False)
            yield Bar(id="sheet-foot")

    def on_mount(self) -> None:
        """The cursor starts on the scene that was looked at."""
        super().on_mount()
        self.query_one(CodeInput).placeholder = "a tag, 12A=08:00-10:00, mix=1, 12A:boom"
        if self._start is not None:
            self.choices.go_to(f"scene:{self._start}", top=True)

    @property
    def choices(self) -> RowList:
        """What can be otherwise."""
        return self.query_one("#sheet-rows", RowList)

    @property
    def outcome(self) -> RowList:
        """What would become of the day."""
        return self.query_one("#outcome", RowList)

    @property
    def is_working(self) -> bool:
        """Whether a day is being worked out."""
        return self._working

    def repaint(self) -> None:
        """Shows both lists as they are now."""
        if not self.query(RowList):
            return  # it was left while the day was worked out
        worked, plan = self.door.now.worked, self.door.day.plan
        glyphs = self.choices.glyphs
        self.choices.show(lambda width: choice_rows(worked, self.what, width, glyphs))
        self.outcome.show(lambda width: outcome_rows(self.found, plan, self._says, width, glyphs))

    def action_outcome(self, by: int) -> None:
        """A screenful of the outcome."""
        self.outcome.page(by)

    @on(CodeInput.Entered)
    def _enter(self, event: CodeInput.Entered) -> None:
        event.stop()
        key = self.choices.key
        if key is not None:
            self._choose(key)

    @on(RowList.Chosen)
    def _clicked(self, event: RowList.Chosen) -> None:
        event.stop()
        self._choose(event.key)

    def _choose(self, key: str) -> None:
        """A marked line: a scene's time is written into the field, all else is done at once."""
        if not key.startswith("scene:"):
            self.say(key)
            return
        number = key.removeprefix("scene:")
        scene = next(s for s in self.door.day.plan.scenes if s.number == number)
        start, end = self.what.times.get(number, (scene.start, scene.end))
        field = self.query_one(CodeInput)
        field.value = f"{number}={clock(start)}-{clock(end)}"
        field.cursor_position = len(field.value)
        self._reply("Change the times, then Enter")

    @on(CodeInput.Scanned)
    def _typed(self, event: CodeInput.Scanned) -> None:
        event.stop()
        self.say(event.code)

    def say(self, word: str) -> None:
        """Makes one change, or says why it cannot be."""
        day = self.door.day
        try:
            what = with_word(self.what, word, day.kit, day.plan)
            changed(day.kit, day.plan, what)
        except NotPossible as refusal:
            self.app.bell()
            self._reply(f"{refusal}", bad=True)
            return
        self.what = what
        self._reply(told(what))
        self.found, self._says = None, AS_PLANNED if what.nothing else WORKING
        self.outcome.scroll_home(animate=False)
        self.repaint()
        self.work_it_out()

    def _reply(self, words: str, bad: bool = False) -> None:
        for note in self.query("#what-if-said").results(Note):  # none where it was left meanwhile
            note.say(words, "bad" if bad else "head", "[!] " if bad else " ")

    @work(group="what-if", exit_on_error=True)
    async def work_it_out(self) -> None:
        """Answers the newest question, and what is asked meanwhile after it, in a thread."""
        if self._working:
            return  # what is being worked out is followed by the newest question
        self._working = True
        try:
            answered: WhatIf | None = None
            while not self.what.nothing and answered != self.what:
                answered, now = self.what, self.door.now.worked
                then = await self.door.aside(partial(self.door.job.what_if, answered))
                if answered == self.what:
                    self.found = difference(now, then)
                    self.repaint()
        finally:
            self._working = False
