"""R11: what the loss of one unit before the first scene would cost, and the fewest spares."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.failure import with_one_failure
from kitprep.planning.packing import unit_names

from .building import kit, plan, receiver, scene, source, stereo_receiver, transmitter


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

    def served(without: frozenset[str]) -> int:
        return len(work_out(k, p, without=without).links)

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
