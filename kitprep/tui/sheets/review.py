"""A change before it is written: what it does to the day, and each line of the file that differs.

Nothing is written before Enter on this sheet, and what is written is what it shows.
"""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen

from kitprep.bundled import is_bundled
from kitprep.definitions.plan import Plan
from kitprep.editing.proposal import Proposal
from kitprep.planning.difference import Difference, difference
from kitprep.tui.drawing.edit import difference_rows, refusal_rows
from kitprep.tui.drawing.lines import Glyphs, Row, heading, paragraph
from kitprep.tui.drawing.whatif import outcome_rows
from kitprep.tui.keymap import with_keys
from kitprep.tui.once import is_on_top
from kitprep.tui.sheets.base import Sheet
from kitprep.walks.amending import list_is_fixed

if TYPE_CHECKING:
    from kitprep.tui.app import KitprepApp

OWNED = "kitprep made this file and nobody has changed it since, so it is written anew whole."
THEIRS = "A person wrote this file: these lines change, and not a letter besides."
DEMO = (
    "these are the demo's own files, and they stay as they are; {app.new} makes files of your own, "
    "or copy the demo's folder"
)


class ReviewSheet(Sheet[bool]):
    """Enter writes it, Esc goes back to the form."""

    ABOUT = "review"
    FOOT: ClassVar[str] = " Enter Write it   Esc Back   Up/Down Scroll"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "write", "Write", show=False)]

    def __init__(
        self, proposal: Proposal, found: Difference, plan: Plan, refusals: Sequence[str]
    ) -> None:
        super().__init__()
        self._proposal, self._found, self._plan = proposal, found, plan
        self.refusals = tuple(refusals)

    def on_mount(self) -> None:
        """All of the screen, for long lines."""
        self.query_one("#sheet").add_class("review")

    @property
    def foot(self) -> str:
        """Where it must not be written, that is not offered."""
        return " Esc Back   Up/Down Scroll" if self.refusals else self.FOOT

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What stands in the way, the lines that differ, the effect on the day."""
        owned = self._proposal.is_owned
        return [
            *refusal_rows(self.refusals, width),
            heading(f"What changes in {self._proposal.path.name}", width, glyphs),
            *paragraph(OWNED if owned else THEIRS, width, "dim"),
            *difference_rows(self._proposal.difference(), width),
            Row(()),
            *outcome_rows(self._found, self._plan, "", width, glyphs),
        ]

    def action_write(self) -> None:
        """Yes, write it."""
        if self.refusals:
            self.app.bell()
        else:
            self.dismiss(True)


async def review(
    door: "KitprepApp", proposal: Proposal, asked_on: Screen[Any], then: Callable[[], object]
) -> None:
    """Shows what a change comes to, over the sheet that it was asked on; in a worker.

    ``proposal`` is one that reads well; ``then`` follows once it is written.
    """
    assert proposal.day is not None
    now = door.now
    worked = await door.aside(partial(door.job.with_files, proposal.day))
    if not is_on_top(asked_on):
        return  # it was left meanwhile
    refusals = [with_keys(DEMO, door.keymap)] if is_bundled(proposal.path) else []
    refusals += [why for why in (list_is_fixed(now.worked, worked, now.state),) if why]
    sheet = ReviewSheet(proposal, difference(now.worked, worked), proposal.day.plan, refusals)

    def answered(yes: bool | None) -> None:
        if yes:
            door.put(proposal, then)

    door.push_screen(sheet, answered)
