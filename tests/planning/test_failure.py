"""R11: what the loss of one unit before the first scene would cost, and the fewest spares."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.packing import unit_names
from kitprep.planning.results import WorkedDay

from .building import (
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    transmitter,
)


def answer(k: Kit, p: Plan) -> tuple[set[str], tuple[str, ...]]:
    day = with_one_failure(work_out(k, p))
    return {point.unit for point in day.single_points}, day.spares


def test_a_unit_with_no_like_in_the_kit_is_a_single_point() -> None:
    # One pack, one receiver, one link: nothing held could stand in for either.
    k = kit(transmitter(), receiver())
    assert answer(k, plan(source("a"), scene("1", "09:00-10:00", "a"))) == ({"TX1", "RX1"}, ())


def test_a_single_point_names_what_its_loss_would_cost() -> None:
    k = kit(transmitter(units=["TX1", "TX2"]), receiver())
    p = plan(source("a"), scene("1", "09:00-10:00", "a"), scene("2", "11:00-12:00", "a"))
    (point,) = with_one_failure(work_out(k, p)).single_points
    assert (point.unit, point.scenes, point.sources) == ("RX1", ("1", "2"), ("a",))


def test_one_spare_covers_every_unit_of_its_kind() -> None:
    # Two packs carried of three, two receivers of three: one of each left at home covers any loss.
    k = kit(transmitter(units=["TX1", "TX2", "TX3"]), receiver(units=["RX1", "RX2", "RX3"]))
    p = plan(source("a"), source("b"), scene("1", "09:00-10:00", "a b"))
    assert answer(k, p) == (set(), ("TX3", "RX3"))


def test_one_spare_may_cover_two_kinds() -> None:
    # A mono and a stereo link: three packs, and three of the four receivers whichever is lost.
    k = kit(
        transmitter(units=["TX1", "TX2", "TX3"], channels=2),
        receiver(units=["RX1"]),
        stereo_receiver(units=["RS1", "RS2"]),
    )
    p = plan(source("a"), source("b", channels=2), scene("1", "09:00-10:00", "a b"))
    points, spares = answer(k, p)
    assert points == set()
    assert len(spares) == 2, "one pack, and one receiver for both kinds"


def test_a_loss_that_the_carried_units_make_good_needs_no_spare() -> None:
    # A rack of four modules with two links beside a portable: the rack alone serves all three.
    k = kit(
        transmitter(units=["TX1", "TX2"]),
        receiver("rack", units=["RK1"], modules=4),
    )
    points, spares = answer(k, plan(source("a"), scene("1", "09:00-10:00", "a")))
    assert (points, spares) == ({"RK1"}, ("TX2",))


@settings(max_examples=25, deadline=None)
@given(
    packs=st.integers(1, 3),
    mono=st.integers(0, 2),
    stereo=st.integers(0, 2),
    wide=st.lists(st.booleans(), min_size=1, max_size=3),
)
def test_the_spares_are_the_fewest_of_every_set_tried(
    packs: int, mono: int, stereo: int, wide: list[bool]
) -> None:
    """Against every set of held units: all single losses but the single points are covered."""
    k = kit(
        transmitter(units=[f"TX{n}" for n in range(packs)], channels=2),
        receiver(units=[f"RX{n}" for n in range(mono)]),
        stereo_receiver(units=[f"RS{n}" for n in range(stereo)]),
    )
    sources = [source(f"s{n}", channels=2 if two else 1) for n, two in enumerate(wide)]
    p = plan(*sources, scene("1", "09:00-10:00", " ".join(f"s{n}" for n in range(len(wide)))))
    day = with_one_failure(work_out(k, p))
    every = unit_names(k)
    carried = {t for link in day.links for t in (link.transmitter, link.receiver)}
    points = {point.unit for point in day.single_points}

    heard = {link.source for link in day.links}
    those = plan(*sources, scene("1", "09:00-10:00", " ".join(sorted(heard))))

    def served(without: frozenset[str]) -> int:
        """Of the links that were served, how many still can be."""
        return len(work_out(k, those, without=without).links) if heard else 0

    whole = len(day.links)
    assert points == {u for u in carried if served(frozenset({u})) < whole}
    home = sorted(every - carried)

    def covers(spares: tuple[str, ...]) -> bool:
        left = every - carried - set(spares)
        return all(served(frozenset(left | {u})) == whole for u in carried - points)

    fewest = next(
        size
        for size in range(len(home) + 1)
        if any(covers(s) for s in itertools.combinations(home, size))
    )
    assert len(day.spares) == fewest
    assert covers(day.spares)


def test_out_of_time_no_loss_is_told_rather_than_one_that_is_covered() -> None:
    """The spare pack covers the loss of the other; without time to find it, nothing is said."""
    k = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"]))
    p = plan(source("a"), scene("1", "09:00-10:00", "a"))
    day = with_one_failure(work_out(k, p), seconds=0)
    assert (day.single_points, day.spares) == ((), ())
    assert day.notices[-1] == "not done in 0 s: what one failure would cost is not worked out"


def test_another_link_in_place_of_one_that_was_heard_covers_nothing() -> None:
    """One pack that the mono and the stereo module hear, a mix for the camera and a scratch feed.

    The mix takes the pack and RS1; the scratch feed finds no pack. Without RS1 the pack could send
    the scratch feed to RX1: one link served, as before, but the mix is lost, and RX1 is no spare.
    """
    k = kit(
        transmitter(channels=2),
        stereo_receiver(),
        receiver(),
    )
    p = plan(
        source("mix", channels=2),
        source("scratch"),
        scene("1", "09:00-10:00", "mix scratch"),
    )
    day = with_one_failure(work_out(k, p))
    assert {link.source for link in day.links} == {"mix"}
    assert [(x.unit, x.sources) for x in day.single_points] == [
        ("RS1", ("mix",)),
        ("TX1", ("mix",)),
    ]
    assert day.spares == ()


def test_among_equal_losses_that_of_the_units_own_source_is_told() -> None:
    """Two packs of two models and two receivers, all in use: who wears what failed is lost."""
    k = kit(
        transmitter("one", ["TX1"]),
        transmitter("two", ["TX2"]),
        receiver(units=["RX1", "RX2"]),
    )
    p = plan(source("ines"), source("oda"), scene("1", "09:00-10:00", "ines oda"))
    day = with_one_failure(work_out(k, p))
    mine = {link.source: {link.transmitter, link.receiver} for link in day.links}
    assert {point.unit: point.sources for point in day.single_points} == {
        unit: (who,) for who, units in mine.items() for unit in units
    }


def split(packs: int) -> WorkedDay:
    """House and sea at the same hours, one link each; so many packs and receivers held."""
    return with_one_failure(
        work_out(
            kit(
                transmitter(units=numbered("TX", packs)),
                receiver(units=numbered("RX", packs)),
            ),
            plan(
                destination("rec"),
                destination("boat"),
                source("a"),
                source("b", to="boat"),
                scene("1", "08:00-18:00", "a", place="house"),
                scene("2", "08:00-18:00", "b", place="sea"),
            ),
        )
    )


def test_one_spare_is_not_at_both_parts_of_a_split_unit() -> None:
    """Three of each, one in use at each place: the third is at the house, as first written."""
    day = split(packs=3)
    assert day.spares == ("TX3", "RX3")
    assert [(x.unit, x.sources) for x in day.single_points] == [("RX2", ("b",)), ("TX2", ("b",))]
    assert day.notices[-1] == "parts of a split unit share no spares: TX3, RX3 with rec"


def test_each_part_of_a_split_unit_has_spares_of_its_own() -> None:
    day = split(packs=4)
    assert (day.single_points, day.spares) == ((), ("TX3", "RX3", "TX4", "RX4"))
    assert day.notices[-1] == (
        "parts of a split unit share no spares: TX3, RX3 with rec; TX4, RX4 with boat"
    )


def test_a_spare_that_is_taken_is_not_offered_again_and_covers() -> None:
    """One link, two packs, two receivers: with TX2 on the list only RX2 is still wanted."""
    k = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"]))
    p = plan(source("a"), scene("1", "09:00-10:00", "a"))
    day = with_one_failure(work_out(k, p, spares=["TX2"]))
    assert day.spares == ("TX2", "RX2")
    assert {line.key for line in day.packing} & set(day.spares) == {"TX2"}


def test_a_spare_that_is_missing_is_not_on_the_list() -> None:
    k = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"]))
    p = plan(source("a"), scene("1", "09:00-10:00", "a"))
    packed = {line.key for line in work_out(k, p, frozenset({"TX2"}), spares=["TX2"]).packing}
    assert packed == {"TX1", "RX1", "cells:C"}
