"""Someone at the screens: presses, types, scans, and reads what is there."""

import html
import re
import time
from collections.abc import Callable

from rich.cells import cell_len
from textual import events
from textual.pilot import Pilot

from kitprep.tui.app import KitprepApp
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.screens.walk import WalkScreen
from kitprep.tui.widgets.note import Note
from kitprep.walks.pack import PackItem, pack_view
from kitprep.walks.wrap import WrapItem, wrap_view

PATIENCE_S = 20.0

NAMES = {" ": "space", ".": "full_stop", "#": "number_sign", ",": "comma"}


def key_event(character: str) -> events.Key:
    """The event that a terminal's byte becomes."""
    if character == "\r":
        return events.Key("enter", "\r")
    if character == "\n":
        return events.Key("ctrl+j", "\n")
    if character == "\t":
        return events.Key("tab", "\t")
    return events.Key(NAMES.get(character, character), character)


def screen_text(app: KitprepApp) -> str:
    """The plain text of the screen, as a picture of it has it."""
    grid: dict[float, list[str]] = {}
    picture = app.export_screenshot()
    for attributes, body in re.findall(r"<text ([^>]*)>(.*?)</text>", picture):
        if "-title" in attributes:
            continue
        found = dict(re.findall(r'([\w-]+)="([^"]*)"', attributes))
        row = grid.setdefault(float(found["y"]), [" "] * (app.size.width + 4))
        at = round(float(found["x"]) / 12.2)
        for character in html.unescape(body).replace("\xa0", " "):
            size = cell_len(character)
            if at < len(row):
                row[at : at + max(size, 1)] = [character] + [""] * (max(size, 1) - 1)
            at += size
    return "\n".join("".join(row).rstrip() for _, row in sorted(grid.items()))


class Seat:
    """An app with its pilot, and short words for what a person does."""

    def __init__(self, app: KitprepApp, pilot: Pilot[int]) -> None:
        self.app = app
        self.pilot = pilot

    @property
    def screen(self) -> JobScreen:
        assert isinstance(self.app.screen, JobScreen), self.app.screen
        return self.app.screen

    @property
    def walk(self) -> WalkScreen:
        assert isinstance(self.app.screen, WalkScreen), self.app.screen
        return self.app.screen

    @property
    def asked(self) -> str:
        return self.walk.prompt.asked

    @property
    def said(self) -> str:
        return self.walk.prompt.said

    @property
    def banner(self) -> str:
        return self.app.screen.query_one("#banner", Note).words

    @property
    def text(self) -> str:
        return screen_text(self.app)

    @property
    def mark(self) -> str | None:
        """The key under the cursor."""
        return self.screen.rows.key

    def packed(self, key: str) -> PackItem:
        item = pack_view(self.app.job.worked, self.app.job.state).find(key)
        assert item is not None, key
        return item

    def wrapped(self, key: str) -> WrapItem:
        item = wrap_view(self.app.job.worked, self.app.job.state).find(key)
        assert item is not None, key
        return item

    async def settle(self) -> None:
        """Until nothing is under way."""
        await self.pilot.pause()
        await self.until(lambda: self.app.takes_keys and not self.app.is_busy, "all is done")
        await self.pilot.pause()

    async def until(self, happened: Callable[[], object], what: str = "") -> None:
        """Until something has happened."""
        end = time.monotonic() + PATIENCE_S
        while not happened():
            assert time.monotonic() < end, what
            await self.pilot.pause(0.01)

    async def go(self, screen: str) -> None:
        """Opens a screen and waits until it is there."""
        self.app.action_go(screen)
        for _ in range(50):
            await self.settle()
            if isinstance(self.app.screen, JobScreen) and screen == self.app.screen.NAME:
                break
        await self.settle()
        assert screen == self.screen.NAME

    async def press(self, *keys: str) -> None:
        """Keys one by one, as a hand presses them; a list holds letters for a moment."""
        for key in keys:
            await self.pilot.press(key)
            await self.pilot.pause(0.045)
        await self.settle()

    async def burst(self, text: str) -> None:
        """Bytes all at once, as a scanner sends them, and what comes of them."""
        self.type(text)
        await self.settle()

    def type(self, text: str) -> None:
        """Bytes all at once; nothing is waited for."""
        driver = self.app._driver
        assert driver is not None
        for character in text:
            event = key_event(character)
            event.set_sender(self.app)
            driver.send_message(event)

    async def answer(self, *texts: str) -> None:
        """Each text with an Enter, one after the other."""
        await self.burst("".join(f"{text}\r" for text in texts))

    async def action(self, name: str) -> None:
        """What a key of the screen does."""
        await self.app.run_action(name, self.app.screen)
        await self.settle()

    async def enter(self) -> None:
        """Enter on the empty field."""
        await self.action("go") if self.walk.asking is None else await self._bare_enter()

    async def _bare_enter(self) -> None:
        self.app.in_turn(self.walk.entered)
        await self.settle()
