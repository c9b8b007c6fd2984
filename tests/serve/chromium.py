"""A real browser without a window, driven over its own debugging socket."""

import asyncio
import itertools
import json
import os
import shutil
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp

PATH = shutil.which("chromium") or shutil.which("chromium-browser")

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-port=0",
)


class Tab:
    """One tab: what it asked for, what it said, and our keys."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._numbers = itertools.count(1)
        self._answers: dict[int, asyncio.Future[Any]] = {}
        self.asked_for: list[str] = []
        self.errors: list[str] = []

    async def listen(self) -> None:
        async for message in self._socket:
            told = json.loads(message.data)
            if (waiting := self._answers.pop(told.get("id", 0), None)) is not None:
                waiting.set_result(told.get("result", told))
            method, facts = told.get("method"), told.get("params", {})
            if method == "Network.requestWillBeSent":
                self.asked_for.append(facts["request"]["url"])
            elif method == "Network.webSocketCreated":
                self.asked_for.append(facts["url"])
            elif method == "Runtime.exceptionThrown":
                self.errors.append(json.dumps(facts))
            elif method == "Log.entryAdded" and facts["entry"]["level"] == "error":
                self.errors.append(facts["entry"]["text"])

    async def do(self, method: str, **facts: Any) -> Any:
        number = next(self._numbers)
        self._answers[number] = asyncio.get_running_loop().create_future()
        await self._socket.send_json({"id": number, "method": method, "params": facts})
        return await asyncio.wait_for(self._answers[number], 20)

    async def value(self, expression: str) -> Any:
        """What an expression comes to on the page."""
        answer = await self.do("Runtime.evaluate", expression=expression, returnByValue=True)
        return answer["result"].get("value")

    async def until(self, expression: str) -> None:
        """Waits until an expression is true on the page."""
        async with asyncio.timeout(30):
            while not await self.value(expression):
                await asyncio.sleep(0.05)

    async def click(self, x: int, y: int) -> None:
        """One click."""
        for kind in ("mousePressed", "mouseReleased"):
            await self.do(
                "Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1
            )

    async def type(self, text: str) -> None:
        """Real key events, one after the other."""
        for character in text:
            key = {"\r": "Enter"}.get(character, character)
            code = ord(character.upper()) if character.isalnum() or key == "Enter" else 0
            facts = {"key": key, "text": character, "windowsVirtualKeyCode": code}
            await self.do("Input.dispatchKeyEvent", type="keyDown", **facts)
            await self.do("Input.dispatchKeyEvent", type="keyUp", key=key)
            await asyncio.sleep(0.05)


@asynccontextmanager
async def browser() -> AsyncIterator[Tab]:
    """A browser with an empty profile and one empty tab."""
    assert PATH is not None
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        process = await asyncio.create_subprocess_exec(
            PATH,
            *FLAGS,
            f"--user-data-dir={profile}",
            "about:blank",
            stdout=asyncio.subprocess.DEVNULL,
            stderr=asyncio.subprocess.DEVNULL,
            env={**os.environ, "HOME": profile},
        )
        try:
            said = Path(profile) / "DevToolsActivePort"
            async with asyncio.timeout(30):
                while not said.exists() or not said.read_text().strip():
                    await asyncio.sleep(0.05)
            port = said.read_text().split()[0]
            async with aiohttp.ClientSession() as session:
                async with session.get(f"http://127.0.0.1:{port}/json/list") as answer:
                    tabs = [tab for tab in await answer.json() if tab["type"] == "page"]
                async with session.ws_connect(tabs[0]["webSocketDebuggerUrl"]) as socket:
                    tab = Tab(socket)
                    listening = asyncio.create_task(tab.listen())
                    for domain in ("Network", "Runtime", "Page", "Log"):
                        await tab.do(f"{domain}.enable")
                    yield tab
                    listening.cancel()
        finally:
            process.terminate()
            await process.wait()
