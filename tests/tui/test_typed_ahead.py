"""What is typed while an answer before it is still being recorded arrives whole, in its order."""

import asyncio

from .conftest import Opener
from .test_slow_ledger import held_by_another


async def test_a_version_typed_ahead_of_its_question_is_recorded_whole(
    seat: Opener, url: str
) -> None:
    something_else = asyncio.Event()
    async with seat("check") as at:
        await at.answer("5.2")
        for _ in range(3):
            await at.press("ctrl+n")  # the last of a source's questions offers answers still
        assert at.walk.asking is not None
        assert at.walk.asking.answers
        with held_by_another(url) as let_go:
            await at.pilot.press("0")
            at.app.in_turn(something_else.wait)
            await at.pilot.press("5")
            let_go()
        await at.until(lambda: at.app.focused is at.walk.prompt.field, "a version is to be typed")
        at.type(".2\r")
        await at.pilot.pause(0.1)
        something_else.set()
        await at.settle()
        entries = at.app.job.ledger.entries(at.app.job.name)
        assert entries[-1].body["answer"] == "5.2"
