"""Days: the plans beside this one; one is opened, held against this day, or made from it."""

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType

from kitprep.days.compare import compare, compare_text
from kitprep.days.folder import says_one_job
from kitprep.definitions.loading import Day
from kitprep.ledger.errors import LedgerError
from kitprep.ledger.names import job_name
from kitprep.tui.drawing.lines import Glyphs, Row, fill, heading, paragraph
from kitprep.tui.once import is_on_top
from kitprep.tui.sheets.base import Sheet
from kitprep.tui.sheets.copy_day import CopySheet
from kitprep.tui.widgets.row_list import RowList

if TYPE_CHECKING:
    pass


class ComparisonSheet(Sheet[None]):
    """What to add to the bag, what to leave, who wears what, from this day to another."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """The comparison, as the command line has it."""
        rows = []
        for line in self._text.splitlines():
            indent = line[: len(line) - len(line.lstrip())]
            rows += paragraph(line.strip(), width, "head" if line.isupper() else "", indent)
        return rows


class DaysSheet(Sheet[Path]):
    """It leaves with the plan that is to be opened."""

    ABOUT = "days"
    FOOT: ClassVar[str] = " Enter Open   C Compare   N Make the next   Esc Close"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Open", show=False),
        Binding("c,C", "compare", "Compare", show=False),
        Binding("n,N", "copy", "Make the next", show=False),
    ]

    def __init__(self, days: Sequence[Day]) -> None:
        super().__init__()
        self._days = {str(day.path): day for day in days}

    @property
    def rows(self) -> RowList:
        """The list."""
        return self.query_one(RowList)

    def on_mount(self) -> None:
        """The cursor is on the day that is open."""
        self.rows.go_to(str(self.door.day.path))

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """Every day by its date."""
        rows = [heading("Days of this kit in this folder", width, glyphs)]
        for path, day in self._days.items():
            is_open = path == str(self.door.day.path)
            title = f"{day.plan.day:%a %d %b}  {day.plan.title or day.path.name}"
            says = fill(title, max(width - 12, 1), glyphs.dots)
            rows.append(Row(((says, "key" if is_open else ""), ("  (open)" * is_open, "")), path))
            for other in self._days.values():
                if other is not day and job_name(other) == job_name(day):
                    names = Path(day.path.name), Path(other.path.name)
                    rows += paragraph(says_one_job(*names, job_name(day)), width, "warn", "  [!] ")
        return rows

    def action_open(self) -> None:
        """The marked day, in place of the one that is open."""
        if self.rows.key is not None:
            self.dismiss(Path(self.rows.key))

    @on(RowList.Chosen)
    def _clicked(self, event: RowList.Chosen) -> None:
        event.stop()
        self.action_open()

    @work(group="compare", exclusive=True)
    async def action_compare(self) -> None:
        """From the open day to the marked one, each with what its ledger says."""
        day = self._days.get(self.rows.key or "")
        if day is None:
            return
        try:
            after = (await self.door.aside(partial(self.door.job.on, day))).worked
        except LedgerError as error:
            self.notify(str(error), severity="error", markup=False)
            return
        text = compare_text(compare(self.door.now.worked, after))
        if is_on_top(self):
            self.app.push_screen(ComparisonSheet(text))

    def action_copy(self) -> None:
        """The day that is open, made into the next."""
        sheet = CopySheet(self.door.day, self.door.now.worked, tuple(self._days.values()))
        self.app.push_screen(sheet, self._copied)

    def _copied(self, plan: Path | None) -> None:
        if plan is not None:
            self.dismiss(plan)
