"""A scroll bar of plain characters, for terminals with no more, and where there is no colour."""

from rich.color import Color
from rich.segment import Segment, Segments
from rich.style import Style
from textual.scrollbar import ScrollBarRender
from textual.widget import Widget

from kitprep.tui.drawing.lines import UNICODE

THUMB, TRACK = "#", "|"


class PlainBar(ScrollBarRender):
    """What is in sight is ``#``, the rest ``|``; both take the mouse as the stock bar does."""

    @classmethod
    def render_bar(
        cls,
        size: int = 25,
        virtual_size: float = 50,
        window_size: float = 20,
        position: float = 0,
        thickness: int = 1,
        vertical: bool = True,
        back_color: Color = Color.parse("black"),  # noqa: B008  # the stock bar's own signature
        bar_color: Color = Color.parse("white"),  # noqa: B008
    ) -> Segments:
        """The bar, one cell after another."""
        cells = int(size)
        thumb, start = cells, 0
        if 0 < window_size < virtual_size:
            thumb = max(1, round(cells * window_size / virtual_size))
            start = round((cells - thumb) * position / (virtual_size - window_size))
        parts = (
            (TRACK, "scroll_up", start),
            (THUMB, "grab", thumb if window_size else 0),
            (TRACK, "scroll_down", cells - start - thumb),
        )
        found = [
            Segment(
                character * thickness if vertical else character,
                Style(color=bar_color, bgcolor=back_color, meta={"@mouse.down": action}),
            )
            for character, action, count in parts
            for _ in range(count)
        ]
        return Segments(found or [Segment(" ")] * cells, new_lines=vertical)


def plain_where_needed(widget: Widget) -> None:
    """Gives a widget that scrolls this bar, where the terminal has no other to show."""
    if widget.app.no_color or getattr(widget.app, "glyphs", UNICODE) is not UNICODE:
        widget.vertical_scrollbar.renderer = PlainBar  # type: ignore[misc]  # of this bar alone
