"""R6: how long sets last, when they are changed, and how many cells are carried."""

from typing import Any

import pytest

from kitprep.planning.results import Cells, WorkedDay

from .building import (
    Entry,
    adapter,
    cells,
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    thing,
    transmitter,
    worked,
)


def one_pack(hours: float, *times: str, **own: Any) -> WorkedDay:
    """A pack whose set lasts so many hours, through scenes at these times."""
    pack = {key: own.pop(key) for key in ("standby", "power") if key in own}
    return worked(
        kit(transmitter(**{"power": [cells(hours=hours)], **pack}), receiver(power=[dc(12)])),
        plan(
            source("a"),
            *(scene(str(n + 1), span, "a") for n, span in enumerate(times)),
            **own,
        ),
    )


def dc(volts: float) -> dict[str, Any]:
    """A DC input that nothing in these kits feeds, so that receivers take no cells."""
    return {"dc_v": [volts, volts], "watts": 1}


def changes(day: WorkedDay) -> list[tuple[str, str, bool]]:
    """Each change: before which scene, by when, and whether within it."""
    return [(c.before, _clock(c.by), c.mid_scene) for c in day.changes]


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def line(day: WorkedDay, cell: str = "C") -> Cells:
    """The line of one type of cell."""
    return next(cells for cells in day.cells if cells.cell == cell)


# How long a set lasts


@pytest.mark.parametrize(
    ("end", "mid_scene"),
    [("13:48", []), ("13:49", [("1", "13:48", True)])],
)
def test_6_hours_less_a_fifth_last_a_scene_of_4_h_48_to_the_minute(
    end: str, mid_scene: list[tuple[str, str, bool]]
) -> None:
    """6.0 h x (1 - 0.2) = 4.8 h = 4 h 48 min; the scene starts at 09:00."""
    day = one_pack(6.0, f"09:00-{end}", reserve=0.2)
    assert changes(day) == mid_scene
    assert [s.kind for s in day.shortfalls if s.kind == "cell"] == ["cell"] * len(mid_scene)


def test_a_scene_that_outlasts_a_set_says_the_minute_at_which_it_dies() -> None:
    """10 h of scene on sets of 4 h: dead at 13:00 and 17:00."""
    day = one_pack(4, "09:00-19:00")
    assert changes(day) == [("1", "13:00", True), ("1", "17:00", True)]
    assert [s.what for s in day.shortfalls if s.kind == "cell"] == [
        "scene 1 outlasts the C in TX1: dead at 13:00, so change the set within the scene by then",
        "scene 1 outlasts the C in TX1: dead at 17:00, so change the set within the scene by then",
    ]


def test_a_set_that_lasts_part_of_a_minute_is_changed_before_that_minute_begins() -> None:
    """1.51 h = 90.6 min: dead at 10:30, not 10:31."""
    assert changes(one_pack(1.51, "09:00-11:00")) == [("1", "10:30", True)]


def test_stereo_hours_count_on_a_stereo_link() -> None:
    """3 h mono, 1 h stereo: a scene of 2 h of a pair dies at 10:00."""
    pack = transmitter(channels=2, power=[cells(hours=3, hours_stereo=1)])

    def changes_of(channels: int) -> list[tuple[str, str, bool]]:
        return changes(
            worked(
                kit(pack, stereo_receiver(power=[dc(12)])),
                plan(source("a", channels=channels), scene("1", "09:00-11:00", "a")),
            )
        )

    assert changes_of(1) == []
    assert changes_of(2) == [("1", "10:00", True)]


def test_stereo_hours_left_out_are_the_mono_ones() -> None:
    day = worked(
        kit(
            transmitter(channels=2, power=[cells(hours=3)]),
            stereo_receiver(power=[dc(12)]),
        ),
        plan(source("a", channels=2), scene("1", "09:00-12:00", "a")),
    )
    assert changes(day) == []


@pytest.mark.parametrize(
    ("celsius", "dies"),
    [
        (20, "13:00"),  # 4 h x 1.0
        (35, "13:00"),  # flat above the table
        (10, "12:36"),  # half way from 0.8 to 1.0: 4 h x 0.9 = 3 h 36
        (0, "12:12"),  # 4 h x 0.8 = 3 h 12
        (-5, "11:54"),  # a quarter of the way down to 0.5: 0.725 x 4 h = 2 h 54
        (-20, "11:00"),  # 4 h x 0.5
        (-40, "11:00"),  # flat below it
    ],
)
def test_cold_takes_capacity_by_the_table_linear_between_its_points(
    celsius: float, dies: str
) -> None:
    cold = thing("cell", type="C", source="made up", capacity_at=[[-20, 0.5], [0, 0.8], [20, 1]])
    day = worked(
        kit(transmitter(power=[cells(hours=4)]), receiver(power=[dc(12)]), cold),
        plan(source("a"), scene("1", "09:00-14:00", "a"), temperature_c=celsius),
    )
    assert changes(day)[0] == ("1", dies, True)


# When it is changed


def test_nothing_is_changed_where_one_set_lasts_the_day() -> None:
    """2 h of scenes and 2 h between them on 4 h."""
    assert changes(one_pack(4, "09:00-10:00", "12:00-13:00")) == []


def test_a_set_is_changed_before_the_scene_that_it_would_not_last() -> None:
    """3 h: 1 h of scene, 1 h between, and a second scene of 1 h 30 on the 1 h that is left."""
    assert changes(one_pack(3, "09:00-10:00", "11:00-12:30")) == [("2", "11:00", False)]


def test_the_change_is_put_off_as_long_as_the_set_lasts() -> None:
    """5 scenes of 1 h end to end on sets of 3 h: one change, before scene 4, not sooner."""
    hours = [f"{h:02d}:00-{h + 1:02d}:00" for h in range(9, 14)]
    assert changes(one_pack(3, *hours)) == [("4", "12:00", False)]


def test_a_set_that_dies_between_scenes_is_changed_there() -> None:
    """3 h: scene to 10:00, then on: dead at 12:00, an hour before scene 2, which has 2 h left."""
    assert changes(one_pack(3, "09:00-10:00", "13:00-14:00")) == [("2", "12:00", False)]


def test_a_set_that_dies_between_scenes_may_be_changed_twice() -> None:
    """2 h, on all day: dead at 11:00, 13:00 and 15:00; scene 2 at 16:00 lasts the hour left."""
    assert changes(one_pack(2, "09:00-10:00", "16:00-17:00")) == [
        ("2", "11:00", False),
        ("2", "13:00", False),
        ("2", "15:00", False),
    ]


def test_one_change_before_a_scene_spares_one_within_it() -> None:
    """3 h: scene 1 takes 2 h; scene 2 of exactly 3 h wants a fresh set at 11:00."""
    assert changes(one_pack(3, "09:00-11:00", "11:00-14:00")) == [("2", "11:00", False)]


def test_no_change_is_made_within_a_scene_to_spare_two_outside() -> None:
    """2 h: scenes of 1 h 30. One change within scene 2 would do; outside scenes it takes two."""
    assert changes(one_pack(2, "09:00-10:30", "10:30-12:00", "12:00-13:30")) == [
        ("2", "10:30", False),
        ("3", "12:00", False),
    ]


def test_between_scenes_that_touch_there_is_no_moment_for_a_change() -> None:
    """3 h through 08:00-10:00 and 10:00-12:00: changed at 10:00, where nobody has a minute."""
    day = one_pack(3, "08:00-10:00", "10:00-12:00")
    assert changes(day) == [("2", "10:00", False)]
    assert [(s.kind, s.scene, s.what) for s in day.shortfalls if s.kind == "cell"] == [
        (
            "cell",
            "2",
            "scene 2 follows scene 1 without a pause, and no C in TX1 lasts both: leave a pause to "
            "change the set by 10:00",
        )
    ]
    a_minute_between = one_pack(3, "08:00-10:00", "10:01-12:00")
    assert not [s for s in a_minute_between.shortfalls if s.kind == "cell"]


def test_a_set_is_changed_early_where_a_later_change_has_no_moment() -> None:
    """2 h 30, off between: scenes of 1, 1 and 1 h 30 h, the last two without a pause.

    Before scene 3 would be later, but nobody has time for it; before scene 2 there is half an hour,
    and 1 h + 1 h 30 are just the 2 h 30 of a set.
    """
    day = one_pack(2.5, "08:00-09:00", "09:30-10:30", "10:30-12:00", between="off")
    assert changes(day) == [("2", "09:30", False)]
    assert not [s for s in day.shortfalls if s.kind == "cell"]


def handed_on(hours: float, *times: str, **own: Any) -> WorkedDay:
    """One pack that goes from a to b to c, off between them."""
    names = "abc"[: len(times)]
    return worked(
        kit(transmitter(power=[cells(hours=hours)]), receiver(power=[dc(12)])),
        plan(
            *(source(name) for name in names),
            *(scene(str(n + 1), times[n], name) for n, name in enumerate(names)),
            between="off",
            **own,
        ),
    )


def test_a_pack_that_is_handed_on_is_on_for_the_lead_of_each_source() -> None:
    """a 08:00-09:00 with a lead from 07:30; b 09:30-10:30, on from 09:15, 15 min after it came off;
    c 11:15-12:15, on from 10:45: 1.5 + 1.25 + 1.5 = 4.25 h.
    """
    times = ("08:00-09:00", "09:30-10:30", "11:15-12:15")
    lead = {"lead_min": 30, "handover_min": 15}
    assert changes(handed_on(4.25, *times, **lead)) == []
    assert changes(handed_on(4, *times, **lead)) == [("3", "11:15", False)]
    course = handed_on(4.25, *times, **lead).feeds[0].course
    assert [(_clock(s.start), _clock(s.end), s.scene) for s in course if s.drain] == [
        ("07:30", "08:00", None),
        ("08:00", "09:00", "1"),
        ("09:15", "09:30", None),
        ("09:30", "10:30", "2"),
        ("10:45", "11:15", None),
        ("11:15", "12:15", "3"),
    ]


def test_a_handover_longer_than_the_lead_leaves_the_lead_whole() -> None:
    """a 09:00-10:00 from 08:00, b 12:00-13:00 from 11:00: 4 h of leads and scenes."""
    times = ("09:00-10:00", "12:00-13:00")
    assert changes(handed_on(4, *times, lead_min=60)) == []
    assert changes(handed_on(3.9, *times, lead_min=60)) == [("2", "12:00", False)]


def test_a_pack_is_on_from_its_lead_before_the_first_scene() -> None:
    """2 h 30: the lead of 30 min from 08:30, a scene of 2 h, to the minute; 1 min more is too long.

    Then a fresh set goes in before the scene, which it lasts.
    """
    assert changes(one_pack(2.5, "09:00-11:00", lead_min=30)) == []
    assert changes(one_pack(2.5, "09:00-11:01", lead_min=30)) == [("1", "09:00", False)]
    feed = one_pack(2.5, "09:00-11:00", lead_min=30).feeds[0]
    assert (_clock(feed.on), _clock(feed.off)) == ("08:30", "11:00")


def test_the_lead_of_a_source_is_once_a_day() -> None:
    """2 x 1 h and a lead of 30 min, off between: 2 h 30 in all."""
    times = ("09:00-10:00", "14:00-15:00")
    assert changes(one_pack(2.5, *times, lead_min=30, between="off")) == []
    assert changes(one_pack(2.4, *times, lead_min=30, between="off")) == [("2", "14:00", False)]


@pytest.mark.parametrize(
    ("between", "standby", "hours_that_do"),
    [
        ("on", 0.25, 6.0),  # 1 + 4 + 1 hours
        ("standby", 0.25, 3.0),  # 1 + 4 x 0.25 + 1
        ("standby", None, 6.0),  # no figure, so it counts as on
        ("off", 0.25, 2.0),  # 1 + 1
        ("off", None, 2.0),
    ],
)
def test_standby_is_credited_only_where_the_model_gives_its_figure(
    between: str, standby: float | None, hours_that_do: float
) -> None:
    """Scenes of an hour at 09:00 and 14:00, four hours between them."""
    times = ("09:00-10:00", "14:00-15:00")
    pack = {} if standby is None else {"standby": standby}
    assert changes(one_pack(hours_that_do, *times, between=between, **pack)) == []
    assert changes(one_pack(hours_that_do - 0.1, *times, between=between, **pack)) != []


def test_a_receiver_on_cells_is_on_from_its_first_scene_to_its_last() -> None:
    """Scenes at 09:00 and 13:00 of an hour: on 09:00 to 14:00, without lead and without standby."""
    day = worked(
        kit(transmitter(), receiver(power=[cells(hours=5)])),
        plan(
            source("a"),
            scene("1", "09:00-10:00", "a"),
            scene("2", "13:00-14:00", "a"),
            lead_min=30,
        ),
    )
    feed = next(f for f in day.feeds if f.unit == "RX1")
    assert (_clock(feed.on), _clock(feed.off), feed.changes) == ("09:00", "14:00", ())


def test_a_receiver_is_not_changed_within_any_scene_that_it_serves() -> None:
    """09:00-11:00 and 10:00-13:00 overlap: 4 h without a moment to change, on sets of 3 h."""
    day = worked(
        kit(
            transmitter(units=["TX1", "TX2"]),
            receiver(modules=2, power=[cells(hours=3)]),
        ),
        plan(
            source("a"), source("b"), scene("1", "09:00-11:00", "a"), scene("2", "10:00-13:00", "b")
        ),
    )
    feed = next(f for f in day.feeds if f.unit == "RX1")
    assert [(c.before, _clock(c.by), c.mid_scene) for c in feed.changes] == [("1", "12:00", True)]


# How many are carried


def two_packs(**own: Any) -> list[Entry]:
    """Two packs on pairs of cells that last the day, on receivers that take none."""
    return [
        transmitter(units=["TX1", "TX2"], power=[cells(count=2, hours=10)], **own),
        receiver(units=["RX1", "RX2"], power=[dc(12)]),
    ]


def two_sources(**own: Any) -> Any:
    """Both packs in one scene."""
    return plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"), **own)


def test_planned_cells_have_the_sets_that_start_the_day_and_every_change() -> None:
    """A pair to start with and a pair at the one change: 4 cells."""
    day = worked(
        kit(
            transmitter(power=[cells(count=2, hours=3)]),
            receiver(power=[dc(12)]),
            thing("stock", cell="C", qty=8),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a"), scene("2", "11:00-12:30", "a")),
    )
    assert line(day) == Cells("C", planned=4, spare=0, carry=4, have=8, short=0)


@pytest.mark.parametrize(
    ("share", "spare_cells"),
    [(0.25, 2), (0.5, 2), (0.51, 4), (1, 4)],  # ceil(share x 2 devices) sets of 2
)
def test_spare_sets_are_a_share_of_the_devices_rounded_up(share: float, spare_cells: int) -> None:
    day = worked(kit(*two_packs(), thing("stock", cell="C", qty=99)), two_sources(spare=share))
    assert line(day) == Cells("C", 4, spare_cells, 4 + spare_cells, 99, 0)


def test_a_tenth_of_ten_devices_is_one_set_and_not_two() -> None:
    """0.1 x 10 devices is one set; binary fractions must not make it two."""
    day = worked(
        kit(
            transmitter(units=numbered("TX", 10)),
            receiver(units=numbered("RX", 10), power=[dc(12)]),
        ),
        plan(
            *(source(f"s{n}") for n in range(10)),
            scene("1", "09:00-10:00", " ".join(f"s{n}" for n in range(10))),
            spare=0.1,
        ),
    )
    assert line(day).spare == 1


@pytest.mark.parametrize(("held", "short"), [(4, 0), (3, 2), (1, 4), (0, 4), (5, 0)])
def test_held_cells_count_only_in_whole_sets(held: int, short: int) -> None:
    """Two pairs are needed. 3 cells are one pair, so 2 are short; the odd one counts nothing."""
    day = worked(kit(*two_packs(), thing("stock", cell="C", qty=held)), two_sources())
    assert (line(day).carry, line(day).have, line(day).short) == (4, held, short)


@pytest.mark.parametrize(
    ("held", "short"),
    [
        (6, 0),
        (5, 2),  # a four, or two pairs: 4 of them count
        (7, 0),  # a four and a pair
        (3, 4),  # a pair
    ],
)
def test_devices_of_different_sets_share_one_type_of_cell(held: int, short: int) -> None:
    """A pack on a pair and one on four: 6 cells."""
    day = worked(
        kit(
            transmitter("pair", ["TX1"], power=[cells(count=2, hours=9)]),
            transmitter("four", ["TX2"], power=[cells(count=4, hours=9)]),
            receiver(units=["RX1", "RX2"], power=[dc(12)]),
            thing("stock", cell="C", qty=held),
        ),
        two_sources(),
    )
    assert (line(day).carry, line(day).short) == (6, short)


def test_7_cells_are_three_pairs() -> None:
    """Four pairs are needed and 7 cells held: 6 count, 2 are short."""
    day = worked(
        kit(
            transmitter(units=numbered("TX", 4), power=[cells(count=2, hours=9)]),
            receiver(units=numbered("RX", 4), power=[dc(12)]),
            thing("stock", cell="C", qty=7),
        ),
        plan(
            *(source(name) for name in "abcd"),
            scene("1", "09:00-10:00", "a b c d"),
        ),
    )
    assert (line(day).carry, line(day).short) == (8, 2)


def test_packs_and_receivers_share_cells_of_one_type() -> None:
    """A pack on one and a receiver on two: 3 to carry."""
    day = worked(
        kit(transmitter(), receiver(power=[cells(count=2, hours=9)])),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert line(day).planned == 3


def test_stock_of_one_type_in_two_places_is_added_up() -> None:
    day = worked(
        kit(*two_packs(), thing("stock", cell="C", qty=3), thing("stock", cell="C", qty=1)),
        two_sources(),
    )
    assert (line(day).have, line(day).short) == (4, 0)


def test_a_device_uses_the_first_option_whose_cells_are_held() -> None:
    """No D is held, so the pack runs on C."""
    pack = transmitter(power=[cells("D", hours=9), cells("C", hours=9)])
    day = worked(
        kit(
            pack,
            receiver(power=[dc(12)]),
            thing("cell", type="D", source="made up"),
            thing("cell", type="C", source="made up"),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert [cells_line.cell for cells_line in day.cells] == ["C"]


def option_used(held: int, packs: int = 1, spare: float = 0.25, other: int = 99) -> dict[str, int]:
    """Cells to carry by type: packs on a pair of D, or else of C, through one scene of an hour."""
    day = worked(
        kit(
            transmitter(
                units=numbered("TX", packs),
                power=[cells("D", 2, hours=9), cells("C", 2, hours=9)],
            ),
            receiver(units=numbered("RX", packs), power=[dc(12)]),
            thing("cell", type="D", source="made up"),
            thing("cell", type="C", source="made up"),
            thing("stock", cell="D", qty=held),
            thing("stock", cell="C", qty=other),
        ),
        plan(
            *(source(f"s{n}") for n in range(packs)),
            scene("1", "09:00-10:00", " ".join(f"s{n}" for n in range(packs))),
            spare=spare,
        ),
    )
    return {line.cell: line.carry for line in day.cells}


def test_the_number_that_an_option_needs_has_its_spare_sets() -> None:
    """One pack takes a pair and ceil(0.25 x 1) = 1 spare pair: 4 cells, so 2 or 3 are too few."""
    assert option_used(4) == {"D": 4}
    assert option_used(3) == option_used(2) == {"C": 4}


def test_the_orders_reckon_with_an_option_that_is_held_with_its_spares() -> None:
    """A pair of D is held and none to spare, so the pack runs on C, and so do the orders."""
    day = worked(
        kit(
            transmitter(power=[cells("D", 2, hours=9), cells("C", 2, hours=9)]),
            receiver(power=[dc(12)]),
            thing("cell", type="D", source="made up"),
            thing("cell", type="C", source="made up"),
            thing("stock", cell="D", qty=2),
        ),
        plan(source("a"), scene("1", "09:00-10:00", "a"), spare=0.25),
    )
    assert [fed.cell for fed in day.feeds if fed.unit == "TX1"] == ["C"]
    assert day.proven == ("served", "modules", "cells", "units", "changes", "weight")


def test_spare_sets_are_shared_by_the_devices_that_take_the_option() -> None:
    """Two packs: 2 pairs and ceil(0.25 x 2) = 1 spare pair make 6. With 5 the second takes C."""
    assert option_used(6, packs=2) == {"D": 6}
    assert option_used(5, packs=2) == {"C": 4, "D": 4}
    assert option_used(3, packs=2) == {"C": 6}


def test_where_no_option_is_held_with_its_spares_the_one_held_without_is_used() -> None:
    """A pair of D is there for the day, no spare one; of C nothing is."""
    assert option_used(2, other=0) == {"D": 4}
    assert option_used(0, other=2) == {"C": 4}
    assert option_used(0, other=0) == {"D": 4}


def test_an_option_held_in_too_small_a_number_is_passed_over() -> None:
    """D lasts 1 h and three are needed (changed before scenes 2 and 3); two are held."""

    def cell_used(held: int) -> list[str]:
        day = worked(
            kit(
                transmitter(power=[cells("D", hours=1), cells("C", hours=9)]),
                receiver(power=[dc(12)]),
                thing("cell", type="D", source="made up"),
                thing("cell", type="C", source="made up"),
                thing("stock", cell="D", qty=held),
            ),
            plan(
                source("a"),
                scene("1", "09:00-10:00", "a"),
                scene("2", "10:00-11:00", "a"),
                scene("3", "11:00-12:00", "a"),
            ),
        )
        return [cells_line.cell for cells_line in day.cells]

    assert cell_used(3) == ["D"]
    assert cell_used(2) == ["C"]


def test_where_packs_fall_back_on_another_set_the_orders_that_reckon_cells_are_not_proven() -> None:
    """One D for two packs: the second runs on C, which R4's third order did not reckon with."""

    def proven(held: int) -> tuple[str, ...]:
        return worked(
            kit(
                transmitter(units=["TX1", "TX2"], power=[cells("D", hours=9), cells("C", hours=5)]),
                receiver(units=["RX1", "RX2"], power=[dc(12)]),
                thing("cell", type="D", source="made up"),
                thing("cell", type="C", source="made up"),
                thing("stock", cell="D", qty=held),
            ),
            two_sources(),
        ).proven

    assert proven(2)[2:] == ("cells", "units", "changes", "weight")
    assert proven(1) == ("served", "modules")


def test_a_pack_on_dc_alone_needs_no_cells() -> None:
    day = worked(
        kit(transmitter(power=[dc(12)]), receiver(power=[dc(12)])),
        plan(source("a"), scene("1", "09:00-10:00", "a")),
    )
    assert (day.cells, day.changes) == ((), ())


def test_a_pack_with_an_adapter_for_two_links_counts_once() -> None:
    """One mix at two cameras: one pack, one set."""
    day = worked(
        kit(
            transmitter(),
            adapter("stereo", channels=2),
            stereo_receiver(units=["R1", "R2"], power=[dc(12)]),
        ),
        plan(
            destination("cam-a"),
            destination("cam-b"),
            source("mix", ["cam-a", "cam-b"], channels=2),
            scene("1", "09:00-10:00", "mix"),
        ),
    )
    assert line(day).planned == 1
