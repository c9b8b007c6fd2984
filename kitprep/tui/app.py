"""The screens' one app: what each key does, and where one was.

Nothing is pending that was shown as done: it is in the ledger, so that the program may die at any
moment.
"""

import asyncio
import gc
import os
import sys
from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import datetime, time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual import events, work
from textual.app import App
from textual.binding import BindingType
from textual.dom import DOMNode
from textual.screen import Screen

from kitprep.definitions.glimpse import Glimpse, glimpse
from kitprep.tui.commands import COMMANDS, Command, ScreenName, everywhere, pressed
from kitprep.tui.files_app import FilesApp
from kitprep.tui.keymap import Keymap, default_place, key_of, keys_of, read_keymap
from kitprep.tui.scanning import Burst
from kitprep.tui.screens import screen_modes
from kitprep.tui.screens.frame import Framed, TakesScans
from kitprep.tui.terminal import can_run_ui, glyphs_here
from kitprep.tui.themes import DARK, LIGHT, THEMES
from kitprep.tui.where import Place, Where, default_file
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.code_input import CodeInput

if TYPE_CHECKING:
    from textual.actions import ActionParseResult

    from kitprep.definitions.loading import Day
    from kitprep.definitions.plan import Plan
    from kitprep.job import Job
    from kitprep.tui.widgets.row_list import RowList

WIDTHS = ((0, "-narrow"), (60, "-middling"), (110, "-wide"), (170, "-huge"))
HEIGHTS = ((0, "-short"), (20, "-usual"), (34, "-tall"))
"""Classes that a screen has from so many cells on; the style sheet does the rest."""


def _commands_provider() -> type[Any]:
    from kitprep.tui.palette import CommandsProvider

    return CommandsProvider


def _things_provider() -> type[Any]:
    from kitprep.tui.palette import ThingsProvider

    return ThingsProvider


class KitprepApp(FilesApp):
    """The seven screens over one job."""

    TITLE = "kitprep"
    CSS_PATH = "kitprep.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in everywhere()]
    COMMANDS: ClassVar[set[Any]] = {_commands_provider, _things_provider}
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = screen_modes()

    def __init__(
        self,
        first: "Plan | Glimpse",
        opening: "Callable[[], Job]",
        wanted: ScreenName | None = None,
        keymap: Keymap | None = None,
        remembered: Place | None = None,
        greeting: str = "",
    ) -> None:
        super().__init__(first, opening)
        self.HORIZONTAL_BREAKPOINTS = list(WIDTHS)
        self.VERTICAL_BREAKPOINTS = list(HEIGHTS)
        for theme in THEMES:
            self.register_theme(theme)
        self.set_reactive(App.theme, DARK.name)  # a change of it would read the style sheet anew
        self.glyphs = glyphs_here()
        self.wanted: str | None = wanted
        self.scene = ""
        self.case = ""
        self._remembered, self._was = remembered, Where()
        self.keymap: Keymap = keymap or {}
        self.set_keymap({id: ",".join(pressed(keys)) for id, keys in self.keymap.items()})
        self.burst: Burst[events.Key] = Burst()
        self._early: deque[events.Key | events.Paste] = deque()
        self.takes_keys = False
        self.greeting = greeting
        self.animation_level = "none"

    def on_mount(self) -> None:
        """Everything that is watched; the job is opened when the first picture stands."""
        self.watch_for_ends()

    def on_ready(self) -> None:
        """The first picture stands."""
        self.open_job()

    async def opened(self) -> None:
        """The screen that was asked for or left last, and then every key that came too soon."""
        self._recall_where()
        await self.switch_mode(self.wanted or self._was.screen or "day")
        self._give_early_keys()

    def get_default_screen(self) -> Screen[Any]:
        """What is shown until the job is open: no mode, for each reads the style sheet anew."""
        from kitprep.tui.screens.opening import OpeningScreen

        return OpeningScreen()

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Our colours, for the moment before a theme is set."""
        return dict(DARK.variables)

    def keys_of(self, command: Command) -> tuple[str, ...]:
        """The keys that do a command here."""
        return keys_of(command, self.keymap)

    def key(self, id: str) -> str:
        """The first key of a command, as it is written on screens."""
        return key_of(id, self.keymap)

    def _recall_where(self) -> None:
        if self._remembered is not None:
            self._was = self._remembered.recall(self.job.name)
        if not _is_screen(self._was.screen):
            self._was = replace(self._was, screen="")
        numbers = [scene.number for scene in self.day.plan.scenes]
        self.scene = self._was.scene if self._was.scene in numbers else numbers[0]
        self.case = self._was.case

    def remember_where(self) -> None:
        """Keeps the screen, the scene and the case for the next time; never fatal."""
        if self._remembered is None or not self.is_open:
            return
        now = Where(self.current_mode, self.scene, self.case)
        if now != self._was and self._remembered.remember(self.job.name, now):
            self._was = now

    def show_all(self) -> None:
        """Shows the job as it stands, under any sheet too."""
        for screen in self.screen_stack:
            if isinstance(screen, TakesScans) and screen.is_mounted:
                screen.repaint()

    def minute(self) -> int:
        """The minute of the job's day that the wall clock shows; before it, less than 0."""
        from kitprep.job import local_now

        midnight = datetime.combine(self.day.plan.day, time())
        return int((local_now() - midnight).total_seconds() // 60)

    def look_up(self, code: str) -> None:
        """Says what a tag is."""
        from kitprep.walks.lookup import about

        self.inform(about(self.now.worked, self.now.state, code))

    # Keys

    async def on_event(self, event: events.Event) -> None:
        """Keys before the job is open wait; a scanner's letters are never taken for commands."""
        is_input = isinstance(event, events.Key | events.Paste) and not event.is_forwarded
        if is_input and not self.takes_keys and not self._at_once(event):
            self._early.append(cast("events.Key | events.Paste", event))
            return
        if isinstance(event, events.Key) and not event.is_forwarded and self._held(event):
            return
        await super().on_event(event)

    def _at_once(self, event: events.Event) -> bool:
        """Whether a key is not to wait for the job: to leave, the colours, or to go to a screen."""
        if not isinstance(event, events.Key):
            return False
        now = [c for c in everywhere() if c.id in ("app.quit", "app.light") or c.id[:3] == "go."]
        command = next((c for c in now if event.key in pressed(self.keys_of(c))), None)
        return command is not None and (command.id == "app.quit" or not self._early)

    @work(group="early keys")
    async def _give_early_keys(self) -> None:
        while self._early:
            await self._until_open()
            event = self._early.popleft()
            if not (isinstance(event, events.Key) and self._held(event)):
                await super().on_event(event)
        self.takes_keys = True

    async def _until_open(self) -> None:
        while not getattr(self.screen, "is_open", True):
            await asyncio.sleep(0.01)

    async def run_action(
        self,
        action: "str | ActionParseResult",
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """What a screen over the job does waits for its turn; what is only the app's never does."""
        do = partial(super().run_action, action, default_namespace, namespaces)
        if not isinstance(default_namespace, TakesScans):
            if isinstance(default_namespace, Screen) and not default_namespace.is_mounted:
                return True  # a sheet that nobody has seen yet does nothing
            return await do()
        self.in_turn(do)
        return True

    def _held(self, event: events.Key) -> bool:
        if isinstance(self.focused, CodeInput) or not isinstance(self.screen, TakesScans):
            return False
        if event.is_printable and event.character:
            late = self.burst.printable(event, event.character, event.time)
            self._give_on(late)
            self.set_timer(self.burst.gap_s, partial(self._let_go, event.time))
            return True
        code = self.burst.ended(event.time) if event.key in ("enter", "ctrl+j", "tab") else ""
        if code:
            self.call_later(self.screen.scanned, code)
            return True
        self._give_on(self.burst.release())
        return False

    def _let_go(self, last: float) -> None:
        if self.burst.last == last:
            self._give_on(self.burst.release())

    def _give_on(self, keys: Iterable[events.Key]) -> None:
        for key in keys:
            self.call_later(super().on_event, key)

    def on_bar_clicked(self, event: Bar.Clicked) -> None:
        """A click on a word does what its key does."""
        command = next(command for command in COMMANDS if command.id == event.command)
        self.call_later(self.run_command, command.id)

    async def run_command(self, id: str) -> None:
        """Does what a command says, or opens its screen first where it belongs to another."""
        command = next(command for command in COMMANDS if command.id == id)
        if command.screen == "*":
            await self.run_action(command.does, self)
        elif isinstance(self.screen, TakesScans) and command.screen == self.screen_name:
            await self.run_action(command.does, self.screen)
        else:
            self.action_go(command.screen)

    @property
    def screen_name(self) -> str:
        """The name of the screen in front; empty where that is a sheet."""
        return self.screen.NAME if isinstance(self.screen, Framed) else ""

    def action_command_palette(self) -> None:
        """Everything by its name, over one of the seven screens."""
        from kitprep.tui.palette import Palette

        if not self.screen.is_modal and self.is_open:
            asks = "A command, a scene or a thing by its name"
            self.push_screen(Palette(placeholder=asks, id="--command-palette"))

    def action_go(self, name: str) -> None:
        """Opens one of the seven screens."""
        if self.screen.is_modal:
            return  # a sheet or the palette is answered first; to leave it half open would crash
        if not self.is_open:
            self.wanted = name
            cast("TakesScans", self.screen).repaint()
        elif self.current_mode != name:
            self.switch_mode(name)
        self.remember_where()

    def action_move(self, by: int) -> None:
        """The cursor of the list in sight."""
        self._with_list(lambda rows: rows.move(by))

    def action_page(self, by: int) -> None:
        """A screenful of the list in sight."""
        self._with_list(lambda rows: rows.page(by))

    def _with_list(self, do: "Callable[[RowList], None]") -> None:
        """At once, or in turn where what was pressed before may still move the cursor."""
        from kitprep.tui.widgets.row_list import RowList

        rows = next(iter(self.screen.query(RowList)), None)
        if rows is None:
            return

        async def deed() -> None:
            do(rows)

        if self.is_busy and isinstance(self.screen, TakesScans):
            self.in_turn(deed)
        else:
            do(rows)

    def action_hush(self) -> None:
        """Takes the banner away."""
        if self.alarm_says:
            self.alarm("")

    def action_light(self) -> None:
        """Dark or light."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    def action_help(self) -> None:
        """What this screen is for."""
        from kitprep.tui.sheets.help import HelpSheet

        if self.screen_name and self.is_open:
            self.push_screen(HelpSheet(self.screen_name))


def _is_screen(name: str) -> bool:
    return name in KitprepApp.MODES


def _read(plan: Path) -> "Day":
    # Of all that is loaded this takes longest, so it is not loaded for the first picture.
    from kitprep.definitions.loading import load_day

    return load_day(plan)


def run(plan: Path, ledger_url: str, who: str | None = None, greeting: str = "") -> int:
    """Opens the screens on a day plan, with a word of greeting; the exit status.

    Raises:
        DefinitionError: where the plan or its kit is wrong.
        LedgerError: where the ledger cannot be used.
    """
    if not can_run_ui():
        sys.stderr.write(
            "kitprep: the screens need a terminal; for plain text write kitprep list, needs or "
            "status\n"
        )
        return 2
    keymap = read_keymap(default_place())
    day: Day | None = None
    first: Plan | Glimpse | None = glimpse(plan)
    if first is None:  # nothing of the plan is shown before all of it is found right
        day = _read(plan)
        first = day.plan

    def opening() -> "Job":
        from kitprep.job import Job, user_name

        read = day or _read(plan)
        if not gc.isenabled():  # the command that opened this has left it off for the way here
            gc.freeze()
            gc.enable()
        return Job.open_day(read, ledger_url, who or user_name(), "key", tries=False)

    place = Place(default_file(), ledger_url)
    app = KitprepApp(first, opening, keymap=keymap, remembered=place, greeting=greeting)
    app.run()
    if app.failure is not None:
        raise app.failure
    status = app.return_code or 0
    app.wait_a_moment()
    if app.leaves_threads:
        # What is still being worked out, or waits for the ledger, is of no more use to anyone.
        sys.stdout.flush()
        os._exit(status)
    if app.is_open:
        app.job.close()
    return status
