"""``serve``: the screens in a browser."""

import asyncio
import contextlib
import os
import signal
from argparse import Namespace
from collections.abc import Coroutine

from kitprep.cli import BAD, DONE, answer, say

HOME = "127.0.0.1"


def run_serve(given: Namespace) -> int:
    """Serves the screens until Ctrl+C."""
    try:
        from kitprep.serve.guard import is_loopback
        from kitprep.serve.server import screens, serve
    except ModuleNotFoundError as missing:
        if (missing.name or "").split(".")[0] not in ("aiohttp", "textual_serve"):
            raise
        say("kitprep: serve needs the extra: pip install 'kitprep[web]'")
        return BAD
    from kitprep.definitions.loading import load_day
    from kitprep.job import user_name
    from kitprep.ledger.place import default_url
    from kitprep.ledger.store import Ledger

    address = given.address or HOME
    if not is_loopback(address) and not given.yes_others_can_reach_it:
        say(_others(address))
        return BAD
    day, who, ledger = load_day(given.plan), given.who or user_name(), given.ledger or default_url()
    Ledger.open(ledger).close()  # what is wrong is told here, not behind a page
    title = f"kitprep: {day.plan.title or day.plan.day.isoformat()}"

    def ready(url: str) -> None:
        answer(f"{url}\n")
        say(
            f"Open that address in a browser. Whoever has it reads this job and ticks as {who}.",
            "Ctrl+C ends it; every tick is stored.",
        )
        if not is_loopback(address):
            say(f"Others can reach it at {address}, and what is sent can be read on the way.")

    words = screens(given.plan, ledger, who)
    try:
        asyncio.run(_until_stopped(serve(words, title, address, given.port, ready)))
    except OSError as error:
        number = error.errno or 0
        reason = os.strerror(number).lower() if number > 0 else str(error)
        say(
            f"kitprep: {address} port {given.port} cannot be served on ({reason}); give another "
            "with --port, or --port 0 for any that is free"
        )
        return BAD
    return DONE


async def _until_stopped(serving: Coroutine[None, None, None]) -> None:
    """Ctrl+C and a hang-up end it in good order."""
    task = asyncio.ensure_future(serving)
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM, getattr(signal, "SIGHUP", None)):
        if number is not None:
            with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                loop.add_signal_handler(number, task.cancel)
    with contextlib.suppress(asyncio.CancelledError):
        await task


def _others(address: str) -> str:
    return (
        f"kitprep: at {address} other machines could reach the screens, and what is typed and "
        "shown could be read on the way, for it is not encrypted; leave --address out and come "
        "through an ssh tunnel instead, or, on a network where you trust everyone, add "
        "--yes-others-can-reach-it"
    )
