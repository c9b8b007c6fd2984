"""Power: does every unit live through the day, and what must be carried for it?"""

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType

from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.gauge import gauge_rows
from kitprep.tui.drawing.lines import Row
from kitprep.tui.drawing.power import power_rows
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.feeding import cell_round, sleeping, takes_no_sleep


class PowerScreen(JobScreen):
    """Cells, supplies and firmware."""

    NAME = "power"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("power")]

    def body(self) -> ComposeResult:
        """All that keeps units alive, and below it the set of the unit under the cursor."""
        yield RowList("rows")
        yield Note("gauge")

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

    async def action_fresh_set(self) -> None:
        """A fresh set is in the unit under the cursor, or a fresh pack on the supply."""
        unit = self.unit_here
        if unit and await self.door.tell(unit, "cells changed"):
            what = "pack" if unit.startswith("supply:") else "set"
            self.notify(f"{unit} has a fresh {what}", markup=False)

    async def action_asleep(self) -> None:
        """The pack under the cursor was put to sleep, or woken where it was asleep."""
        unit = self.unit_here
        if why := takes_no_sleep(self.day, unit):
            self.notify(why, severity="warning", markup=False)
            return
        asleep = not self.state.item(unit).asleep
        if await self.door.tell(unit, "standby", asleep=asleep):
            self.notify(f"{unit} {'put to sleep' if asleep else 'woken'}", markup=False)

    async def action_all_asleep(self) -> None:
        """Every pack that should be asleep now was put to sleep; said by count."""
        awake = sleeping(self.day, self.state, self.door.minute()).awake
        if not awake:
            self.notify("No pack is left to put to sleep now", markup=False)
        elif await self.door.tell_all([(tag, "standby", {"asleep": True}) for tag in awake], "key"):
            self.notify(f"{len(awake)} put to sleep: {', '.join(awake)}", markup=False)

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        kind, _, name = event.key.partition(":")
        if kind == "scene":
            self.door.scene = name.partition("#")[0]
            self.door.action_go("scene")
        else:
            self.door.look_up(name)
