"""Power: does every unit live through the day, and what must be carried for it?"""

from collections.abc import Awaitable, Callable, Mapping, Sequence
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType

from kitprep.definitions.text import clock
from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.gauge import gauge_rows
from kitprep.tui.drawing.lines import Role, Row
from kitprep.tui.drawing.power import power_rows
from kitprep.tui.job_app import Happening
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.sheets.when import When, WhenSheet
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.feeding import (
    cell_round,
    not_of_the_day,
    parts_of,
    sleeping,
    takes_no_cells,
    takes_no_sleep,
)
from kitprep.walks.naming import spoken


class PowerScreen(JobScreen):
    """Cells, supplies and firmware."""

    NAME = "power"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("power")]

    def body(self) -> ComposeResult:
        """All that keeps units alive; below it the marked unit's set, and a reply."""
        yield RowList("rows")
        yield Note("gauge")
        yield Note("result")

    def draw(self) -> None:
        """Everything that keeps units alive."""
        minute = self.door.minute()
        self.rows.show(lambda width: power_rows(self.day, self.state, minute, width, self.glyphs))
        self._gauge()

    def on_row_list_moved(self) -> None:
        """The set of the unit under the cursor."""
        self._gauge()

    def _gauge(self) -> None:
        rounds = cell_round(self.day, self.state, self.door.minute())
        line = next((line for line in rounds if line.unit == self.unit_here), None)
        height = 5 if self.has_class("-tall") else 1

        def drawn(width: int) -> list[Row]:
            return gauge_rows(self.day, line, width, height, self.glyphs) if line else []

        self.query_one("#gauge", Note).show(drawn)

    def action_open(self) -> None:
        """Enter on a change opens its scene; on a unit it says what the unit is."""
        self.rows.choose()

    @property
    def unit_here(self) -> str:
        """The unit or supply under the cursor; empty where there is none."""
        kind, _, name = (self.rows.key or "").partition(":")
        return name if kind == "unit" else name.partition("#")[2].partition("@")[0]

    # What is recorded

    async def action_fresh_set(self) -> None:
        """A fresh set is in the unit under the cursor, or a fresh pack on the supply."""
        unit = self.unit_here
        if not unit:
            return
        if why := takes_no_cells(self.day, unit):
            self.say(why, "warn")
            return
        names = {place.id: place.name or place.id for place in self.day.plan.destinations}
        parts = {
            " and ".join(names[place] for place in part): part[0]
            for part in parts_of(self.day, unit)
        }
        title = f"{self._called(unit)} has a fresh {_fresh(unit)}"
        await self._at_its_time(title, partial(self._fed, unit), parts)

    async def _fed(self, unit: str, minute: int, at: str) -> None:
        where = {"at_destination": at} if at else {}
        if await self._told([(unit, "cells changed", {"minute": minute, **where})]):
            self.say(f"{clock(minute)} {self._called(unit)} has a fresh {_fresh(unit)}", "good")

    async def action_asleep(self) -> None:
        """The pack under the cursor was put to sleep, or woken where it was asleep."""
        unit = self.unit_here
        if why := takes_no_sleep(self.day, unit):
            self.say(why, "warn")
            return
        asleep = not self.state.item(unit).asleep
        became = "put to sleep" if asleep else "woken"
        await self._at_its_time(f"{unit} was {became}", partial(self._slept, unit, asleep))

    async def _slept(self, unit: str, asleep: bool, minute: int, at: str) -> None:
        if await self._told([(unit, "standby", {"asleep": asleep, "minute": minute})]):
            self.say(f"{clock(minute)} {unit} {'put to sleep' if asleep else 'woken'}", "good")

    async def action_all_asleep(self) -> None:
        """Every pack that should be asleep was put to sleep; said by count."""
        await self._at_its_time("All that should be asleep were put to sleep", self._all_slept)

    async def _all_slept(self, minute: int, at: str) -> None:
        awake = sleeping(self.day, self.state, minute).awake
        told: list[Happening] = [
            (tag, "standby", {"asleep": True, "minute": minute}) for tag in awake
        ]
        if not told:
            self.say(f"{clock(minute)} no pack is left to put to sleep", "warn")
        elif await self._told(told):
            self.say(f"{clock(minute)} {len(awake)} put to sleep: {', '.join(awake)}", "good")

    async def _at_its_time(
        self,
        title: str,
        then: Callable[[int, str], Awaitable[None]],
        parts: Mapping[str, str] | None = None,
    ) -> None:
        """Goes on with the minute of now; where that is not of the job's day, or the unit is split,
        with what is answered on a sheet."""
        minute, parts = self.door.minute(), parts or {}
        is_now = not not_of_the_day(self.day, minute)
        if is_now and len(parts) < 2:
            await then(minute, "")
            return

        def answered(when: When | None) -> None:
            if when is not None:
                self.door.in_turn(partial(then, when.minute, when.at))

        sheet = WhenSheet(title, self.day, minute if is_now else None, parts)
        self.app.push_screen(sheet, answered)

    async def _told(self, happened: Sequence[Happening]) -> bool:
        """Records it; what was said before goes, whatever becomes of it."""
        self.say("")
        return await self.door.tell_all(happened)

    def say(self, words: str, role: Role = "") -> None:
        """Below the list, to stay until the next thing is done."""
        self.query_one("#result", Note).say(words, role, " ")

    def _called(self, unit: str) -> str:
        return spoken(self.day).get(unit, unit)

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        kind, _, name = event.key.partition(":")
        if kind == "scene":
            self.door.scene = name.partition("#")[0]
            self.door.action_go("scene")
        else:
            self.door.look_up(name)


def _fresh(unit: str) -> str:
    return "pack" if unit.startswith("supply:") else "set"
