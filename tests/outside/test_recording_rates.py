"""R8 against published rates of linear PCM and what cards hold.

The formula, channels x samples/s x bits / 8 bytes/s: radiomagonline.com, "Linear Digital Audio Data
Rates" (seen). The figures are worked out from it, and checked by a second hand, unless said.
"""

import pytest
from planning.building import kit, thing

from kitprep.planning.cards import Recording, cards_to_carry

HOUR = 60


def fits(channels: int, minutes: int, capacity_gb: float) -> bool:
    """Whether R8 gives a recording a card of this size."""
    a_kit = kit(thing("stock", card="sd", qty=1, capacity_gb=capacity_gb))
    (line,), _ = cards_to_carry([Recording("TX1", "sd", channels, minutes)], a_kit)
    return line.short == 0


def test_one_channel_at_48_khz_and_24_bits() -> None:
    """144 000 bytes/s; 8.64 MB a minute; 0.5184 GB an hour."""
    minute = Recording("TX1", "sd", 1, 1).bytes
    assert minute / 60 == 144_000
    assert minute / 10**6 == 8.64
    assert Recording("TX1", "sd", 1, HOUR).bytes / 10**9 == 0.5184


def test_hours_of_one_channel_in_a_gigabyte_of_either_kind() -> None:
    """1.929 h in 10^9 bytes, 2.071 h in 2^30: the two are 7.4 % apart."""
    an_hour = Recording("TX1", "sd", 1, HOUR).bytes
    assert round(10**9 / an_hour, 3) == 1.929
    assert round(2**30 / an_hour, 3) == 2.071


@pytest.mark.parametrize(
    ("channels", "gb_an_hour"),
    [(2, 1.0368), (8, 4.1472), (12, 6.2208), (18, 9.3312), (32, 16.5888)],
)
def test_an_hour_of_several_channels(channels: int, gb_an_hour: float) -> None:
    assert Recording("TX1", "sd", channels, HOUR).bytes / 10**9 == gb_an_hour
    assert fits(channels, HOUR, gb_an_hour)
    assert not fits(channels, HOUR + 1, gb_an_hour)


@pytest.mark.parametrize(
    ("capacity_gb", "hours"), [(32, 5.14), (64, 10.29), (128, 20.58), (256, 41.15)]
)
def test_hours_of_twelve_channels_on_a_card(capacity_gb: float, hours: float) -> None:
    """Without the file system's own share; the published hours are rounded to a hundredth."""
    assert fits(12, int((hours - 0.005) * 60), capacity_gb)
    assert not fits(12, int((hours + 0.005) * 60) + 1, capacity_gb)


@pytest.mark.parametrize(
    ("channels", "hours", "minutes", "seconds"),
    [(1, 8, 17, 6), (2, 4, 8, 33), (8, 1, 2, 8), (12, 0, 41, 25), (18, 0, 27, 37), (32, 0, 15, 32)],
)
def test_time_in_four_gibibytes_less_one_byte(
    channels: int, hours: int, minutes: int, seconds: int
) -> None:
    """4 294 967 295 bytes, the largest file of FAT32 (kalstor.pages.dev, seen)."""
    room = 2**32 - 1
    a_minute = Recording("TX1", "sd", channels, 1).bytes
    assert room * 60 // a_minute == 3600 * hours + 60 * minutes + seconds
    assert fits(channels, 60 * hours + minutes, room / 10**9)
    assert not fits(channels, 60 * hours + minutes + 1, room / 10**9)
