"""New: a first kit and a first day of one's own, from a few answers; then the day is opened."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from kitprep.bundled import reference_table
from kitprep.files import NotWritten, refuse_if_there, write_folder
from kitprep.job import local_now
from kitprep.starter.answers import Answers, NoAnswer, questions, read_answers
from kitprep.starter.making import DAY, KIT, TABLE_NAMES, TABLES, kit_id, starter_files
from kitprep.tui.drawing.edit import refusal_rows
from kitprep.tui.drawing.form import Blank
from kitprep.tui.drawing.lines import Glyphs, Row, heading, paragraph
from kitprep.tui.sheets.form import FormSheet

FOLDER = "folder"
SAYS = (
    "It works out as it stands, with made-up things: lines marked example in the two files are to "
    "be replaced by yours. Nothing that is there is ever written over."
)


@dataclass(frozen=True, slots=True)
class Answered:
    """The answers, as far as they can be used; ``elsewhere`` is of no one question."""

    folder: Path
    answers: Answers | None
    wrong: Mapping[str, str]
    elsewhere: str = ""


class NewSheet(FormSheet[Path, Answered]):
    """The same few questions as on the command line; it leaves with the new day plan's path."""

    def __init__(self) -> None:
        self._today = local_now().date()
        asked = questions(self._today)
        blanks = [
            Blank(
                question.key,
                question.key.replace("_", " ").capitalize(),
                f"{question.asks} ({question.may_be})",
                question.choices,
                needed=True,
            )
            for question in asked
        ]
        where = Blank(FOLDER, "Folder", "Where to write it: a folder to make or to fill")
        texts = {question.key: question.usual for question in asked}
        texts[FOLDER] = str(Path.cwd() / kit_id(texts["job"]))
        super().__init__("A kit and a day of your own", [*blanks, where], texts)
        self._elsewhere = ""

    def look(self, texts: Mapping[str, str]) -> Answered:
        """Whether the answers will do, and the folder is free."""
        return answered(texts, self._today)

    def wrong_in(self, found: Answered) -> Mapping[str, str]:
        """By question."""
        self._elsewhere = found.elsewhere
        return found.wrong

    def below(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What will be written."""
        return [
            *refusal_rows([self._elsewhere] if self._elsewhere else [], width),
            heading("What is written", width, glyphs),
            *(Row(((f"  {name}", "key"),)) for name in (KIT, DAY, f"{TABLES}/")),
            *paragraph(SAYS, width, "dim", "  "),
        ]

    async def finish(self, found: Answered) -> None:
        """Writes all of it or nothing."""
        if found.answers is None:
            self.app.bell()
            return
        tables = {name: reference_table(name) for name in TABLE_NAMES}
        files = starter_files(found.answers, tables)
        try:
            await self.door.aside(partial(write_folder, found.folder, files))
        except NotWritten as error:
            self._elsewhere = str(error)
            self.app.bell()
            self.repaint()
            return
        self.dismiss(found.folder / DAY)


def answered(texts: Mapping[str, str], today: date) -> Answered:
    """Every answer looked at by itself, then all of them together."""
    folder = Path(texts.get(FOLDER, "").strip()).expanduser()
    written = {key: text for key, text in texts.items() if key != FOLDER}
    wrong: dict[str, str] = {}
    for question in questions(today):
        try:
            question.read(written[question.key])
        except NoAnswer as error:
            wrong[question.key] = str(error)
    if not texts.get(FOLDER, "").strip():
        wrong[FOLDER] = "no folder is named; write one"
    else:
        try:
            refuse_if_there(folder, (TABLES, KIT, DAY))
        except (NotWritten, OSError) as error:
            wrong[FOLDER] = str(error)
    if wrong:
        return Answered(folder, None, wrong)
    try:
        return Answered(folder, read_answers(written, today), {})
    except NoAnswer as error:
        return Answered(folder, None, {}, str(error))
