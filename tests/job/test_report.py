"""The day as it went, with times and hands."""

from __future__ import annotations

import re
from typing import Any

import pytest

from kitprep.job import Job
from kitprep.ledger.errors import Contested
from kitprep.reports.report import report_json, report_text
from kitprep.reports.status import status_json, status_text
from kitprep.walks.line_check import line_check

from .world import World, back, packed


@pytest.fixture
def job(file_world: World) -> Job:
    """A day on which most things happened that can."""
    job = file_world.job("Ana")
    job.record("AD1", "skipped", reason="lent to B unit")
    for line in job.worked.packing:
        if line.key != "AD1":
            job.record(line.key, "packed", qty=line.qty)
    job.advance("packed")
    job.advance("out")
    job.record("TX1", "handed", holder="Ines")
    line = next(line for line in line_check(job.worked, job.state, "1"))
    job.record(line.key, "observed", answer="did not check", chain=line.chain)
    job.record("TX2", "cells changed", minute=615)
    job.record("TX1", "swapped", by="TX10", reason="hum in scene 2")
    job.who = "Ben"
    back(job, "TX1", "wet", note="spray, scene 2\x1b[2J")
    back(job, "TX2")
    back(job, "TX10", "with", holder="Ines")
    back(job, "TX3", "not seen")
    back(job, "RX1")
    job.record("cells:CR123A", "returned", counts={"fresh": 2, "spent": 5})
    job.record("supply:bag", "returned", counts={"back": 2})
    job.advance("returned")
    return job


def document(job: Job) -> dict[str, Any]:
    entries = job.ledger.entries(job.name)
    return report_json(job.worked, job.state, entries, job.ledger.head())


def test_everything_that_went_out_is_there_with_what_became_of_it(job: Job) -> None:
    out = {line["key"]: line for line in document(job)["out"]}
    assert {key: line["state"] for key, line in out.items()} == {
        "TX1": "look at",
        "TX2": "back",
        "TX3": "not seen",
        "TX10": "with",
        "RX1": "back",
        "cells:CR123A": "part",
        "supply:bag": "back",
    }
    assert out["TX10"]["with"] == "Ines"
    assert out["TX1"]["note"].startswith("spray, scene 2")
    assert out["cells:CR123A"]["packed"] == 8  # 3 packs, 4 changes, 1 spare
    assert out["cells:CR123A"]["difference"] == 2 + 5 - 8
    assert {line["who"] for line in out.values()} == {"Ben"}


def test_each_thing_has_the_hand_and_the_moment_of_its_going_and_of_its_coming_back(
    job: Job,
) -> None:
    out = {line["key"]: line for line in document(job)["out"]}
    assert {line["packed_by"] for line in out.values()} == {"Ana"}
    assert {line["outcome_by"] for line in out.values()} == {"Ben"}
    assert out["TX10"]["packed"] == out["TX10"]["added"] == 1  # it came in while the job was out
    by_item = {event.item: event.at for event in events(job, "packed")}
    assert out["RX1"]["packed_at"] == by_item["RX1"]
    assert out["RX1"]["outcome_at"] >= out["RX1"]["packed_at"]
    text = report_text(document(job))
    assert re.search(r"  RX1  Rack: out \[Ana [-\d]+ [:\d]+\], back \[Ben [-\d]+ [:\d]+\]\n", text)
    assert re.search(r"  supply:bag  \S+.*: out 2 \[Ana .*\], 2 back \[Ben ", text)


def test_what_is_not_back_has_no_hand_for_it(file_world: World) -> None:
    job = file_world.job("Ana")
    job.record("TX1", "packed")
    (line,) = document(job)["out"]
    assert (line["packed_by"], line["outcome_by"], line["outcome_at"]) == ("Ana", "", "")
    back(job, "TX1")
    job.record("TX1", "returned", counts={})  # taken off again
    (line,) = document(job)["out"]
    assert line["outcome_by"] == ""


def test_each_step_of_the_cards_has_its_hand(job: Job) -> None:
    job.record("cards:mini-sd", "added", qty=2)
    job.record("cards:mini-sd", "returned", counts={"back": 2})
    job.record("cards:mini-sd", "card", step="copied")
    assert [(c["step"], c["who"]) for c in document(job)["cards"]] == [("copied", "Ben")]
    assert "  cards:mini-sd  copied  [Ben " in report_text(document(job))


def test_what_was_left_out_swapped_handed_and_changed_is_there_with_its_hand(job: Job) -> None:
    found = document(job)
    assert found["left_out"] == [{"key": "AD1", "name": "stereo", "reason": "lent to B unit"}]
    (swap,) = found["swaps"]
    assert (swap["item"], swap["by"], swap["note"]) == ("TX1", "TX10", "hum in scene 2")
    assert (swap["who"], swap["at"]) == ("Ana", next(e.at for e in events(job, "swapped")))
    assert [(h["item"], h["holder"], h["who"]) for h in found["handed"]] == [("TX1", "Ines", "Ana")]
    assert [(c["item"], c["who"]) for c in found["cells_changed"]] == [("TX2", "Ana")]
    assert [s["stage"] for s in found["stages"]] == ["packed", "out", "returned"]
    assert found["stage"] == "returned"


def events(job: Job, kind: str) -> list[Any]:
    from kitprep.ledger.events import read_event

    found = [read_event(entry) for entry in job.ledger.entries(job.name)]
    return [event for event in found if event.kind == kind]


def test_what_was_not_looked_at_is_no_pass(job: Job) -> None:
    # The answer was given about the chain with TX1; since the swap it is to be asked again.
    (line,) = document(job)["line_check"]
    assert (line["scene"], line["answer"], line["verdict"]) == ("1", "did not check", "ask again")


def test_it_names_the_head_by_which_a_cut_off_end_would_show(job: Job) -> None:
    found = document(job)
    assert found["ledger"] == dict(zip(("entries", "hash"), job.ledger.head(), strict=True))
    text = report_text(found)
    assert f"Ledger: {found['ledger']['entries']} entries, head {found['ledger']['hash']}" in text


def test_what_was_withdrawn_or_wanted_by_another_job_is_told(file_world: World, job: Job) -> None:
    job.record("TX2", "withdrawn", reason="dead")
    other = file_world.job("Cy", file_world.plan("2027-03-20"))
    job.record("TX2", "added")
    with pytest.raises(Contested):
        other.record("TX2", "packed")
    job.refresh()
    text = report_text(document(job))
    assert "TX2  taken off the plan  dead  [Ben " in text
    assert "TX2  wanted by small/2027-03-20  [Cy " in text
    assert "TX2  out on small/2027-03-14  [Cy " in report_text(document(other))


def test_on_paper_nothing_steers_a_terminal(job: Job) -> None:
    text = report_text(document(job))
    assert not set(text) & {chr(n) for n in range(32) if n != 10}
    assert "TX1  Slim pack: wet  spray, scene 2 [2J  [Ben " in text


def test_an_empty_job_has_a_report(file_world: World) -> None:
    text = report_text(document(file_world.job()))
    assert text.splitlines()[:2] == [
        "REPORT  small  2027-03-14  planned",
        "0 lines went out; 0 back or with someone by name",
    ]


# ---- what nothing serves, and what is due


def test_what_nothing_served_is_told_by_name_and_never_as_checked(job: Job) -> None:
    """AD1 was left out, so the mix had no adapter once the kit was out."""
    (dead,) = document(job)["not_served"]
    assert (dead["scene"], dead["source"], dead["destination"]) == ("2", "mix", "recorder")
    assert "AD1 left out at packing, lent to B unit" in dead["reason"]
    assert "NOT SERVED, SO NOT CHECKED\n  scene 2 mix to recorder: " in report_text(document(job))
    status = status_json(job.worked, job.state, 600)
    assert status["line_check"]["not_served"] == 1
    assert {"key": "check:2:mix:recorder", "name": dead["reason"], "state": "unserved"} in status[
        "open"
    ]
    assert ", 1 links not served" not in status_text(status)
    assert ", 1 link not served" in status_text(status)


def test_status_lists_the_supplies_on_which_a_fresh_pack_is_due(world: World) -> None:
    """RX1 draws 20 W: 98 Wh less a fifth last 3.92 h, from 08:00 to 11:55 within scene 1."""
    job = world.job("Ana", world.plan(scenes=[("1", "", "08:00", "12:30", "ines")]))
    packed(job)
    job.advance("packed")
    job.advance("out")
    status = status_json(job.worked, job.state, 11 * 60 + 40)
    (pack,) = status["packs"]
    assert (pack["supply"], pack["due"], pack["by"], pack["mid_scene"]) == (
        "bag",
        "due",
        "11:55",
        True,
    )
    assert "PACKS (kitprep cells lists all)\n  due       supply:bag  within scene 1" in status_text(
        status
    )
    assert status_json(job.worked, job.state, 9 * 60)["packs"] == []
