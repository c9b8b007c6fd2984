"""Someone at the screens without a terminal: opens a day and takes a picture."""

import asyncio
import html
import inspect
import re
from dataclasses import dataclass
from pathlib import Path

from rich.cells import cell_len

from kitprep.job import Job
from kitprep.tui.app import KitprepApp
from kitprep.tui.commands import ScreenName
from kitprep.tui.drawing.lines import UNICODE
from kitprep.tui.screens.base import JobScreen

CELL, LINE = 12.2, 24.4
"""Width and height of a cell in Textual's pictures."""

PATIENCE = 100
"""How often it is looked whether a screen is there."""


@dataclass(frozen=True, slots=True)
class Visit:
    """Which day is opened, by whom, and on which screen."""

    plan: Path
    ledger: str
    who: str
    screen: ScreenName = "day"
    size: tuple[int, int] = (80, 24)


class _BeforeTheDay(KitprepApp):
    """The screens as on the evening before, whatever the clock and the terminal here say."""

    CSS_PATH = str(Path(inspect.getfile(KitprepApp)).with_name(KitprepApp.CSS_PATH))

    def __init__(self, job: Job, opens_on: ScreenName) -> None:
        super().__init__(job.day.plan, lambda: job, opens_on)
        self.glyphs = UNICODE

    def minute(self) -> int:
        """Before the day's first minute."""
        return -1


def picture(visit: Visit) -> str:
    """The screen as SVG."""
    return asyncio.run(_visit(visit))


async def _visit(visit: Visit) -> str:
    job = Job.open(visit.plan, visit.ledger, visit.who, "key")
    try:
        app = _BeforeTheDay(job, visit.screen)
        async with app.run_test(size=visit.size) as pilot:
            for _ in range(PATIENCE):
                await pilot.pause()
                if isinstance(app.screen, JobScreen) and app.screen.is_open:
                    break
            await pilot.pause()
            return app.export_screenshot()
    finally:
        job.close()


def words(svg: str) -> str:
    """The text in a picture, line by line, as it stands on the screen."""
    rows: dict[int, list[str]] = {}
    for attributes, body in re.findall(r"<text ([^>]*)>(.*?)</text>", svg):
        if "-title" in attributes:
            continue
        at = dict(re.findall(r'([\w-]+)="([^"]*)"', attributes))
        row = rows.setdefault(int(float(at["y"]) / LINE), [])
        column = round(float(at["x"]) / CELL)
        for character in html.unescape(body).replace("\xa0", " "):
            row.extend(" " * (column + 1 - len(row)))
            row[column] = character
            column += max(cell_len(character), 1)
    return "\n".join("".join(rows.get(n, ())).rstrip() for n in range(max(rows) + 1))
