"""Once the kit is out, a failure changes what it touches and nothing else, out of what is there."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitprep.bundled import demo_plan
from kitprep.cli import main
from kitprep.job import Job

from .world import Scene, World, packed, served

Chain = tuple[str, str | None, str, int]


def gone_out(job: Job) -> Job:
    packed(job)
    job.advance("packed")
    job.advance("out")
    return job


@pytest.fixture
def out(world: World) -> Job:
    """TX1 on ines and TX2 on marek, TX3 with AD1 on the mix, all on RX1; nothing else is there."""
    return gone_out(world.job("Ana"))


@pytest.fixture
def demo(file_world: World) -> Job:
    """Demo day 1, packed and gone out."""
    return gone_out(file_world.job("Ana", demo_plan(1)))


def by_link(job: Job) -> dict[tuple[str, str, str], Chain]:
    return {
        (x.scene, x.source, x.destination): (x.transmitter, x.adapter, x.receiver, x.module)
        for x in job.worked.links
    }


def in_use(job: Job) -> set[str]:
    return {part for chain in by_link(job).values() for part in chain if isinstance(part, str)}


# ---- what fails with nothing in its place


def test_a_receiver_that_dies_moves_nobody_and_brings_nothing_from_the_base(demo: Job) -> None:
    """RX21 is a rack of four that hears most of the day; RX02, RX03 and RX12 were never packed."""
    before, went = by_link(demo), in_use(demo)
    assert not {"RX02", "RX03", "RX12"} & went
    demo.record("RX21", "withdrawn", withdrawn=True, reason="dead")
    after = by_link(demo)
    assert in_use(demo) <= went - {"RX21"}
    # Whoever had a pack has it still; whoever was on another receiver is still on its module.
    assert all(after[link][:2] == before[link][:2] for link in after)
    elsewhere = {link: chain for link, chain in before.items() if chain[2] != "RX21"}
    assert elsewhere == {link: after[link] for link in elsewhere}


def test_a_pack_that_dies_is_replaced_by_the_spare_in_the_bag_and_by_nothing_else(
    world: World,
) -> None:
    job = world.job("Ana")
    job.record("TX20", "spare", taken=True)
    gone_out(job)
    before = served(job)
    job.record("TX1", "withdrawn", withdrawn=True, reason="dead")
    assert served(job) == {**before, "ines": ("TX20", *before["ines"][1:])}
    job.record("TX2", "withdrawn", withdrawn=True, reason="dead too")
    # TX3, TX10 and TX21 would do, and are on the mix or at base.
    assert served(job) == {s: c for s, c in served(job).items() if s != "marek"}
    (unserved,) = {u.reason for needs in job.worked.scenes for u in needs.unserved}
    assert unserved == (
        "the 2 transmitters that would do are with ines, mix; not counted on: TX10 not in the bag; "
        "TX21 not in the bag"
    )


def test_what_was_brought_since_serves_what_had_nothing_and_moves_nobody(out: Job) -> None:
    out.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    before = served(out)
    assert "marek" not in before
    out.record("TX21", "added", qty=1)
    assert served(out) == {**before, "marek": ("TX21", None, "RX1", 2)}


def test_a_unit_that_works_again_has_its_place_again(out: Job) -> None:
    before = out.worked
    out.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    out.record("TX2", "withdrawn", withdrawn=False, reason="it was the cable")
    assert out.worked == before
    # Where more has happened meanwhile it goes where it serves most: ines has three scenes.
    out.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    out.record("TX1", "withdrawn", withdrawn=True, reason="dead too")
    out.record("TX2", "withdrawn", withdrawn=False, reason="it was the cable")
    assert served(out)["ines"][0] == "TX2"
    assert "marek" not in served(out)


def test_before_it_goes_out_all_of_the_kit_is_there_to_choose_from(world: World) -> None:
    job = world.job("Ana")
    packed(job)
    job.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    assert "TX10" in in_use(job)


# ---- what stands in


def test_what_is_out_is_offered_first_and_the_rest_says_where_it_is(
    world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    job = world.job("Ana")
    job.record("TX21", "spare", taken=True)
    gone_out(job)
    assert job.substitutes("TX1") == ("TX21", "TX10", "TX20")
    assert [job.where(tag) for tag in job.substitutes("TX1")] == [
        "",
        "not in the bag: at base, Pouch",
        "not in the bag: at base, Pouch",
    ]
    assert main(["swap", str(world.plan()), "TX1", "--ledger", world.url]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "TX21     nothing else changes",
        "TX10     not in the bag: at base, Pouch; nothing else changes",
        "TX20     not in the bag: at base, Pouch; nothing else changes",
    ]


def test_what_was_fetched_is_recorded_as_added_and_not_as_packed(
    world: World, out: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["swap", str(world.plan()), "TX1", "--by", "TX10", "--ledger", world.url]
    assert main(words) == 0
    assert capsys.readouterr().out == (
        "TX10 for TX1; it was not in the bag, and is recorded as added while out; ask the lines of "
        "its scenes again\n"
    )
    out.refresh()
    assert world.log(out)[-1].endswith(": TX10 added")
    assert (out.state.item("TX10").packed, out.state.item("TX10").added) == (1, 1)


# ---- to choose anew is a choice of its own

TWO: list[Scene] = [("1", "", "09:00", "10:00", "ines marek mix")]


def only_one_can_be_moved(world: World) -> Path:
    """Of the packs that are there only the big one takes an adapter, and a cast source has it."""
    kit = world.folder / "kit.toml"
    text = kit.read_text("utf-8").replace('fits = ["slim", "big"]', 'fits = ["big"]')
    text = text.replace(', { tag = "TX2" }, { tag = "TX3" }, { tag = "TX10" }', "")
    kit.write_text(text, "utf-8")
    return world.plan(scenes=TWO)


def test_where_moving_others_would_serve_more_it_is_said_and_done_only_when_told(
    world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    """TX1 slim and TX20, TX21 big; the mix needs a big one. TX20 and TX21 have ines, or marek, and
    the mix. Where the mix's dies, the one on the cast could serve the mix: 1 link for 1, no gain;
    but the mix is a must and the cast a could, so more is served by priority."""
    plan = only_one_can_be_moved(world)
    text = plan.read_text("utf-8")
    for cast in ("ines", "marek"):
        text = text.replace(f'id = "{cast}"', f'id = "{cast}"\npriority = 3')
    plan.write_text(text, "utf-8")
    job = gone_out(world.job("Ana", plan))
    before = served(job)
    lost = before["mix"][0]
    (cast,) = {s for s in ("ines", "marek") if before[s][0] in ("TX20", "TX21")}
    words = [str(plan), "--ledger", world.url]
    assert main(["swap", words[0], lost, "--nothing", *words[1:]]) == 0
    said = capsys.readouterr().out
    assert said == (
        f"the day is worked out without {lost}, with what is in the bag; nobody else is moved\n"
        f"by moving others: not served any more: {cast} to recorder in 1; served now: mix to "
        "recorder in 1; to add: AD1; kitprep replan PLAN --take does that\n"
    )
    job.refresh()
    assert served(job) == {s: chain for s, chain in before.items() if s != "mix"}
    assert main(["replan", *words]) == 1
    assert main(["replan", *words, "--take"]) == 1
    capsys.readouterr()
    job.refresh()
    assert set(served(job)) == set(before) - {cast}
    assert main(["replan", *words]) == 1
    assert capsys.readouterr().out == "to choose anew among what is in the bag serves no more\n"
