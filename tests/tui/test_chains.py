"""A scene as signal paths: what is to be handed on and retuned before it stands above them."""

from planning.building import destination, kit, plan, receiver, scene, source, transmitter, worked

from kitprep.tui.drawing.chains import scene_rows
from kitprep.tui.drawing.lines import ASCII, UNICODE, text


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


def test_a_module_is_named_only_where_a_receiver_has_several() -> None:
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver("rack", ["RK1"], modules=4),
            receiver("mono", ["RX1"]),
        ),
        plan(
            destination("rec", receivers=["rack"]),
            destination("cam", receivers=["mono"]),
            source("a"),
            source("b", to="cam"),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    lines = [text(row.line) for row in scene_rows(day, day.scenes[0], 76, ASCII)]
    to_rec = next(line for line in lines if line.startswith("a "))
    to_cam = next(line for line in lines if line.startswith("b "))
    assert "RK1 rack, module 1 -" in to_rec
    assert "RX1 mono -" in to_cam
    assert "module" not in to_cam


def scene_of_two(width: int) -> list[str]:
    """One on its own input, one with a name too long for its box, one only later."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2", "TX3"]), receiver(units=["RX1", "RX2", "RX3"])),
        plan(
            destination("rec", 8),
            source("a", name="Ana"),
            source("wake", name="Wash and gulls, all night long"),
            source("c", name="Cara"),
            scene("1", "09:00-10:00", "a wake"),
            scene("2", "09:30-11:00", "c"),
        ),
    )
    return [text(row.line) for row in scene_rows(day, day.scenes[0], width, UNICODE)]


def test_an_input_whose_name_has_no_room_shows_its_id() -> None:
    boxes = next(line for line in scene_of_two(76) if line.startswith("│"))
    assert boxes.startswith("│Ana     │wake    │(Cara)  │        │")


def test_a_wide_screen_shows_the_units_at_each_input_and_the_scene_in_the_day() -> None:
    lines = scene_of_two(120)
    names, packs, receivers = (line for line in lines if line.startswith("│"))
    assert names.startswith("│Ana          │wake         │(Cara)       │")
    assert packs.startswith("│TX1          │TX2          │TX3          │")
    assert receivers.startswith("│RX1          │RX2          │RX3          │")
    here = next(line for line in lines if line.startswith("-->"))
    assert "1     09:00-10:00" in here
    assert here.endswith("this scene          ")
    assert "█" in here
    other = next(line for line in lines if "2     09:30-11:00" in line)
    assert "░" in other
    assert "█" not in other
