"""Ticks from a shell or a scanner: told one by one, the wrong ones said, the right ones kept."""

import json
from pathlib import Path
from typing import Any

import pytest
from cli_running import Run, Said, gone_out

from kitprep.bundled import demo_plan
from kitprep.job import Job
from kitprep.ledger.entries import Draft
from kitprep.ledger.errors import Stale

# The small job: TX01 with a card to RX=1, one scene. Two FR6 in each of the two units, and a spare
# set for each kind of set: ceil(0.25 * 2) = 1 set. In cells: 2 + 2 + 2 = 6.
PACK = ("TX01", "RX=1", "cells:FR6=6", "cards:mini-sd=1")
BACK = ("TX01", "RX=1", "cells:FR6=fresh:2,spent:4", "cards:mini-sd=1")
CARDS = ("cards:mini-sd=copied", "cards:mini-sd=verified", "cards:mini-sd=formatted")


def status(run: Run, plan: Path) -> dict[str, Any]:
    """What the status command says, as data."""
    document: dict[str, Any] = json.loads(run("status", plan, "--json").answer)
    return document


# ---- packing


def test_a_tag_is_found_however_it_is_written(run: Run, plan: Path) -> None:
    assert run("pack", plan, " tx01 ").answer == "[x] TX01 packed: 1\n"


def test_a_tag_may_hold_an_equals_sign(run: Run, plan: Path) -> None:
    assert run("pack", plan, "RX=1").answer == "[x] RX=1 packed: 1\n"


def test_a_serial_does_as_well(run: Run, plan: Path) -> None:
    assert run("pack", plan, "sn-1").answer == "[x] TX01 packed: 1\n"


def test_what_is_counted_says_how_many(run: Run, plan: Path) -> None:
    assert run("pack", plan, "cells:FR6=4").answer == "[~] cells:FR6 part: 4 of 6\n"
    assert run("pack", plan, "cells:FR6=6").answer == "[x] cells:FR6 packed: 6\n"


def test_more_than_needed_is_told(run: Run, plan: Path) -> None:
    answer = run("pack", plan, "cells:FR6=7").answer
    assert answer == "[x] cells:FR6 packed: 7, 1 more than needed\n"


def test_more_than_the_kit_has_is_not_packed_and_the_way_on_is_said(run: Run, plan: Path) -> None:
    # 20 FR6 are held.
    assert run("pack", plan, "cells:FR6=21") == Said(
        2,
        "",
        "kitprep: FR6 cells: 21 counted, and the kit has 20 to count on; count again, or write "
        "into the kit's file what there is, and pack then\n",
    )
    assert run("pack", plan, "cells:FR6=20").status == 0


def test_a_slip_at_a_reading_is_mended_by_reading_again(run: Run, plan: Path) -> None:
    assert (
        "power was not checked" in run("pack", plan, "TX01", "--saw", "power=did not check").answer
    )
    assert run("pack", plan, "TX01", "--saw", "power=yes").answer == "[x] TX01 packed: 1\n"


def test_a_count_can_be_put_right(run: Run, plan: Path) -> None:
    run("pack", plan, "cells:FR6=6")
    assert run("pack", plan, "cells:FR6=5").answer == "[~] cells:FR6 part: 5 of 6\n"


@pytest.mark.parametrize(
    ("thing", "why"),
    [
        ("TX99", "TX99 is no tag of this kit"),
        ("TX02", "TX02 is in repair in the kit file; leave it"),
        ("cells:FR6", "cells:FR6 is counted; write how many are in, as in cells:FR6=6"),
        ("cells:FR6=six", "cells:FR6 is counted; write how many are in, as in cells:FR6=6"),
        ("cells:FR6=-6", "cells:FR6 is counted; write how many are in, as in cells:FR6=6"),
        ("cells:FR6=9999999", "cells:FR6 is counted; write how many are in, as in cells:FR6=6"),
        ("TX01=2", "TX01 is one thing and not 2; write TX01 alone"),
    ],
)
def test_what_cannot_be_packed_is_said_and_not_recorded(
    run: Run, plan: Path, thing: str, why: str
) -> None:
    assert run("pack", plan, thing) == Said(2, "", f"kitprep: {why}\n")
    assert status(run, plan)["stage"] == "planned"


def test_a_unit_is_packed_once(run: Run, plan: Path) -> None:
    run("pack", plan, "TX01")
    assert run("pack", plan, "TX01").messages == "kitprep: TX01 is packed already, by Noor\n"


def test_the_right_ones_are_kept_beside_a_wrong_one(run: Run, plan: Path) -> None:
    said = run("pack", plan, "TX01", "TX99", "RX=1")
    assert (said.status, said.answer) == (2, "[x] TX01 packed: 1\n[x] RX=1 packed: 1\n")
    assert status(run, plan)["pack"]["packed"] == 2


def test_a_line_is_left_out_with_a_reason_and_never_without(run: Run, plan: Path) -> None:
    said = run("pack", plan, "TX01", "--leave-out", " ")
    assert (said.status, said.answer) == (2, "")
    assert "only be left out with a reason" in said.messages
    said = run("pack", plan, "TX01", "--leave-out", "lent to B unit")
    assert said == Said(0, "[-] TX01 left out: lent to B unit\n", "")
    assert status(run, plan)["pack"]["left_out"] == 1


def test_a_scanner_writes_to_standard_input(shell: Run, plan: Path) -> None:
    scanned = b"\xef\xbb\xbfTX01\r\n\r\n\xff\xfe\r\n\x1b[2JTX99\r\nRX=1"
    said = shell("pack", plan, "-", stdin=scanned)
    assert (said.status, said.answer) == (2, "[x] TX01 packed: 1\n[x] RX=1 packed: 1\n")
    assert said.messages == (
        "kitprep: �� is no tag of this kit\nkitprep: [2JTX99 is no tag of this kit\n"
    )


def test_words_and_standard_input_go_together(shell: Run, plan: Path) -> None:
    said = shell("pack", plan, "cells:FR6=6", "-", "cards:mini-sd=1", stdin=b"TX01\n")
    assert said.answer == (
        "[x] cells:FR6 packed: 6\n[x] TX01 packed: 1\n[x] cards:mini-sd packed: 1\n"
    )


def test_who_it_was_is_kept_and_cleaned(run: Run, plan: Path) -> None:
    run("pack", plan, "TX01", "--who", "Sam\x1b[2J\u202e")
    assert "by Sam [2J\n" in run("pack", plan, "TX01").messages


def test_what_another_recorded_meanwhile_is_told_and_the_rest_goes_on(
    run: Run, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = Job.record

    def beaten(job: Job, item: str, kind: str, **facts: object) -> object:
        if item == "TX01":
            raise Stale(Draft("", "", item, 0, {}), None)
        return record(job, item, kind, **facts)

    monkeypatch.setattr(Job, "record", beaten)
    said = run("pack", plan, "TX01", "RX=1")
    assert (said.status, said.answer) == (1, "[x] RX=1 packed: 1\n")
    assert said.messages.startswith("kitprep: TX01 ")


# ---- the line check


def test_the_questions_are_listed_with_their_answers(run: Run, plan: Path) -> None:
    said = run("confirm", plan)
    assert said.status == 0
    mode = next(line for line in said.answer.splitlines() if ":mode " in line)
    assert mode.startswith("12A:ines:recorder:mode  Read RX=1, ines")
    assert mode.endswith("[mono | stereo | did not check]  open")


def test_an_answer_is_compared_and_a_wrong_one_names_its_causes(run: Run, plan: Path) -> None:
    assert run("confirm", plan, "12A:ines:recorder:mode=mono").answer == (
        "12A:ines:recorder:mode: as planned\n"
    )
    said = run("confirm", plan, "12a:ines:recorder:mode=Stereo")
    assert said.status == 1
    assert said.answer.splitlines()[0] == ("12a:ines:recorder:mode: differs: stereo, planned mono")
    assert said.answer.splitlines()[1].startswith("    perhaps ")


def test_not_looking_is_an_answer_and_never_a_pass(run: Run, plan: Path) -> None:
    said = run("confirm", plan, "12A:ines:recorder:mode=did not check")
    assert said.answer == "12A:ines:recorder:mode: unverified\n"
    assert status(run, plan)["line_check"]["as_planned"] == 0
    assert status(run, plan)["line_check"]["unverified"] == 1


@pytest.mark.parametrize("thing", ["12A:ines:recorder:mode", "12A:ines:recorder:mode=quad", "x=1"])
def test_what_is_no_answer_is_said_and_not_recorded(run: Run, plan: Path, thing: str) -> None:
    said = run("confirm", plan, thing)
    assert (said.status, said.answer) == (2, "")
    assert said.messages.startswith("kitprep: ")
    assert status(run, plan)["stage"] == "planned"


# ---- the wrap


@pytest.fixture
def packed(run: Run, plan: Path) -> Path:
    """The plan, with all of its list packed and gone out."""
    assert run("pack", plan, *PACK).status == 0
    gone_out(plan)
    return plan


def test_everything_that_comes_back_settles_the_wrap(run: Run, packed: Path) -> None:
    said = run("back", packed, *BACK, *CARDS)
    assert said == Said(
        0,
        "[x] TX01 back\n[x] RX=1 back\n[x] cells:FR6 back\n[~] cards:mini-sd back\n"
        "[x] cards:mini-sd copied\n[x] cards:mini-sd verified\n[x] cards:mini-sd formatted\n",
        "",
    )
    document = status(run, packed)
    assert document["wrap"]["may_close"] is True
    assert document["open"] == []
    assert run("status", packed).status == 0


@pytest.mark.parametrize(
    ("thing", "told"),
    [
        ("tx01=wet", "[x] TX01 look at"),
        ("SN-1=not seen", "[x] TX01 not seen"),
        ("cells:FR6=spent:4", "[~] cells:FR6 part, -2"),
        ("cells:FR6=fresh:2,spent:5", "[~] cells:FR6 surplus, +1"),
        ("cards:mini-sd=not seen:1", "[x] cards:mini-sd not seen"),
    ],
)
def test_each_outcome_is_told(run: Run, packed: Path, thing: str, told: str) -> None:
    assert run("back", packed, thing) == Said(0, f"{told}\n", "")


def test_what_stays_with_someone_needs_a_name(run: Run, packed: Path) -> None:
    said = run("back", packed, "TX01=with")
    assert said == Said(2, "", "kitprep: TX01 is with somebody; write --holder NAME\n")
    assert run("back", packed, "TX01=with", "--holder", "Ines").answer == "[x] TX01 with\n"
    still_out = status(run, packed)["wrap"]["still_out"]
    assert still_out == ["TX01", "RX=1", "cells:FR6", "cards:mini-sd"]


@pytest.mark.parametrize(
    ("thing", "why"),
    [
        ("TX02", '"TX02" did not go out on this job'),
        ("TX01=lost", 'TX01 cannot be "lost"; write one of: back, with, not seen, '),
        ("cells:FR6", "cells:FR6 is counted; write cells:FR6=fresh:1,part-used:1, of: fresh, "),
        ("cells:FR6=back:6", "cells:FR6 is counted; write"),
        ("cards:mini-sd=copied", "cards:mini-sd: say first how many are back, then that they are"),
        ("TX01=copied", "TX01: only cards are copied, verified, formatted"),
    ],
)
def test_what_cannot_have_become_of_a_thing_is_said(
    run: Run, packed: Path, thing: str, why: str
) -> None:
    said = run("back", packed, thing)
    assert (said.status, said.answer) == (2, "")
    assert said.messages.startswith(f"kitprep: {why}")


def test_cards_that_are_back_go_through_their_steps_in_order(run: Run, packed: Path) -> None:
    assert run("back", packed, "cards:mini-sd=1").status == 0
    said = run("back", packed, "cards:mini-sd=formatted")
    assert (said.status, said.answer) == (2, "")
    assert said.messages == (
        "kitprep: cards:mini-sd: cards are copied, then verified, then formatted; next is copied; "
        "write cards:mini-sd=copied\n"
    )


# ---- a whole demo day, each command a program of its own


def test_a_demo_day_from_list_to_wrap(shell: Run) -> None:
    plan = demo_plan(1)
    listed = json.loads(shell("list", plan, "--format", "json").answer)
    assert listed["complete"] is False
    lines = {line["key"]: line["qty"] for line in listed["lines"]}
    tagged = [key for key in lines if ":" not in key]
    assert len(tagged) == 11  # 7 transmitters, 3 receivers, 1 adapter: worked out by hand

    counted = [f"{key}={qty}" for key, qty in lines.items() if ":" in key]
    said = shell("pack", plan, "-", *counted, stdin="\n".join(tagged).encode())
    assert (said.status, said.messages) == (0, "")
    assert said.answer.count("[x]") == len(lines)
    said = shell("status", plan, "--json")
    assert said.status == 1  # all is in, and nothing was looked at yet
    left = json.loads(said.answer)["open"]
    assert [(line["key"], line["state"]) for line in left] == [(t, "not read") for t in tagged]
    assert shell("status", plan).answer.startswith(
        f"foxes-a 2027-03-14: packing\n  pack        {len(lines)} of {len(lines)} packed, 0 left"
    )

    assert shell("confirm", plan, "12A:ines:recorder:tap=2").answer.endswith(": as planned\n")

    gone_out(plan)
    back = [
        f"{key}={'spent' if key.startswith('cells:') else 'back'}:{qty}"
        for key, qty in lines.items()
        if ":" in key
    ]
    assert shell("back", plan, *tagged[1:], *back, *CARDS).status == 0
    said = shell("status", plan, "--json")
    assert said.status == 1
    assert [key for key in _open(said) if not key.startswith("check:")] == tagged[:1]
    assert shell("back", plan, tagged[0]).status == 0
    said = shell("status", plan, "--json")
    assert all(key.startswith("check:") for key in _open(said))
    assert json.loads(said.answer)["wrap"]["may_close"] is True


def _open(said: Said) -> list[str]:
    """What is open, by what status says."""
    return [line["key"] for line in json.loads(said.answer)["open"]]


# ---- what was read on a unit, and the job's stages


def test_what_was_read_on_a_unit_is_kept_with_its_tick(run: Run, plan: Path) -> None:
    done = run("pack", plan, "TX01", "--saw", "power=yes", "--saw", "cells=3.1")
    assert done.status == 0
    kinds = [line for line in run("ledger", "export").answer.splitlines() if '"checked"' in line]
    assert len(kinds) == 2


def test_a_unit_that_cannot_go_is_not_ticked(run: Run, plan: Path) -> None:
    done = run("pack", plan, "TX01", "--saw", "power=no")
    assert (done.status, done.answer) == (2, "")
    assert "TX01 is not ticked" in done.messages
    assert status(run, plan)["pack"]["packed"] == 0


def test_a_check_that_a_unit_does_not_have_names_those_it_has(run: Run, plan: Path) -> None:
    done = run("pack", plan, "TX01", "--saw", "colour=red")
    assert done.status == 2
    assert "power=…" in done.messages


def test_a_job_is_not_called_packed_while_a_line_is_open(run: Run, plan: Path) -> None:
    run("pack", plan, "TX01")
    done = run("stage", plan, "packed")
    assert done.status == 1
    assert "TX01" in done.messages, "ticked, but not looked at"
