"""What if: a day tried otherwise obeys the rules of days, and says what becomes of it."""

import pytest

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.planning.day import work_out
from kitprep.planning.difference import Difference, Fresh, difference
from kitprep.planning.results import Route
from kitprep.planning.whatif import NotPossible, WhatIf, changed, with_word
from kitprep.reports.whatif import SAME, whatif_text

from .building import (
    Entry,
    adapter,
    cells,
    dc,
    destination,
    kit,
    plan,
    receiver,
    scene,
    source,
    stereo_receiver,
    thing,
    transmitter,
)


def two_of_each() -> Kit:
    return kit(transmitter(units=["TX1", "TX2"]), receiver(units=["RX1", "RX2"]))


def two_scenes(*more: Entry) -> Plan:
    return plan(
        destination(),
        source("ines"),
        source("marek"),
        *more,
        scene("1", "09:00-10:00", "ines"),
        scene("2", "11:00-12:00", "marek"),
    )


def tried(kit: Kit, plan: Plan, what: WhatIf) -> Difference:
    return difference(work_out(kit, plan), work_out(*changed(kit, plan, what)))


def test_nothing_otherwise_is_the_same_kit_plan_and_day() -> None:
    held, day = two_of_each(), two_scenes()
    assert changed(held, day, WhatIf()) == (held, day)
    assert tried(held, day, WhatIf()).nothing


def test_a_unit_that_is_gone_is_replaced_and_the_bag_says_so() -> None:
    # One pack will do: 11:00 is past 10:00 and the quarter of an hour to hand it over.
    found = tried(two_of_each(), two_scenes(), WhatIf(gone=frozenset({"TX1"})))
    assert [change.key for change in found.to_add] == ["TX2"]
    assert [change.key for change in found.to_leave] == ["TX1"]
    assert [(w.source, w.before, w.after) for w in found.worn] == [
        ("ines", "TX1", "TX2"),
        ("marek", "TX1", "TX2"),
    ]
    assert found.ready
    assert not found.unserved


def test_what_is_served_no_more_has_its_reason_and_joins_the_hire_list() -> None:
    what = WhatIf(gone=frozenset({"RX1", "RX2"}))
    found = tried(two_of_each(), two_scenes(), what)
    assert [(u.scene, u.source) for u in found.unserved] == [("1", "ines"), ("2", "marek")]
    assert all(u.reason for u in found.unserved)
    assert [(h.model, h.qty) for h in found.hire_after] == [("rx", 1)]
    assert not found.hire_before
    assert not found.ready
    assert {short.kind for short in found.newly_short} == {"link"}


def test_scenes_that_come_to_overlap_take_a_unit_more() -> None:
    found = tried(two_of_each(), two_scenes(), WhatIf(times={"2": (570, 630)}))
    assert {change.key for change in found.to_add} >= {"TX2", "RX2"}


def test_a_source_that_becomes_mono_gives_its_stereo_link_away() -> None:
    held = kit(transmitter(channels=2), stereo_receiver(), receiver(units=["RX1"]))
    day = plan(destination(), source("mix", channels=2), scene("1", "09:00-10:00", "mix"))
    found = tried(held, day, WhatIf(channels={"mix": 1}))
    assert [(p.before, p.after) for p in found.plugged] == [("1+2", "1")]


def test_a_source_that_is_left_out_frees_what_it_had() -> None:
    held = kit(transmitter(), receiver())
    day = plan(
        destination(), source("ines"), source("marek"), scene("1", "09:00-10:00", "ines marek")
    )
    found = tried(held, day, WhatIf(dropped=frozenset({("1", "ines")})))
    assert found.dropped == (Route("1", "ines", "rec"),)
    assert found.served == (Route("1", "marek", "rec"),)
    assert not found.hire_after
    assert found.ready


def test_nobody_left_in_any_scene_is_a_day_too() -> None:
    held, day = two_of_each(), two_scenes()
    what = WhatIf(dropped=frozenset({("1", "ines"), ("2", "marek")}))
    assert len(tried(held, day, what).dropped) == 2


def test_a_counted_adapter_can_be_gone_and_the_others_keep_their_names() -> None:
    held = kit(transmitter(), receiver(), adapter(qty=2))
    after, _ = changed(held, two_scenes(), WhatIf(gone=frozenset({"lead#1"})))
    assert [(unit.tag, unit.state) for unit in after.adapters[0].units] == [
        ("lead#1", "missing"),
        ("lead#2", "ok"),
    ]


@pytest.mark.parametrize(
    ("what", "says"),
    [
        (WhatIf(gone=frozenset({"TX9"})), 'no unit "TX9" here; did you mean'),
        (WhatIf(times={"3": (540, 600)}), 'no scene "3" here'),
        (WhatIf(times={"1": (600, 540)}), "scene 1: it ends at 09:00, before it starts at 10:00"),
        (WhatIf(channels={"inez": 2}), 'no source "inez" here; did you mean "ines"?'),
        (WhatIf(dropped=frozenset({("2", "ines")})), '"ines" is not in scene 2'),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(what: WhatIf, says: str) -> None:
    with pytest.raises(NotPossible) as refusal:
        changed(two_of_each(), two_scenes(), what)
    assert says in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_nobody_can_be_in_two_scenes_at_once() -> None:
    day = plan(
        destination(),
        source("ines"),
        scene("1", "09:00-10:00", "ines"),
        scene("2", "11:00-12:00", "ines"),
    )
    with pytest.raises(NotPossible, match='scene 2: "ines" is in scene 1 as well'):
        changed(two_of_each(), day, WhatIf(times={"2": (570, 700)}))


# Said in words


def said(*words: str) -> WhatIf:
    what = WhatIf()
    for word in words:
        what = with_word(what, word, two_of_each(), two_scenes())
    return what


@pytest.mark.parametrize(
    ("word", "means"),
    [
        ("tx1", WhatIf(gone=frozenset({"TX1"}))),
        (" 1=08:00-25:30 ", WhatIf(times={"1": (480, 1530)})),
        ("ines=2", WhatIf(channels={"ines": 2})),
        ("1:INES", WhatIf(dropped=frozenset({("1", "ines")}))),
    ],
)
def test_a_word_says_one_change(word: str, means: WhatIf) -> None:
    assert said(word) == means


@pytest.mark.parametrize(
    "words",
    [
        ("TX1", "TX1"),
        ("1:ines", "1:ines"),
        ("ines=2", "ines=1"),
        ("1=08:00-09:00", "1=09:00-10:00"),
    ],
)
def test_what_is_taken_back_is_as_planned(words: tuple[str, ...]) -> None:
    assert said(*words).nothing


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("TX", "names nothing of this day"),
        ("", "names nothing of this day"),
        ("ines=3", "is not a number of channels"),
        ("1=9-10", "is not a start and an end"),
        ("1=10:00-09:00", "before it starts"),
        ("1=10:00-10:99", "is not a time"),
        ("9=08:00-09:00", 'no scene or source "9" here'),
        ("1:inez", 'no source "inez" here; did you mean "ines"?'),
        ("1:", 'no source "" here'),
    ],
)
def test_a_word_that_says_nothing_is_refused_with_a_way_on(word: str, says: str) -> None:
    with pytest.raises(NotPossible) as refusal:
        said(word)
    assert says in str(refusal.value)


def test_a_change_of_cells_that_moves_is_no_sameness() -> None:
    """A set lasts 4 h: with scene 1 from 09:00 it is changed before scene 2 either way, but when
    scene 2 is at 12:00 that is by 12:00, and at 13:00 by 13:00."""
    held = kit(transmitter(power=[cells(hours=4)]), receiver(power=[dc(10, 15, 1.0)]), _mains())
    day = plan(
        destination(supplies=["mains"]),
        source("ines"),
        scene("1", "09:00-12:00", "ines"),
        scene("2", "12:00-15:00", "ines"),
        between="off",
    )
    found = tried(held, day, WhatIf(times={"2": (780, 960)}))
    assert not found.nothing
    (fed,) = found.fed
    assert (fed.unit, fed.what) == ("TX1", "C")
    assert fed.before == (Fresh(720, "2", mid_scene=False),)
    assert fed.after == (Fresh(780, "2", mid_scene=False),)
    words = whatif_text(found, day)
    assert "TX1, fresh C: by 13:00 before scene 2 (was by 12:00 before scene 2)" in words
    assert SAME not in words


def _mains() -> Entry:
    return thing("supply", id="mains", volts=[12, 12], outlets=4, mains=True, watts=100)


def test_a_new_source_in_no_scene_is_told() -> None:
    held, day = two_of_each(), two_scenes()
    more = two_scenes(source("piotr", name="Piotr"))
    found = difference(work_out(held, day), work_out(held, more))
    assert found.silent == ("Piotr",)
    assert "Piotr: nothing is carried for it until a scene has it" in whatif_text(found, more)
    assert difference(work_out(held, more), work_out(held, more)).nothing
