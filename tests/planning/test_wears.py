"""R4, last order: who wore a pack wears it again, where that costs nothing."""

from .building import destination, kit, packs, plan, receiver, scene, source, transmitter, worked

TWO = (transmitter(units=["TX1", "TX2", "TX3"]), receiver(units=["RX1", "RX2"]))


def test_what_was_worn_is_given_before_the_lowest_tags() -> None:
    day = worked(
        kit(*TWO), plan(source("a"), source("b", wears="TX3"), scene("1", "09:00-10:00", "a b"))
    )
    assert packs(day) == {"a": "TX1", "b": "TX3"}


def test_of_two_who_want_one_pack_it_goes_to_the_one_written_first() -> None:
    day = worked(
        kit(*TWO),
        plan(source("a", wears="TX2"), source("b", wears="TX2"), scene("1", "09:00-10:00", "a b")),
    )
    assert packs(day) == {"a": "TX2", "b": "TX1"}


def test_a_pack_that_is_in_repair_is_not_worn_again() -> None:
    units = ["TX1", {"tag": "TX2", "state": "repair"}]
    day = worked(
        kit(transmitter(units=units), receiver()),
        plan(source("a", wears="TX2"), scene("1", "09:00-10:00", "a")),
    )
    assert packs(day) == {"a": "TX1"}


def test_it_chooses_between_models_that_are_equally_good() -> None:
    things = (transmitter("x", ["TX1"]), transmitter("y", ["TX2"]), receiver())
    day = worked(kit(*things), plan(source("a", wears="TX2"), scene("1", "09:00-10:00", "a")))
    assert packs(day) == {"a": "TX2"}


def test_it_never_takes_a_heavier_pack_along() -> None:
    things = (
        transmitter("light", ["TX1"], weight_g=60),
        transmitter("heavy", ["TX2"], weight_g=110),
        receiver(),
    )
    day = worked(kit(*things), plan(source("a", wears="TX2"), scene("1", "09:00-10:00", "a")))
    assert packs(day) == {"a": "TX1"}


def test_it_never_costs_another_source_its_link() -> None:
    """Only the narrow pack TX1 is heard at the camera, and b needs it."""
    wide = {"tag": "TX2", "tuning_mhz": [[550, 600]]}
    day = worked(
        kit(
            transmitter(units=["TX1", wide]),
            receiver("low", ["RX1"], tuning_mhz=[[500, 520]]),
            receiver("high", ["RX2"], tuning_mhz=[[500, 600]]),
        ),
        plan(
            destination("rec", receivers=["high"]),
            destination("cam", receivers=["low"]),
            source("a", wears="TX1"),
            source("b", to="cam"),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    assert packs(day) == {"a": "TX2", "b": "TX1"}


def test_a_pack_handed_on_is_the_one_that_its_first_wearer_had() -> None:
    day = worked(
        kit(*TWO),
        plan(
            source("a"),
            source("b", wears="TX2"),
            scene("1", "08:00-09:00", "a"),
            scene("2", "10:00-11:00", "b"),
        ),
    )
    assert packs(day) == {"a": "TX2", "b": "TX2"}
