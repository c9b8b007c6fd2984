"""Once the kit is out, a failure changes what it touches and nothing else, out of what is there."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitprep.bundled import demo_plan
from kitprep.cli import main
from kitprep.job import Job
from kitprep.planning.results import Firmware
from kitprep.walks.pack import pack_view
from kitprep.walks.wrap import wrap_view

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
        "TX21 not in the bag; kitprep add takes in what is fetched"
    )


def test_a_link_that_something_at_base_would_mend_is_not_said_to_be_past_mending(
    world: World, out: Job, capsys: pytest.CaptureFixture[str]
) -> None:
    """TX10 is at base. Until it is added it stands in for nobody, and the way there is told."""
    plan, url = str(world.plan()), ["--ledger", world.url]
    out.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    assert main(["needs", plan, *url]) == 1
    text = " ".join(capsys.readouterr().out.split())
    assert (
        "nothing in the bag mends marek to recorder in scenes 1, 3, but what is at base was not "
        "tried; kitprep add takes in what is fetched"
    ) in text
    assert "nothing that was tried with this kit" not in text
    assert main(["swap", plan, "TX2", "--by", "TX10", *url]) == 2
    assert capsys.readouterr().err == (
        "kitprep: TX2 is off the plan, and nothing stands in for it; kitprep add takes in what is "
        "fetched, and --by TX2 plans with TX2 again\n"
    )
    assert main(["add", plan, "TX10", *url]) == 0
    assert main(["needs", plan, *url]) == 0
    capsys.readouterr()
    assert main(["swap", plan, "TX2", "--by", "TX2", *url]) == 0
    assert capsys.readouterr().out == (
        "TX2 can be planned with again; as the day stands nothing needs it\n"
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
    job.record("TX21", "handed", holder="Costume")
    assert job.where("TX21") == "with Costume"
    job.record("TX21", "taken back")
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
        "recorder in 1; kitprep replan PLAN --take does that\n"
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


# ---- what did not go


def test_what_was_left_out_is_not_planned_with_once_the_rest_is_out(world: World) -> None:
    """TX1, on ines, stays at home; TX20, taken along as a spare, takes its place by itself."""
    job = world.job("Ana")
    job.record("TX20", "spare", taken=True)
    before = served(job)
    packed(job, *(line.key for line in job.worked.packing if line.key != "TX1"))
    job.record("TX1", "skipped", reason="switch broken")
    job.advance("packed")
    assert served(job)["ines"][0] == "TX1"  # until it goes there is time to find it
    job.advance("out")
    assert served(job) == {**before, "ines": ("TX20", *before["ines"][1:])}
    assert "TX1" not in job.substitutes("TX20")


def test_what_was_left_out_and_brought_later_serves_again(
    world: World, capsys: pytest.CaptureFixture[str]
) -> None:
    job = world.job("Ana")
    before = served(job)
    packed(job, *(line.key for line in job.worked.packing if line.key != "TX1"))
    job.record("TX1", "skipped", reason="not found")
    job.advance("packed")
    job.advance("out")
    assert "ines" not in served(job)
    (why,) = {u.reason for needs in job.worked.scenes for u in needs.unserved}
    assert why == (
        "the 2 transmitters that would do are with marek, mix; not counted on: TX1 left out at "
        "packing, not found; TX10 not in the bag; TX20 not in the bag; TX21 not in the bag; "
        "kitprep add takes in what is fetched"
    )
    assert main(["swap", str(world.plan()), "TX1", "--ledger", world.url]) == 2
    assert capsys.readouterr().err == (
        "kitprep: TX1 was left out at packing (not found) and is off the plan; kitprep add takes "
        "in what is fetched, it or another, and it is planned with\n"
    )
    job.record("TX1", "added", qty=1)
    assert served(job) == before


# ---- the list by which it went is a record


def test_the_list_by_which_it_went_stays_whatever_is_planned_since(out: Job) -> None:
    def went() -> list[tuple[str, int, str]]:
        view = pack_view(out.worked, out.state)
        return [(i.line.key, i.line.qty, i.mark) for i in view.items]

    before = went()
    assert {mark for _, _, mark in before} == {"packed"}
    out.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    assert "TX2" not in {line.key for line in out.worked.packing}
    assert went() == before
    out.record("TX1", "swapped", by="TX10")  # fetched, so it is added while out
    out.record("TX21", "added", qty=1)
    out.record("cells:CR123A", "added", qty=2)
    assert went() == before
    assert {"TX10", "TX21"} <= {i.line.key for i in wrap_view(out.worked, out.state).items}


def test_the_record_is_read_back_by_whoever_opens_the_job(world: World, out: Job) -> None:
    out.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    again = world.job("Noor")
    assert again.state.out == out.state.out
    assert pack_view(again.worked, again.state) == pack_view(out.worked, out.state)


def test_a_kit_that_is_packed_again_is_planned_again(world: World) -> None:
    job = gone_out(world.job("Ana"))
    job.record("job", "stage", stage="packing", note="it came back")
    job.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    keys = {item.line.key for item in pack_view(job.worked, job.state).items}
    assert keys == {line.key for line in job.worked.packing}
    assert "TX2" not in keys


# ---- why nothing stands in


def test_why_nothing_can_stand_in_is_said_of_each_unit_of_the_kind(world: World) -> None:
    kit = world.folder / "kit.toml"
    text = kit.read_text("utf-8")
    text = text.replace("tuning_mhz = [[518.0, 572.0]]", "tuning_mhz = [[470.0, 572.0]]", 1)
    text = text.replace('{ tag = "TX3" }', '{ tag = "TX3", tuning_mhz = [[470.0, 500.0]] }')
    text = text.replace('{ tag = "TX20" }', '{ tag = "TX20", state = "repair" }')
    kit.write_text(text, "utf-8")
    plan = world.plan(scenes=[("1", "", "09:00", "10:00", "ines marek mix")])
    plan.write_text(
        plan.read_text("utf-8").replace('form = "bodypack"', 'form = "bodypack"\nmodel = "slim"'),
        "utf-8",
    )
    job = world.job("Ana", plan)
    assert {x.transmitter for x in job.worked.links} == {"TX1", "TX2", "TX10"}
    assert job.substitutes("TX1") == ()
    assert job.why_none("TX1") == (
        "TX2 (marek), TX10 (mix): in use at those hours",
        "TX3: tunes 470 to 500 MHz, and RX1 hears 518 to 572 MHz",
        "TX21: of another model, ines takes a slim only",
        "TX20: in repair",
    )
    job.record("TX2", "withdrawn", withdrawn=True, reason="dead")
    assert "TX2: failed, or off the plan" in job.why_none("TX1")


def test_why_no_adapter_and_no_receiver_stand_in(world: World) -> None:
    text = (world.folder / "kit.toml").read_text("utf-8")
    text = text.replace(', { tag = "RX2" }', "") + (
        '[[adapter]]\nmodel = "line"\nfits = ["slim"]\nconnector = "XLR3"\nqty = 1\n'
        '[[receiver]]\nmodel = "small"\nname = "Small"\nsystem = "d1"\n'
        "tuning_mhz = [[518.0, 572.0]]\n"
        'modules = 2\nmodes = ["mono"]\noutputs = [{ connector = "XLR3" }]\n'
        'power = [{ dc_v = [10.0, 18.0], watts = 2.0 }]\nunit = [{ tag = "RX9" }]\n'
    )
    (world.folder / "kit.toml").write_text(text, "utf-8")
    job = world.job("Ana")
    job.record("AD2", "withdrawn", withdrawn=True, reason="bent pin")
    assert job.why_none("AD1") == ("AD2: failed, or off the plan", "line#1: no stereo for mix")
    assert job.why_none("RX1") == ("RX9: does not take stereo, as mix is",)


# ---- what was read


def test_a_version_that_was_read_goes_before_what_the_kit_says(world: World) -> None:
    kit = world.folder / "kit.toml"
    text = kit.read_text("utf-8").replace('form = "bodypack"', 'form = "bodypack"\nimage = "main"')
    text = text.replace('{ tag = "TX2" }', '{ tag = "TX2", firmware = "5.2" }')
    kit.write_text('firmware = { main = "5.2" }\n' + text, "utf-8")
    job = world.job("Ana")

    def to_do() -> list[tuple[str, str]]:
        (image,) = job.worked.firmware or (Firmware("main", "5.2", ()),)
        read = {seen.unit: seen.version for seen in image.read}
        return [(tag, read.get(tag, "")) for tag in image.units]

    assert to_do() == [("TX1", ""), ("TX3", "")]
    assert "firmware, to be read at switch-on: TX1, TX3" in job.worked.unknown
    job.record("TX1", "checked", check="firmware", value="v5.2")
    job.record("TX2", "checked", check="firmware", value="5.0")
    job.record("TX3", "checked", check="firmware", value="did not check")
    assert to_do() == [("TX2", "5.0"), ("TX3", "")]
    (image,) = job.worked.firmware
    assert image.read[0].at == job.state.item("TX2").at
    assert world.job("Noor").worked == job.worked
