"""The next day from this one: its date, its file, and who wears what carried over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from kitprep.bundled import is_bundled
from kitprep.days.copy import copied, worn
from kitprep.days.folder import next_file, way_to_kit
from kitprep.definitions.loading import Day, load_day
from kitprep.definitions.problems import DefinitionError
from kitprep.editing.surgery import NotEditable
from kitprep.files import NotWritten, refuse_if_there, write_new
from kitprep.planning.results import WorkedDay
from kitprep.tui.drawing.edit import refusal_rows
from kitprep.tui.drawing.form import Blank
from kitprep.tui.drawing.lines import Glyphs, Row, heading, paragraph
from kitprep.tui.sheets.form import FormSheet


@dataclass(frozen=True, slots=True)
class Copy:
    """What is to be written, and what is wrong with it by field; ``title`` where it is another."""

    day: date | None
    file: Path
    title: str | None
    wears: bool
    wrong: Mapping[str, str]


class CopySheet(FormSheet[Path, Copy]):
    """It leaves with the new plan's path."""

    def __init__(self, day: Day, worked: WorkedDay, beside: Sequence[Day]) -> None:
        self._day, self._worked = day, worked
        self._taken = {
            one.plan.day: one.path.name for one in beside if one.plan.job == day.plan.job
        }
        self._refusal = ""
        blanks = [
            Blank("day", "Day", "Its date: year, month, day"),
            Blank("title", "Title", "What the day is called on lists and screens"),
            Blank("file", "File", f"Its name in {day.path.parent}"),
            Blank(
                "wears", "Who wears what", "Carried over, swaps and all", ("yes", "no"), needed=True
            ),
        ]
        texts = {
            "day": self._next_free(day.plan.day).isoformat(),
            "title": day.plan.title,
            "file": next_file(day.path).name,
            "wears": "yes",
        }
        super().__init__(f"The day after {day.path.name}", blanks, texts)

    def _next_free(self, day: date) -> date:
        day += timedelta(days=1)
        return self._next_free(day) if day in self._taken else day

    def look(self, texts: Mapping[str, str]) -> Copy:
        """Whether there is such a date, and nothing has the date or the name yet."""
        wrong: dict[str, str] = {}
        day = None
        try:
            day = date.fromisoformat(texts["day"].strip())
        except ValueError:
            wrong["day"] = "this is no date; write year, month, day, as in 2027-03-14"
        if day in self._taken:
            wrong["day"] = (
                f"{self._taken[day]} is that day already, and both would be one job; write another"
            )
        path = self._day.path.parent / texts["file"].strip()
        if is_bundled(path):
            wrong["file"] = "this is the demo's own folder, and stays as it is; copy it to work in"
            return Copy(day, path, None, False, wrong)
        if path.suffix != ".toml" or path.parent != self._day.path.parent:
            wrong["file"] = "a plan's file ends in .toml; write a name such as day-02.toml"
        else:
            try:
                refuse_if_there(path.parent, (path.name,))
            except (NotWritten, OSError) as error:
                wrong["file"] = str(error)
        wears = texts["wears"].strip().casefold()
        if wears not in ("yes", "no"):
            wrong["wears"] = "write yes or no"
        title = texts["title"].strip()
        is_other = title != self._day.plan.title
        return Copy(day, path, title if is_other else None, wears == "yes", wrong)

    def wrong_in(self, found: Copy) -> Mapping[str, str]:
        """By field."""
        return found.wrong

    def below(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """Who would wear what again."""
        names = [source.name or source.id for source in self._day.plan.sources]
        packs = worn(self._worked) if self.texts["wears"].strip().casefold() == "yes" else {}
        says = "All else stays as it is, comments and title too; change it there."
        return [
            *refusal_rows([self._refusal] if self._refusal else [], width),
            heading("Who wears what again", width, glyphs),
            *(Row(((f"  {tag:<12} ", "key"), (names[n], ""))) for n, tag in packs.items()),
            *paragraph(says, width, "dim", "  "),
        ]

    async def finish(self, found: Copy) -> None:
        """Writes the plan, which must check clean."""
        assert found.day is not None
        try:
            await self.door.aside(partial(self._write, found, found.day))
        except (NotWritten, NotEditable, OSError, ValueError) as error:
            self._refusal = str(error)
        except DefinitionError as error:
            self._refusal = error.lines[0]
        else:
            self.dismiss(found.file)
            return
        self.app.bell()
        self.repaint()

    def _write(self, found: Copy, day: date) -> None:
        text = self._day.path.read_bytes().decode("utf-8")
        kit = way_to_kit(self._day.path, found.file, self._day.plan.kit)
        wears = worn(self._worked) if found.wears else {}
        write_new(found.file, copied(text, day, kit, wears, found.title).encode(), check=load_day)
