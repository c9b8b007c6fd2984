"""The app's part with files: what was changed here, and another day in place of this one."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, cast

from textual import work

from kitprep.definitions.problems import DefinitionError
from kitprep.ledger.errors import LedgerError
from kitprep.tui.job_app import JobApp
from kitprep.tui.screens.frame import Says

if TYPE_CHECKING:
    from kitprep.definitions.glimpse import Glimpse
    from kitprep.definitions.loading import Day
    from kitprep.definitions.plan import Plan
    from kitprep.editing.proposal import Proposal
    from kitprep.editing.writing import Written
    from kitprep.job import Job
    from kitprep.tui.app import KitprepApp


class FilesApp(JobApp):
    """An app that changes the files of its day, makes new ones, and opens them."""

    scene: str

    def __init__(self, first: "Plan | Glimpse", opening: "Callable[[], Job]") -> None:
        super().__init__(first, opening)
        self.changes: list[Written] = []

    async def show_day(self, day: "Day") -> bool:
        """Takes a day in, where the ledger lets it; what was looked at there is looked at again."""
        try:
            await self.take_day(day)
        except LedgerError as error:
            self.alarm(f"{day.path} is not on the screens yet, for the ledger fails: {error}")
            return False
        numbers = [scene.number for scene in day.plan.scenes]
        if self.scene not in numbers:
            self.scene = numbers[0]
        self.show_all()
        return True

    def inform(self, words: str) -> None:
        """Says what became of something: in the walk's own line, or at the top of other screens."""
        if isinstance(self.screen, Says):
            self.screen.say(words)
        else:
            self.notify(words, markup=False)

    @property
    def may_open_a_sheet(self) -> bool:
        """Whether the job is there and nothing lies over it."""
        return self.is_open and not self.screen.is_modal

    @work(group="files")
    async def put(self, proposal: "Proposal", then: Callable[[], object]) -> None:
        """Writes a change that was looked at, shows the day so, and goes on."""
        from kitprep.editing.writing import write
        from kitprep.files import NotWritten

        assert proposal.day is not None
        try:
            written = await self.aside(partial(write, proposal))
        except NotWritten as error:
            self.notify(str(error), severity="error", markup=False, timeout=20)
            return
        self.changes.append(written)
        is_shown = await self.show_day(proposal.day)
        then()
        if is_shown:
            back = cast("KitprepApp", self).key("app.take-back")
            self.call_later(self.inform, f"Written into {proposal.path}; {back} takes it back")

    @work(group="files")
    async def open_plan(self, plan: Path) -> None:
        """Another day in place of this one; what was written for this one stays written."""
        from kitprep.definitions.loading import load_day

        try:
            day = await self.aside(partial(load_day, plan))
        except DefinitionError as error:
            self.alarm(f"This day cannot be opened: {error.lines[0]}")
            return
        if await self.show_day(day):
            self.changes.clear()
            cast("KitprepApp", self).action_go("day")
            self.inform(f"{plan} is open")

    def action_new(self) -> None:
        """A kit and a day of one's own."""
        from kitprep.tui.sheets.new import NewSheet

        if self.may_open_a_sheet:
            self.push_screen(NewSheet(), self._chosen)

    def action_days(self) -> None:
        """The days beside this one."""
        if self.may_open_a_sheet:
            self._days()

    @work(group="days", exclusive=True)
    async def _days(self) -> None:
        from kitprep.days.folder import days_beside
        from kitprep.tui.sheets.days import DaysSheet

        days = await self.aside(partial(days_beside, self.day))
        if self.may_open_a_sheet:
            self.push_screen(DaysSheet(days), self._chosen)

    def _chosen(self, plan: Path | None) -> None:
        if plan is not None:
            self.open_plan(plan)

    def action_take_back(self) -> None:
        """The last change to a file is undone, where nobody has changed the file since."""
        if self.may_open_a_sheet and self.changes:
            self._take_back(self.changes[-1])
        elif self.may_open_a_sheet:
            self.inform("Nothing was written into a file since this day was opened")

    @work(group="files")
    async def _take_back(self, last: "Written") -> None:
        from kitprep.definitions.loading import load_day
        from kitprep.editing.writing import take_back
        from kitprep.files import NotWritten

        if not self.changes or self.changes[-1] is not last:
            return  # a second press came before the first was done
        self.changes.pop()
        try:
            await self.aside(partial(take_back, last))
            day = await self.aside(partial(load_day, self.day.path))
        except NotWritten as error:
            self.notify(str(error), severity="error", markup=False, timeout=20)
        except DefinitionError as error:
            self.alarm(f"It is as it was before, and does not read well: {error.lines[0]}")
        else:
            if await self.show_day(day):
                self.inform(f"{last.path} is as it was before the last change")
