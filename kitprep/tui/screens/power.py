"""Power: does every unit live through the day, and what must be carried for it?"""

from typing import ClassVar

from textual import on
from textual.binding import BindingType

from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.power import power_rows
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.widgets.row_list import RowList


class PowerScreen(JobScreen):
    """Cells, supplies and firmware."""

    NAME = "power"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("power")]

    def draw(self) -> None:
        """Everything that keeps units alive."""
        minute = self.door.minute()
        self.rows.show(lambda width: power_rows(self.day, self.state, minute, width, self.glyphs))

    def action_open(self) -> None:
        """Enter on a change opens its scene; on a unit it says what the unit is."""
        self.rows.choose()

    def action_fresh_set(self) -> None:
        """A fresh set is in the unit under the cursor."""
        kind, _, name = (self.rows.key or "").partition(":")
        unit = name if kind == "unit" else name.partition("#")[2].partition("@")[0]
        if unit and self.door.tell(unit, "cells changed"):
            self.notify(f"{unit} has a fresh set", markup=False)

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        kind, _, name = event.key.partition(":")
        if kind == "scene":
            self.door.scene = name.partition("#")[0]
            self.door.action_go("scene")
        else:
            self.door.look_up(name)
