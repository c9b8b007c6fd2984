"""R2, inputs: who is plugged where, all day."""

from kitprep.planning.results import WorkedDay

from .building import (
    Entry,
    destination,
    inputs,
    kit,
    numbered,
    plan,
    scene,
    source,
    stereo_receiver,
    transmitter,
    unserved,
    worked,
)


def day_of(*entries: Entry) -> WorkedDay:
    """The day with packs and modules enough for all."""
    return worked(
        kit(
            transmitter(units=numbered("TX", 9), channels=2),
            stereo_receiver(units=numbered("RX", 9)),
        ),
        plan(*entries),
    )


def test_inputs_are_given_in_the_order_in_which_sources_are_written() -> None:
    day = day_of(source("b"), source("a"), source("c"), scene("1", "09:00-10:00", "a b c"))
    assert inputs(day) == {"b": (1,), "a": (2,), "c": (3,)}


def test_a_stereo_source_takes_two_that_follow_one_another() -> None:
    day = day_of(
        source("a"), source("pair", channels=2), source("b"), scene("1", "09:00-10:00", "a pair b")
    )
    assert inputs(day) == {"a": (1,), "pair": (2, 3), "b": (4,)}


def test_fixed_inputs_come_before_all() -> None:
    """b is fixed on 1, so a, though written first, has 2."""
    day = day_of(source("a"), source("b", "rec:1"), scene("1", "09:00-10:00", "a b"))
    assert inputs(day) == {"a": (2,), "b": (1,)}


def test_the_lowest_free_run_is_taken_also_between_fixed_ones() -> None:
    """2 is fixed: mono takes 1, and the pair the first run of two, 3 and 4."""
    day = day_of(
        source("fixed", "rec:2"),
        source("pair", channels=2),
        source("mono"),
        scene("1", "09:00-10:00", "fixed pair mono"),
    )
    assert inputs(day) == {"fixed": (2,), "pair": (3, 4), "mono": (1,)}


def test_a_source_keeps_its_inputs_all_day() -> None:
    day = day_of(
        source("a"),
        source("b"),
        scene("1", "09:00-10:00", "a"),
        scene("2", "11:00-12:00", "a b"),
        scene("3", "13:00-14:00", "b"),
    )
    assert {link.inputs for link in day.links if link.source == "b"} == {(2,)}


def test_where_inputs_last_for_the_day_nothing_is_shared() -> None:
    """a and b are never together, and still each has its own of the two."""
    day = day_of(
        destination("rec", 2),
        source("a"),
        source("b"),
        scene("1", "09:00-10:00", "a"),
        scene("2", "11:00-12:00", "b"),
    )
    assert inputs(day) == {"a": (1,), "b": (2,)}


def test_where_they_do_not_last_sources_that_are_never_concurrent_share_them() -> None:
    """Three sources on two inputs; c is with b in scene 2, never with a: it shares 1."""
    day = day_of(
        destination("rec", 2),
        source("a"),
        source("b"),
        source("c"),
        scene("1", "09:00-10:00", "a b"),
        scene("2", "11:00-12:00", "b c"),
    )
    assert inputs(day) == {"a": (1,), "b": (2,), "c": (1,)}


def test_scenes_that_overlap_do_not_share_an_input_and_scenes_that_touch_do() -> None:
    def two_scenes(second: str) -> WorkedDay:
        return day_of(
            destination("rec", 1),
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", second, "b"),
        )

    assert inputs(two_scenes("10:00-11:00")) == {"a": (1,), "b": (1,)}
    assert inputs(two_scenes("09:59-11:00")) == {"a": (1,)}


def test_a_link_that_finds_no_input_is_not_served_and_says_so() -> None:
    day = day_of(
        destination("rec", 1, name="Recorder"),
        source("a"),
        source("b"),
        scene("1", "09:00-10:00", "a b"),
    )
    assert unserved(day) == {"1 b>rec": "no input is left at Recorder (1 in all)"}
    assert [(s.kind, s.scene) for s in day.shortfalls] == [("input", "1")]
    assert day.hire == ()  # no unit mends it


def test_two_single_inputs_apart_do_not_make_a_pair() -> None:
    """2 of 3 is fixed; 1 and 3 are free and not next to one another."""
    day = day_of(
        destination("rec", 3),
        source("fixed", "rec:2"),
        source("pair", channels=2),
        scene("1", "09:00-10:00", "fixed pair"),
    )
    assert unserved(day) == {
        "1 pair>rec": "no two inputs side by side are left at rec for a stereo link (3 in all)"
    }


def test_each_destination_has_inputs_of_its_own() -> None:
    day = day_of(
        destination("cam-a", 2),
        destination("cam-b", 4),
        source("x", ["cam-b"]),
        source("mix", ["cam-a", "cam-b:3"], channels=2),
        scene("1", "09:00-10:00", "x mix"),
    )
    assert sorted((ln.source, ln.destination, ln.inputs) for ln in day.links) == [
        ("mix", "cam-a", (1, 2)),
        ("mix", "cam-b", (3, 4)),
        ("x", "cam-b", (1,)),
    ]


def test_a_source_in_no_scene_takes_no_input() -> None:
    day = day_of(destination("rec", 1), source("idle"), source("a"), scene("1", "09:00-10:00", "a"))
    assert inputs(day) == {"a": (1,)}
    assert "in no scene today, so no pack is planned for: idle" in day.notices
