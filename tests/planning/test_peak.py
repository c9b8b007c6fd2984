"""Several days of one kit: the peak of each model, and what to hire from when to when."""

from datetime import date

from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.peak import JobPeak, PeakLine, job_peak

from .building import kit, plan, receiver, scene, source, transmitter

KIT = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2", "RX3"]))


def day(number: int, cast: str) -> Plan:
    sources = [source(name) for name in "abc"]
    one = plan(*sources, scene("1", "09:00-10:00", cast))
    return one.model_copy(update={"day": date(2027, 3, number)})


def peak(*plans: Plan) -> JobPeak:
    return job_peak([work_out(KIT, p) for p in plans])


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
