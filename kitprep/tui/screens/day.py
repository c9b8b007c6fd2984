"""Day: is tomorrow workable, what is short, and how far is it packed?"""

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType

from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.day import day_rows
from kitprep.tui.keymap import with_keys
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.sheets.move import MoveSheet
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.out import moves


class DayScreen(JobScreen):
    """The whole day on one clock."""

    NAME = "day"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("day")]

    def draw(self) -> None:
        """The day at a glance."""
        now, greeting = self.door.now, with_keys(self.door.greeting, self.door.keymap)
        self.rows.show(lambda width: day_rows(now, width, self.glyphs, greeting))

    def on_key(self) -> None:
        """Whoever presses a key has read the greeting."""
        if self.door.greeting:
            self.door.greeting = ""
            self.draw()

    def action_open(self) -> None:
        """Enter on a scene or on what it is short of."""
        self.rows.choose()

    def action_moves(self) -> None:
        """What must come along, move by move."""
        if moves(self.day, self.state):
            self.app.push_screen(MoveSheet())
        else:
            self.notify("The whole day is at one place", markup=False)

    def action_what_if(self) -> None:
        """The day tried otherwise, from the marked scene on."""
        from kitprep.tui.sheets.whatif import WhatIfSheet

        self.app.push_screen(WhatIfSheet(_scene_of(self.rows.key)))

    def action_edit(self) -> None:
        """The day's files, from the marked scene on."""
        from kitprep.tui.sheets.edit import edit

        scene = _scene_of(self.rows.key)
        edit(self.door, f"scene:{scene}" if scene else None)

    async def action_spares(self) -> None:
        """The offered spares go along; where all of them do, they are left again."""
        offered, taken = self.day.spares, self.state.spares
        missing = [tag for tag in offered if tag not in taken]
        told = [(tag, "spare", {"taken": True}) for tag in missing]
        told = told or [(tag, "spare", {"taken": False}) for tag in sorted(taken)]
        if told:
            if await self.door.tell_all(told):
                self.notify(_says_spares([tag for tag, _, _ in told], missing), markup=False)
        elif not self.door.now.tried:
            self.notify("What one failure would cost is still being worked out", markup=False)
        else:
            says = "No spare is offered: what is carried covers what held units can"
            self.notify(says, markup=False)

    @on(RowList.Chosen)
    def _open_scene(self, event: RowList.Chosen) -> None:
        self.door.scene = _scene_of(event.key) or self.door.scene
        self.door.action_go("scene")


def _says_spares(tags: Sequence[str], missing: Sequence[str]) -> str:
    """What became of the offered spares."""
    go = "goes" if len(tags) == 1 else "go"
    if missing:
        return f"{', '.join(tags)} {go} along: on the packing list from now on"
    return f"{', '.join(tags)} {go} along no more: off the packing list"


def _scene_of(key: str | None) -> str | None:
    """The scene that a row is about."""
    return key.removeprefix("scene:").partition("#")[0] if key else None
