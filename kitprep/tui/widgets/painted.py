"""What all of our widgets share: a line in parts becomes a strip in the theme's colours.

User text reaches the terminal only as plain segments, never as markup.
"""

from collections.abc import Iterable

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from kitprep.tui.drawing.lines import HARMLESS, UNICODE, Glyphs, Part, Role

BOLD = frozenset({"head", "key"})


class Painted(Widget):
    """A widget that paints lines in parts; the theme has a colour for each role."""

    def __init__(self, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._role_styles: dict[tuple[Role, bool], Style] = {}

    def notify_style_update(self) -> None:
        """Another theme, or another ground, has other colours."""
        self._role_styles.clear()
        super().notify_style_update()

    @property
    def glyphs(self) -> Glyphs:
        """What this terminal can show."""
        found: Glyphs = getattr(self.app, "glyphs", UNICODE)
        return found

    def role_style(self, role: Role, cursor: bool = False) -> Style:
        """The colours of a role here, on the cursor's ground or on the widget's own.

        Kept until they change: to work them out for each part took half of a repaint.
        """
        if (role, cursor) not in self._role_styles:
            self._role_styles[role, cursor] = self._role_style(role, cursor)
        return self._role_styles[role, cursor]

    def _role_style(self, role: Role, cursor: bool) -> Style:
        colours = self.app.theme_variables
        style = self.rich_style
        if cursor:
            style += Style(color=colours["kp-key"], bgcolor=colours["kp-cursor"])
        if not role:
            return style
        return style + Style(color=colours[f"kp-{role}"], bold=role in BOLD or None)

    def paint(self, parts: Iterable[Part], width: int, cursor: bool = False) -> Strip:
        """A line as a strip of exactly so many cells."""
        segments = [
            Segment(words.translate(HARMLESS), self.role_style(role, cursor))
            for words, role in parts
            if words
        ]
        return Strip(segments).adjust_cell_length(width, self.role_style("", cursor))
