"""A scene as signal paths: what is to be handed on and retuned before it stands above them."""

from planning.building import destination, kit, plan, receiver, scene, source, transmitter, worked
from rich.cells import cell_len

from kitprep.tui.drawing.chains import link_rows, scene_rows
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


def test_a_scene_that_outlasts_a_set_is_served_and_short_of_cells_and_says_both() -> None:
    """A set of 5 h that is on from 09:30 is dead at 14:30, within a scene to 15:30."""
    day = worked(
        kit(transmitter(power=[{"cell": "C", "count": 1, "hours": 5.0}]), receiver()),
        plan(source("a"), scene("1", "09:30-15:30", "a"), lead_min=0),
    )
    (needs,) = day.scenes
    head = [text(row.line) for row in scene_rows(day, needs, 76, ASCII)]
    assert head[1].startswith("[!] all served, cells short. ")
    rows = link_rows(day, needs, "link:a:rec", 76, ASCII)
    told = " ".join(text(row.line).strip() for row in rows)
    assert "dead at 14:30, so change the set within the scene" in told
    assert "before this scene" not in told


def test_every_path_keeps_its_input_and_the_titles_stay_apart_at_every_width() -> None:
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver("rx", ["RX21"], modules=2)),
        plan(
            destination("recorder", 12, name="The recorder on the cart"),
            source("a", to="recorder", name="A voice with a long name"),
            source("b", to="recorder"),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    inputs = {"+".join(map(str, link.inputs)) for link in day.scenes[0].links}
    for width in range(40, 160):
        rows = [row for row in scene_rows(day, day.scenes[0], width, UNICODE) if row.key]
        lines = [text(row.line) for row in scene_rows(day, day.scenes[0], width, UNICODE)]
        assert all(cell_len(line) <= width for line in lines), width
        ends = {line.split()[-1] for line in lines if ")))" in line}
        assert len(rows) == 2
        assert ends == inputs, width
        assert not any("receiverinput" in line for line in lines)
