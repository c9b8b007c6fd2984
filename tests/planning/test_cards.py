"""R8: a card with room for each pack that records."""

from typing import Any

import pytest

from kitprep.planning.cards import Recording
from kitprep.planning.day import work_out
from kitprep.planning.results import Counted, WorkedDay

from .building import (
    Entry,
    kit,
    numbered,
    plan,
    scene,
    source,
    stereo_receiver,
    thing,
    transmitter,
    worked,
)


def card(capacity_gb: float, qty: int = 1, kind: str = "sd") -> Entry:
    """Cards of one size."""
    return thing("stock", card=kind, qty=qty, capacity_gb=capacity_gb)


def recorder(units: int = 1, **own: Any) -> list[Entry]:
    """Packs that record, and receivers for them."""
    return [
        transmitter(units=numbered("TX", units), channels=2, records=True, card="sd", **own),
        stereo_receiver(units=numbered("RX", units)),
    ]


def day_of(*entries: Entry, times: tuple[str, ...] = ("09:00-10:00",), **wanted: Any) -> WorkedDay:
    """One source through these scenes."""
    return worked(
        kit(*entries),
        plan(
            source("a", **wanted),
            *(scene(str(n), span, "a") for n, span in enumerate(times)),
        ),
    )


def test_an_hour_of_one_channel_is_half_a_gigabyte_and_a_bit() -> None:
    """1 x 48 000 x 3 bytes x 3600 s = 518 400 000 bytes."""
    assert Recording("TX1", "sd", 1, 60).bytes == 518_400_000


@pytest.mark.parametrize(("capacity_gb", "short"), [(0.5184, 0), (0.518399999, 1)])
def test_a_card_must_have_room_to_the_byte(capacity_gb: float, short: int) -> None:
    day = day_of(*recorder(), card(capacity_gb))
    assert day.cards == (Counted("sd", 1, 1, short),)


def test_two_channels_take_twice_the_room() -> None:
    """1.0368 GB."""
    assert day_of(*recorder(), card(1.0368), channels=2).cards[0].short == 0
    assert day_of(*recorder(), card(1.0367), channels=2).cards[0].short == 1


def test_recording_rolls_from_the_first_scene_to_the_last() -> None:
    """09:00 to 15:00 with a gap: 6 h x 0.5184 = 3.1104 GB. The lead is not recorded."""
    times = ("09:00-10:00", "14:00-15:00")
    assert day_of(*recorder(), card(3.1104), times=times).cards[0].short == 0
    assert day_of(*recorder(), card(3.1103), times=times).cards[0].short == 1


def test_a_pack_handed_on_records_both_its_sources_on_one_card() -> None:
    """a 09:00-10:00 in mono, then a pair 11:00-12:00: 3 h of the wider, 2 x 3 x 0.5184 = 3.1104."""

    def short(capacity_gb: float) -> int:
        day = worked(
            kit(*recorder(), card(capacity_gb)),
            plan(
                source("a"),
                source("pair", channels=2),
                scene("1", "09:00-10:00", "a"),
                scene("2", "11:00-12:00", "pair"),
            ),
        )
        assert day.cards[0].carry == 1
        return day.cards[0].short

    assert (short(3.1104), short(3.1103)) == (0, 1)


def test_the_smallest_card_with_room_is_taken_so_that_the_large_one_is_left() -> None:
    """A source of 1 h and one of 4 h; cards of 1 and of 4 GB: each has its own."""
    day = worked(
        kit(*recorder(2), card(4), card(1)),
        plan(
            source("a"),
            source("b"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "09:00-13:00", "b"),
        ),
    )
    assert day.cards == (Counted("sd", 2, 2, 0),)


@pytest.mark.parametrize(
    ("held", "channels", "said"), [(0.51839, 1, "0.52"), (0.5, 1, "0.52"), (1.0, 2, "1.04")]
)
def test_the_room_that_is_said_is_never_less_than_what_is_needed(
    held: float, channels: int, said: str
) -> None:
    """An hour takes 0.5184 GB, or 1.0368 GB of two channels: a card as said has the room."""
    day = day_of(*recorder(), card(held), channels=channels)
    assert [s.what for s in day.shortfalls if s.kind == "card"] == [
        f"no sd card with {said} GB of room is left for TX1; bring one"
    ]
    assert day_of(*recorder(), card(float(said)), channels=channels).cards[0].short == 0


def test_a_pack_without_a_card_is_named_with_the_room_it_needs() -> None:
    """10 h x 0.5184 = 5.184 GB."""
    day = day_of(*recorder(), card(1, kind="micro"), times=("09:00-19:00",))
    assert [s.what for s in day.shortfalls if s.kind == "card"] == [
        "no sd card with 5.19 GB of room is left for TX1; bring one"
    ]
    assert day.cards == (Counted("sd", 1, 0, 1),)


def test_a_pack_that_does_not_record_needs_no_card() -> None:
    assert day_of(transmitter(channels=2), stereo_receiver()).cards == ()


def test_a_spare_that_records_has_a_card_as_large_as_any_it_may_stand_in_for() -> None:
    """TX1 rolls 4 h: 4 x 0.5184 = 2.0736 GB. TX2 goes along as a spare, TX3 stays."""
    a_kit = kit(*recorder(3), card(2.0736), card(2.0735))
    a_plan = plan(source("a"), scene("1", "09:00-13:00", "a"))
    assert work_out(a_kit, a_plan).cards == (Counted("sd", 1, 2, 0),)
    day = work_out(a_kit, a_plan, spares=["TX2"])
    assert day.cards == (Counted("sd", 2, 2, 1),)
    assert {line.key: line.checks for line in day.packing}["TX2"] == ("power", "card")


def test_a_spare_that_does_not_record_needs_no_card() -> None:
    a_kit = kit(*recorder(), transmitter("plain", ["TP"]), card(4))
    a_plan = plan(source("a", model="pack"), scene("1", "09:00-13:00", "a"))
    day = work_out(a_kit, a_plan, spares=["TP"])
    assert day.cards == (Counted("sd", 1, 1, 0),)
