"""R11: a spare that was taken has with it what it is plugged and fed by, worked out by hand."""

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay

from .building import cells, dc, destination, kit, plan, receiver, scene, source, thing, transmitter


def qty(day: WorkedDay) -> dict[str, int]:
    """What goes by number on the list."""
    return {line.key: line.qty for line in day.packing if line.kind not in UNITS}


UNITS = ("transmitter", "receiver", "adapter")


def other_models(held: int = 1) -> tuple[Kit, Plan]:
    """In use TX1 on a C and RX1 on a C by an XLR lead; the spares are of other models: TX2 on two
    D, RX2 on one D by a jack lead. Of each lead one, of D as many as said."""
    return kit(
        transmitter("one", ["TX1"], weight_g=1),
        transmitter("two", ["TX2"], weight_g=2, power=[cells("D", 2, hours=10)]),
        receiver("in-use", ["RX1"], weight_g=1),
        receiver(
            "spare",
            ["RX2"],
            weight_g=2,
            outputs=[{"connector": "TRS35", "channels": 1}],
            power=[cells("D", hours=10)],
        ),
        thing("cell", type="C", source="made up"),
        thing("cell", type="D", source="made up"),
        thing("stock", cell="D", qty=held),
        thing("cable", model="xlr", **{"from": "XLR3"}, to=["XLR3"], qty=1),
        thing("cable", model="jack", **{"from": "TRS35"}, to=["XLR3"], qty=1),
        thing("item", model="antenna", name="Antenna", qty=4, each=2, per="receiver"),
    ), plan(source("a"), scene("1", "09:00-10:00", "a"))


def test_the_list_has_the_most_that_any_one_failure_takes() -> None:
    """Without TX1: TX2 on 2 D, RX1 on 1 C. Without RX1: TX1 on 1 C, RX2 on 1 D by the jack lead.

    So 2 C and 2 D, for only one fails, both leads, and 2 antennas, which go to the other receiver.
    """
    k, p = other_models(held=2)
    day = work_out(k, p, spares=["TX2", "RX2"])
    assert qty(work_out(k, p)) == {"cells:C": 2, "cable:xlr": 1, "item:antenna": 2}
    assert qty(day) == {
        "cells:C": 2,
        "cells:D": 2,
        "cable:xlr": 1,
        "cable:jack": 1,
        "item:antenna": 2,
    }
    whys = {line.key: line.why for line in day.packing}
    assert whys["cable:jack"] == "from the receivers in use to their inputs, should RX1 fail"
    assert whys["cells:D"] == "2 planned, 0 spare, should TX1 fail"
    assert [(c.cell, c.planned, c.spare, c.carry) for c in day.cells] == [
        ("C", 2, 0, 2),
        ("D", 0, 2, 2),
    ]
    assert day.ready


def test_what_a_spare_needs_and_is_not_held_is_short() -> None:
    """TX2 takes 2 D, of which 1 is held, and 1 is half a set."""
    k, p = other_models(held=1)
    assert work_out(k, p).ready
    day = work_out(k, p, spares=["TX2", "RX2"])
    assert [(s.kind, s.what, s.of) for s in day.shortfalls] == [
        ("cell", "2 D to carry in whole sets, 1 held; 2 short", "cells:D")
    ]


def test_where_no_spare_is_taken_nothing_goes_along() -> None:
    """The rack's second module would want a lead if the first failed alone; nobody asked."""
    k = kit(
        transmitter(units=["TX1", "TX2"]),
        receiver("rack", ["RK1"], modules=2),
        thing("cable", model="xlr", **{"from": "XLR3"}, to=["XLR3"], qty=2),
    )
    p = plan(source("a"), scene("1", "09:00-10:00", "a"))
    assert qty(work_out(k, p)) == {"cells:C": 2, "cable:xlr": 1}


def test_a_spare_without_an_outlet_is_told() -> None:
    """RX1 runs on cells; its spare RX2 on DC alone, and no supply is in reach at the recorder."""
    k = kit(
        transmitter(units=["TX1", "TX2"]),
        receiver("in-use", ["RX1"], weight_g=1),
        receiver("spare", ["RX2"], weight_g=2, power=[dc(10, 18, 5)]),
    )
    p = plan(destination(), source("a"), scene("1", "09:00-10:00", "a"))
    day = work_out(k, p, spares=["RX2"])
    assert day.ready
    assert day.notices[-1].startswith(
        "should RX1 fail, the spares serve its links, but RX2 at rec has no power"
    )
