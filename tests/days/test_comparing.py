"""From one day to the next: what to add, what to leave, who wears what, where it is plugged in."""

import json
from collections.abc import Iterable
from pathlib import Path

import pytest
from days_running import Command

from kitprep.bundled import demo_plan
from kitprep.days.compare import Comparison, compare_json, compare_text
from kitprep.days.compare import compare as side_by_side
from kitprep.definitions.loading import load_day
from kitprep.planning.day import work_out
from kitprep.planning.difference import Change
from kitprep.planning.results import WorkedDay


def worked(path: Path) -> WorkedDay:
    day = load_day(path)
    return work_out(day.kit, day.plan)


@pytest.fixture(scope="module")
def days() -> dict[int, WorkedDay]:
    return {number: worked(demo_plan(number)) for number in (1, 2, 3)}


@pytest.fixture(scope="module")
def first_to_third(days: dict[int, WorkedDay]) -> Comparison:
    return side_by_side(days[1], days[3])


def test_a_day_beside_itself_changes_nothing(days: dict[int, WorkedDay]) -> None:
    found = side_by_side(days[1], days[1])
    assert found.alike
    assert "The same bag, on the same people, into the same inputs." in compare_text(found)


def in_the_evening(day: WorkedDay) -> dict[str, int]:
    """A day's bag once its cells are spent, but for the spares and for HR6, which is charged."""
    bag = {line.key: line.qty for line in day.packing}
    for cells in day.cells:
        if cells.cell != "HR6":
            bag[f"cells:{cells.cell}"] -= cells.planned
    return bag


@pytest.mark.parametrize(("one", "other"), [(1, 2), (1, 3), (2, 3), (3, 1)])
def test_the_earlier_bag_and_the_changes_make_the_later_bag(
    days: dict[int, WorkedDay], one: int, other: int
) -> None:
    bag = {line.key: line.qty for line in days[one].packing}
    if one < other:
        bag = in_the_evening(days[one])
    found = side_by_side(days[one], days[other])
    for change in (*found.to_add, *found.to_leave):
        assert bag.get(change.key, 0) == change.before
        bag[change.key] = change.after
    assert {k: n for k, n in bag.items() if n} == {
        line.key: line.qty for line in days[other].packing
    }


@pytest.mark.parametrize(("one", "other"), [(1, 2), (1, 3)])
def test_there_and_back_are_each_other_reversed(
    days: dict[int, WorkedDay], one: int, other: int
) -> None:
    there, back = side_by_side(days[one], days[other]), side_by_side(days[other], days[one])

    def but_cells(changes: Iterable[Change]) -> list[Change]:
        return [change for change in changes if not change.key.startswith("cells:")]

    assert [(c.key, c.before, c.after) for c in but_cells(there.to_add)] == [
        (c.key, c.after, c.before) for c in but_cells(back.to_leave)
    ]


def test_units_go_by_tag_and_the_rest_by_number(first_to_third: Comparison) -> None:
    # On day 1 no stereo pack is apart from the cast's; on the cold day 3 two more packs go.
    added = {change.key: (change.before, change.after) for change in first_to_third.to_add}
    assert added["TX13"] == (0, 1)
    # Of the 20 FR6 of day 1 its 14 planned ones are spent.
    assert added["cells:FR6"] == (20 - 14, 24)
    left = {change.key: (change.before, change.after) for change in first_to_third.to_leave}
    assert left["TX31"] == (1, 0)
    assert left["item:listener-unit"] == (8, 4)


def test_who_wears_what_is_told_of_everyone_whose_pack_differs(first_to_third: Comparison) -> None:
    worn = {w.source: (w.before, w.after) for w in first_to_third.worn}
    assert worn["oda"] == ("TX02", "TX12")
    assert worn["brenna"] == (None, "TX13")
    assert worn["auction"] == ("TX31", None)
    assert worn["mix"] == ("TX12 with AD1", "TX14 with AD1")
    assert "ines" not in worn


def test_inputs_are_told_where_they_differ(first_to_third: Comparison) -> None:
    plugged = {(p.source, p.destination): (p.before, p.after) for p in first_to_third.plugged}
    assert plugged["band", "recorder"] == ("7+8", None)
    assert ("boom", "recorder") not in plugged


def test_what_to_add_follows_the_later_list_and_what_to_leave_the_earlier(
    days: dict[int, WorkedDay], first_to_third: Comparison
) -> None:
    for changes, day in ((first_to_third.to_add, days[3]), (first_to_third.to_leave, days[1])):
        order = [line.key for line in day.packing]
        assert [change.key for change in changes] == sorted(
            (change.key for change in changes), key=order.index
        )


def test_the_text_is_for_a_person_with_the_bag_open(first_to_third: Comparison) -> None:
    lines = compare_text(first_to_third).splitlines()
    assert lines[:2] == [
        "From 2027-03-14, Day 1, quay and net loft",
        "to   2027-03-16, Day 3, ice house and breakwater, into the night",
    ]
    assert "  TX13         Two-cell bodypack  (Transmitter pouch)" in lines
    assert "  18 ×         FR6 cells, 6 to 24  (Power case)" in lines
    assert "  Oda                         TX02 to TX12" in lines
    headings = [line for line in lines if line.isupper()]
    assert headings == ["ADD TO THE BAG", "LEAVE OUT", "WHO WEARS WHAT", "INPUTS"]


def test_a_later_day_that_is_short_says_so_and_ends_with_1(compare: Command) -> None:
    status, answer, messages = compare(demo_plan(1), demo_plan(2))
    assert (status, messages) == (1, "")
    assert answer.endswith("The later day is short of something; kitprep needs says of what.\n")
    assert compare(demo_plan(2), demo_plan(1))[0] == 0


def test_json_stands_alone_and_says_the_same(compare: Command, first_to_third: Comparison) -> None:
    status, answer, messages = compare(demo_plan(1), demo_plan(3), "--json")
    assert (status, messages) == (0, "")
    document = json.loads(answer)
    assert document == compare_json(first_to_third)
    assert list(document) == [
        "before", "after", "alike", "ready", "add", "leave", "worn", "inputs",
    ]  # fmt: skip


def test_days_of_two_kits_are_compared_by_their_tags(folder: Path, compare: Command) -> None:
    other = folder.parent / "other"
    other.mkdir()
    for name in ("kit.toml", "day-01.toml"):
        (other / name).write_bytes((folder / name).read_bytes())
    kit = other / "kit.toml"
    kit.write_text(kit.read_text("utf-8").replace('"TX41"', '"B-BOOM"'), "utf-8")
    _, answer, _ = compare(folder / "day-01.toml", other / "day-01.toml", "--json")
    document = json.loads(answer)
    assert [change["key"] for change in document["add"]] == ["B-BOOM"]
    assert [change["key"] for change in document["leave"]] == ["TX41"]
    assert document["worn"] == [{"source": "boom", "before": "TX41", "after": "B-BOOM"}]
