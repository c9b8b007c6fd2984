"""The server: a page, its few files by name, and a socket with a program of its own behind it."""

import asyncio
import contextlib
import secrets
import socket
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import Awaitable, Callable, Sequence
from pathlib import Path

import textual_serve
from aiohttp import WSMsgType, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from kitprep.serve.guard import HEADERS, Guard
from kitprep.serve.page import POLICY, page_text

_SHIPPED = Path(textual_serve.__file__).parent / "static"

STATIC = {
    "textual.js": (_SHIPPED / "js" / "textual.js", "text/javascript"),
    "xterm.css": (_SHIPPED / "css" / "xterm.css", "text/css"),
    "mono.ttf": (_SHIPPED / "fonts" / "RobotoMono-VariableFont_wght.ttf", "font/ttf"),
}
"""The files there are; there is no folder to look into."""

LARGEST = (400, 200)
"""Cells across and down that a page may ask for."""

ENDS_S = 10.0
"""How long a program may take to end before it is made to."""


class _Program(AppService):
    """The program behind one socket, started by its words and never through a shell."""

    words: Sequence[str] = ()

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        environment = self._build_environment(width=width, height=height)
        self._process = process = await asyncio.create_subprocess_exec(
            *self.words, stdin=PIPE, stdout=PIPE, stderr=PIPE, env=environment
        )
        self._stdin = process.stdin
        return process

    async def end(self) -> None:
        """Lets it end by itself, or else makes it."""
        try:
            await asyncio.wait_for(self.stop(), ENDS_S)
        except (TimeoutError, OSError):
            if self._process is not None and self._process.returncode is None:
                self._process.kill()


def screens(plan: Path, ledger: str, who: str) -> tuple[str, ...]:
    """The words that open the screens: this Python, this program, and the plan as one word."""
    at = str(plan.absolute())
    return (sys.executable, "-P", "-m", "kitprep", "open", at, "--ledger", ledger, "--who", who)


class Screens:
    """What is served: ``words`` start the program, the guard stands before everything."""

    def __init__(self, words: Sequence[str], title: str, guard: Guard) -> None:
        self.words = words
        self.title = title
        self.guard = guard

    def app(self) -> web.Application:
        """The whole of it, for aiohttp."""
        app = web.Application(middlewares=[self.guard.middleware])
        app.add_routes(
            [
                web.get("/", self._index),
                web.get("/ws", self._socket),
                web.get("/static/{name}", self._static),
            ]
        )
        return app

    async def _index(self, request: web.Request) -> web.Response:
        nonce = secrets.token_urlsafe(16)
        headers = HEADERS | {"Content-Security-Policy": POLICY.format(nonce=nonce)}
        text = page_text(self.title, f"ws://{request.host}/ws", nonce)
        response = web.Response(text=text, content_type="text/html", headers=headers)
        if self.guard.has_token(request):
            self.guard.let_in(response)
        return response

    async def _static(self, request: web.Request) -> web.StreamResponse:
        found = STATIC.get(request.match_info["name"])
        if found is None:
            return web.Response(status=404, text="There is no such file.\n", headers=HEADERS)
        path, kind = found
        return web.FileResponse(path, headers=HEADERS | {"Content-Type": kind})

    async def _socket(self, request: web.Request) -> web.WebSocketResponse:
        page = web.WebSocketResponse(heartbeat=15)
        await page.prepare(request)
        program = _Program(
            "",
            write_bytes=page.send_bytes,
            write_str=page.send_str,
            close=_closing(page),
            download_manager=DownloadManager(),
        )
        program.words = self.words
        across, down = LARGEST
        await program.start(
            _cells(request.query.get("width"), 80, across),
            _cells(request.query.get("height"), 24, down),
        )
        try:
            await _pass_on(page, program)
        finally:
            await program.end()
        return page


def _closing(opened: web.WebSocketResponse) -> Callable[[], Awaitable[None]]:
    async def close() -> None:
        with contextlib.suppress(ConnectionError):
            await opened.close()

    return close


def _cells(said: object, otherwise: int, most: int) -> int:
    """A number of cells that a page asked for."""
    text = str(said)
    if isinstance(said, int) or (text.isascii() and text.isdecimal() and len(text) < 6):
        return min(max(int(text), 1), most)
    return otherwise


async def _pass_on(opened: web.WebSocketResponse, program: _Program) -> None:
    """Keys and sizes from the page; whatever else it sends is left lying."""
    async for message in opened:
        if message.type != WSMsgType.TEXT:
            continue
        try:
            kind, *rest = message.json()
        except (ValueError, TypeError):
            continue
        match kind, rest:
            case "stdin", [str(typed)]:
                await program.send_bytes(typed.encode("utf-8", "replace"))
            case "resize", [dict(size)]:
                across, down = LARGEST
                await program.set_terminal_size(
                    _cells(size.get("width"), 80, across), _cells(size.get("height"), 24, down)
                )
            case "ping", [str() | int() | float() as when]:
                await opened.send_json(["pong", when])
            case "blur", _:
                await program.blur()
            case "focus", _:
                await program.focus()


async def serve(
    words: Sequence[str],
    title: str,
    address: str,
    port: int,
    ready: Callable[[str], None],
) -> None:
    """Serves until it is cancelled; ``ready`` is told what to open.

    Raises:
        OSError: where the address or the port cannot be had.
    """
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    listening = socket.create_server((address, port), family=family)
    guard = Guard(address, listening.getsockname()[1])
    runner = web.AppRunner(Screens(words, title, guard).app(), access_log=None)
    await runner.setup()
    try:
        await web.SockSite(runner, listening).start()
        ready(guard.url)
        await asyncio.Event().wait()
    finally:
        await runner.cleanup()
