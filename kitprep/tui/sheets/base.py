"""A sheet of lines over the screen; keys scroll it, and close it.

A key for one of the seven screens leaves a sheet on which nothing would be lost, and goes there.
"""

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual import events
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen

from kitprep.tui.commands import SCREENS, everywhere, written
from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.once import is_on_top
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.painted import Painted
from kitprep.tui.widgets.row_list import RowList

if TYPE_CHECKING:
    from kitprep.tui.app import KitprepApp

Answer = TypeVar("Answer")


class Sheet(ModalScreen[Answer]):
    """A list of lines with a foot that says how to leave it."""

    AUTO_FOCUS = "#sheet-rows"
    FOOT: ClassVar[str] = " Esc Close   Up/Down Scroll"
    ABOUT: ClassVar[str] = ""
    """Which of the help's words are this sheet's."""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown,space", "page(1)", "Page down", show=False),
        Binding("escape,q,Q", "leave", "Close", show=False),
    ]

    def compose(self) -> ComposeResult:
        """The lines and the foot."""
        with Vertical(id="sheet"):
            yield RowList("sheet-rows")
            yield Bar(id="sheet-foot")

    def on_mount(self) -> None:
        """Drawn once it has its size."""
        self.call_after_refresh(self.repaint)

    def on_resize(self) -> None:
        """The foot follows the width."""
        self.call_after_refresh(self._show_foot)

    def _show_foot(self) -> None:
        """The keys that have room, and at the right end always the way out."""
        for bar in self.query("#sheet-foot").results(Bar):
            *others, out = sorted(self.foot.strip().split("   "), key=lambda p: p.startswith("Esc"))
            while others and len("   ".join(others)) + len(out) + 5 > bar.size.width:
                others.pop()
            bar.words = ((f" {'   '.join(others)}", "key", None),)
            bar.right = ((f"{out} ", "key", None),)

    def dismiss(self, result: Answer | None = None) -> AwaitComplete:
        """Leaves, where it is still there to leave."""
        return super().dismiss(result) if is_on_top(self) else AwaitComplete()

    @property
    def door(self) -> "KitprepApp":
        """The app."""
        return cast("KitprepApp", self.app)

    @property
    def foot(self) -> str:
        """How it is used and left."""
        return self.FOOT

    @property
    def would_lose(self) -> str:
        """What would be lost by leaving now, and how it is kept; empty where nothing would."""
        return ""

    def on_key(self, event: events.Key) -> None:
        """Help, and the way to another screen; a letter is the sheet's own."""
        command = next((c for c in everywhere() if event.key in self.door.keys_of(c)), None)
        if command is None:
            return
        if command.id == "app.help":
            event.stop()
            self.show_help()
        elif command.id.startswith("go.") and not event.is_printable:
            event.stop()
            name = command.id.removeprefix("go.")
            self.door.call_later(partial(leave_for, self.door, name, event.key))

    def show_help(self) -> None:
        """What this sheet is for."""
        from kitprep.tui.sheets.help import SheetHelp

        self.app.push_screen(SheetHelp(self.ABOUT, self.foot))

    def repaint(self) -> None:
        """Shows the lines as they are now."""
        rows = next(iter(self.query("#sheet-rows").results(RowList)), None)
        if rows is not None:  # a tick may come in before the sheet is laid out
            glyphs = rows.glyphs
            rows.show(lambda width: self.lines(width, glyphs))

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What is on the sheet."""
        raise NotImplementedError

    @property
    def painted(self) -> Painted:
        """The list of lines."""
        return self.query_one("#sheet-rows", RowList)

    def action_move(self, by: int) -> None:
        """One line."""
        self.query_one("#sheet-rows", RowList).move(by)

    def action_page(self, by: int) -> None:
        """A screenful."""
        self.query_one("#sheet-rows", RowList).page(by)

    def action_leave(self) -> None:
        """Away with it."""
        self.dismiss(None)


async def leave_for(door: "KitprepApp", name: str, key: str) -> None:
    """Leaves every sheet that lies over the job and goes to a screen, or says why not."""
    sheets = [screen for screen in door.screen_stack if isinstance(screen, Sheet)]
    if not all(sheet.is_mounted for sheet in sheets):
        return  # nobody has seen it yet; to take it away while it is made would fail
    lost = next((says for sheet in reversed(sheets) if (says := sheet.would_lose)), "")
    if lost:
        title = next(title for screen, title, _ in SCREENS if screen == name)
        door.bell()
        door.notify(f"{lost}; then {written(key)} opens {title}", severity="warning", markup=False)
        return
    for sheet in reversed(sheets):
        await sheet.dismiss(None)
    door.action_go(name)
