"""What all of our widgets share: a line in parts becomes a strip in the theme's colours.

User text reaches the terminal only as plain segments, never as markup.
"""

from collections.abc import Iterable
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from kitprep.tui.drawing.lines import HARMLESS, UNICODE, Glyphs, Part, Role

ROLES: tuple[Role, ...] = ("dim", "good", "warn", "bad", "head", "key", "bar")


class Painted(Widget):
    """A widget that paints lines in parts; its roles are styled by the theme."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {f"role--{role}" for role in ROLES} | {"role--cursor"}

    @property
    def glyphs(self) -> Glyphs:
        """What this terminal can show."""
        found: Glyphs = getattr(self.app, "glyphs", UNICODE)
        return found

    def role_style(self, role: Role, cursor: bool = False) -> Style:
        """The colours of a role here, on the cursor's ground or on the widget's own."""
        ground = self.get_component_rich_style("role--cursor") if cursor else self.rich_style
        if not role:
            return ground
        own = self.get_component_rich_style(f"role--{role}", partial=True)
        return ground + Style(color=own.color, bold=own.bold, dim=own.dim)

    def paint(self, parts: Iterable[Part], width: int, cursor: bool = False) -> Strip:
        """A line as a strip of exactly so many cells."""
        segments = [
            Segment(words.translate(HARMLESS), self.role_style(role, cursor))
            for words, role in parts
            if words
        ]
        return Strip(segments).adjust_cell_length(width, self.role_style("", cursor))
