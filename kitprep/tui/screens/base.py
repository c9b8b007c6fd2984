"""What all seven screens share: the job as it stands, and how far it is."""

from rich.cells import cell_len
from textual.app import ComposeResult

from kitprep.ledger.events import JobState
from kitprep.planning.results import WorkedDay
from kitprep.tui.marks import STAGES
from kitprep.tui.screens.frame import Framed, day_title
from kitprep.tui.widgets.bar import Word
from kitprep.tui.widgets.row_list import RowList
from kitprep.walks.pack import pack_view


class JobScreen(Framed):
    """One of the seven screens. It draws from the job and never keeps a state of its own of it."""

    AUTO_FOCUS = "#rows"
    CSS_PATH = "../screens.tcss"
    is_open = False

    @property
    def day(self) -> WorkedDay:
        """The worked-out day."""
        return self.door.now.worked

    @property
    def state(self) -> JobState:
        """What the ledger's events add up to."""
        return self.door.now.state

    def body(self) -> ComposeResult:
        """A list."""
        yield RowList("rows")

    @property
    def rows(self) -> RowList:
        """The screen's list."""
        return self.query_one("#rows", RowList)

    def on_mount(self) -> None:
        """Drawn at once, and taken up when it has its size."""
        super().on_mount()
        self.repaint()
        self.call_after_refresh(self.opened)

    def opened(self) -> None:
        """Once, when the screen is laid out."""
        self.is_open = True
        self.repaint()

    def on_screen_resume(self) -> None:
        """What happened meanwhile."""
        if self.is_mounted:
            self.repaint()

    def repaint(self) -> None:
        """Shows the job as it stands."""
        self.frame()
        self.draw()

    def draw(self) -> None:
        """Shows the body."""

    def scanned(self, code: str) -> None:
        """A scan that no field took: says what the thing is."""
        self.door.look_up(code)

    def title_right(self, width: int) -> tuple[Word, ...]:
        """Who is at it, the job's stage, and how far it is packed; or that a tick is on its way."""
        view = pack_view(self.day, self.state)
        who = f"{self.door.job.who}  " if width >= 100 else ""
        packed = f"{view.done}/{len(view.items)} packed "
        stage = STAGES[self.state.stage]
        if cell_len(day_title(self.day.plan, width)) + len(f" {who}{stage} {packed}") > width:
            who, packed = "", packed.removesuffix("packed ")  # the day's title needs the room more
        if self.door.is_writing:
            return (f" {who}writing{self.glyphs.dots}", "warn", None), (f"  {packed}", "key", None)
        return ((f" {who}{stage} {packed}", "key", "go.pack"),)
