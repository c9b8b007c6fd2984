"""R3: the cables from modules to inputs."""

from typing import Any

import pytest

from kitprep.planning.results import Counted, WorkedDay

from .building import (
    Entry,
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    transmitter,
    worked,
)


def cable(model: str, plug: str, to: list[str], qty: int = 9, **own: Any) -> Entry:
    """A cable: from a plug at the receiver to plugs at the other end."""
    return "cable", {"model": model, "from": plug, "to": to, "qty": qty, **own}


def outputs(*connectors: str, channels: int = 1) -> list[dict[str, Any]]:
    """Outputs of one module."""
    return [{"connector": name, "channels": channels} for name in connectors]


def day_of(*entries: Entry, channels: tuple[int, ...] = (1,), connector: str = "XLR3") -> WorkedDay:
    """A scene of so many sources, each mono or stereo, to the recorder."""
    names = [f"s{n}" for n in range(len(channels))]
    return worked(
        kit(transmitter(units=numbered("TX", len(names)), channels=2), *entries),
        plan(
            destination("rec", connector=connector),
            *(source(name, channels=wide) for name, wide in zip(names, channels, strict=True)),
            scene("1", "09:00-10:00", " ".join(names)),
        ),
    )


def cable_shortfalls(day: WorkedDay) -> list[str]:
    """What is said to be short of cables."""
    return [short.what for short in day.shortfalls if short.kind == "cable"]


def test_a_mono_link_needs_one_cable_with_one_leg() -> None:
    day = day_of(receiver(outputs=outputs("TA3")), cable("ta3-xlr", "TA3", ["XLR3"]))
    assert day.cables == (Counted("ta3-xlr", 1, 9, 0),)


def test_a_stereo_link_on_one_output_of_two_channels_needs_two_legs() -> None:
    module = stereo_receiver(outputs=outputs("TA5", channels=2))
    one, two = cable("one", "TA5", ["XLR3"]), cable("two", "TA5", ["XLR3", "XLR3"])
    assert day_of(module, one, two, channels=(2,)).cables == (Counted("two", 1, 9, 0),)


def test_a_stereo_link_on_two_single_outputs_needs_a_cable_for_each() -> None:
    module = stereo_receiver(outputs=outputs("TA3", "TA3"))
    day = day_of(module, cable("ta3-xlr", "TA3", ["XLR3"]), channels=(2,))
    assert day.cables == (Counted("ta3-xlr", 2, 9, 0),)


def test_a_mono_link_on_a_stereo_module_needs_one_leg_only() -> None:
    module = stereo_receiver(outputs=outputs("TA3", "TA3"))
    assert day_of(module, cable("ta3-xlr", "TA3", ["XLR3"])).cables[0].carry == 1


def test_a_module_is_cabled_for_its_widest_link_of_the_day() -> None:
    """Mono in scene 1, stereo in scene 2, on one module: two cables, not one and not three."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], channels=2),
            stereo_receiver(outputs=outputs("TA3", "TA3")),
            cable("ta3-xlr", "TA3", ["XLR3"]),
        ),
        plan(
            source("a"),
            source("pair", channels=2),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:00-11:00", "pair"),
        ),
    )
    assert day.cables == (Counted("ta3-xlr", 2, 9, 0),)


def test_every_module_in_use_needs_its_own() -> None:
    """Three links on one rack of four modules: three cables."""
    day = day_of(receiver("rack", modules=4), cable("xlr", "XLR3", ["XLR3"]), channels=(1, 1, 1))
    assert day.cables == (Counted("xlr", 3, 9, 0),)


def test_the_plugs_at_the_other_end_are_those_of_the_destination() -> None:
    module = receiver(outputs=outputs("TA3"))
    to_camera = cable("ta3-ta5", "TA3", ["TA5"])
    to_recorder = cable("ta3-xlr", "TA3", ["XLR3"])
    assert day_of(module, to_camera, to_recorder, connector="TA5").cables[0].name == "ta3-ta5"
    assert day_of(module, to_camera, to_recorder, connector="XLR3").cables[0].name == "ta3-xlr"


def test_a_cable_with_legs_to_spare_is_taken_last() -> None:
    """Two mono links, one single cable and one split one: both are used, and nothing is short."""
    module = receiver(units=["R1", "R2"], outputs=outputs("TA5", channels=2))
    single, split = cable("single", "TA5", ["XLR3"], 1), cable("split", "TA5", ["XLR3", "XLR3"], 1)
    day = day_of(module, split, single, channels=(1, 1))
    assert day.cables == (Counted("split", 1, 1, 0), Counted("single", 1, 1, 0))
    assert [line.carry for line in day_of(module, split, single).cables] == [1]
    assert day_of(module, split, single).cables[0].name == "single"


def test_the_wide_link_has_the_split_cable_before_a_narrow_one() -> None:
    """A mono and a stereo link, one split cable and no single one: the stereo link keeps it."""
    module = stereo_receiver(units=["R1", "R2"], outputs=outputs("TA5", channels=2))
    day = day_of(module, cable("split", "TA5", ["XLR3", "XLR3"], 1), channels=(1, 2))
    assert day.cables == (Counted("split", 2, 1, 1),)
    assert cable_shortfalls(day) == ["split: 2 to carry, 1 held; 1 short"]


def test_of_a_wide_and_a_narrow_link_it_is_the_narrow_one_that_goes_short() -> None:
    """Two mono links and a stereo one, one single cable and one split: a single one is missing."""
    module = stereo_receiver(units=numbered("R", 3), outputs=outputs("TA5", channels=2))
    single, split = cable("single", "TA5", ["XLR3"], 1), cable("split", "TA5", ["XLR3", "XLR3"], 1)
    day = day_of(module, single, split, channels=(1, 1, 2))
    assert day.cables == (Counted("single", 2, 1, 1), Counted("split", 1, 1, 0))


@pytest.mark.parametrize(("held", "way"), [(1, "wide"), (0, "narrow")])
def test_a_module_with_both_kinds_of_output_uses_the_one_that_cables_are_held_for(
    held: int, way: str
) -> None:
    """Stereo over TA5 in one cable, or over two XLR3: with no TA5 cable held, two of the other."""
    module = stereo_receiver(outputs=[*outputs("TA5", channels=2), *outputs("XLR3", "XLR3")])
    day = day_of(
        module,
        cable("wide", "TA5", ["XLR3", "XLR3"], held),
        cable("narrow", "XLR3", ["XLR3"]),
        channels=(2,),
    )
    assert [(line.name, line.carry) for line in day.cables] == [(way, 1 if held else 2)]
    assert cable_shortfalls(day) == []


def test_a_mono_link_may_leave_by_any_output_that_a_cable_fits() -> None:
    module = receiver(outputs=outputs("TA5", "XLR3"))
    day = day_of(module, cable("xlr", "XLR3", ["XLR3"]))
    assert day.cables == (Counted("xlr", 1, 9, 0),)
    assert cable_shortfalls(day) == []


def test_cables_that_are_too_few_are_short() -> None:
    module = receiver(units=numbered("R", 3))
    day = day_of(module, cable("xlr", "XLR3", ["XLR3"], 2, name="Short XLR"), channels=(1, 1, 1))
    assert day.cables == (Counted("xlr", 3, 2, 1),)
    assert cable_shortfalls(day) == ["Short XLR: 3 to carry, 2 held; 1 short"]


def test_where_no_cable_fits_the_plugs_are_named() -> None:
    module = stereo_receiver(outputs=outputs("TA5", channels=2))
    day = day_of(module, cable("xlr", "XLR3", ["XLR3"]), channels=(2,))
    assert cable_shortfalls(day) == [
        "no cable here goes from TA5 to XLR3 and XLR3: RS1 module 1 to rec"
    ]


def test_a_kit_that_lists_no_cable_says_once_that_cables_are_not_tracked() -> None:
    day = day_of(receiver(units=["R1", "R2"]), channels=(1, 1))
    assert (day.cables, cable_shortfalls(day)) == ((), [])
    assert day.notices.count("the kit lists no cables, so cables are not tracked") == 1


def test_cables_go_on_the_packing_list() -> None:
    day = day_of(receiver(), cable("xlr", "XLR3", ["XLR3"], weight_g=120))
    (line,) = [line for line in day.packing if line.kind == "cable"]
    assert (line.key, line.qty, line.held, line.weight_g) == ("cable:xlr", 1, 9, 120)


@pytest.mark.parametrize("first", ["either", "only-split"])
def test_a_module_with_two_ways_leaves_the_split_to_the_one_that_needs_it(first: str) -> None:
    """One split and four leads for two stereo links: split for one, two leads for the other."""
    outs = {
        "either": [*outputs("TA5", channels=2), *outputs("XLR3", "XLR3")],
        "only-split": outputs("TA5", channels=2),
    }
    second = next(model for model in outs if model != first)
    modules = (
        stereo_receiver(model, outputs=outs[model], units=[tag])
        for model, tag in ((first, "RX1"), (second, "RX2"))
    )
    split, lead = cable("split", "TA5", ["XLR3", "XLR3"], 1), cable("lead", "XLR3", ["XLR3"], 4)
    day = day_of(*modules, split, lead, channels=(2, 2))
    assert day.cables == (Counted("split", 1, 1, 0), Counted("lead", 2, 4, 0))
    assert cable_shortfalls(day) == []
