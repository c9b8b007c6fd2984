"""What cannot be said of the job as it stands is refused, with the way on; nothing is recorded."""

from datetime import datetime
from pathlib import Path

import pytest
from cli_running import Run, Said, gone_out

TOO_SOON = "kitprep: TX01: the kit has not gone out, the job is packing; say first that it is out\n"


def test_nothing_is_back_before_it_is_out_and_the_rest_is_still_looked_at(
    run: Run, plan: Path
) -> None:
    run("pack", plan, "TX01")
    said = run("back", plan, "TX01", "TX99")
    assert (said.status, said.answer) == (2, "")
    assert said.messages == f'{TOO_SOON}kitprep: "TX99" did not go out on this job\n'


def test_what_is_packed_is_not_left_out(run: Run, plan: Path) -> None:
    run("pack", plan, "RX=1")
    said = run("pack", plan, "cells:FR6=6", "--leave-out", "lent")
    assert said.answer == "[-] cells:FR6 left out: lent\n"
    run("pack", plan, "cells:FR6=6")
    assert run("pack", plan, "cells:FR6", "--leave-out", "lent") == Said(
        2, "", "kitprep: cells:FR6 is packed; take it out first, then leave it out\n"
    )
    assert "[x] RX=1" in run("list", plan).answer


def test_what_joins_twice_in_one_call_is_counted_together(run: Run, plan: Path) -> None:
    gone_out(plan)
    said = run("add", plan, "cells:FR6=1", "CELLS:FR6=2")
    assert said == Said(0, "[+] cells:FR6 added: 3, 3 out\n", "")


def test_a_tag_with_an_equals_sign_comes_back_and_is_cleared(run: Run, plan: Path) -> None:
    run("pack", plan, "RX=1")
    gone_out(plan)
    assert run("back", plan, "RX=1").answer == "[x] RX=1 back\n"
    assert run("back", plan, "RX=1=wet").answer == "[x] RX=1 look at\n"
    assert run("clear", plan, "rx=1").answer == "RX=1 can be planned with again\n"


def test_a_tag_with_an_equals_sign_that_is_not_on_the_list_is_looked_up_whole(
    run: Run, plan: Path
) -> None:
    """RX=2 stands beside RX=1 in the kit and is not needed today."""
    kit = plan.with_name("kit.toml")
    more = kit.read_text("utf-8").replace(
        'tag = "RX=1"', 'tag = "RX=1"\n  [[receiver.unit]]\n  tag = "RX=2"'
    )
    kit.write_text(more, "utf-8")
    said = run("pack", plan, "RX=2")
    assert said == Said(2, "", "kitprep: RX=2 (Receiver) is not needed today\n")


@pytest.mark.parametrize("number", ["9" * 5000, "100001"])
def test_no_number_is_too_long_to_be_refused(run: Run, plan: Path, number: str) -> None:
    run("pack", plan, "cells:FR6=6", "TX01")
    assert run("hand", plan, f"cells:FR6={number}", "--to", "Ines").status == 2
    assert run("pack", plan, f"cells:FR6={number}").status == 2
    gone_out(plan)
    assert run("back", plan, f"cells:FR6=fresh:{number}").status == 2
    assert run("add", plan, f"cells:FR6={number}").status == 2


def test_before_the_day_no_time_of_it_is_told(
    run: Run, plan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kitprep.job.local_now", lambda: datetime(2026, 11, 25, 10))
    assert run("standby", plan).answer.startswith("0 should be asleep, 0 are\n")
    assert run("standby", plan, "--at", "07:00").answer.startswith("07:00 0 should be asleep")
    said = run("standby", plan, "TX01")
    assert (said.status, said.answer) == (2, "")
    assert "take the time of that day as --at" in said.messages
