"""Edit: everything that has a form; one is opened, a new one begun, one ended or taken out."""

from collections.abc import Sequence
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from kitprep.definitions.problems import DefinitionError
from kitprep.editing.forms import KINDS, Kind
from kitprep.editing.proposal import Book, Drop
from kitprep.tui.drawing.edit import entry_rows
from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.sheets.entry import EntrySheet
from kitprep.tui.sheets.review import review
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.code_input import CodeInput
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList

if TYPE_CHECKING:
    from kitprep.tui.app import KitprepApp


def edit(door: "KitprepApp", start: str | None = None) -> None:
    """Opens the sheet on an entry, by its kind and name."""
    book = open_book(door)
    if book is not None:
        door.push_screen(EditSheet(book, start))


def open_book(door: "KitprepApp") -> Book | None:
    """The day's files as they are now; where they do not read well, that is said."""
    try:
        return Book(door.day.path)
    except DefinitionError as error:
        door.alarm(f"The files cannot be changed as they are: {error.lines[0]}")
        return None


class EditSheet(Sheet[None]):
    """Scenes, sources, destinations and units, with a field for a name or a scanned tag."""

    AUTO_FOCUS = "#edit-code"
    ABOUT = "edit"
    FOOT: ClassVar[str] = " Enter Open   ^T Take out, end   Up/Down Choose   Esc Close"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+t", "take_out", "Out", show=False)]

    def __init__(self, book: Book, start: str | None = None) -> None:
        super().__init__()
        self._book, self._start = book, start

    def compose(self) -> ComposeResult:
        """The list, the field, what was said last, the foot."""
        with Vertical(id="sheet", classes="edit"):
            yield RowList("sheet-rows", focusable=False)
            yield CodeInput("edit-code")
            yield Note("edit-said")
            yield Bar(id="sheet-foot")

    def on_mount(self) -> None:
        """The cursor starts on what was looked at."""
        self.query_one(CodeInput).placeholder = "a tag, a scene, a source or a destination"
        if self._start is not None:
            self.rows.go_to(self._start, top=True)

    @property
    def rows(self) -> RowList:
        """The list."""
        return self.query_one("#sheet-rows", RowList)

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """All that can be changed."""
        return entry_rows(self._book.day, width, glyphs)

    @on(CodeInput.Entered)
    def _enter(self, event: CodeInput.Entered) -> None:
        event.stop()
        if self.rows.key is not None:
            self._open(self.rows.key)

    @on(RowList.Chosen)
    def _clicked(self, event: RowList.Chosen) -> None:
        event.stop()
        self._open(event.key)

    @on(CodeInput.Scanned)
    def _named(self, event: CodeInput.Scanned) -> None:
        event.stop()
        word = event.code.casefold()
        found = [f"{k}:{n}" for k in KINDS for n in self._book.names(k) if n.casefold() == word]
        if not found:
            self._say(f"{event.code} is nothing of this day or its kit", bad=True)
            return
        self.rows.go_to(found[0])
        self._open(found[0])

    def _say(self, words: str, bad: bool = False) -> None:
        if bad:
            self.app.bell()
        for note in self.query("#edit-said").results(Note):  # none where it was left meanwhile
            note.say(words, "bad" if bad else "head", "[!] " if bad else " ")

    def _open(self, key: str) -> None:
        kind, name = _read(key)
        self._say("")
        self.app.push_screen(EntrySheet(self._book, kind, name), self._came_back)

    def action_take_out(self) -> None:
        """A unit ends, so that its past stays; all else is taken out of the plan."""
        kind, name = _read(self.rows.key or "scene:")
        if name is None:
            self._say("There is nothing on this line to take out", bad=True)
        elif kind == "unit":
            self._end(name)
        else:
            self._drop(kind, name)

    def _end(self, tag: str) -> None:
        ended = self._book.texts("unit", tag)["ended"]
        day = ended or (self._book.day.plan.day + timedelta(days=1)).isoformat()
        sheet = EntrySheet(self._book, "unit", tag, {"ended": day}, "ended")
        self.app.push_screen(sheet, self._came_back)

    @work(group="drop", exclusive=True)
    async def _drop(self, kind: Kind, name: str) -> None:
        proposal = self._book.proposed(Drop(kind, name))
        if proposal.day is None:
            self._say("; ".join(proposal.elsewhere), bad=True)
        else:
            await review(self.door, proposal, self, partial(self._came_back, True))

    def _came_back(self, written: bool | None) -> None:
        """From a form: what was written shows."""
        if not written:
            return
        book = open_book(self.door)
        if book is None:
            self.dismiss(None)
            return
        self._book = book
        self._say(f"Written into {self.door.changes[-1].path.name}")
        self.repaint()


def _read(key: str) -> tuple[Kind, str | None]:
    """The kind and the name in a row's key."""
    word, _, name = key.partition(":")
    kind = next(kind for kind in KINDS if kind == word)
    return kind, name or None
