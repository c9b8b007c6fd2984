"""A hire that is due back before the day: nobody plans with it, and what to do is said."""

from datetime import date

from kitprep.definitions.kit import Kit
from kitprep.planning.day import work_out
from kitprep.planning.held import numbers
from kitprep.planning.peak import Asked, job_peak
from kitprep.planning.remedies import remedies, with_hired
from kitprep.planning.results import WorkedDay

from .building import adapter, kit, plan, receiver, scene, source, thing, transmitter

DUE = date(2027, 3, 10)


def hired(whole: Kit, tag: str, due: date = DUE) -> Kit:
    """The kit with one of its transmitters on hire."""
    (model,) = whole.transmitters
    units = tuple(
        u.model_copy(update={"owner": "H-17", "due": due}) if u.tag == tag else u
        for u in model.units
    )
    return whole.model_copy(update={"transmitters": (model.model_copy(update={"units": units}),)})


KIT = kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1"]))


def day(whole: Kit, on: date) -> WorkedDay:
    one = plan(source("a"), scene("1", "09:00-10:00", "a"))
    return work_out(whole, one.model_copy(update={"day": on}))


def packs(worked: WorkedDay) -> list[str]:
    return [link.transmitter for link in worked.links]


def test_it_is_planned_with_up_to_its_due_day_and_not_after_it() -> None:
    whole = hired(KIT, "TX1")
    assert packs(day(whole, DUE)) == ["TX1"]
    late = day(whole, date(2027, 3, 11))
    assert packs(late) == ["TX2"]
    assert [each.sentence for each in late.not_counted] == [
        "TX1: hire H-17 is due back 2027-03-10; extend the hire and change due"
    ]
    assert packs(day(hired(KIT, "TX1", date(2027, 3, 11)), date(2027, 3, 11))) == ["TX1"]


def test_a_link_that_only_it_could_serve_is_short_and_names_it() -> None:
    alone = hired(kit(transmitter(units=["TX1"]), receiver(units=["RX1"])), "TX1")
    late = day(alone, date(2027, 3, 11))
    assert late.shortfalls[0].what == (
        "a to rec: no transmitter that would do is left to use; not counted on: TX1 hire H-17 "
        "is due back 2027-03-10; extend the hire and change due"
    )
    # A model on hire can be hired again: the remedy is not past its due day.
    model = alone.transmitters[0].model_copy(update={"owner": "H-17", "due": DUE})
    late = day(alone.model_copy(update={"transmitters": (model,)}), date(2027, 3, 11))
    assert [remedy.what for remedy in remedies(late, work_out)] == ["hire 1 x pack"]


def test_of_what_goes_by_number_none_of_the_hire_is_counted() -> None:
    cells = [
        thing("stock", cell="C", qty=5),
        thing("stock", cell="C", qty=7, owner="H-17", due=DUE),
        thing("item", model="lav", name="Lav", qty=3, owner="H-17", due=DUE),
    ]
    whole = kit(transmitter(units=["TX1"]), receiver(units=["RX1"]), *cells)
    late = day(whole, date(2027, 3, 11))
    assert numbers(day(whole, DUE).kit) == {"cells:C": 12, "item:lav": 3}
    assert numbers(late.kit) == {"cells:C": 5, "item:lav": 0}
    assert [(each.key, each.qty) for each in late.not_counted] == [("cells:C", 7), ("item:lav", 3)]


def test_more_of_a_past_due_adapter_can_be_hired() -> None:
    """Two leads on hire, due the day before, and one source that wants one: a third is hired."""
    whole = kit(
        transmitter(units=["TX1"]),
        receiver(units=["RX1"]),
        adapter(connector="XLR3", qty=2, owner="H-17", due=DUE),
    )
    late = work_out(
        whole,
        plan(source("a", connector="XLR3"), scene("1", "09:00-10:00", "a"), day=date(2027, 3, 11)),
    )
    assert [each.key for each in late.not_counted] == ["lead#1", "lead#2"]
    (remedy,) = remedies(late, work_out)
    assert (remedy.what, [route.source for route in remedy.serves]) == ("hire 1 x lead", ["a"])
    there = work_out(with_hired(late), late.plan)
    assert [link.adapter for link in there.links] == ["lead (hire 1)"]
    (line,) = [line for line in job_peak([Asked(late, work_out)]).lines if line.model == "lead"]
    assert (line.have, line.peak, line.short) == (0, 1, 1)
