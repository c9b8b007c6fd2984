"""What all seven screens share: the top lines, the banner, the keys at the foot, one list."""

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.screen import Screen

from kitprep.job import Job
from kitprep.ledger.events import JobState
from kitprep.planning.results import WorkedDay
from kitprep.tui.commands import COMMANDS, SCREENS, Command, of_screen, written
from kitprep.tui.drawing.lines import UNICODE, Glyphs, paragraph
from kitprep.tui.marks import STAGES
from kitprep.tui.widgets.bar import Bar, Word
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.pack import pack_view

if TYPE_CHECKING:
    from kitprep.tui.app import KitprepApp

MOST_KEYS = 6
"""Keys at the foot; the rest are in help and in the palette."""


class JobScreen(Screen[None]):
    """One of the seven screens. It draws from the job and never keeps a state of its own of it."""

    NAME: ClassVar[str] = ""
    is_open = False
    AUTO_FOCUS = "#rows"

    def compose(self) -> ComposeResult:
        """Two lines above, the body, one line below."""
        yield Bar(id="title")
        yield Bar(id="strip")
        yield Note("banner")
        yield from self.body()
        yield Bar(id="keys")

    def body(self) -> ComposeResult:
        """What this screen is about."""
        yield RowList("rows")

    @property
    def door(self) -> "KitprepApp":
        """The app, through which everything is recorded."""
        return cast("KitprepApp", self.app)

    @property
    def job(self) -> Job:
        """The job under way."""
        return self.door.job

    @property
    def day(self) -> WorkedDay:
        """The worked-out day."""
        return self.job.worked

    @property
    def state(self) -> JobState:
        """What the ledger's events add up to."""
        return self.job.state

    @property
    def glyphs(self) -> Glyphs:
        """What this terminal can show."""
        return getattr(self.door, "glyphs", UNICODE)

    @property
    def rows(self) -> RowList:
        """The screen's list."""
        return self.query_one("#rows", RowList)

    def on_mount(self) -> None:
        """Nothing is shown before the screen has its size."""
        self.set_class(self.door.glyphs is not UNICODE, "-ascii")
        self.call_after_refresh(self.opened)

    def opened(self) -> None:
        """Once, when the screen is laid out."""
        self.is_open = True
        self.repaint()

    def on_screen_resume(self) -> None:
        """What happened meanwhile."""
        if self.is_mounted:
            self.repaint()

    def on_resize(self) -> None:
        """The keys' names follow the width."""
        self._chrome()

    def repaint(self) -> None:
        """Shows the job as it stands."""
        self._chrome()
        self.draw()

    def draw(self) -> None:
        """Shows the body."""

    def scanned(self, code: str) -> None:
        """A scan that no field took: says what the thing is."""
        self.door.look_up(code)

    def foot(self) -> tuple[Command, ...]:
        """What matters here, for the line at the foot; help is always the last."""
        here = [command for command in of_screen(self.NAME) if command.footer]
        by_id = {command.id: command for command in COMMANDS}
        return (*(*here, by_id["app.commands"])[: MOST_KEYS - 1], by_id["app.help"])

    def _chrome(self) -> None:
        width = self.size.width
        plan, stage = self.day.plan, STAGES[self.state.stage]
        view = pack_view(self.day, self.state)
        title = f" {plan.day:%a %d %b}  {plan.title or 'Day'}  {self.day.kit.name}"
        bar = self.query_one("#title", Bar)
        bar.words = ((title, "head", None),)
        who = f"{self.job.who}  " if width >= 100 else ""
        done = f" {who}{stage}  {view.done}/{len(view.items)} packed "
        bar.right = ((done, "key", "go.pack"),)
        self.query_one("#strip", Bar).words = self._strip(width)
        *here, help_key = (self._key_words(command) for command in self.foot())
        keys = self.query_one("#keys", Bar)
        keys.words = tuple(word for words in here for word in words)
        keys.right = help_key
        self._banner()

    def _key_words(self, command: Command) -> tuple[Word, ...]:
        return (
            (f" {written(self.door.keys_of(command)[0])} ", "key", command.id),
            (f"{command.title} ", "", command.id),
        )

    def _strip(self, width: int) -> tuple[Word, ...]:
        """The seven screens with their keys; the one that is open stands in brackets."""
        words: list[Word] = []
        for number, (name, title, _) in enumerate(SCREENS):
            key, here = f"F{number + 2}", name == self.NAME
            own = self.door.keymap.get(f"go.{name}")
            key = written(own[0]) if own else key
            if width < 56 and not here:
                title = ""
            elif width < 76:
                title = title.split()[0]
            label = f"{key} {title}".rstrip()
            apart = f" {label} " if width >= 64 else f" {label}"
            words.append((f"[{label}]" if here else apart, "key" if here else "", f"go.{name}"))
        return tuple(words)

    def _banner(self) -> None:
        banner, says = self.query_one("#banner", Note), self.door.alarm_says
        banner.show(lambda width: paragraph(f"{says} (Esc)", width, "bad", "[!] ") if says else ())
        banner.set_class(bool(says), "-shown")
