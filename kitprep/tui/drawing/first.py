"""The day before it is worked out: what the plan says, laid out as it will be with its figures."""

from typing import TYPE_CHECKING

from kitprep.definitions.glimpse import Glimpse
from kitprep.definitions.text import counted
from kitprep.tui.drawing.chart import Chart, Look, chart_rows
from kitprep.tui.drawing.lines import Glyphs, Row, paragraph

if TYPE_CHECKING:
    from kitprep.definitions.plan import Plan


def first_rows(plan: "Plan | Glimpse", width: int, glyphs: Glyphs) -> list[Row]:
    """The scenes on their clock, with words where the figures will stand."""
    sources = {source for scene in plan.scenes for source in scene.sources}
    says = f"{counted(len(plan.scenes), 'scene')}: the day is being worked out{glyphs.dots}"
    about = f"{counted(len(sources), 'source')}, {plan.temperature_c:g} {glyphs.degree}"
    look = Look("[ ]", "", glyphs.half, "bar", "")
    looks = {scene.number: look for scene in plan.scenes}
    # Packs are on so long before the first scene; so the clock is the one that comes.
    on_from = min(scene.start for scene in plan.scenes) - plan.lead_min
    return [
        *paragraph(says, width, "", "[ ] "),
        *paragraph(about, width, "", "    "),
        *paragraph(f"the ledger is being opened{glyphs.dots}", width, "", "[ ] "),
        Row(()),
        *chart_rows(Chart(plan, [on_from], looks, ()), width, glyphs),
    ]
