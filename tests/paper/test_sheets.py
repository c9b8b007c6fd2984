"""What stands on each sheet, and in which order."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from paper_running import worked

from kitprep.definitions.kit import Kit
from kitprep.planning.packing import find_units
from kitprep.planning.results import WorkedDay
from kitprep.reports.paper.build import paper
from kitprep.reports.paper.cells import cell_sheet
from kitprep.reports.paper.hire import hire_sheet
from kitprep.reports.paper.packing import lid_cards, packing_sheet
from kitprep.reports.paper.returns import hired_things, return_sheet
from kitprep.reports.paper.scenes import scene_sheet
from kitprep.reports.paper.sheet import Block, Sheet, Value


def rows(sheet: Sheet, heading: str = "") -> Iterator[dict[str, Value]]:
    for block in sheet.blocks:
        if block.heading.startswith(heading):
            yield from block.records


def printed(block: Block) -> list[tuple[Value, ...]]:
    return list(block.paper[1])


# ---- packing and lids


@pytest.mark.parametrize("number", [1, 2, 3])
def test_every_line_of_the_list_is_on_the_packing_sheet_once_in_its_order(number: int) -> None:
    day = worked(number)
    assert [row["key"] for row in rows(packing_sheet(day))] == [line.key for line in day.packing]


def test_a_line_has_a_box_a_tag_or_a_count_what_it_is_why_and_its_weight() -> None:
    pouch = packing_sheet(worked(1)).blocks[0]
    assert pouch.heading == "Transmitter pouch"
    assert pouch.notes == ("1.4 of 6 kg",)
    assert [column.heading for column in pouch.paper[0]] == [
        "", "Tag or count", "What", "Serial", "Why", "Weight g",
    ]  # fmt: skip
    lines = printed(pouch)
    assert lines[0] == (
        None, "TX01", "Slim bodypack", "SN-0417", "Ines: scenes 12A, 12B, 14, 21, 22", 62,
    )  # fmt: skip
    assert (None, "6 ×", "Lav with a pack lead", None, "1 per bodypack (4), 2 spare", 120) in lines


def test_a_case_of_things_without_serials_has_no_column_for_them() -> None:
    power = next(b for b in packing_sheet(worked(1)).blocks if b.heading == "Power case")
    assert "Serial" not in [column.heading for column in power.paper[0]]
    assert "serial" in next(power.records)


def test_what_is_short_is_told_at_its_line_and_above_all() -> None:
    sheet = packing_sheet(worked(2))
    assert sheet.notes[1] == "Short of 7 things: the hire request says which."
    power = next(block for block in sheet.blocks if block.heading == "Power case")
    assert "(only 7 held, 1 short)" in str(printed(power)[0][3])


def test_a_heavy_case_has_its_caution() -> None:
    cart = next(b for b in packing_sheet(worked(1)).blocks if b.heading == "Cart case")
    assert any("lift close to you" in note for note in cart.notes)


def test_a_lid_card_says_what_is_in_its_case_and_what_a_scanner_calls_it() -> None:
    cards = lid_cards(worked(1)).blocks
    assert all(card.card for card in cards)
    assert [card.notes[0] for card in cards] == [
        "case:pouch", "case:rx-case", "case:cart-case", "case:power-case", "case:soft-bag",
        *(["case:pole-tube"] if len(cards) > 5 else []),
    ]  # fmt: skip
    assert printed(cards[0])[0] == ("TX01", "Slim bodypack", "SN-0417")


# ---- scenes


def test_scenes_and_breaks_follow_the_clock() -> None:
    headings = [block.heading for block in scene_sheet(worked(1)).blocks]
    assert headings == [
        "Scene 12A, 07:30 to 08:45",
        "Scene 12B, 09:00 to 10:00",
        "Scene 14, 10:15 to 11:15",
        "Scene 15, 11:30 to 12:30",
        "Lunch, 12:30 to 13:30",
        "Company move to the net loft, 13:30 to 14:15",
        "Scene 21, 14:30 to 16:00",
        "Scene 22, 16:15 to 17:45",
    ]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_every_chain_of_every_scene_is_on_the_scene_sheet(number: int) -> None:
    day = worked(number)
    found = [row for row in rows(scene_sheet(day)) if "mode" in row]
    assert [
        (r["scene"], r["source"], r["transmitter"], r["receiver"], r["inputs"]) for r in found
    ] == [
        (link.scene, link.source, link.transmitter, link.receiver, "+".join(map(str, link.inputs)))
        for needs in sorted(day.scenes, key=lambda needs: needs.scene.start)
        for link in needs.links
    ]


def test_a_link_that_is_not_served_is_named_with_its_reason() -> None:
    day = worked(2)
    found = [row for row in rows(scene_sheet(day)) if "reason" in row]
    wanted = [unserved.reason for needs in day.scenes for unserved in needs.unserved]
    assert sorted(str(row["reason"]) for row in found) == sorted(wanted)
    assert len(found) == 4


def test_what_is_handed_on_and_retuned_is_told_at_the_scene_that_it_is_for() -> None:
    day = worked(1)
    notes = {b.heading: b.notes for b in scene_sheet(day).blocks}
    assert (
        "Before it: TX12 with AD1 from Dance music, playback feed (off 12:30) to Mix to the camera "
        "(on 14:00), 90 min." in notes["Scene 21, 14:30 to 16:00"]
    )
    assert not [note for note in notes["Scene 12A, 07:30 to 08:45"] if "Before it" in note]


# ---- cells


def test_packs_are_swapped_by_the_clock_with_what_goes_off() -> None:
    """235 min a pack: from 07:30 to 11:25, before scene 15; then before scene 21."""
    swaps = next(b for b in cell_sheet(worked(1)).blocks if b.heading.startswith("Packs"))
    bag = "14.4 V packs and distribution for the receivers"
    assert printed(swaps) == [
        (None, "11:25", "before 15", bag, "RX01, RX21"),
        (None, "14:30", "before 21", bag, "RX01, RX21"),
    ]


def test_changes_follow_the_clock_with_the_scene_and_who_wears_it() -> None:
    changes = cell_sheet(worked(3)).blocks[0]
    assert changes.heading == "Changes, by the clock"
    assert printed(changes)[0] == (None, "15:20", "before 42", "TX01", "Ines", "1 × CR123A")
    assert [row[1] for row in printed(changes)] == sorted(str(row[1]) for row in printed(changes))


def test_a_set_that_dies_within_a_scene_says_so() -> None:
    (first, *_) = printed(cell_sheet(worked(2)).blocks[0])
    assert first[1:4] == ("13:48", "within T4", "TX04")


def test_every_device_on_cells_and_every_type_of_cell_is_there() -> None:
    day = worked(3)
    sheet = cell_sheet(day)
    assert [row["unit"] for row in rows(sheet, "In every device")] == [f.unit for f in day.feeds]
    assert [tuple(row.values()) for row in rows(sheet, "To take")] == [
        (c.cell, c.planned, c.spare, c.carry, c.have, c.short) for c in day.cells
    ]


def test_the_cautions_of_the_days_power_stand_on_top() -> None:
    assert any("never charge a primary cell" in note for note in cell_sheet(worked(1)).notes)


# ---- hire


def test_a_day_that_works_asks_for_nothing() -> None:
    sheet = hire_sheet(worked(1))
    assert sheet.blocks == ()
    assert sheet.notes == ("Nothing is short. Everything that the day needs is held.",)


def test_a_request_says_what_a_hire_house_must_know() -> None:
    sheet = hire_sheet(worked(2))
    (asked, *_) = sheet.blocks
    assert printed(asked)[0][:4] == (
        1,
        "bag-rx-s",
        "Portable receiver, mono and stereo, system d1, 518 to 572 MHz",
        "31, 33, 34",
    )


def test_a_request_for_what_takes_firmware_names_the_version_that_the_kit_wants() -> None:
    from kitprep.planning.results import Hire

    day = replace(worked(1), hire=(Hire("boom-pack", 1, ("12A",)),))
    assert "firmware 5.2 of image boom" in str(printed(hire_sheet(day).blocks[0])[0][2])


def test_everything_that_is_short_is_on_the_request() -> None:
    day = worked(2)
    found = [row["what"] for row in rows(hire_sheet(day), "What is short")]
    assert found == [shortfall.what for shortfall in day.shortfalls]


# ---- return


def kit(**lists: Any) -> Kit:
    things = {
        "kit": "a",
        "name": "A",
        "transmitter": [
            {
                "model": "pack",
                "name": "Pack",
                "form": "bodypack",
                "system": "d1",
                "tuning_mhz": [[500, 510]],
                "power": [{"dc_v": [4, 6], "watts": 1}],
                "value": 100,
                "unit": [
                    {"tag": "T3", "owner": "HIRE-2", "due": date(2027, 3, 20), "value": 90},
                    {"tag": "T1", "owner": "HIRE-1", "due": date(2027, 3, 25), "serial": "S1"},
                    {"tag": "T2"},
                ],
            }
        ],
        "item": [
            {"model": "box", "name": "Box", "qty": 5, "owner": "HIRE-2", "due": date(2027, 3, 20)}
        ],
    }
    return Kit.model_validate(things | lists)


def test_only_what_is_on_hire_is_returned_and_the_whole_kit_of_it() -> None:
    found = [(thing.tag or thing.qty, thing.owner) for thing in hired_things(kit())]
    assert found == [("T3", "HIRE-2"), ("T1", "HIRE-1"), (5, "HIRE-2")]


def test_a_model_on_hire_lends_its_owner_day_and_value_to_its_units() -> None:
    transmitter = (
        kit().transmitters[0].model_copy(update={"owner": "HIRE-9", "due": date(2027, 4, 1)})
    )
    found = hired_things(kit().model_copy(update={"transmitters": (transmitter,), "items": ()}))
    assert [(thing.owner, thing.due and thing.due.day, thing.value) for thing in found] == [
        ("HIRE-2", 20, 90),
        ("HIRE-1", 25, 100),
        ("HIRE-9", 1, 100),
    ]


def test_units_of_an_imported_contract_keep_its_order() -> None:
    added = [
        {"model": "pack", "tag": tag, "owner": "HIRE-1", "due": date(2027, 3, 25)}
        for tag in ("T9", "T7", "T8")
    ]
    whole = kit(unit=added)
    pack = whole.transmitters[0]
    # As merging leaves it, but shuffled, as from several models.
    units = (*pack.units, *(whole.units[n].without_model() for n in (1, 2, 0)))
    whole = whole.model_copy(update={"transmitters": (pack.model_copy(update={"units": units}),)})
    mine = [thing.tag for thing in hired_things(whole) if thing.owner == "HIRE-1"]
    assert mine == ["T1", "T9", "T7", "T8"]


def to_return(day: WorkedDay) -> Sheet:
    return return_sheet(day.kit, {line.key for line in day.packing})


def returned(day: WorkedDay) -> list[tuple[str, list[tuple[Value, ...]]]]:
    return [(block.heading, printed(block)) for block in to_return(day).blocks]


def test_the_return_sheet_is_by_owner_with_serial_value_and_day() -> None:
    ((heading, lines),) = returned(worked(1))
    assert heading == "HIRE-2207, due 2027-03-20"
    assert [line[1:6] for line in lines] == [
        ("TX05", "Slim bodypack", "SN-2207", 1900.0, "2027-03-20"),
        ("TX14", "Two-cell bodypack", "SN-2214", 2100.0, "2027-03-20"),
        ("RX12", "Portable receiver, mono and stereo", "SN-2212", 2200.0, "2027-03-20"),
        ("5 ×", "Timecode box", None, 250.0, "2027-03-20"),
    ]
    # 1900 + 2100 + 2200 + 5 x 250 = 7450
    assert to_return(worked(1)).blocks[0].notes == ("4 lines, 8 pieces, value 7 450",)


def test_the_return_sheet_says_what_is_out_today() -> None:
    day = worked(1)
    packed = {line.key for line in day.packing}
    for row in rows(to_return(day)):
        key = row["tag"] or "item:timecode-box"
        assert row["out_today"] == ("yes" if key in packed else "no")


def test_a_kit_of_ones_own_has_nothing_to_return() -> None:
    day = replace(worked(1), kit=worked(1).kit.model_copy(update={"items": (), "receivers": ()}))
    own = tuple(
        model.model_copy(update={"units": tuple(u for u in model.units if u.owner == "own")})
        for model in day.kit.transmitters
    )
    day = replace(day, kit=day.kit.model_copy(update={"transmitters": own}))
    sheet = to_return(day)
    assert (sheet.blocks, sheet.notes) == ((), ("Nothing in this kit is on hire.",))


def test_what_another_job_has_and_what_is_past_due_is_to_be_returned_all_the_same() -> None:
    """The day counts on fewer; the contract does not."""
    kit = worked(1).kit
    boxes = next(item for item in kit.items if item.owner != "own")
    less = kit.model_copy(update={"items": (boxes.model_copy(update={"qty": 0}),)})
    sheets = paper(replace(worked(1), kit=less), kit, ("return",)).sheets
    assert ("5 ×", "Timecode box") in [row[1:3] for row in printed(sheets[0].blocks[0])]


# ---- all


def test_all_sheets_lie_in_their_order_under_one_head() -> None:
    folder = paper(worked(1), worked(1).kit)
    assert [sheet.key for sheet in folder.sheets] == [
        "packing", "scenes", "cells", "hire", "return", "lids",
    ]  # fmt: skip
    assert folder.head == "Harbour of Foxes, A unit, 2027-03-14, Day 1, quay and net loft"


def test_tags_on_paper_are_tags_of_the_kit() -> None:
    day = worked(2)
    known = set(find_units(day.kit))
    for row in rows(scene_sheet(day)):
        if "transmitter" in row:
            assert {row["transmitter"], row["receiver"]} <= known
