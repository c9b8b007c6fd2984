"""What every screen has around its body: two lines above, a banner, the keys at the foot."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import TYPE_CHECKING, Protocol, cast, runtime_checkable

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.screen import Screen

from kitprep.tui.commands import COMMANDS, SCREENS, Command, of_screen, written
from kitprep.tui.drawing.lines import UNICODE, Glyphs, Role, paragraph
from kitprep.tui.widgets.bar import Bar, Word
from kitprep.tui.widgets.note import Note

if TYPE_CHECKING:
    from kitprep.definitions.glimpse import Glimpse
    from kitprep.definitions.plan import Plan
    from kitprep.tui.app import KitprepApp

MOST_KEYS = 7
"""Keys at the foot; the rest are in help and in the palette."""


@runtime_checkable
class TakesScans(Protocol):
    """What shows the job, and where a code that no field takes still means something."""

    def scanned(self, code: str) -> None:
        """A code came in."""

    def repaint(self) -> None:
        """Shows the job as it stands."""


@runtime_checkable
class Says(Protocol):
    """What has a line of its own for what became of something."""

    def say(self, words: str, role: Role = "") -> None:
        """Shows it there."""


class Framed(Screen[None]):
    """A screen with the lines that all have. It keeps no state of the job."""

    NAME = ""

    def compose(self) -> ComposeResult:
        """Two lines above, the body, one line below."""
        yield Bar(id="title")
        yield Bar(id="strip")
        yield Note("banner")
        yield from self.body()
        yield Bar(id="keys")

    def body(self) -> ComposeResult:
        """What this screen is about."""
        yield from ()

    @property
    def door(self) -> "KitprepApp":
        """The app, through which everything is recorded."""
        return cast("KitprepApp", self.app)

    @property
    def glyphs(self) -> Glyphs:
        """What this terminal can show."""
        return getattr(self.door, "glyphs", UNICODE)

    def on_mount(self) -> None:
        """What this terminal can show is known to the style sheet too."""
        self.set_class(self.door.glyphs is not UNICODE, "-ascii")

    def on_resize(self) -> None:
        """The keys' names follow the width."""
        self.frame()

    def title_left(self, room: int) -> str:
        """What stands at the left end of the first line, in so many cells if it can."""
        title = day_title(self.door.day.plan, room)
        whole = f"{title}  {self.door.day.kit.name}"
        return whole if cell_len(whole) <= room else title

    def title_right(self, width: int) -> tuple[Word, ...]:
        """What stands at the right end of the first line."""
        return ()

    def foot(self) -> tuple[Command, ...]:
        """What matters here, for the line at the foot; help is always the last."""
        here = [command for command in of_screen(self.NAME) if command.footer]
        by_id = {command.id: command for command in COMMANDS}
        return (*(*here, by_id["app.commands"])[: MOST_KEYS - 1], by_id["app.help"])

    def frame(self) -> None:
        """Shows the lines around the body."""
        width = self.size.width or self.app.size.width  # none of its own before it is laid out
        bar = self.query_one("#title", Bar)
        right = self.title_right(width)
        bar.words = ((self.title_left(width - _cells(right)), "head", None),)
        bar.right = right
        self.query_one("#strip", Bar).words = self._strip(width)
        *shown, last = (self._key_words(command) for command in self.foot())
        keys = self.query_one("#keys", Bar)
        keys.words = tuple(chain.from_iterable(_whole(shown, width - _cells(last))))
        keys.right = last
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
        hush = self.door.key("app.hush")
        banner.show(
            lambda width: paragraph(f"{says} ({hush})", width, "bad", "[!] ") if says else ()
        )
        banner.set_class(bool(says), "-shown")


def day_title(plan: "Plan | Glimpse", room: int) -> str:
    """A day as the first line has it; where there is little room its weekday goes first."""
    title = f" {plan.day:%a %d %b}  {plan.title or 'Day'}"
    return title if cell_len(title) <= room else f" {plan.day:%d %b}  {plan.title or 'Day'}"


def _cells(words: Iterable[Word]) -> int:
    return sum(cell_len(part) for part, _, _ in words)


def _whole(groups: Iterable[Sequence[Word]], room: int) -> Iterator[Sequence[Word]]:
    """The words that have room, each with its key or not at all."""
    for words in groups:
        room -= _cells(words)
        if room < 0:
            return
        yield words
