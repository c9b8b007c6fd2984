"""The palette: every command, and every scene and thing of the day by name.

Names of scenes and things are other people's text: they are shown as they are, never as markup.
"""

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, Any, cast

from textual import events, on
from textual.await_complete import AwaitComplete
from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider
from textual.content import Content
from textual.widgets import Input, OptionList

from kitprep.planning.reasons import called
from kitprep.tui.commands import COMMANDS, SCREENS, written
from kitprep.tui.drawing.lines import UNICODE
from kitprep.tui.once import is_on_top
from kitprep.tui.widgets.plain_bar import plain_where_needed
from kitprep.walks.naming import full_name

if TYPE_CHECKING:
    from kitprep.tui.app import KitprepApp

Entry = tuple[str, Any, str]
"""What is shown, what it does, and a help line of our own words."""


class Palette(CommandPalette):
    """Textual's palette, which leaves once."""

    _left = False

    def on_mount(self) -> None:
        """Its frame and its bar are of plain characters where the terminal needs it."""
        self.set_class(cast("KitprepApp", self.app).glyphs is not UNICODE, "-ascii")
        plain_where_needed(self.query_one(OptionList))

    @on(Input.Changed)
    def keep_still(self, event: Input.Changed) -> None:
        """Looks for nothing more once it has left: finds would go into a list that is gone."""
        if self._left:
            event.prevent_default()

    def on_key(self, event: events.Key) -> None:
        """The key of a screen goes there; a letter is part of a name."""
        door = cast("KitprepApp", self.app)
        going = (c for c in COMMANDS if c.id.startswith("go.") and event.key in door.keys_of(c))
        command = None if event.is_printable else next(going, None)
        if command is not None:
            event.stop()
            self.dismiss()
            self.app.call_later(door.run_command, command.id)

    def _action_command_list(self, action: str) -> None:
        """Moves nothing in a list that has no lines yet: Textual's own would end the program."""
        if self.query_one(OptionList).size.height:
            super()._action_command_list(action)

    def dismiss(self, result: None = None) -> AwaitComplete:
        """Leaves, where it is still there to leave."""
        self._left = True
        self.workers.cancel_node(self)
        return super().dismiss(result) if is_on_top(self) else AwaitComplete()


class _Plain(Provider):
    """A provider whose names are plain text."""

    def entries(self) -> Iterator[Entry]:
        """Everything that can be found."""
        raise NotImplementedError

    @property
    def door(self) -> "KitprepApp":
        """The app."""
        return cast("KitprepApp", self.app)

    async def search(self, query: str) -> Hits:
        """What matches, with the matching letters set off."""
        matcher = self.matcher(query)
        for name, action, help_line in self.entries():
            score, offsets = matcher.fuzzy_search.match(query, name)
            if score > 0:
                shown = Content(name)
                for offset in offsets:
                    shown = shown.stylize("underline", offset, offset + 1)
                yield Hit(score, shown, action, text=name, help=help_line or None)


class CommandsProvider(_Plain):
    """Every command of the table."""

    def entries(self) -> Iterator[Entry]:
        """By screen, with the key that does the same."""
        titles: dict[str, str] = {name: title for name, title, _ in SCREENS}
        for command in COMMANDS:
            area = titles.get(command.screen, "Go to" if command.id.startswith("go.") else "Any")
            name = f"{area}: {command.title} ({written(self.door.keys_of(command)[0])})"
            yield name, partial(self.door.run_command, command.id), command.tooltip

    async def discover(self) -> Hits:
        """All of them, before anything is typed."""
        for name, action, help_line in self.entries():
            yield DiscoveryHit(Content(name), action, text=name, help=help_line)


class ThingsProvider(_Plain):
    """The day's scenes, and the lines of its list."""

    def entries(self) -> Iterator[Entry]:
        """Scenes by number and name, things by tag and name."""
        day = self.door.now.worked
        for source in day.plan.sources:
            packs = dict.fromkeys(x.transmitter for x in day.links if x.source == source.id)
            for tag in packs:
                yield f"{called(source)}: on {tag}", partial(self.door.look_up, tag), ""
        for needs in day.scenes:
            name = f"Scene {needs.scene.number}: {needs.scene.name or needs.scene.place}"
            yield name, partial(self._open_scene, needs.scene.number), ""
        for line in day.packing:
            action = partial(self.door.look_up, line.key)
            yield full_name(line), action, ""

    def _open_scene(self, number: str) -> None:
        self.door.scene = number
        self.door.action_go("scene")
        self.door.show_all()
