"""Keys that come in one burst act in the order in which they were pressed, whoever they are for."""

import pytest
from textual import events

from kitprep.tui.screens.walk import Ask

from .conftest import Opener
from .seat import Seat


def at_once(at: Seat, *keys: str) -> None:
    """Keys in one burst; nothing is waited for."""
    for key in keys:
        event = events.Key(key, "\r" if key == "enter" else None)
        event.set_sender(at.app)
        at.app.post_message(event)


@pytest.mark.parametrize("downs", [1, 2, 5])
async def test_enter_takes_the_line_that_the_keys_before_it_went_to(
    seat: Opener, downs: int
) -> None:
    """Down belongs to the list and Enter to the field: neither overtakes the other."""
    async with seat("pack") as at:
        keys = [item.line.key for item in at.walk.view.items]
        at_once(at, *["down"] * downs, "enter")
        await at.settle()
        assert at.walk.asking is not None
        assert at.walk.asking.key == keys[downs]


async def test_a_key_for_the_list_after_enter_does_not_change_what_enter_took(
    seat: Opener, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Enter, then Down: the first line was taken in hand, and then the cursor went on."""
    async with seat("pack") as at:
        keys = [item.line.key for item in at.walk.view.items]
        taken, ask = [], at.walk.ask

        def seen(asked: Ask) -> None:
            taken.append(asked.key)
            ask(asked)

        monkeypatch.setattr(at.walk, "ask", seen)
        at_once(at, "enter", "down")
        await at.settle()
        assert taken[0] == keys[0]
        assert at.walk.rows.key == keys[1]
