"""What a plan leaves unsaid is told, and nothing is short by it."""

from kitprep.planning.results import WorkedDay

from .building import cells, kit, plan, receiver, scene, source, thing, transmitter, worked


def test_a_scene_whose_sources_were_forgotten_is_told() -> None:
    day = worked(
        kit(transmitter(), receiver()),
        plan(source("a"), scene("1", "09:00-10:00", "a"), scene("2", "10:00-11:00", "")),
    )
    assert day.ready
    assert "no sources are written for these scenes, so nothing is planned: 2" in day.notices


def cold_day(celsius: float) -> WorkedDay:
    """A set of D of 10 h, whose table begins at -20 °C with half of them."""
    table = thing("cell", type="D", source="made up", capacity_at=[[-20, 0.5], [20, 1.0]])
    return worked(
        kit(
            transmitter(power=[cells("D", hours=10)]),
            receiver(),
            table,
            thing("stock", cell="D", qty=9),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a"), temperature_c=celsius),
    )


def test_a_day_colder_than_a_cells_table_is_told() -> None:
    told = "what D keeps at -40 °C, colder than its table: the figure for -20 °C is used"
    assert told in cold_day(-40).unknown
    assert not [line for line in cold_day(-20).unknown if "colder" in line]
