"""Nobody comes in without the token, through another site's page, or by a foreign name."""

import asyncio
import json
import re
from collections.abc import AsyncIterator
from pathlib import Path

import aiohttp
import pytest
from serving import Served, children_of, wait_until

from kitprep.serve.guard import Guard, is_loopback


@pytest.fixture
async def stranger() -> AsyncIterator[aiohttp.ClientSession]:
    """A browser that has not been let in."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
        yield session


@pytest.fixture
async def guest(served: Served) -> AsyncIterator[aiohttp.ClientSession]:
    """A browser that has opened the printed address."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
        async with session.get(served.url) as answer:
            assert answer.status == 200
        yield session


PATHS = ["/", "/ws", "/static/textual.js", "/static/", "/nowhere"]


@pytest.mark.parametrize("path", PATHS)
async def test_without_the_token_nothing_is_there(
    path: str, served: Served, stranger: aiohttp.ClientSession
) -> None:
    headers = {"Origin": served.home}
    async with stranger.get(served.home + path, headers=headers) as answer:
        assert answer.status == 403
        assert "Set-Cookie" not in answer.headers
        assert served.token not in await answer.text()


@pytest.mark.parametrize("token", ["", "x", "é", "0" * 43])
async def test_a_wrong_token_is_none(
    token: str, served: Served, stranger: aiohttp.ClientSession
) -> None:
    async with stranger.get(served.home + "/", params={"token": token}) as answer:
        assert answer.status == 403


async def test_the_token_opens_the_page_and_nothing_else(
    served: Served, stranger: aiohttp.ClientSession
) -> None:
    async with stranger.get(f"{served.home}/ws", params={"token": served.token}) as answer:
        assert answer.status == 403


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1", "http://"])
async def test_another_sites_page_is_turned_away(
    path: str, origin: str, served: Served, guest: aiohttp.ClientSession
) -> None:
    async with guest.get(served.home + path, headers={"Origin": origin}) as answer:
        assert answer.status == 403


async def test_another_sites_page_opens_no_socket(
    served: Served, guest: aiohttp.ClientSession
) -> None:
    for origin in ("http://evil.example", f"http://evil.example:{served.port}", None):
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await guest.ws_connect(f"{served.home}/ws", origin=origin)
        assert refused.value.status == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1"]
)
async def test_a_foreign_name_that_leads_here_is_turned_away(
    host: str, served: Served, guest: aiohttp.ClientSession
) -> None:
    headers = {"Host": host.format(port=served.port)}
    async with guest.get(served.url, headers=headers) as answer:
        assert answer.status == 403


async def test_the_cookie_goes_to_no_other_site_and_to_no_script(
    served: Served, stranger: aiohttp.ClientSession
) -> None:
    async with stranger.get(served.url) as answer:
        cookie = answer.headers["Set-Cookie"]
    assert "SameSite=Strict" in cookie
    assert "HttpOnly" in cookie
    assert served.token not in cookie


async def test_the_page_takes_nothing_from_outside(
    served: Served, guest: aiohttp.ClientSession
) -> None:
    async with guest.get(served.home + "/") as answer:
        text = await answer.text()
        policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    addresses = re.findall(r"[a-z]+://[^\"' )]+", text)
    assert addresses == [f"ws://127.0.0.1:{served.port}/ws"]
    assert served.token not in text


@pytest.mark.parametrize(
    "path",
    ["/static/", "/static", "/static/..%2f..%2fserver.py", "/static/css", "/download/x", "//etc"],
)
async def test_there_is_no_folder_to_look_into(
    path: str, served: Served, guest: aiohttp.ClientSession
) -> None:
    async with guest.get(served.home + path) as answer:
        assert answer.status == 404


async def test_the_right_page_opens_a_socket_and_the_screens_come(
    served: Served, guest: aiohttp.ClientSession
) -> None:
    async with guest.ws_connect(f"{served.home}/ws?width=80&height=24", origin=served.home) as ws:
        seen = b""
        async with asyncio.timeout(20):
            while b"WORKABLE" not in seen:
                message = await ws.receive()
                assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT)
                if isinstance(message.data, bytes):
                    seen += message.data
        for odd in ("", "[]", "7", '["stdin", 7]', '["resize", {"width": "wide"}]', "[[]]", "{}"):
            await ws.send_str(odd)
        await ws.send_str(json.dumps(["ping", "1"]))
        async with asyncio.timeout(20):
            while (await ws.receive()).data != '["pong", "1"]':
                pass
        assert children_of(served.process.pid)
    wait_until(lambda: not children_of(served.process.pid), "the closed page's program lives on")


def test_ctrl_c_ends_it_in_good_order(plan: Path, ledger: str) -> None:
    server = Served(plan, ledger)
    assert server.stop() == 0


# The rule itself


@pytest.mark.parametrize("address", ["127.0.0.1", "localhost", "::1", "127.0.0.2"])
def test_these_are_this_machine_alone(address: str) -> None:
    assert is_loopback(address)


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "192.0.2.7", "studio", "", "localhost.evil"])
def test_these_others_can_reach(address: str) -> None:
    assert not is_loopback(address)


@pytest.mark.parametrize(
    ("address", "host", "known"),
    [
        ("127.0.0.1", "localhost:80", True),
        ("127.0.0.1", "[::1]:80", True),
        ("127.0.0.1", "192.0.2.7:80", False),
        ("192.0.2.7", "192.0.2.7:80", True),
        ("192.0.2.7", "127.0.0.1:80", False),
        ("0.0.0.0", "192.0.2.7:80", True),
        ("0.0.0.0", "localhost:80", True),
        ("0.0.0.0", "evil.example:80", False),
        ("studio", "STUDIO:80", True),
        ("studio", "evil.example:80", False),
        ("127.0.0.1", "127.0.0.1", True),  # a browser leaves out port 80
        ("::1", "[::1]", True),
        ("studio", "studio", True),
        ("studio", "evil.example", False),
    ],
)
def test_a_host_is_known_by_its_address(address: str, host: str, known: bool) -> None:
    assert Guard(address, 80).knows_host(host) == known


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:80", "[::1]", ""])
def test_another_port_than_80_is_named(host: str) -> None:
    assert not Guard("127.0.0.1", 8080).knows_host(host)
