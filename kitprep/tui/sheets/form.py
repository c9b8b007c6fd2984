"""A form over the screen, filled in by keyboard alone, one field a line.

What is written is looked at beside the screen; the newest text is looked at last, and only what is
said of that is shown. Nothing is written anywhere before the form is done.
"""

from abc import abstractmethod
from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Horizontal, Vertical

from kitprep.tui.drawing.form import Blank, choice_lines, form_rows, toggled
from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.line_input import LineInput
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList

if TYPE_CHECKING:
    pass

Found = TypeVar("Found")
Answer = TypeVar("Answer")


class FormSheet(Sheet[Answer], Generic[Answer, Found]):
    """Fields above, the line being filled in and its choices, and below what it comes to."""

    AUTO_FOCUS = "#form-line"
    ABOUT = "form"
    FOOT: ClassVar[str] = " Up/Down Field   Space Take choice   ^D Done   Esc Leave as it was"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+d", "done", "Done", show=False),
        Binding("pageup", "page_below(-1)", "Below, up", show=False),
        Binding("pagedown", "page_below(1)", "Below, down", show=False),
    ]

    def __init__(self, title: str, blanks: Sequence[Blank], texts: Mapping[str, str]) -> None:
        super().__init__()
        self.form_title = title
        self.blanks = tuple(blanks)
        self.texts = dict(texts)
        self._as_it_was = dict(texts)
        self.wrong: Mapping[str, str] = {}
        self.starts_at: str | None = None
        self._here: Blank | None = None
        self._marked = 0
        self._looking = False

    # For the form at hand

    @abstractmethod
    def look(self, texts: Mapping[str, str]) -> Found:
        """Looks at what is written, in a thread; changes nothing."""

    @abstractmethod
    def wrong_in(self, found: Found) -> Mapping[str, str]:
        """What is wrong, by field."""

    def above(self, width: int) -> Sequence[Row]:
        """What is to be known before the first field is filled in."""
        return ()

    @abstractmethod
    def below(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What is shown under the form."""

    @abstractmethod
    async def finish(self, found: Found) -> None:
        """What is written is right, and the person is done."""

    async def looked(self, found: Found) -> None:
        """What was found of the newest text is there; more can be worked out from it here."""

    # The sheet

    @property
    def would_lose(self) -> str:
        """What was typed."""
        if self.texts == self._as_it_was:
            return ""
        return "What you typed is not kept yet: ^D keeps it, Esc drops it"

    def compose(self) -> ComposeResult:
        """Fields, the line, what is said of it, what it comes to, the foot."""
        with Vertical(id="sheet", classes="form"):
            with Container(id="two"):
                with Vertical(id="choosing"):
                    yield RowList("sheet-rows", focusable=False)
                    with Horizontal(id="form-field"):
                        yield Note("form-label")
                        yield LineInput("form-line", self._takes, self._written)
                    yield Note("form-says")
                yield RowList("outcome", focusable=False)
            yield Bar(id="sheet-foot")

    def on_mount(self) -> None:
        """On the first field, with what is in it."""
        self._go(self.starts_at or self.blanks[0].key)
        self.look_again()

    @property
    def rows(self) -> RowList:
        """The fields."""
        return self.query_one("#sheet-rows", RowList)

    @property
    def line(self) -> LineInput:
        """The line being filled in."""
        return self.query_one(LineInput)

    @property
    def is_looking(self) -> bool:
        """Whether what is written is still being looked at."""
        return self._looking

    def repaint(self) -> None:
        """Shows the form as it is."""
        if not self.query(RowList):
            return  # it was left while what is written was looked at
        glyphs = self.rows.glyphs
        self.rows.show(
            lambda width: [
                *self.above(width),
                *form_rows(self.form_title, self.blanks, self.texts, self.wrong, width, glyphs),
            ]
        )
        here = self._here or self.blanks[0]
        text = self.texts.get(here.key, "")
        self.query_one("#form-says", Note).show(
            lambda width: choice_lines(here, text, self._marked, width, glyphs)
        )
        self.query_one("#outcome", RowList).show(lambda width: self.below(width, glyphs))

    def _to(self, key: str | None) -> None:
        """The field to be filled in from here on."""
        blank = next((blank for blank in self.blanks if blank.key == key), self.blanks[0])
        if blank is self._here:
            return
        self._here = blank
        text = self.texts.get(blank.key, "")
        self._marked = _first_taken(blank, text)
        self.query_one("#form-label", Note).say(f"{blank.label} =>", "head", " ")
        self.line.fill(text)
        self.repaint()

    @on(RowList.Moved, "#sheet-rows")
    def _clicked(self, event: RowList.Moved) -> None:
        event.stop()
        self._to(self.rows.key)

    def _takes(self, key: str) -> bool:
        """What a key does to the form rather than to the line."""
        here = self._here
        if here is None:
            return False
        if key in ("up", "shift+tab", "down", "tab"):
            self.action_move(-1 if key in ("up", "shift+tab") else 1)
        elif key == "enter":
            self.action_move(1)  # and no further than the last: done is said on purpose
        elif here.choices and key in ("left", "right"):
            self._marked = (self._marked + (1 if key == "right" else -1)) % len(here.choices)
            self.repaint()
        elif here.choices and key == "space":
            at = self._marked
            self.line.fill(toggled(here, self.line.value, here.choices[at]))
            self._marked = _first_taken(here, self.line.value) if here.needed else at
            self.repaint()
        else:
            return False
        return True

    def action_move(self, by: int) -> None:
        """The next field, or the one before."""
        at = self.blanks.index(self._here) if self._here else 0
        self._go(self.blanks[min(max(at + by, 0), len(self.blanks) - 1)].key)

    def _go(self, key: str) -> None:
        self.rows.go_to(key)
        self._to(key)

    def action_page_below(self, by: int) -> None:
        """A screenful of what it comes to."""
        self.query_one("#outcome", RowList).page(by)

    def _written(self, text: str) -> None:
        """A letter came or went."""
        here = self._here
        if here is None or self.texts.get(here.key, "") == text:
            return
        self.texts[here.key] = text
        begun = text.rpartition(",")[2].strip()
        matching = [
            n for n, choice in enumerate(here.choices) if begun and choice.startswith(begun)
        ]
        if matching and self._marked not in matching:
            self._marked = matching[0]
        self.repaint()
        self.look_again()

    # What is written is looked at

    @work(group="form")
    async def look_again(self) -> None:
        """Looks at the newest text, and at what is written meanwhile after it."""
        if self._looking:
            return
        self._looking = True
        try:
            seen: dict[str, str] | None = None
            while seen != self.texts:
                seen = dict(self.texts)
                found = await self.door.aside(partial(self.look, seen))
                if seen == self.texts:
                    self.wrong = self.wrong_in(found)
                    self.repaint()
                    await self.looked(found)
        finally:
            self._looking = False

    @work(group="form done", exclusive=True)
    async def action_done(self) -> None:
        """Done, where nothing is wrong; else to the first field that is."""
        found = await self.door.aside(partial(self.look, dict(self.texts)))
        self.wrong = self.wrong_in(found)
        self.repaint()
        first = next((blank for blank in self.blanks if blank.key in self.wrong), None)
        if first is not None:
            self.app.bell()
            self._go(first.key)
            return
        await self.finish(found)


def _first_taken(blank: Blank, text: str) -> int:
    parts = {part.strip().partition(":")[0] for part in text.split(",")}
    return next((n for n, choice in enumerate(blank.choices) if choice in parts), 0)
