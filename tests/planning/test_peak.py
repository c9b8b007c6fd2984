"""Several days of one kit: the peak of each model, and what to hire from when to when."""

from datetime import date
from typing import Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.peak import Asked, JobPeak, PeakLine, job_peak
from kitprep.planning.results import NotCounted

from .building import destination, kit, plan, receiver, scene, source, thing, transmitter

KIT = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2", "RX3"]))


def day(number: int, cast: str) -> Plan:
    sources = [source(name) for name in "abc"]
    one = plan(*sources, scene("1", "09:00-10:00", cast))
    return one.model_copy(update={"day": date(2027, 3, number)})


def peak(*plans: Plan) -> JobPeak:
    return job_peak([Asked(work_out(KIT, p), work_out) for p in plans])


def line(found: JobPeak, model: str) -> PeakLine:
    return next(line for line in found.lines if line.model == model)


def test_the_peak_is_the_most_that_any_day_needs_and_says_which() -> None:
    found = line(peak(day(14, "a"), day(15, "a b"), day(16, "b")), "pack")
    assert (found.needed, found.peak, found.on) == ((1, 2, 1), 2, (date(2027, 3, 15),))


def test_what_is_short_is_hired_from_the_first_to_the_last_day_that_needs_it() -> None:
    # Two packs held; three wanted on the 15th and the 17th.
    found = line(peak(day(14, "a"), day(15, "a b c"), day(16, "a"), day(17, "a b c")), "pack")
    assert (found.short, found.short_from, found.short_to) == (
        1,
        date(2027, 3, 15),
        date(2027, 3, 17),
    )


def test_days_go_by_their_date_and_not_by_how_they_were_named() -> None:
    found = peak(day(16, "a b"), day(14, "a"))
    assert found.days == (date(2027, 3, 14), date(2027, 3, 16))
    assert line(found, "pack").needed == (1, 2)


def test_a_job_that_has_enough_is_ready() -> None:
    assert peak(day(14, "a"), day(15, "a b")).ready
    assert not peak(day(14, "a b c")).ready


def test_what_hired_units_take_with_them_is_counted() -> None:
    """The third pack takes a set of its own: 3 packs and 3 receivers on one cell each, 5 held."""
    few = kit(
        transmitter(units=["TX1", "TX2"]),
        receiver(units=["RX1", "RX2", "RX3"]),
        thing("stock", cell="C", qty=5),
        thing("item", model="lav", name="Lav", per="bodypack", qty=2),
    )
    found = job_peak([Asked(work_out(few, day(14, "a b c")), work_out)])
    assert [(ln.model, ln.peak, ln.short) for ln in found.lines if ln.short] == [
        ("pack", 3, 1),
        ("C", 6, 1),
        ("lav", 3, 1),
    ]


def test_what_no_number_of_units_mends_stays_short_and_the_job_is_not_ready() -> None:
    cam = plan(
        destination("cam", inputs=1),
        source("a", "cam"),
        source("b", "cam"),
        scene("1", "09:00-10:00", "a b"),
    )
    found = peak(day(14, "a"), cam.model_copy(update={"day": date(2027, 3, 15)}))
    assert [line.short for line in found.lines] == [0, 0, 0]
    assert [(on.day, short.kind) for on, short in found.still_short] == [(15, "input")]
    assert not found.ready


def test_plans_of_one_date_are_added_up() -> None:
    """Two units of a crew on the same day: one pack and two, of two held."""
    found = peak(day(14, "a"), day(14, "a b"), day(15, "a b"))
    assert (found.days, found.plans) == ((date(2027, 3, 14), date(2027, 3, 15)), (2, 1))
    packs = line(found, "pack")
    assert (packs.needed, packs.peak, packs.short) == ((3, 2), 3, 1)
    assert (packs.short_from, packs.short_to) == (date(2027, 3, 14), date(2027, 3, 14))


def with_cells(**stock: Any) -> Kit:
    return kit(
        transmitter(units=["TX1", "TX2"]),
        receiver(units=["RX1", "RX2"]),
        thing("stock", cell="C", **stock),
    )


def test_cells_that_are_used_up_add_up_over_the_days() -> None:
    """Every unit takes one cell a day. The 14th has two units, the 15th four with one spare set for
    each four, the 16th two. So it needs 2; then the 2 used and 4 + 1; then 2 + 4 used and 2."""
    spare = day(15, "a b").model_copy(update={"spare": 0.25})
    days = [day(14, "a"), spare, day(16, "a")]
    asked = [Asked(work_out(with_cells(qty=6), p), work_out) for p in days]
    found = line(job_peak(asked), "C")
    assert (found.needed, found.peak, found.short) == ((2, 2 + 4 + 1, 2 + 4 + 2), 8, 2)
    assert (found.short_from, found.short_to) == (date(2027, 3, 15), date(2027, 3, 16))


def test_cells_that_are_charged_again_do_not() -> None:
    kept = with_cells(qty=6, rechargeable=True)
    found = line(job_peak([Asked(work_out(kept, day(n, "a b")), work_out) for n in (14, 15)]), "C")
    assert (found.needed, found.short) == ((4, 4), 0)


def test_of_a_day_that_has_gone_out_the_ledger_tells_what_it_used() -> None:
    """Of 6 cells two were spent on the 14th, as the 15th has heard: 4 are left for its 4."""
    first, second = (with_cells(qty=qty) for qty in (6, 4))
    spent = NotCounted("cells:C", "2 spent, of 6 in the kit", "k/2027-03-14", qty=2)
    later = work_out(second, day(15, "a b"), not_counted=(spent,))
    gone = Asked(work_out(first, day(14, "a")), work_out, "k/2027-03-14", gone_out=True)
    found = line(job_peak([gone, Asked(later, work_out, "k/2027-03-15")]), "C")
    assert (found.needed, found.have, found.short) == ((2, 4), 4, 0)


def test_what_two_plans_of_one_day_have_packed_of_each_others_is_counted_once() -> None:
    """Each wants one pack of two, and two cells of six; B's plan hears of A's packing."""
    theirs = (
        NotCounted("TX1", "packed by Ana", "k/2027-03-14"),
        NotCounted("cells:C", "2 packed by Ana", "k/2027-03-14", qty=2),
    )
    a = Asked(work_out(with_cells(qty=6), day(14, "a")), work_out, "k/2027-03-14")
    b = work_out(with_cells(qty=4), day(14, "a"), not_counted=theirs)
    found = job_peak([a, Asked(b, work_out, "k/2027-03-14/b")])
    assert [(line(found, m).needed, line(found, m).have) for m in ("pack", "C")] == [
        ((2,), 2),
        ((4,), 6),
    ]


def night(number: int, hours: str, **own: Any) -> Plan:
    """One source, in one scene of these hours."""
    one = plan(source("a"), scene("1", hours, "a"), **own)
    return one.model_copy(update={"day": date(2027, 3, number)})


def test_a_night_that_runs_into_the_next_day_takes_its_units_there() -> None:
    """22:00 to 06:00 and, on the next day, 04:00 to 08:00: two packs from 04:00 to 06:00."""
    found = line(peak(night(14, "22:00-30:00"), night(15, "04:00-08:00")), "pack")
    assert (found.needed, found.peak, found.short) == ((2, 2), 2, 0)
    # From 06:00 on the pack of the night is free, and half an hour of lead asks for it before.
    found = line(peak(night(14, "22:00-30:00"), night(15, "06:00-08:00")), "pack")
    assert found.needed == (1, 1)
    found = line(peak(night(14, "22:00-30:00"), night(15, "06:00-08:00", lead_min=30)), "pack")
    assert found.needed == (2, 2)


def test_a_night_is_over_by_the_evening_of_the_next_day() -> None:
    """Until 06:00, and again from 20:00: the same pack."""
    found = peak(night(14, "21:00-30:00"), night(15, "20:00-22:00"))
    assert line(found, "pack").needed == (1, 1)


def test_used_up_cells_of_a_night_are_counted_once_on_the_next_day() -> None:
    """A set and its spare for each of 2 devices: 4 C carried each day, and they are for once.

    On the second day 2 were used in the night, its 2 spares are still out, and 4 are carried: 8.
    """
    found = peak(night(14, "22:00-30:00", spare=1), night(15, "04:00-08:00", spare=1))
    assert line(found, "C").needed == (4, 8)
