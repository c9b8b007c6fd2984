"""A unit fails while out: what is offered says where it is, and moving others is asked."""

from collections.abc import Callable
from pathlib import Path

from job.test_on_set import gone_out, only_one_can_be_moved
from job.world import World, served

from kitprep.job import Job

from .conftest import Opener


async def test_what_is_not_in_the_bag_says_so_before_it_is_taken(
    seat: Opener, job: Callable[..., Job]
) -> None:
    async with seat("check", of=gone_out(job())) as at:
        await at.press("ctrl+r", "1")
        await at.until(lambda: "What stands in for TX01" in at.asked, "the choice")
        await at.press("1")
        await at.until(lambda: "Take it?" in at.asked, "the difference")
        assert "TX03 for TX01: not in the bag: at base, Transmitter pouch; nothing" in at.asked
        await at.press("1")
        state = at.app.job.state.item("TX03")
        assert (state.packed, state.added) == (1, 1)


async def test_where_moving_others_serves_more_it_is_asked(
    seat: Opener, tmp_path: Path, url: str
) -> None:
    world = World(tmp_path, url)
    plan = only_one_can_be_moved(world)
    plan.write_text(
        plan.read_text("utf-8").replace('form = "bodypack"\nconnector = "TA3"', CAST), "utf-8"
    )
    out = gone_out(world.job("Ana", plan))
    before = served(out)
    lost = before["mix"][0]
    async with seat("check", of=out) as at:
        line = next(x for x in at.screen.lines if x.link.source == "mix")  # type: ignore[attr-defined]
        at.screen.rows.go_to(line.key)
        await at.settle()
        await at.press("ctrl+r", "1")
        await at.until(lambda: f"No single unit here can stand in for {lost}" in at.asked, "none")
        await at.press("1")
        await at.until(lambda: "Move them?" in at.asked, "the offer")
        assert "served now: mix to recorder in 1" in at.asked
        assert "mix" not in served(at.app.job)
        await at.press("1")
        assert "mix" in served(at.app.job)
    world.close()


CAST = 'form = "bodypack"\nconnector = "TA3"\npriority = 3'


async def test_the_question_of_moving_others_keeps_its_keys_until_it_is_answered_or_left(
    seat: Opener, tmp_path: Path, url: str
) -> None:
    """It belongs to the job: no line's question comes in between, whatever line is marked."""
    world = World(tmp_path, url)
    plan = only_one_can_be_moved(world)
    text = plan.read_text("utf-8")
    plan.write_text(text.replace('form = "bodypack"\nconnector = "TA3"', CAST), "utf-8")
    kit = world.folder / "kit.toml"
    words = kit.read_text("utf-8").replace('model = "big"', 'model = "big"\nimage = "main"')
    kit.write_text('firmware = { main = "5.2" }\n' + words, "utf-8")
    out = gone_out(world.job("Ana", plan))
    async with seat("check", of=out) as at:
        line = next(x for x in at.screen.lines if x.link.source == "mix")  # type: ignore[attr-defined]
        at.screen.rows.go_to(line.key)
        await at.settle()
        await at.press("ctrl+r", "1")
        await at.until(lambda: "Work the day out without it?" in at.asked, "none")
        await at.press("1")
        await at.until(lambda: "Move them?" in at.asked, "the offer")
        for key in ("down", "pagedown", "up", "ctrl+r", "ctrl+n", "right", "left"):
            await at.press(key)
            assert "Move them?" in at.asked, key
        await at.burst("TX20\r")
        assert "Move them?" in at.asked
        await at.go("log")
        await at.go("check")
        assert "Move them?" in at.asked
        assert at.walk.prompt.field.value == ""
        await at.press("escape")
        assert "Move them?" not in at.asked
        assert "mix" not in served(at.app.job)
        # Now a line's own question has the keys again.
        assert "which adapter is on it?" in at.asked
        await at.press("n")
        assert "adapter: as planned, none" in at.said
        # What was left can be asked for again, and is done only when it is said.
        await at.press("ctrl+a")
        await at.until(lambda: "Move them?" in at.asked, "the offer again")
        await at.press("2")
        assert "Nobody is moved" in at.said
        await at.press("ctrl+a")
        await at.until(lambda: "Move them?" in at.asked, "the offer again")
        await at.press("1")
        assert "mix" in served(at.app.job)
        await at.press("ctrl+a")
        assert "To choose anew among what is in the bag serves no more" in at.said
    world.close()


async def test_a_unit_taken_off_the_plan_is_put_on_it_again(
    seat: Opener, job: Callable[..., Job]
) -> None:
    out = gone_out(job(2))
    before = served(out)
    async with seat("check", of=out) as at:
        await at.press("ctrl+e")
        assert "No unit was taken off the plan" in at.said
        line = next(x for x in at.screen.lines if x.link.transmitter == "TX01")  # type: ignore[attr-defined]
        at.screen.rows.go_to(line.key)
        await at.settle()
        await at.press("ctrl+r", "1")
        await at.until(lambda: "Work the day out without it?" in at.asked, "none")
        assert (
            "TX02 (Oda), TX03 (Harbour loudspeaker, line feed), TX04 (Brenna): in use" in at.asked
        )
        assert "TX06: in repair" in at.asked
        await at.press("1")
        await at.until(lambda: at.app.job.state.withdrawn, "off the plan")
        await at.settle()
        if "Move them?" in at.asked:
            await at.press("escape")
        assert "ines" not in served(at.app.job)
        assert "not served: Ines to Recorder on the cart (" in at.text.replace("\n", " ")
        await at.press("ctrl+e")
        assert "TX01 was taken off the plan. Is it planned with again?" in at.asked
        await at.press("1")
        assert "TX01 is on the plan again" in at.said
        assert served(at.app.job) == before


async def test_of_several_units_off_the_plan_one_is_chosen(
    seat: Opener, job: Callable[..., Job]
) -> None:
    out = gone_out(job(1))
    for tag in ("TX11", "TX02"):
        out.record(tag, "withdrawn", withdrawn=True, reason="dead")
    async with seat("check", of=out) as at:
        await at.press("ctrl+e")
        assert "Which of these is planned with again?" in at.asked
        await at.press("2")
        assert at.app.job.state.withdrawn == {"TX02"}
