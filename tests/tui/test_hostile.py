"""Other people's text is shown as it is: no markup, no escape code, no crash at any size."""

from pathlib import Path

import pytest
from textual.command import CommandPalette

from kitprep.ledger.events import Event
from kitprep.tui.commands import SCREENS
from kitprep.tui.palette import CommandsProvider, ThingsProvider
from kitprep.walks.log import sentence

from .conftest import Opener
from .seat import Seat

NASTY = (
    "Boom [/] pole",
    "Lav [A]",
    "[x]",
    "[@click=app.quit]x[/]",
    "tail\\",
    "['",
    "日本 mic",
    "x" * 190,
    "esc\x1b[31m\x1b]0;title\x07",
    "rtl\u202eabc",
    "$name ${x}",
    "e\u0301\u200d👩\u200d🎤",
)
SIZES = [(80, 24), (60, 20), (40, 12), (12, 5)]


def quoted(text: str) -> str:
    """As a TOML string, whatever is in it."""
    escaped = "".join(c if c.isalnum() and c.isascii() else f"\\U{ord(c):08x}" for c in text)
    return f'"{escaped}"'


def nasty_plan(folder: Path) -> Path:
    """A kit and a day in which every text that people write is one of the nasty ones."""
    q = [quoted(text) for text in NASTY]
    short = [quoted(text[:50]) for text in NASTY]
    units = "\n".join(
        f'[[transmitter.unit]]\ntag = {tag}\nserial = {tag}\nnotes = {tag}\ncase = "box"'
        for tag in short
    )
    kit = f"""
kit = "nasty"
name = {q[0]}
firmware = {{ {quoted("[b]")} = {q[3]} }}
[[cell]]
type = {q[1]}
mah = 1500
source = {q[3]}
[[connector]]
id = {q[2]}
name = {q[2]}
poles = 3
[[case]]
id = "box"
name = {q[3]}
[[transmitter]]
model = "tx"
name = {q[3]}
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
connector = {q[2]}
image = {quoted("[b]")}
case = "box"
power = [{{ cell = {q[1]}, count = 1, hours = 4.0 }}]
{units}
[[receiver]]
model = "rx"
name = {q[1]}
system = "d1"
tuning_mhz = [[518.0, 572.0]]
modules = 4
outputs = [{{ connector = {q[2]}, channels = 1 }}]
case = "box"
power = [{{ cell = {q[1]}, count = 1, hours = 4.0 }}]
[[receiver.unit]]
tag = {quoted("RX [/]")}
[[receiver.unit]]
tag = {quoted("RX [A]")}
[[stock]]
cell = {q[1]}
qty = 90
case = "box"
[[item]]
model = "tape"
name = {q[9]}
case = "box"
qty = 1
each = 3
"""
    sources = "\n".join(
        f"""[[source]]
id = "s{n}"
name = {text}
form = "bodypack"
to = "rec"
notes = {text}"""
        for n, text in enumerate(q[:8])
    )
    scenes = "\n".join(
        f"""[[scene]]
number = {short[n]}
name = {text}
place = {text}
start = "{8 + n:02d}:00"
end = "{8 + n:02d}:50"
notes = {text}
sources = [{", ".join(f'"s{m}"' for m in range(8))}]"""
        for n, text in enumerate(q)
    )
    plan = f"""
kit = "kit.toml"
day = 2027-03-14
title = {q[3]}
[[destination]]
id = "rec"
name = {q[0]}
inputs = 6
connector = {q[2]}
{sources}
{scenes}
[[break]]
name = {q[0]}
start = "20:00"
end = "20:30"
"""
    (folder / "kit.toml").write_text(kit, encoding="utf-8")
    (folder / "day.toml").write_text(plan, encoding="utf-8")
    return folder / "day.toml"


async def round_all_screens(at: Seat) -> list[str]:
    """Every screen, moved about in, with what it showed."""
    texts = []
    for name, _, _ in SCREENS:
        await at.go(name)
        for by in (1, 1, -1):
            at.app.action_move(by)
        at.app.action_page(1)
        await at.settle()
        texts.append(at.text)
    at.app.action_help()
    await at.settle()
    texts.append(at.text)
    await at.pilot.press("escape")
    return texts


@pytest.mark.parametrize("size", SIZES)
async def test_nasty_names_on_every_screen(
    seat: Opener, tmp_path: Path, size: tuple[int, int]
) -> None:
    async with seat("day", size=size, plan=nasty_plan(tmp_path)) as at:
        job = at.app.job
        for line in job.worked.packing:
            assert await at.app.tell(line.key, "packed", qty=line.qty)
        assert await at.app.tell("job", "stage", stage="out")
        assert await at.app.tell("Lav [A]", "handed", holder="[@click=app.quit]Ana[/] \x1b[31m")
        assert await at.app.tell(
            "Boom [/] pole", "returned", counts={"wet": 1}, note="[/]\x1b]52;c;aGk=\x07"
        )
        assert await at.app.tell("[x]", "returned", counts={"with": 1}, holder="[/b] \u202e")
        at.app.alarm("[/] \x1b[2J [@click=app.quit]")
        texts = await round_all_screens(at)
        assert all("\x1b" not in text and "\u202e" not in text for text in texts)
        if size == (80, 24):
            everything = "\n".join(texts)
            for words in ("Boom [/] pole", "Lav [A]", "[@click=app.quit]", "日本 mic", "tail\\"):
                assert words in everything, words


async def test_a_nasty_name_can_be_scanned_packed_and_brought_back(
    seat: Opener, tmp_path: Path
) -> None:
    async with seat("pack", plan=nasty_plan(tmp_path)) as at:
        await at.burst("RX [A]\r")
        assert "RX [A]" in at.asked
        await at.answer("1", "3.0")
        await at.enter()
        assert at.packed("RX [A]").mark == "packed"
        assert await at.app.tell("job", "stage", stage="out")
        await at.go("wrap")
        await at.burst("RX [A]\r")
        assert at.wrapped("RX [A]").mark == "back"


async def test_the_palette_takes_nasty_names_as_they_are(seat: Opener, tmp_path: Path) -> None:
    async with seat("day", plan=nasty_plan(tmp_path)) as at:
        provider = ThingsProvider(at.screen)
        for query in ("lav", "boom [/]", "[", "\\"):
            found = [hit async for hit in provider.search(query)]
            assert all(str(hit.text) == str(hit.match_display) for hit in found)
        assert [hit async for hit in CommandsProvider(at.screen).search("pack")]
        at.app.action_command_palette()
        await at.settle()
        assert isinstance(at.app.screen, CommandPalette)
        for key in ("l", "a", "v"):
            await at.pilot.press(key)
        await at.settle()
        await at.pilot.press("escape")


async def test_a_thousand_characters_typed_do_no_harm(seat: Opener) -> None:
    async with seat("pack") as at:
        await at.burst("[/]" * 500 + "\r")
        assert "is no tag of this kit" in at.said
        await at.action("leave_out")
        await at.answer("[@click=app.quit]the van[/]")
        at.screen.rows.go_to("TX01")
        await at.settle()
        assert "left out: [@click=app.quit]the van[/]" in at.text


def test_an_event_that_a_newer_program_wrote_is_told_by_its_kind() -> None:
    event = Event("blessed\x1b[31m", "TX01", "not a time", "Ana", "key", {"counts": 7})
    assert sentence(event) == "TX01 blessed [31m"


def test_events_with_facts_of_another_shape_are_told() -> None:
    for kind in ("packed", "returned", "observed", "swapped", "stage", "card", "handed"):
        assert sentence(Event(kind, "check:x", "", "", "", {"counts": ["a"], "qty": "many"}))
