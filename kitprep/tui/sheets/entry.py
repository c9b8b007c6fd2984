"""The form of a scene, a source, a destination or a unit, with what the change does to the day."""

from collections.abc import Mapping, Sequence
from functools import partial

from kitprep.bundled import is_bundled
from kitprep.editing.forms import NAMED_BY, Kind, fields_of
from kitprep.editing.proposal import Book, Edit, Proposal
from kitprep.planning.difference import Difference, difference
from kitprep.tui.drawing.edit import refusal_rows
from kitprep.tui.drawing.form import Blank
from kitprep.tui.drawing.lines import Glyphs, Row
from kitprep.tui.drawing.whatif import outcome_rows
from kitprep.tui.keymap import with_keys
from kitprep.tui.sheets.form import FormSheet
from kitprep.tui.sheets.review import DEMO, review
from kitprep.walks.amending import name_is_recorded

AS_IT_WAS = "All is as it was."
WORKING = "Working it out; go on meanwhile."
NOT_YET = "Once nothing is wrong above, what becomes of the day stands here."


class EntrySheet(FormSheet[bool, Proposal]):
    """One entry; it leaves with True where something was written."""

    def __init__(
        self,
        book: Book,
        kind: Kind,
        name: str | None,
        texts: Mapping[str, str] | None = None,
        starts_at: str | None = None,
    ) -> None:
        title = f"A new {kind}" if name is None else f"{kind.capitalize()} {name}"
        blanks = [
            Blank(
                field.key,
                field.label,
                field.says,
                tuple(field.choices(book.day)) if field.choices else (),
                field.many,
            )
            for field in fields_of(kind, name is None)
        ]
        super().__init__(title, blanks, {**book.texts(kind, name), **(texts or {})})
        self.starts_at = starts_at
        self._book, self._kind, self._entry = book, kind, name
        self._found: Difference | None = None
        self._proposal: Proposal | None = None
        self._says = AS_IT_WAS

    def look(self, texts: Mapping[str, str]) -> Proposal:
        """What the file would say."""
        return self._book.proposed(Edit(self._kind, self._entry, texts))

    def wrong_in(self, found: Proposal) -> Mapping[str, str]:
        """What the definitions say of it, and that recorded names stay."""
        names = NAMED_BY[self._kind]
        if self._entry is None or self.texts.get(names, self._entry) == self._entry:
            return found.at
        recorded = name_is_recorded(self.door.now.state, self._kind, self._entry)
        return {names: recorded, **found.at} if recorded else found.at

    async def looked(self, found: Proposal) -> None:
        """The day as it would be, worked out where there is one."""
        self._proposal, self._found = found, None
        if found.nothing and not found.elsewhere:
            self._says = AS_IT_WAS if not self.wrong else NOT_YET
        else:
            self._says = NOT_YET if found.day is None else WORKING
        self.repaint()
        if found.day is not None and not found.nothing:
            now = self.door.now.worked
            then = await self.door.aside(partial(self.door.job.with_files, found.day))
            self._found = difference(now, then)
            self.repaint()

    def above(self, width: int) -> Sequence[Row]:
        """That nothing will be written, where nothing may be."""
        demo = is_bundled(self.door.day.path)
        return refusal_rows([with_keys(DEMO, self.door.keymap)], width) if demo else ()

    def below(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What another entry says against it, and what becomes of the day."""
        elsewhere = self._proposal.elsewhere if self._proposal else ()
        plan = self.door.day.plan
        return [
            *refusal_rows(elsewhere, width),
            *outcome_rows(self._found, plan, self._says, width, glyphs),
        ]

    async def finish(self, found: Proposal) -> None:
        """To the review of what would be written."""
        if found.elsewhere:
            self._proposal = found
            self.repaint()
            self.app.bell()
        elif found.nothing or found.day is None:
            self.dismiss(False)
        else:
            await review(self.door, found, self, partial(self.dismiss, True))
