"""The screens in a real browser: a tag that is typed there is in the ledger."""

import asyncio
from pathlib import Path

import pytest
from chromium import PATH, browser
from serving import Served

from kitprep.job import Job

pytestmark = pytest.mark.skipif(PATH is None, reason="no Chromium on this machine")


async def test_a_tag_that_is_typed_in_the_browser_is_recorded(
    served: Served, plan: Path, ledger: str
) -> None:
    before = Job.open(plan, ledger, "Ben", "key")
    line = next(line for line in before.worked.packing if line.kind == "item" and line.qty == 1)
    async with browser() as tab:
        await tab.do("Page.navigate", url=served.url)
        await tab.until("document.body && document.body.classList.contains('-first-byte')")
        assert await tab.value("location.href") == f"{served.home}/"
        await tab.click(300, 200)
        await asyncio.sleep(3)  # a canvas has no text to wait for
        await tab.type("k")
        await asyncio.sleep(1)
        await tab.type(f"{line.key}\r{line.qty}\r")
        async with asyncio.timeout(10):
            while not before.refresh():
                await asyncio.sleep(0.05)
        assert before.state.item(line.key).packed == line.qty
        assert before.state.item(line.key).who == "Ana"
        outside = [url for url in tab.asked_for if f"127.0.0.1:{served.port}" not in url]
        assert [url for url in outside if not url.startswith("data:")] == []
        assert tab.errors == []
    before.close()


async def test_another_sites_page_cannot_drive_it(served: Served) -> None:
    async with browser() as tab:
        await tab.do("Page.navigate", url=served.url)
        await tab.until("document.body && document.body.classList.contains('-first-byte')")
        await tab.do("Page.navigate", url="data:text/html,<title>evil</title>")
        await tab.until("document.title === 'evil'")
        await tab.value(
            f"window.said = ''; s = new WebSocket('ws://127.0.0.1:{served.port}/ws');"
            "s.onopen = () => said = 'open'; s.onerror = () => said = 'refused'; 1"
        )
        await tab.until("window.said !== ''")
        assert await tab.value("window.said") == "refused"
