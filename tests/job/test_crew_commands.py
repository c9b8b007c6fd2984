"""The commands for while the job is out, in the words that a person types."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from kitprep.cli import main

from .world import World, back, packed


class Said(NamedTuple):
    """How a command ended, and what it wrote where."""

    status: int
    answer: str
    messages: str


Run = Callable[..., Said]


@pytest.fixture
def run(
    file_world: World, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Runs a command on the usual day."""
    monkeypatch.setenv("KITPREP_LEDGER", file_world.url)
    monkeypatch.setenv("KITPREP_WHO", "Noor")
    plan = file_world.plan()

    def run(command: str, *words: object) -> Said:
        try:
            status = main([command, str(plan), *map(str, words)])
        except SystemExit as ended:
            status = int(ended.code or 0)
        return Said(status, *capsys.readouterr())

    return run


@pytest.fixture
def out(file_world: World) -> None:
    """All is packed and has gone out."""
    job = file_world.job("Ana")
    packed(job)
    job.advance("out")


def wrong(said: Said) -> str:
    """What was wrong, and that nothing was answered."""
    assert (said.status, said.answer) == (2, "")
    return said.messages.removeprefix("kitprep: ").rstrip("\n")


# ---- hand and take


@pytest.mark.usefixtures("out")
def test_things_are_handed_over_listed_and_taken_back(run: Run) -> None:
    said = run("hand", "tx1", " TX2 ", "--to", " Ines\x1b[2J ")
    assert said.status == 0
    assert said.answer.splitlines()[0].startswith("Ines [2J: TX1 Slim pack, since 20")
    assert run("hand").answer.count("Ines [2J: ") == 2
    assert run("take", "TX1", "tx2") == Said(0, "taken back: TX1, TX2\n", "")
    assert run("hand").answer == ""


@pytest.mark.usefixtures("out")
def test_what_goes_by_number_is_handed_out_and_taken_back_in_parts(run: Run) -> None:
    # Two packs of the bag supply are out.
    assert run("hand", "supply:bag=1", "--to", "B unit").answer.startswith(
        "B unit: 1 supply:bag bag, since 20"
    )
    assert wrong(run("hand", "supply:bag=2", "--to", "Costume")) == (
        "supply:bag: 1 of 2 are here, 1 with B unit; kitprep take first"
    )
    # Without a number: all that are here, and nobody else's.
    said = run("hand", "supply:bag", "--to", "Costume").answer
    assert "B unit: 1 supply:bag bag" in said
    assert "Costume: 1 supply:bag bag" in said
    assert wrong(run("take", "supply:bag=1")) == (
        "supply:bag: with B unit, Costume; write --from NAME"
    )
    assert wrong(run("take", "supply:bag=2", "--from", "costume")) == (
        "supply:bag: Costume has 1 of them"
    )
    assert run("take", "supply:bag=1", "--from", "b unit").status == 0
    assert run("hand").answer.count("supply:bag") == 1
    assert run("take", "supply:bag").status == 0
    assert run("hand").answer == ""


@pytest.mark.usefixtures("out")
def test_a_pack_that_goes_to_another_than_planned_is_said(run: Run) -> None:
    said = run("hand", "TX1", "--to", "Marek")
    assert said.status == 0
    assert said.messages == (
        "kitprep: TX1 is planned for ines and goes to Marek: two would be swapped\n"
    )
    said = run("hand", "TX1", "--to", "Ines")
    assert said.messages == "kitprep: TX1 was with Marek\n"
    assert run("hand", "TX2", "--to", "Costume").messages == ""
    assert "two would be swapped" in run("hand", "TX2", "--to", "ines").messages


@pytest.mark.usefixtures("out")
def test_what_joins_while_out_is_in_the_balance(run: Run) -> None:
    assert run("add", "tx10", "cells:CR123A=2", "--note", "from the truck") == Said(
        0, "[+] TX10 added: 1, 1 out\n[+] cells:CR123A added: 2, 10 out\n", ""
    )
    assert "TX10 is out already" in wrong(run("add", "TX10"))
    # 8 packed + 2 added: all must be accounted for.
    assert run("back", "cells:CR123A=spent:8").answer == "[~] cells:CR123A part, -2\n"
    assert run("back", "cells:CR123A=spent:8,fresh:2").answer == "[x] cells:CR123A back\n"
    assert run("back", "TX10").answer == "[x] TX10 back\n"
    report = run("report").answer
    assert "cells:CR123A  CR123A cells: out 8 + 2 added [" in report


@pytest.mark.usefixtures("out")
@pytest.mark.parametrize(
    ("word", "why"),
    [
        ("TX1", "TX1 is out already"),
        (
            "item:lamp=2",
            "item:lamp=2 is no tag of this kit, nor a KEY=NUMBER of what goes by "
            "number, as cells:CR123A=2",
        ),
        (
            "cells:CR123A=some",
            "cells:CR123A goes by number; write how many joined, as in cells:CR123A=2",
        ),
    ],
)
def test_what_cannot_join_is_said(run: Run, word: str, why: str) -> None:
    assert wrong(run("add", word)) == why


@pytest.mark.usefixtures("out")
def test_what_was_swapped_out_can_be_taken_back(run: Run) -> None:
    run("hand", "TX1", "--to", "Ines")
    run("swap", "TX1", "--by", "TX10")
    assert run("take", "TX1").status == 0


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (
            ("add", "TX10"),
            "the job is planned and not out; what goes out with it is packed",
        ),
        (("hand", "TX1"), "to whom, or to what? write --to NAME"),
        (("hand", "--to", "Ines"), "what? write its TAG"),
        (("hand", "TX1", "--to", " "), "to whom, or to what? write --to NAME"),
        (("hand", "TX99", "--to", "Ines"), '"TX99" is not on this job\'s list'),
        (
            ("hand", "TX1", "--to", "Ines"),
            "TX1: not packed yet; pack it first, then hand it over",
        ),
        (("take", "TX1"), "TX1: with nobody; kitprep hand lists who has what"),
        (("cells", "RX1"), "RX1: takes no cells today; the power list says what does"),
        (("swap", "TX1", "--by", "RX2"), '"RX2" cannot stand in for TX1; TX10, TX20, TX21 can'),
        (("swap", "RX2", "--nothing"), '"RX2" is not on this job\'s list'),
        (
            ("swap", "cells:CR123A", "--nothing"),
            "cells:CR123A serves nothing today; leave it out with kitprep pack --leave-out",
        ),
        (
            ("clear", "TX1"),
            '"TX1" did not come back as anything that would have to be put right',
        ),
    ],
)
def test_what_cannot_be_done_is_said_and_not_recorded(
    file_world: World, run: Run, words: tuple[str, ...], why: str
) -> None:
    assert wrong(run(*words)) == why
    assert file_world.log(file_world.job()) == []


# ---- cells


@pytest.mark.usefixtures("out")
def test_the_round_says_what_is_due_and_takes_what_was_done(run: Run) -> None:
    # See test_out.py for the arithmetic: TX1 by 11:00 and by 14:00, TX2 by 11:42 and by 14:00.
    said = run("cells", "--at", "11:01")
    assert said.status == 1
    assert said.answer.splitlines() == [
        "overdue   TX1      CR123A   0 of 2 made  before scene 2 by 11:00, else dead at 11:42 in "
        "scene 2",
        "later     TX2      CR123A   0 of 2 made  before scene 3 by 11:42",
        "none left TX3      CR123A   0 of 0 made",
        # 20 W on 98 Wh x 0.8: 235 minutes from 09:00 on.
        "later     supply:bag  fresh pack before scene 3 by 12:55: RX1 goes off, and its lines are "
        "asked again",
    ]
    said = run("cells", "tx1", "--at", "11:01")
    assert said.status == 0
    assert "later     TX1      CR123A   1 of 2 made  before scene 3 by 14:00" in said.answer


@pytest.mark.usefixtures("out")
def test_the_time_given_is_when_a_set_went_in(run: Run) -> None:
    # 192 minutes from 10:05, whatever the clock says now.
    said = run("cells", "TX1", "--at", "10:05")
    assert "TX1      CR123A   1 of 2 made  before scene 3 by 13:17\n" in said.answer
    assert "TX1      CR123A   1 of 2 made  before scene 3 by 13:17\n" in run("cells").answer


@pytest.mark.usefixtures("out")
def test_a_pack_of_a_supply_is_changed_like_a_set(run: Run) -> None:
    said = run("cells", "supply:bag", "--at", "11:10")
    assert "none left supply:bag  RX1: the pack lasts the day\n" in said.answer
    assert "supply:house" not in said.answer


@pytest.mark.usefixtures("out")
@pytest.mark.parametrize(("at", "status"), [("24:00", 1), ("25:30", 1), ("08:00", 0)])
def test_a_time_past_midnight_is_a_time_of_the_day(run: Run, at: str, status: int) -> None:
    assert run("cells", "--at", at).status == status


@pytest.mark.parametrize("at", ["noon", "9", "99:00"])
def test_what_is_no_time_is_said(run: Run, at: str) -> None:
    assert run("cells", "--at", at).status == 2


# ---- standby


@pytest.fixture
def sleepers(file_world: World) -> None:
    """The usual day on packs that can be put to sleep, gone out."""
    kit = file_world.folder / "kit.toml"
    kit.write_text(kit.read_text("utf-8").replace("weight_g = 62", "standby = 0.25"), "utf-8")
    job = file_world.job("Ana")
    packed(job)
    job.advance("out")


@pytest.mark.usefixtures("sleepers")
def test_packs_are_put_to_sleep_and_woken_by_count(run: Run) -> None:
    said = run("standby", "--at", "10:10")
    assert (said.status, said.answer.splitlines()[0]) == (1, "10:10 2 should be asleep, 0 are")
    said = run("standby", "--all", "--at", "10:10")
    assert said == Said(
        0, "10:10 2 should be asleep, 2 are\n  TX1      asleep\n  TX2      asleep\n", ""
    )
    said = run("standby", "tx2", "--wake", "--at", "10:20")
    assert (said.status, said.answer.splitlines()[-1]) == (1, "  TX2      awake")
    # Scene 2 is on, and TX1 is its source's; nobody has said that it was woken.
    said = run("standby", "--at", "11:10")
    assert said.answer.splitlines()[-1] == "  TX1      to wake, its signal to be seen"
    assert run("standby", "--all", "--wake", "--at", "11:10").answer.count("to wake") == 0


@pytest.mark.usefixtures("sleepers")
@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("RX1",), "RX1: no transmitter in use; only those are put to sleep"),
        (("--wake",), "which were woken? write their TAGs, or --all"),
    ],
)
def test_what_does_not_sleep_is_said(run: Run, words: tuple[str, ...], why: str) -> None:
    assert wrong(run("standby", *words)) == why


# ---- swap


@pytest.mark.usefixtures("out")
def test_a_swap_is_looked_up_made_and_taken_back(file_world: World, run: Run) -> None:
    base = "not in the bag: at base, Pouch; nothing else changes"
    able = [f"{tag}     {base}\n" for tag in ("TX10", "TX20", "TX21")]
    assert run("swap", "TX1") == Said(0, "".join(able), "")
    said = run("swap", "tx1", "--by", "tx10", "--reason", "hum\x07")
    fetched = "it was not in the bag, and is recorded as added while out"
    assert said == Said(0, f"TX10 for TX1; {fetched}; ask the lines of its scenes again\n", "")
    job = file_world.job()
    assert job.state.swaps == (("TX1", "TX10"),)
    assert next(e for e in file_world.events(job) if e.kind == "swapped").facts["reason"] == "hum"
    assert run("swap", "TX10", "--by", "TX1").status == 0
    assert file_world.job().state.swaps == ()


@pytest.mark.usefixtures("out")
def test_what_nothing_can_stand_in_for_is_planned_without(file_world: World, run: Run) -> None:
    other = file_world.job("Ben", file_world.plan("2027-03-01"))
    other.record("RX2", "packed")
    said = run("swap", "RX1")
    assert (said.status, said.answer) == (1, f"RX2: out on {other.name}\n")
    assert said.messages.startswith("kitprep: no single unit here can stand in for RX1; ")
    assert run("swap", "RX1", "--nothing", "--reason", "dead").status == 0
    assert file_world.job().state.withdrawn == {"RX1"}
    assert run("swap", "RX1") == Said(0, "RX1      on the plan again\n", "")
    assert run("swap", "RX1", "--by", "RX1").answer.startswith("RX1 is planned with again")
    assert file_world.job().state.withdrawn == frozenset()


# ---- spares


def test_spares_are_shown_taken_and_left(file_world: World, run: Run) -> None:
    assert run("spares").answer == "[ ] TX10\n[ ] AD2\n[ ] RX2\n"
    assert run("spares", "--take").answer == "[x] TX10\n[x] AD2\n[x] RX2\n"
    assert run("spares", "--take").answer == "[x] TX10\n[x] AD2\n[x] RX2\n"
    assert file_world.log(file_world.job()) == [
        f"Noor: {tag} spare" for tag in ("TX10", "AD2", "RX2")
    ]
    assert run("spares", "--leave").answer == "[ ] TX10\n[ ] AD2\n[ ] RX2\n"


# ---- clear


def test_a_unit_is_cleared_however_its_tag_is_written(file_world: World, run: Run) -> None:
    before = file_world.job("Ben", file_world.plan("2027-03-01"))
    before.record("TX1", "packed")
    back(before, "TX1", "wet")
    assert "TX1  " not in run("list").answer
    assert run("clear", "tx1", "--note", "dried") == Said(0, "TX1 can be planned with again\n", "")
    assert "TX1  " in run("list").answer


# ---- the ledger itself


@pytest.mark.usefixtures("out")
def test_the_ledger_is_verified_exported_and_restored(
    file_world: World, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["ledger", "export", "--ledger", file_world.url]) == 0
    export = tmp_path / "export.jsonl"
    export.write_text(capsys.readouterr().out, "utf-8")
    copy = f"sqlite:///{tmp_path}/copy.db"
    assert main(["ledger", "restore", str(export), "--ledger", copy]) == 0
    for url in (file_world.url, copy):
        assert main(["ledger", "verify", "--ledger", url]) == 0
    restored, first, second = capsys.readouterr().out.splitlines()
    assert restored == f"{first.split()[0]} entries restored"
    assert first == second
    assert main(["ledger", "verify", "--head", "0" * 63 + "1", "--ledger", copy]) == 2


def test_an_export_that_is_not_there_is_said(
    file_world: World, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["ledger", "restore", str(tmp_path / "none"), "--ledger", file_world.url]
    assert main(words) == 2
    assert "cannot be read: No such file or directory; name an export" in capsys.readouterr().err


@pytest.mark.parametrize("what", ["verify", "export"])
def test_a_ledger_that_is_not_there_is_said_and_not_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    place = tmp_path / "ledgr.db"
    assert main(["ledger", what, "--ledger", f"sqlite:///{place}"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == f"kitprep: there is no ledger at {place}; name the one to {what}\n"
    assert not place.exists()
