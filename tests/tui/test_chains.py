"""A scene as signal paths: what is to be handed on and retuned before it stands above them."""

from planning.building import kit, plan, receiver, scene, source, transmitter, worked

from kitprep.tui.drawing.chains import scene_rows
from kitprep.tui.drawing.lines import ASCII, text


def test_a_scene_that_begins_with_a_handover_says_so_under_its_heading() -> None:
    """TX1 comes off a at 10:00 and is on b 30 min before 12:00; the module stays as it is."""
    day = worked(
        kit(transmitter(), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "12:00-13:00", "b"),
            lead_min=30,
        ),
    )
    first, second = ([text(row.line) for row in scene_rows(day, n, 76, ASCII)] for n in day.scenes)
    assert "[~] before it: TX1 from a (off 10:00) to b (on 11:30), 90 min" in second[:4]
    assert not [line for line in first if "before it" in line]
