"""Log: who did what, and when?"""

from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitprep.definitions.text import clean_line, counted
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import read_event
from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.lines import Glyphs, Part, Row, fill, heading, paragraph, wrapped
from kitprep.tui.screens.base import JobScreen
from kitprep.walks.log import local_time, sentence
from kitprep.walks.naming import spoken


def log_rows(
    entries: Sequence[Entry], names: Mapping[str, str], width: int, glyphs: Glyphs
) -> list[Row]:
    """The newest first, under their days."""
    if not entries:
        return paragraph("nothing has been recorded for this job yet", width, "dim", "[ ] ")
    rows: list[Row] = []
    last_day = ""
    people = len({read_event(entry).who for entry in entries})
    note = f"{counted(len(entries), 'event')} by {counted(people, 'person', 'people')}"
    for entry in reversed(entries):
        event = read_event(entry)
        day, time = local_time(event.at)
        if day != last_day:
            rows.append(heading(day or "at a time not known", width, glyphs, note))
            last_day, note = day, ""
        who = fill(clean_line(event.who), 10, glyphs.dots)
        how = fill(event.how, 5, glyphs.dots) if width >= 70 else ""
        lead = 9 + len(who) + 1 + (len(how) + 1 if how else 0)
        for number, words in enumerate(wrapped(sentence(event, names), max(width - lead, 8))):
            if number == 0:
                parts: list[Part] = [(f"{time} ", "dim"), (f"{who} ", "key")]
                parts += [(f"{how} ", "dim")] if how else []
                rows.append(Row((*parts, (words, "")), f"seq:{entry.seq}"))
            else:
                rows.append(Row(((" " * lead, ""), (words, ""))))
    return rows


class LogScreen(JobScreen):
    """Every event of the job, the newest first."""

    NAME = "log"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("log")]

    def draw(self) -> None:
        """All that has been read."""
        at_top = self.rows.scroll_offset.y == 0
        entries, names = self.door.now.entries, spoken(self.day)
        self.rows.show(lambda width: log_rows(entries, names, width, self.glyphs))
        if at_top:
            self.action_newest()

    def action_newest(self) -> None:
        """To the newest event."""
        newest = next((row.key for row in self.rows.rows if row.key), None)
        self.rows.go_to(newest, top=True)
