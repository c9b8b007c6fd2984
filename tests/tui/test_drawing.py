"""Drawing by itself: widths in cells, hours in columns, and a scanner told from a hand."""

import pytest
from rich.cells import cell_len

from kitprep.tui.drawing.clock import Clock, lanes
from kitprep.tui.drawing.lines import (
    ASCII,
    UNICODE,
    cut,
    fill,
    heading,
    meter,
    progress,
    text,
    wrapped,
)
from kitprep.tui.scanning import Burst


@pytest.mark.parametrize("width", [1, 2, 5, 9, 40])
@pytest.mark.parametrize("words", ["", "Lav", "日本 mic", "x" * 60, "e\u0301\u0301a", "a\x1bb"])
def test_a_filled_field_has_its_width_in_cells(words: str, width: int) -> None:
    assert cell_len(fill(words, width)) == width
    assert cell_len(cut(words, width)) <= width


@pytest.mark.parametrize("width", [1, 3, 8, 30])
@pytest.mark.parametrize("words", ["one two three", "日本日本日本 x", "x" * 50, "", "a  b"])
def test_wrapped_words_fit_and_none_is_lost(words: str, width: int) -> None:
    lines = wrapped(words, width)
    assert all(cell_len(line) <= max(width, 2) for line in lines)
    assert "".join("".join(lines).split()) == "".join(words.split())


@pytest.mark.parametrize("width", [6, 20, 76])
def test_a_heading_is_as_wide_as_its_list(width: int) -> None:
    assert cell_len(text(heading("Transmitter pouch", width, UNICODE, "3 of 12").line)) <= width


def test_a_meter_is_full_only_when_all_is_done() -> None:
    assert meter(0, 10, 12, ASCII) == "[..........]"
    assert meter(999, 1000, 12, ASCII) == "[#########.]"
    assert meter(10, 10, 12, ASCII) == "[##########]"


def test_how_far_a_walk_is_has_a_bar_where_there_is_room_and_else_the_words() -> None:
    says = "checked 7 of 24 lines, 2 to ask again"
    (row,) = progress(says, 7, 24, 60, ASCII)
    # 60 less the mark, the words and a space: 18 cells, 16 between the brackets, 16 * 7 // 24 full.
    assert text(row.line) == f"[~] {says} [####............]"
    (row,) = progress(says, 7, 24, 49, ASCII)  # a bar of 7 cells would say nothing
    assert text(row.line) == f"[~] {says}"
    assert [text(row.line) for row in progress(says, 24, 24, 30, ASCII)] == [
        "[x] checked 7 of 24 lines, 2",
        "    to ask again",
    ]


def test_a_clock_gives_each_hour_the_same_room() -> None:
    over = Clock.over([450, 1065], 40, ASCII)  # 07:30 to 17:45
    assert (over.start, over.end) == (7 * 60, 18 * 60)
    assert over.width == 33  # three columns for each of eleven hours
    assert over.axis().split() == [f"{hour:02d}" for hour in range(7, 18)]
    bar = text(over.bar([(480, 600, "#", "good")]))
    assert bar.index("#") == 3
    assert bar.count("#") == 6


def test_a_short_scene_still_shows() -> None:
    over = Clock.over([0, 24 * 60], 24, ASCII)
    assert "#" in text(over.bar([(600, 601, "#", "good")]))


def test_a_mark_stands_over_a_bar_at_its_minute() -> None:
    over = Clock.over([480, 720], 8, ASCII)
    assert text(over.bar([(480, 720, "#", "good")], [(600, "v", "warn")])) == "####v###"


def test_stays_at_one_time_are_drawn_on_rows_of_their_own() -> None:
    quay, boat, loft = (0, 60, "quay"), (30, 90, "boat"), (60, 120, "loft")
    assert lanes([quay, boat, loft]) == [[quay, loft], [boat]]


def test_fast_keys_that_end_in_enter_are_a_code() -> None:
    burst: Burst[str] = Burst()
    for number, character in enumerate("TX01"):
        assert burst.printable(character, character, 1 + number / 1000) == []
    assert burst.ended(1.006) == "TX01"
    assert burst.held == []


def test_slow_keys_are_given_on_one_by_one() -> None:
    burst: Burst[str] = Burst()
    assert burst.printable("d", "d", 1.0) == []
    assert burst.release() == ["d"]
    assert burst.printable("s", "s", 1.2) == []
    assert burst.printable("g", "g", 1.4) == ["s"]
    assert burst.ended(1.9) == ""


def test_a_burst_with_no_end_is_dropped() -> None:
    burst: Burst[str] = Burst()
    for number, character in enumerate("TX0"):
        burst.printable(character, character, 1 + number / 1000)
    assert burst.release() == []
