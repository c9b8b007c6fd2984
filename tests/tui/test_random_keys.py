"""Thousands of keys at random: nothing crashes, and what is shown is what the ledger holds.

KITPREP_KEYS says how many keys in all (10 000 by default), KITPREP_SEED which.
"""

import os
import random
from pathlib import Path

import pytest
from textual import events

from kitprep.ledger.events import fold
from kitprep.tui.commands import COMMANDS, SCREENS
from kitprep.tui.screens.base import JobScreen
from kitprep.walks.pack import pack_view

from .conftest import Opener
from .seat import Seat, key_event

KEYS = int(os.environ.get("KITPREP_KEYS", "10000"))
SEED = os.environ.get("KITPREP_SEED", "foxes")
NAMES = [name for name, _, _ in SCREENS]
PAUSE_EVERY = 100

COMMAND_KEYS = sorted(
    {key for command in COMMANDS if command.id != "app.quit" for key in command.keys}
)
TYPED = list("0123456789abcdeiklmnostwx:#=-\r\r\r\r\r ")


def keys_at_random(chance: random.Random, tags: list[str], count: int) -> list[events.Key]:
    """Commands, letters, and now and then a whole tag."""
    found: list[events.Key] = []
    while len(found) < count:
        throw = chance.random()
        if throw < 0.55:
            found.append(events.Key(chance.choice(COMMAND_KEYS), None))
        elif throw < 0.9:
            found.append(key_event(chance.choice(TYPED)))
        else:
            found += [key_event(character) for character in chance.choice(tags) + "\r"]
    for event in found:
        if len(event.key) == 1 and event.character is None:
            event.character = event.key
    return found[:count]


def holds(at: Seat) -> None:
    """What is shown is the fold of what is recorded; the next tick may be on its way meanwhile."""
    now, ledger = at.app.now, at.app.job.ledger
    recorded = [entry for entry in ledger.entries(now.name) if entry.seq <= now.state.head]
    assert fold(recorded) == now.state
    if isinstance(at.app.screen, JobScreen) and at.app.screen.is_open:
        view = pack_view(now.worked, now.state)
        done = f"{view.done}/{len(view.items)}"
        title = at.app.screen.query_one("#title")
        assert done in "".join(words for words, _, _ in title.right)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", NAMES)
async def test_keys_at_random_crash_nothing_and_lose_no_tick(
    name: str, seat: Opener, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # keys at random may make a job of one's own
    chance = random.Random(f"{SEED} {name}")
    async with seat(name, day=2, size=chance.choice([(80, 24), (60, 20), (120, 40)])) as at:
        tags = [line.key for line in at.app.job.worked.packing]
        driver = at.app._driver
        assert driver is not None
        for number, event in enumerate(keys_at_random(chance, tags, KEYS // len(NAMES) + 1), 1):
            event.set_sender(at.app)
            driver.send_message(event)
            if number % PAUSE_EVERY == 0:
                await at.settle()
                holds(at)
                assert at.app.is_running
            if number % 200 == 0 and isinstance(at.app.screen, JobScreen):
                at.app.action_go(name)
        await at.settle()
        await at.app.workers.wait_for_complete()
        await at.settle()
        holds(at)
