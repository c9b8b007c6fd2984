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
        await at.until(lambda: f"No one unit here can stand in for {lost}" in at.asked, "none")
        await at.press("1")
        await at.until(lambda: "Move them?" in at.asked, "the offer")
        assert "served now: mix to recorder in 1" in at.asked
        assert "mix" not in served(at.app.job)
        await at.press("1")
        assert "mix" in served(at.app.job)
    world.close()


CAST = 'form = "bodypack"\nconnector = "TA3"\npriority = 3'
