"""At what time of the job's day, and at which part of the unit: asked where a screen has no prompt.

It is asked where the wall clock shows another day than the job's, as when the crew writes up in the
evening what was done on the day; and where a supply is in several parts of the unit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from kitprep.planning.results import WorkedDay
from kitprep.tui.drawing.form import Blank
from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.sheets.form import FormSheet
from kitprep.walks.feeding import time_of_day


@dataclass(frozen=True, slots=True)
class When:
    """A minute of the job's day and a destination, empty where none was asked; what is wrong with
    each by field."""

    minute: int
    at: str
    wrong: Mapping[str, str]


class WhenSheet(FormSheet[When, When]):
    """It leaves with what was answered; ``minute`` is that of now, None where it is to be asked.

    ``parts`` are the destinations of each part of the unit, by what the crew calls them.
    """

    FOOT: ClassVar[str] = (
        " Enter Next, done   ^D Done   Up/Down Field   Space Take choice   Esc Leave as it was"
    )

    def __init__(
        self, title: str, day: WorkedDay, minute: int | None, parts: Mapping[str, str]
    ) -> None:
        self._worked, self._minute, self._parts = day, minute, parts
        blanks = []
        if minute is None:
            says = f"This job's day is {day.plan.day:%a %d %b}; at what time of that day? HH:MM"
            blanks.append(Blank("time", "Time", says))
        if len(parts) > 1:
            says = "The unit is split: at which part of it?"
            blanks.append(Blank("part", "Where", says, tuple(parts), needed=True))
        super().__init__(title, blanks, {blank.key: "" for blank in blanks})

    def _takes(self, key: str) -> bool:
        if key == "enter" and self._here is self.blanks[-1]:
            self.action_done()  # one answer or two: what a scanner sends is neither
            return True
        return super()._takes(key)

    def look(self, texts: Mapping[str, str]) -> When:
        """Whether it is a time of the day, and a part of the unit."""
        wrong: dict[str, str] = {}
        minute, part = self._minute or 0, texts.get("part", "").strip()
        if "time" in texts:
            try:
                minute = time_of_day(self._worked, texts["time"])
            except ValueError as error:
                empty = "no time yet; write HH:MM, such as 10:05"
                wrong["time"] = str(error) if texts["time"].strip() else empty
        if "part" in texts and part not in self._parts:
            wrong["part"] = f"take one with Space: {' or '.join(self._parts)}"
        return When(minute, self._parts.get(part, ""), wrong)

    def wrong_in(self, found: When) -> Mapping[str, str]:
        """By field."""
        return found.wrong

    def below(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """Nothing: what comes of it stands on the screen."""
        return ()

    async def finish(self, found: When) -> None:
        """Away with it."""
        self.dismiss(found)
