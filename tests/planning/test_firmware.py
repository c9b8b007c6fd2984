"""R9: units in use that have not the wanted firmware of their image."""

from kitprep.planning.results import Firmware, WorkedDay

from .building import kit, plan, receiver, scene, source, transmitter, worked


def day_of(*versions: str | None, wanted: dict[str, str], sources: str = "a b") -> WorkedDay:
    """Two packs of image main with these versions, and receivers of image boom at 5.2."""
    units = [{"tag": f"TX{n + 1}", "firmware": v} for n, v in enumerate(versions)]
    return worked(
        kit(
            transmitter(units=units, image="main"),
            receiver(
                units=[{"tag": "RX1", "firmware": "5.2"}, {"tag": "RX2", "firmware": "5.1"}],
                image="boom",
            ),
            firmware=wanted,
        ),
        plan(source("a"), source("b"), scene("1", "09:00-10:00", sources)),
    )


def test_units_in_use_with_another_version_are_listed_by_image() -> None:
    day = day_of("5.2", "5.1", wanted={"main": "5.2", "boom": "5.2"})
    assert day.firmware == (
        Firmware("boom", "5.2", ("RX2",)),
        Firmware("main", "5.2", ("TX2",)),
    )


def test_a_newer_version_is_not_the_wanted_one_either() -> None:
    assert day_of("5.3", "5.2", wanted={"main": "5.2"}).firmware == (
        Firmware("main", "5.2", ("TX1",)),
    )


def test_a_version_that_the_kit_does_not_say_has_to_be_read() -> None:
    assert day_of(None, "5.2", wanted={"main": "5.2"}).firmware == (
        Firmware("main", "5.2", ("TX1",)),
    )


def test_units_that_stay_home_are_not_listed() -> None:
    assert day_of("5.2", "5.1", wanted={"main": "5.2"}, sources="a").firmware == ()


def test_an_image_that_the_kit_does_not_ask_for_is_not_looked_at() -> None:
    assert day_of("1.0", "2.0", wanted={}).firmware == ()


def test_firmware_behind_is_no_shortfall() -> None:
    """It can be mended before the day, and the day is not unready for it."""
    assert day_of("5.1", "5.1", wanted={"main": "5.2"}).ready


def test_a_version_that_the_kit_does_not_say_is_named_as_one_to_be_read() -> None:
    a_kit = kit(
        transmitter(units=["TX1", {"tag": "TX2", "firmware": "5.1"}], image="main"),
        receiver(modules=2),
        firmware={"main": "5.2"},
    )
    day = worked(a_kit, plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b")))
    assert [image.units for image in day.firmware] == [("TX1", "TX2")]
    assert "firmware, to be read at switch-on: TX1" in day.unknown
