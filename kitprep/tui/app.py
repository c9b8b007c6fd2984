"""The screens' one app: it holds the job, records every tick before it is shown, and keeps watch.

Nothing is pending, ever: what the screen shows is in the ledger, so that the program may die at any
moment. Signals and a lost terminal only have to leave the terminal as it was.
"""

import asyncio
import os
import signal
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime, time
from functools import partial
from pathlib import Path
from typing import Any, ClassVar, cast

from textual import events, work
from textual.app import App
from textual.binding import BindingType
from textual.screen import Screen

from kitprep.job import Job, local_now, user_name
from kitprep.ledger.errors import Contested, LedgerError, Stale
from kitprep.ledger.events import Stage
from kitprep.tui import where
from kitprep.tui.commands import COMMANDS, Command, ScreenName, everywhere
from kitprep.tui.drawing.lines import fits
from kitprep.tui.keymap import Keymap, default_place, keys_of, read_keymap
from kitprep.tui.palette import CommandsProvider, Palette, ThingsProvider
from kitprep.tui.scanning import Burst
from kitprep.tui.screens import screen_modes
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.sheets.help import HelpSheet
from kitprep.tui.sheets.move import MoveSheet
from kitprep.tui.terminal import terminal_gone
from kitprep.tui.themes import DARK, LIGHT, THEMES
from kitprep.tui.where import Where, recall, remember
from kitprep.tui.widgets.bar import Bar
from kitprep.tui.widgets.code_input import CodeInput
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.log import said_by
from kitprep.walks.lookup import about
from kitprep.walks.naming import spoken

LOOK_S = 1.0
"""How often others' ticks are looked for."""

WIDTHS = ((0, "-narrow"), (60, "-middling"), (110, "-wide"), (170, "-huge"))
HEIGHTS = ((0, "-short"), (20, "-usual"), (34, "-tall"))
"""Classes that a screen has from so many cells on; the style sheet does the rest."""

TAKES_SCANS = (JobScreen, MoveSheet)
"""Where a code that no field takes still means something."""

Happening = tuple[str, str, Mapping[str, Any]]


class KitprepApp(App[int]):
    """The seven screens over one job."""

    TITLE = "kitprep"
    CSS_PATH = "kitprep.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in everywhere()]
    COMMANDS: ClassVar[set[Any]] = {CommandsProvider, ThingsProvider}
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = screen_modes()

    def __init__(
        self,
        job: Job,
        opens_on: ScreenName = "day",
        keymap: Keymap | None = None,
        remembered: Path | None = None,
    ) -> None:
        was = recall(remembered, job.name) if remembered is not None else Where()
        if was.screen in self.MODES:
            opens_on = cast("ScreenName", was.screen)
        self.DEFAULT_MODE = opens_on  # type: ignore[misc]  # Textual reads it from the app it makes
        super().__init__()
        self.HORIZONTAL_BREAKPOINTS = list(WIDTHS)
        self.VERTICAL_BREAKPOINTS = list(HEIGHTS)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = DARK.name
        self.job = job
        self.alarm_says = ""
        self.glyphs = fits(getattr(sys.__stderr__, "encoding", None))
        numbers = [needs.scene.number for needs in job.worked.scenes]
        self.scene = was.scene if was.scene in numbers else numbers[0]
        self.case = was.case
        self._remembered, self._was = remembered, was
        self.keymap: Keymap = keymap or {}
        self.set_keymap({id: ",".join(keys) for id, keys in self.keymap.items()})
        self.burst: Burst[events.Key] = Burst()
        self._cannot_look = False
        self._looking = False
        self.animation_level = "none"

    def on_mount(self) -> None:
        """Everything that is watched."""
        self.set_interval(LOOK_S, self.look)
        if not self.is_headless:
            self._heed_signals()
            if not terminal_gone():  # served in a browser, it never had one
                self.set_interval(2, self._watch_terminal)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Our colours, for the moment before a theme is set."""
        return dict(DARK.variables)

    def keys_of(self, command: Command) -> tuple[str, ...]:
        """The keys that do a command here."""
        return keys_of(command, self.keymap)

    def remember_where(self) -> None:
        """Keeps the screen, the scene and the case for the next time; never fatal."""
        if self._remembered is None:
            return
        now = Where(self.current_mode, self.scene, self.case)
        if now != self._was and remember(self._remembered, self.job.name, now):
            self._was = now

    # What is recorded

    def tell(self, item: str, kind: str, how: str = "key", **facts: Any) -> bool:
        """Records what happened to an item, then shows it; False where nothing was recorded."""
        return self.tell_all([(item, kind, facts)], how)

    def tell_all(self, happened: Sequence[Happening], how: str = "key") -> bool:
        """Records all of it or none, then shows it."""
        try:
            self.job.record_all(happened, how)
        except Stale as stale:
            first = (
                said_by(stale.newest, spoken(self.job.worked)) if stale.newest else "someone else"
            )
            self.alarm(f"{first} came first, so nothing was recorded for you; look, then decide")
            return False
        except Contested as contested:
            self.alarm(str(contested))
            return False
        except LedgerError as error:
            self.alarm(f"Nothing was recorded: {error}")
            return False
        self.alarm("")
        return True

    def advance(self, stage: Stage, note: str = "") -> bool:
        """Records that the job has reached a stage."""
        return self.tell("job", "stage", stage=stage, note=note)

    def alarm(self, sentence: str) -> None:
        """Puts a sentence at the top, to stay until something is recorded or Esc is pressed."""
        self.alarm_says = sentence
        if sentence:
            self.bell()
        self.show_all()

    def show_all(self) -> None:
        """Shows the job as it stands, under any sheet too."""
        for screen in self.screen_stack:
            if isinstance(screen, TAKES_SCANS) and screen.is_mounted:
                screen.repaint()

    @work(group="look")
    async def look(self) -> None:
        """Takes in what others have recorded. Only the asking is done beside the screen."""
        if self._looking:
            return  # a slow ledger is asked once at a time
        self._looking = True
        try:
            newer = await asyncio.to_thread(self._others, self.job.state.head, self.job.kit.head)
            if newer and self.job.refresh():
                self.show_all()
        except LedgerError as error:
            if not self._cannot_look:
                self._cannot_look = True
                self.alarm(f"What others do cannot be seen now: {error}")
            return
        finally:
            self._looking = False
        if self._cannot_look:
            self._cannot_look = False
            self.alarm("")

    def _others(self, job_head: int, kit_head: int) -> bool:
        """Whether anyone has recorded anything; in a thread, so it only reads the ledger."""
        ledger, day = self.job.ledger, self.job.day
        return bool(
            ledger.entries(self.job.name, after=job_head)
            or ledger.entries(day.kit.kit, after=kit_head)
        )

    def minute(self) -> int:
        """The minute of the job's day that the wall clock shows; before it, less than 0."""
        midnight = datetime.combine(self.job.day.plan.day, time())
        return int((local_now() - midnight).total_seconds() // 60)

    def look_up(self, code: str) -> None:
        """Says what a tag is."""
        self.notify(about(self.job.worked, self.job.state, code), title=code, markup=False)

    # Keys

    async def on_event(self, event: events.Event) -> None:
        """Keeps a scanner's letters from being taken for commands, where no field has them."""
        if isinstance(event, events.Key) and not event.is_forwarded and self._held(event):
            return
        await super().on_event(event)

    def _held(self, event: events.Key) -> bool:
        if isinstance(self.focused, CodeInput) or not isinstance(self.screen, TAKES_SCANS):
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
        elif isinstance(self.screen, JobScreen) and command.screen == self.screen.NAME:
            await self.run_action(command.does, self.screen)
        else:
            self.action_go(command.screen)

    def action_command_palette(self) -> None:
        """Everything by its name, over one of the seven screens."""
        if not self.screen.is_modal:
            self.push_screen(Palette(id="--command-palette"))

    def action_go(self, name: str) -> None:
        """Opens one of the seven screens."""
        if self.screen.is_modal:
            return  # a sheet or the palette is answered first; to leave it half open would crash
        if self.current_mode != name:
            self.switch_mode(name)
        self.remember_where()

    def action_move(self, by: int) -> None:
        """The cursor of the list in sight."""
        for rows in self.screen.query(RowList):
            rows.move(by)
            return

    def action_page(self, by: int) -> None:
        """A screenful of the list in sight."""
        for rows in self.screen.query(RowList):
            rows.page(by)
            return

    def action_hush(self) -> None:
        """Takes the banner away."""
        if self.alarm_says:
            self.alarm("")

    def action_light(self) -> None:
        """Dark or light."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    def action_help(self) -> None:
        """What this screen is for."""
        if isinstance(self.screen, JobScreen):
            self.push_screen(HelpSheet(self.screen.NAME))

    # Ends that nobody chose

    def _heed_signals(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, getattr(signal, "SIGHUP", None)):
            if number is not None:
                try:
                    loop.add_signal_handler(number, self._hang_up, number)
                except (NotImplementedError, RuntimeError, ValueError):
                    return  # no such thing on this system

    def _hang_up(self, number: int) -> None:
        if number != signal.SIGTERM and terminal_gone():
            os._exit(128 + number)
        self.exit(return_code=128 + number)

    def _watch_terminal(self) -> None:
        if terminal_gone():
            os._exit(129)


def can_run_ui() -> bool:
    """Whether there is a terminal that the screens can be drawn on."""
    if os.environ.get("TEXTUAL_DRIVER"):
        return True
    streams = (sys.__stdin__, sys.__stderr__)
    return os.environ.get("TERM") != "dumb" and all(s is not None and s.isatty() for s in streams)


def run(plan: Path, ledger_url: str, who: str | None = None) -> int:
    """Opens the screens on a day plan; the exit status.

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
    job = Job.open(plan, ledger_url, who or user_name(), "key")
    try:
        app = KitprepApp(job, keymap=keymap, remembered=where.default_place())
        app.run()
    finally:
        job.close()
    return app.return_code or 0
