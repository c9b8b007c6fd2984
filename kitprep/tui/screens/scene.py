"""Scene: how each source gets to its input, and what is plugged in where."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from kitprep.planning.results import SceneNeeds
from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.chains import link_rows, scene_rows
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.row_list import RowList


class SceneScreen(JobScreen):
    """One scene's chains, drawn from source to input."""

    NAME = "scene"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("scene")]

    def body(self) -> ComposeResult:
        """The paths and panels, and below them the whole chain under the cursor."""
        yield RowList("rows")
        yield Note("chain")

    @property
    def needs(self) -> SceneNeeds:
        """The scene that is shown."""
        scenes = self.day.scenes
        return next((n for n in scenes if n.scene.number == self.door.scene), scenes[0])

    def draw(self) -> None:
        """The scene as planned."""
        needs = self.needs
        self.rows.show(lambda width: scene_rows(self.day, needs, width, self.glyphs))
        self._chain()

    def on_row_list_moved(self) -> None:
        """The chain under the cursor, in full."""
        self._chain()

    def _chain(self) -> None:
        key, needs = self.rows.key, self.needs
        self.query_one("#chain", Note).show(
            lambda width: link_rows(self.day, needs, key, width, self.glyphs)
        )

    def action_next(self) -> None:
        """The next scene by the clock."""
        self._walk(1)

    def action_previous(self) -> None:
        """The scene before."""
        self._walk(-1)

    def action_what_if(self) -> None:
        """The day tried otherwise, from this scene on."""
        from kitprep.tui.sheets.whatif import WhatIfSheet

        self.app.push_screen(WhatIfSheet(self.needs.scene.number))

    def action_edit(self) -> None:
        """The day's files, from this scene on."""
        from kitprep.tui.sheets.edit import edit

        edit(self.door, f"scene:{self.needs.scene.number}")

    def _walk(self, by: int) -> None:
        numbers = [needs.scene.number for needs in self.day.scenes]
        here = numbers.index(self.needs.scene.number)
        self.door.scene = numbers[(here + by) % len(numbers)]
        self.door.remember_where()
        self.rows.scroll_home(animate=False)
        self.repaint()
