"""R2: what is held and for how long, and what can serve several sources in turn."""

import pytest

from .building import (
    adapter,
    adapters,
    destination,
    kit,
    numbered,
    packs,
    plan,
    receiver,
    scene,
    served,
    source,
    stereo_receiver,
    transmitter,
    unserved,
    worked,
)


def test_scenes_that_touch_are_not_concurrent() -> None:
    """One module: 09:00-10:00 and 10:00-11:00 are served, 09:00-10:01 and 10:00-11:00 are not."""
    a_kit = kit(transmitter(units=["TX1", "TX2"]), receiver())
    touching = plan(
        source("a"), source("b"), scene("1", "09:00-10:00", "a"), scene("2", "10:00-11:00", "b")
    )
    assert served(worked(a_kit, touching)) == ["1 a>rec", "2 b>rec"]
    overlapping = plan(
        source("a"), source("b"), scene("1", "09:00-10:01", "a"), scene("2", "10:00-11:00", "b")
    )
    assert len(worked(a_kit, overlapping).links) == 1


@pytest.mark.parametrize(("start", "sources_served"), [("10:15", 2), ("10:14", 1)])
def test_a_pack_is_handed_on_only_handover_min_after(start: str, sources_served: int) -> None:
    """Source a ends at 10:00: with 15 minutes to hand over, b can have its pack from 10:15."""
    day = worked(
        kit(transmitter(units=["TX1"]), receiver(units=["RX1", "RX2"])),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", f"{start}-11:00", "b"),
            handover_min=15,
        ),
    )
    assert len(packs(day)) == sources_served


@pytest.mark.parametrize(("start", "adapters_enough"), [("10:15", True), ("10:14", False)])
def test_an_adapter_is_handed_on_only_handover_min_after(start: str, adapters_enough: bool) -> None:
    """Two packs and one lead: the lead is free for b 15 minutes after a's last scene."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"], connector="TA5"),
            adapter("lead", connector="TA3"),
            receiver(units=["RX1", "RX2"]),
        ),
        plan(
            source("a", connector="TA3"),
            source("b", connector="TA3"),
            scene("1", "09:00-10:00", "a"),
            scene("2", f"{start}-11:00", "b"),
        ),
    )
    assert (len(day.links) == 2) is adapters_enough
    assert set(adapters(day).values()) == {"lead#1"}
    if not adapters_enough:
        assert unserved(day) == {"2 b>rec": "the one adapter that would do, lead#1, is with a"}


def test_a_source_holds_its_pack_between_its_scenes() -> None:
    """a has 09:00-10:00 and 12:00-13:00: its pack is on it at 10:30, when b would need one."""
    day = worked(
        kit(transmitter(units=["TX1"]), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:30-11:00", "b"),
            scene("3", "12:00-13:00", "a"),
        ),
    )
    assert served(day) == ["1 a>rec", "3 a>rec"]
    assert unserved(day) == {"2 b>rec": "the one transmitter that would do, TX1, is with a"}


def test_a_module_serves_another_source_in_between() -> None:
    """The same day with two packs: one module does, for it is not worn."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "10:30-11:00", "b"),
            scene("3", "12:00-13:00", "a"),
        ),
    )
    assert {(link.receiver, link.module) for link in day.links} == {("RX1", 1)}
    assert (day.peak.packs, day.peak.links, day.peak.modules) == (2, 3, 1)


def test_a_source_has_one_pack_all_day() -> None:
    """TX1 is heard only at 500-510 and TX2 only at 550-560; scene 2 has no pack of a's own left."""
    day = worked(
        kit(
            transmitter("low", ["TX1"], tuning_mhz=[[500, 510]]),
            transmitter("high", ["TX2"], tuning_mhz=[[550, 560]]),
            receiver("rx-low", ["R1"], tuning_mhz=[[500, 510]]),
            receiver("rx-high", ["R2"], tuning_mhz=[[550, 560]]),
        ),
        plan(
            source("a"),
            source("b", tuning_mhz=[[500, 510]], priority=1),
            scene("1", "09:00-10:00", "a"),
            scene("2", "11:00-12:00", "a b"),
        ),
    )
    assert packs(day) == {"a": "TX2", "b": "TX1"}
    assert len(day.links) == 3


def test_a_receiver_sits_at_one_destination_all_day() -> None:
    """Two modules at the recorder would do for both scenes, but the second is at the camera."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver(modules=4)),
        plan(
            destination("rec"),
            destination("cam"),
            source("a", "rec"),
            source("b", "cam", priority=2),
            scene("1", "09:00-10:00", "a"),
            scene("2", "12:00-13:00", "b"),
        ),
    )
    assert served(day) == ["1 a>rec"]
    assert day.stands == {"RX1": "rec"}
    assert unserved(day) == {"2 b>cam": "the receivers with mono left free for cam are at rec"}


def test_a_source_that_no_link_serves_carries_nothing() -> None:
    """No receiver may stand at the camera; the pack stays home."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            destination("rec"),
            destination("cam", receivers=[]),
            source("a"),
            source("b", "cam"),
            scene("1", "09:00-10:00", "a b"),
        ),
    )
    assert packs(day) == {"a": "TX1"}
    assert [line.key for line in day.packing if line.kind == "transmitter"] == ["TX1"]


def test_a_link_is_served_for_the_whole_scene_or_not_at_all() -> None:
    """The one module is free for half of scene 2 only."""
    day = worked(
        kit(transmitter(units=["TX1", "TX2"]), receiver()),
        plan(
            source("a"),
            source("b", priority=2),
            scene("1", "09:00-10:00", "a"),
            scene("2", "09:30-11:00", "b"),
        ),
    )
    assert served(day) == ["1 a>rec"]


def test_heads_links_and_modules_are_three_numbers() -> None:
    """Scene 1: a, b, mix at two cameras; scene 2: c. 4 packs, 5 links, 4 modules at once."""
    day = worked(
        kit(
            transmitter(units=numbered("TX", 4), channels=2),
            stereo_receiver(units=numbered("RX", 6)),
        ),
        plan(
            destination("rec"),
            destination("cam-a"),
            destination("cam-b"),
            source("a"),
            source("b"),
            source("c"),
            source("mix", ["cam-a", "cam-b"], channels=2),
            scene("1", "09:00-10:00", "a b mix"),
            scene("2", "09:50-10:30", "c"),
            scene("3", "10:30-11:00", "c"),
            handover_min=0,
        ),
    )
    assert (day.peak.packs, day.peak.links, day.peak.modules) == (4, 6, 5)
