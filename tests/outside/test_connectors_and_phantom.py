"""Connectors and microphone power against the standards that name them."""

import tomllib
from pathlib import Path
from typing import get_args

import pytest
from planning.building import (
    adapter,
    kit,
    plan,
    scene,
    source,
    stereo_receiver,
    transmitter,
    worked,
)

from kitprep.definitions.kit import MicPower

TABLE = Path(__file__).parents[2] / "shared" / "connectors.toml"
POLES = {
    row["id"]: row["poles"] for row in tomllib.loads(TABLE.read_text(encoding="utf-8"))["connector"]
}


@pytest.mark.parametrize(
    ("connector", "poles"),
    [
        pytest.param("XLR3", 3, id="AES14-1992: 1 screen, 2 hot, 3 cold (ips.org.uk, seen)"),
        pytest.param("XLR4", 4, id="camera DC: 1 is 0 V, 4 is +12 V (a wiring page, seen)"),
        pytest.param("XLR5", 5, id="two balanced channels and a screen, from memory"),
        pytest.param("TA3", 3, id="TA3, from memory"),
        pytest.param("TA5", 5, id="TA5, from memory"),
        pytest.param("TRS35", 3, id="tip, ring, sleeve, from memory"),
    ],
)
def test_a_connector_has_the_poles_of_its_kind(connector: str, poles: int) -> None:
    assert POLES[connector] == poles


def test_phantom_powers_go_by_the_names_of_iec_61938() -> None:
    """P48 and P12: a published glossary, seen; P24: a secondary source. Bias is no phantom."""
    assert set(get_args(MicPower)) == {"bias", "P12", "P24", "P48"}


@pytest.mark.parametrize(
    "kind",
    [
        pytest.param("P48", id="P48: 48 V, 6.8 k a leg, 10 mA at most (glossary, seen)"),
        pytest.param("P24", id="P24: 24 V, 1.2 k a leg, 10 mA from memory"),
        pytest.param("P12", id="P12: 12 V, 680 ohm a leg, 15 mA at most (glossary, seen)"),
    ],
)
def test_no_phantom_power_for_two_is_taken_for_granted_from_a_pack_that_feeds_one(
    kind: str,
) -> None:
    """Two microphones may draw twice as much: a stereo adapter must say that it passes it."""

    def heard(channels: int, **given: object) -> bool:
        day = worked(
            kit(
                transmitter(connector="TA5", mic_power=[kind]),
                stereo_receiver(),
                adapter(connector="TA3", channels=channels, **given),
            ),
            plan(
                source("a", channels=channels, connector="TA3", mic_power=kind),
                scene("1", "09:00-10:00", "a"),
            ),
        )
        return bool(day.links)

    assert heard(1)
    assert not heard(2)
    assert heard(2, mic_power=[kind])
