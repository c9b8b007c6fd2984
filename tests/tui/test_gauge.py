"""What is left in a set, drawn against the clock: how high it stands, where it is changed."""

from collections.abc import Sequence

import pytest
from planning.building import cells, dc, kit, plan, receiver, scene, source, transmitter, worked

from kitprep.ledger.events import JobState
from kitprep.planning.results import WorkedDay
from kitprep.tui.drawing.gauge import gauge_rows
from kitprep.tui.drawing.lines import ASCII, UNICODE, Glyphs, text
from kitprep.walks.feeding import cell_round

from .conftest import Opener

BAR = 28
"""Where the bar begins at 80 columns: two for the cursor's mark, and 26 for the words."""


def day(reserve: float = 0.0, hours: float | None = 4.0) -> WorkedDay:
    """One pack, four hours of life at the most: on air 09:00-12:00 and 13:00-16:00, off between."""
    own = {} if hours is None else {"hours": hours}
    return worked(
        kit(transmitter(power=[cells(**own)]), receiver(power=[dc(1, 2, 1.0), cells(hours=99)])),
        plan(
            source("a", name="Ana"),
            scene("1", "09:00-12:00", "a"),
            scene("2", "13:00-16:00", "a"),
            between="off",
            reserve=reserve,
        ),
    )


def drawn(of: WorkedDay, height: int = 1, glyphs: Glyphs = UNICODE) -> Sequence[str]:
    line = next(line for line in cell_round(of, JobState(), -1) if line.unit == "TX1")
    return [text(row.line) for row in gauge_rows(of, line, 80, height, glyphs)]


def test_it_falls_by_the_hour_stays_while_off_and_is_full_after_the_change() -> None:
    """Seven hours, four columns each: a quarter of the set goes in each hour on air."""
    title, gauge, *words = drawn(day())
    assert "TX1 pack: Ana" in title
    assert title.endswith("1 x C ")
    bar = gauge[BAR:].rstrip()
    assert len(bar) == 7 * 4
    assert bar[0] in "█"
    assert set(bar[12:16]) == {"▂"}, "a quarter is left at noon, and nothing goes while it is off"
    assert bar[16] == "▼", "changed before scene 2"
    assert bar[17] in "▇█"
    said = " ".join(" ".join(words).split())
    assert said.endswith("Next: before scene 2 by 13:00, else dead at 14:00 in scene 2.")


def test_plain_characters_count_in_tenths() -> None:
    bar = drawn(day(), glyphs=ASCII)[1][BAR:].rstrip()
    assert bar.isascii()
    assert bar[12:17] == "2222v"


def test_a_taller_one_has_the_reserve_at_its_foot() -> None:
    """At 11:52:30 2.875 of 4 h are used: 0.28 of five rows, one and 3.25 eighths."""
    _, *rows = drawn(day(reserve=0.2), height=5)
    assert rows[0].startswith("  left in the set")
    assert rows[4].startswith("  reserve, 20 %")
    before_noon = BAR + 11
    assert [row[before_noon] for row in rows[:5]] == [" ", " ", " ", "▃", "█"]


def test_where_nobody_knows_nothing_is_drawn_and_that_is_said() -> None:
    _, *words = drawn(day(hours=None))
    assert " ".join(words).strip().startswith("Nobody knows how long a set lasts")


@pytest.mark.parametrize(("size", "shown"), [((80, 24), True), ((60, 19), False)])
async def test_the_power_screen_has_it_of_the_marked_unit_where_there_is_room(
    size: tuple[int, int], shown: bool, seat: Opener
) -> None:
    async with seat("power", day=2, size=size) as at:
        assert ("TX01 Slim bodypack: Ines" in at.text) == shown
        if shown:
            await at.press("down")
            assert "TX02 Slim bodypack: Oda" in at.text
