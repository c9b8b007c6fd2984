"""R1: which chains are possible. One source, one scene; what is served tells whether it is."""

from typing import Any

import pytest

from .building import (
    Entry,
    adapter,
    adapters,
    destination,
    kit,
    links,
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


def heard(*entries: Entry, **wanted: Any) -> bool:
    """Whether source "a" is heard in its one scene with these things in the kit."""
    day = worked(kit(*entries), plan(source("a", **wanted), scene("1", "09:00-10:00", "a")))
    return bool(served(day))


def why_not(*entries: Entry, **wanted: Any) -> str:
    """Why source "a" is not."""
    day = worked(kit(*entries), plan(source("a", **wanted), scene("1", "09:00-10:00", "a")))
    return unserved(day)["1 a>rec"]


def test_a_pack_and_a_receiver_of_one_system_make_a_link() -> None:
    assert heard(transmitter(), receiver())


def test_a_receiver_of_another_system_hears_nothing() -> None:
    assert not heard(transmitter(system="d1"), receiver(system="d2"))


def test_the_form_must_be_one_of_the_sources() -> None:
    assert not heard(transmitter(form="plug-on"), receiver(), form="bodypack")
    assert heard(transmitter(form="plug-on"), receiver(), form=["bodypack", "plug-on"])


def test_the_model_must_be_one_of_the_sources_where_it_names_any() -> None:
    assert not heard(transmitter("wide"), receiver(), model="slim")
    assert heard(transmitter("slim"), receiver(), model="slim")


@pytest.mark.parametrize(
    ("pack", "receiving", "meets"),
    [
        ([[500, 520]], [[520, 540]], True),  # 520 is in both: ranges hold their ends
        ([[500, 520]], [[520.001, 540]], False),  # 1 kHz apart
        ([[500, 510], [530, 540]], [[511, 529]], False),  # in the gap
        ([[500, 510], [530, 540]], [[509, 531]], True),
    ],
)
def test_tuning_ranges_must_have_a_frequency_in_common(
    pack: list[list[float]], receiving: list[list[float]], meets: bool
) -> None:
    assert heard(transmitter(tuning_mhz=pack), receiver(tuning_mhz=receiving)) is meets


def test_the_source_may_narrow_the_tuning_further() -> None:
    """Pack 500 to 540 and receiver 520 to 560 meet in 520 to 540; the source allows 541 up."""
    things = (transmitter(tuning_mhz=[[500, 540]]), receiver(tuning_mhz=[[520, 560]]))
    assert heard(*things, tuning_mhz=[[538, 550]])
    assert not heard(*things, tuning_mhz=[[541, 550]])


def test_three_ranges_need_one_frequency_in_all_three() -> None:
    """Each two of 500-510 + 530-540, 508-532 and 500-505 + 531-540 meet; all three only at 531."""
    pack, receiving = [[500, 510], [530, 540]], [[508, 532]]
    assert heard(
        transmitter(tuning_mhz=pack), receiver(tuning_mhz=receiving), tuning_mhz=[[531, 540]]
    )
    assert not heard(
        transmitter(tuning_mhz=pack), receiver(tuning_mhz=receiving), tuning_mhz=[[511, 529]]
    )


def test_a_unit_may_be_narrower_than_its_model() -> None:
    narrow = {"tag": "TX1", "tuning_mhz": [[500, 510]]}
    assert not heard(transmitter(units=[narrow]), receiver(tuning_mhz=[[520, 540]]))
    day = worked(
        kit(transmitter(units=[narrow, "TX2"]), receiver(tuning_mhz=[[520, 540]])),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert packs(day) == {"a": "TX2"}


def test_a_unit_in_repair_or_missing_does_not_serve() -> None:
    for state in ("repair", "missing"):
        assert not heard(transmitter(units=[{"tag": "TX1", "state": state}]), receiver())
        assert not heard(transmitter(), receiver(units=[{"tag": "RX1", "state": state}]))


def test_a_connector_is_taken_only_where_it_is_the_same() -> None:
    assert heard(transmitter(connector="TA3"), receiver(), connector="TA3")
    assert not heard(transmitter(connector="TA5"), receiver(), connector="TA3")
    assert heard(transmitter(connector="TA5"), receiver())  # a source that names none takes any


def test_an_adapter_gives_what_the_pack_has_not() -> None:
    things = (transmitter(connector="TA5"), receiver(), adapter("ta3-lead", connector="TA3"))
    day = worked(kit(*things), plan(source("a", connector="TA3"), scene("1", "09:00-10:00", "a")))
    assert adapters(day) == {"a": "ta3-lead#1"}


def test_a_transmitter_that_meets_the_need_takes_no_adapter() -> None:
    things = (transmitter(connector="TA3"), receiver(), adapter("ta3-lead", connector="TA3"))
    day = worked(kit(*things), plan(source("a", connector="TA3"), scene("1", "09:00-10:00", "a")))
    assert adapters(day) == {"a": None}


def test_an_adapter_serves_only_the_models_that_it_fits() -> None:
    things = (transmitter("wide", connector="TA5"), receiver())
    other = transmitter("slim", units=["TX9"], form="handheld")
    assert not heard(
        *things, other, adapter("lead", connector="TA3", fits=["slim"]), connector="TA3"
    )
    assert heard(*things, adapter("lead", connector="TA3", fits=["wide"]), connector="TA3")


def test_two_adapters_are_never_put_in_a_row() -> None:
    """One would give the connector and one the power; only one of them fits at a time."""
    things = (
        transmitter(connector="TA5", mic_power=[]),
        receiver(),
        adapter("lead", connector="TA3"),
        adapter("box", mic_power=["P48"]),
    )
    assert heard(*things, connector="TA3")
    assert heard(*things, mic_power="P48")
    assert not heard(*things, connector="TA3", mic_power="P48")


def test_what_an_adapter_does_not_state_stays_the_packs_own() -> None:
    """The lead states a connector; bias and P48 are still the pack's."""
    things = (
        transmitter(connector="TA5", mic_power=["bias", "P48"]),
        receiver(),
        adapter("lead", connector="TA3"),
    )
    assert heard(*things, connector="TA3", mic_power="P48")


def test_what_an_adapter_states_replaces_the_packs_own() -> None:
    things = (
        transmitter(connector="TA5", mic_power=["P48"]),
        receiver(),
        adapter("lead", connector="TA3", mic_power=["bias"]),
    )
    assert heard(*things, connector="TA3", mic_power="bias")
    assert not heard(*things, connector="TA3", mic_power="P48")


def test_p48_through_a_stereo_adapter_only_where_the_kit_says_so() -> None:
    """Two inputs at P48 may draw 2 x 10 mA (IEC 61938), more than a pack for one must give."""
    pack = transmitter(mic_power=["bias", "P48"])
    stereo = {"channels": 2, "mic_power": "P48"}
    assert not heard(pack, stereo_receiver(), adapter(channels=2), **stereo)
    assert heard(pack, stereo_receiver(), adapter(channels=2, mic_power=["P48"]), **stereo)
    assert heard(pack, stereo_receiver(), adapter(channels=2), channels=2, mic_power="bias")
    assert why_not(pack, stereo_receiver(), adapter(channels=2), **stereo) == (
        "no bodypack here gives P48 in stereo"
    )


def test_a_stereo_source_needs_two_channels_from_its_pack() -> None:
    assert not heard(transmitter(channels=1), stereo_receiver(), channels=2)
    assert heard(transmitter(channels=2), stereo_receiver(), channels=2)
    assert heard(transmitter(channels=1), stereo_receiver(), adapter(channels=2), channels=2)


def test_a_pack_of_two_channels_serves_a_mono_source() -> None:
    assert heard(transmitter(channels=2), receiver(), channels=1)


def test_the_modes_of_the_module_must_include_that_of_the_link() -> None:
    assert not heard(transmitter(channels=2), receiver(), channels=2)
    only_stereo = receiver(modes=["stereo"])
    assert heard(transmitter(channels=2), only_stereo, channels=2)
    assert not heard(transmitter(), only_stereo, channels=1)


def test_a_module_of_both_modes_serves_mono_on_one_output() -> None:
    day = worked(
        kit(transmitter(), stereo_receiver()), plan(source("a"), scene("1", "09:00-10:00", "a"))
    )
    assert [(link.mode, link.outputs, len(link.inputs)) for link in links(day)] == [("mono", 1, 1)]


def test_a_receiver_stands_only_where_the_destination_allows_its_model() -> None:
    camera = destination("cam", receivers=["rx-s"])
    day_plan = plan(camera, source("a", "cam"), scene("1", "09:00-10:00", "a"))
    assert not served(worked(kit(transmitter(), receiver()), day_plan))
    assert served(worked(kit(transmitter(), stereo_receiver("rx-s")), day_plan))


def test_one_mix_feeds_two_cameras_in_stereo_from_one_pack() -> None:
    """2 links, 1 transmitter, 1 adapter; 2 channels at each of 2 cameras are 4 outputs."""
    day = worked(
        kit(transmitter(), adapter("stereo-lead", channels=2), stereo_receiver(units=["R1", "R2"])),
        plan(
            destination("cam-a", 2),
            destination("cam-b", 2),
            source("mix", ["cam-a", "cam-b"], channels=2),
            scene("1", "09:00-10:00", "mix"),
        ),
    )
    assert len(day.links) == 2
    assert {link.transmitter for link in day.links} == {"TX1"}
    assert {link.adapter for link in day.links} == {"stereo-lead#1"}
    assert {link.receiver for link in day.links} == {"R1", "R2"}
    assert day.scenes[0].outputs == sum(link.outputs for link in day.links) == 4
    assert (day.scenes[0].mono, day.scenes[0].stereo, day.scenes[0].packs) == (0, 2, 1)
    assert (day.peak.packs, day.peak.links, day.peak.modules) == (1, 2, 2)


def test_a_pack_that_feeds_two_receivers_must_reach_both_on_one_frequency() -> None:
    """500-520 meets 500-505 and 515-520, each by itself, and no frequency is in all three."""
    low, high = {"tag": "R1", "tuning_mhz": [[500, 505]]}, {"tag": "R2", "tuning_mhz": [[515, 520]]}
    both = plan(
        destination("cam-a"),
        destination("cam-b"),
        source("mix", ["cam-a", "cam-b"]),
        scene("1", "09:00-10:00", "mix"),
    )
    day = worked(kit(transmitter(tuning_mhz=[[500, 520]]), receiver(units=[low, high])), both)
    assert len(day.links) == 1
    assert list(unserved(day).values()) == [
        "no one frequency of TX1 reaches receivers at cam-b and at its other destinations"
    ]
    wide = {"tag": "R2", "tuning_mhz": [[503, 520]]}
    day = worked(kit(transmitter(tuning_mhz=[[500, 520]]), receiver(units=[low, wide])), both)
    assert len(day.links) == 2


def test_that_no_frequency_reaches_both_destinations_is_said_whatever_pack_the_source_has() -> None:
    """TX1 is not heard at cam and TX2 is, but 500 to 530 and 560 to 600 have nothing in common."""
    units: list[str | dict[str, Any]] = [{"tag": "TX1", "tuning_mhz": [[500, 510]]}, "TX2"]
    day = worked(
        kit(
            transmitter(units=units),
            receiver("ra", ["RX1"], tuning_mhz=[[500, 530]]),
            receiver("rb", ["RX2"], tuning_mhz=[[560, 600]]),
        ),
        plan(
            destination("rec", receivers=["ra"]),
            destination("cam", receivers=["rb"]),
            source("a", ["rec", "cam"]),
            scene("1", "09:00-10:00", "a"),
        ),
    )
    assert packs(day) == {"a": "TX1"}
    assert unserved(day) == {
        "1 a>cam": "no transmitter for it reaches receivers at cam (560 to 600 MHz) and at rec "
        "(500 to 530 MHz) on one frequency"
    }
    assert day.hire == ()


def test_of_two_packs_the_one_that_reaches_both_receivers_is_taken() -> None:
    """R1 tunes 505 to 512, R2 507 to 520. TX1 meets each, but not in 507 to 512; TX2 does."""
    day = worked(
        kit(
            transmitter("a", ["TX1"], tuning_mhz=[[500, 506], [513, 520]]),
            transmitter("b", ["TX2"], tuning_mhz=[[505, 515]]),
            receiver("r", [{"tag": "R1", "tuning_mhz": [[505, 512]]}], tuning_mhz=[[500, 520]]),
            receiver("s", [{"tag": "R2", "tuning_mhz": [[507, 520]]}], tuning_mhz=[[500, 520]]),
        ),
        plan(
            destination("cam-a"),
            destination("cam-b"),
            source("mix", ["cam-a", "cam-b"]),
            scene("1", "09:00-10:00", "mix"),
        ),
    )
    assert len(day.links) == 2
    assert packs(day) == {"mix": "TX2"}
