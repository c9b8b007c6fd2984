"""The first picture stands before the day is worked out; nothing that is pressed then is lost."""

import os
import re
import subprocess
import sys
import termios
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

import kitprep.job as job_module
from kitprep.bundled import demo_plan
from kitprep.definitions.glimpse import Glimpse, glimpse
from kitprep.definitions.loading import load_day
from kitprep.definitions.problems import DefinitionError
from kitprep.job import Job
from kitprep.ledger.errors import Unusable
from kitprep.planning.results import WorkedDay
from kitprep.tui.app import KitprepApp

from .seat import Seat, screen_text
from .terminal import CODES, Terminal

ENTERED, LEFT = b"\x1b[?1049h", b"\x1b[?1049l"

SIZES = [(80, 24), (60, 20), (120, 40), (40, 12), (12, 5)]


@asynccontextmanager
async def at_the_door(
    job: Callable[..., Job], size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Seat, Callable[[], None]]]:
    """The screens with the day still being worked out, until the second is called."""
    opened, may_open = job(), threading.Event()

    def opening() -> Job:
        assert may_open.wait(20)
        return opened

    app = KitprepApp(opened.day.plan, opening)
    async with app.run_test(size=size) as pilot:
        at = Seat(app, pilot)
        await pilot.pause()
        try:
            yield at, may_open.set
        finally:
            may_open.set()
    opened.close()


async def first_picture(seen: Glimpse | None, size: tuple[int, int]) -> str:
    """What is shown of a plan for as long as nothing else is known of it."""
    assert seen is not None
    may_end = threading.Event()

    def opening() -> Job:
        may_end.wait(20)
        raise Unusable("enough is seen")

    app = KitprepApp(seen, opening)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        text = screen_text(app)
        may_end.set()
    return text


async def test_a_night_is_shown_on_its_clock_past_midnight() -> None:
    text = await first_picture(glimpse(demo_plan(3)), (120, 30))
    assert "Tue 16 Mar  Day 3, ice house and breakwater, into the night" in text
    assert "5 scenes: the day is being worked out…" in text
    assert "7 sources, -12 °C" in text
    hours = next(line for line in text.splitlines() if " 12 " in line)
    assert hours.split() == [str(hour) for hour in range(12, 26)]
    assert "45    23:15-25:30 breakwater" in text


HOSTILE = r"""
day = 2027-03-14
title = "\u001b[2J[red]quay[/red] $x"
[[scene]]
number = "[b]9\u202e"
place = "[@click=app.quit]loft[/]"
start = "09:00"
end = "10:00"
"""


async def test_hostile_words_of_a_plan_are_shown_as_words(tmp_path: Path) -> None:
    (tmp_path / "day.toml").write_text(HOSTILE, "utf-8")
    text = await first_picture(glimpse(tmp_path / "day.toml"), (120, 30))
    assert "[2J[red]quay[/red] $x" in text
    assert "[b]9" in text
    assert "[@click=app.quit]loft[/]" in text
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", text)


async def test_the_plan_is_shown_on_its_clock_and_what_is_not_known_is_said_so(
    job: Callable[..., Job],
) -> None:
    async with at_the_door(job) as (at, open_it):
        first = at.text
        assert "6 scenes: the day is being worked out…" in first
        assert "the ledger is being opened…" in first
        assert "WORKABLE" not in first
        assert "packed" not in first
        open_it()
        await at.settle()
        assert "WORKABLE" in at.text
        assert not at.app.is_busy


@pytest.mark.parametrize("size", SIZES)
async def test_nothing_jumps_when_the_figures_come(
    job: Callable[..., Job], size: tuple[int, int]
) -> None:
    """The clock and every name stand where they stood; only figures and bars are filled in."""

    def chart(text: str) -> list[str]:
        lines = [line[4:34] for line in text.splitlines()]
        names = [line for line in lines if re.search(r"\b(07|12A|12B|14|15|quay|Lunch)\b", line)]
        return [re.sub(r"[█░·▼ >]+", " ", line) for line in names][:5]

    async with at_the_door(job, size) as (at, open_it):
        first = chart(at.text.partition("ledger")[2])
        open_it()
        await at.settle()
        if size[0] >= 60:
            assert first
            assert chart(at.text.partition("packed 0")[2])[: len(first)] == first


async def test_a_tag_that_is_typed_before_is_in_the_field_after(job: Callable[..., Job]) -> None:
    async with at_the_door(job) as (at, open_it):
        await at.pilot.press("f5")
        assert "[F5 Pack]" in at.text
        at.type("TX02\rTX0")
        await at.pilot.pause()
        open_it()
        await at.settle()
        assert at.screen.NAME == "pack"
        assert at.asked.startswith("TX02 1/")
        assert at.walk.prompt.field.value == "TX0"


async def test_keys_that_came_before_are_done_in_their_order(job: Callable[..., Job]) -> None:
    async with at_the_door(job) as (at, open_it):
        await at.pilot.press("f3", "right", "right", "f6", "f2", "down", "enter")
        open_it()
        await at.settle()
        second = at.app.day.plan.scenes[1].number
        assert at.screen.NAME == "scene"
        assert at.app.scene == second


async def test_colours_change_at_once_and_to_quit_leaves_at_once(job: Callable[..., Job]) -> None:
    async with at_the_door(job) as (at, _):
        dark = at.app.theme
        await at.pilot.press("f9")
        assert at.app.theme != dark
        await at.pilot.press("f1", "ctrl+p", "ctrl+q")
        assert at.app._exit


async def test_a_click_on_a_screens_name_opens_it_next(job: Callable[..., Job]) -> None:
    async with at_the_door(job) as (at, open_it):
        at.app.call_later(at.app.run_command, "go.log")
        await at.pilot.pause()
        open_it()
        await at.settle()
        assert at.screen.NAME == "log"


async def test_what_one_failure_costs_comes_last_and_holds_up_no_tick(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_answer, answered = threading.Event(), job_module.with_one_failure

    def slow(worked: WorkedDay, gone: frozenset[str]) -> WorkedDay:
        assert may_answer.wait(20)
        return answered(worked, gone)

    monkeypatch.setattr(job_module, "with_one_failure", slow)
    day = load_day(demo_plan(2))
    app = KitprepApp(day.plan, lambda: Job.open_day(day, url, "Ana", "key", tries=False))
    async with app.run_test(size=(120, 80)) as pilot:
        at = Seat(app, pilot)
        await at.settle()
        assert "NOT YET: 7 things are short" in at.text
        part = at.text.partition("If one unit fails")[2]
        assert "is being worked out" in part
        await at.action("spares")
        assert await app.tell("TX01", "packed", qty=1)
        await at.settle()
        assert "1/56 packed" in at.text
        assert not app.now.tried
        may_answer.set()
        await at.until(lambda: app.now.tried, "it is answered")
        await at.settle()
        assert "lost" in at.text.partition("If one unit fails")[2]
        assert app.now.state.item("TX01").packed == 1
    app.job.close()


async def test_a_ledger_that_cannot_be_used_ends_it_with_its_own_status() -> None:
    def opening() -> Job:
        raise Unusable("the ledger at x is not a database; name another file")

    app = KitprepApp(load_day(demo_plan(1)).plan, opening)
    async with app.run_test() as pilot:
        await Seat(app, pilot).until(lambda: app._exit, "it leaves")
    assert str(app.failure) == "the ledger at x is not a database; name another file"


PROGRAM = """
import sys
from kitprep.cli import main
sys.exit(main(["open", sys.argv[1], "--ledger", sys.argv[2]]))
"""


def test_behind_the_first_picture_a_bad_ledger_leaves_the_screen_and_says_one_sentence(
    tmp_path: Path,
) -> None:
    (tmp_path / "ledger.db").write_text("no database at all, but long enough to be looked at")
    at = Terminal(demo_plan(1), f"sqlite:///{tmp_path}/ledger.db", program=PROGRAM)
    assert at.ended() == 2
    at.close()
    left = at.raw.rpartition(b"\x1b[?1049l")[2].decode()
    said = re.sub(r"\x1b\[[0-9;?<>=u]*[a-zA-Z]", "", left).strip()
    assert said.startswith("kitprep: the ledger at")
    assert "is not a database" in said
    assert said.count("\n") == 0


def test_to_quit_while_the_day_is_worked_out_leaves_the_terminal_as_it_was(url: str) -> None:
    at = Terminal(demo_plan(1), url, program=PROGRAM)
    at.wait(lambda text: "the day is being worked out" in text, "the first picture")
    at.type("\x11")
    assert at.ended() == 0
    at.close()
    assert b"\x1b[?1049l" in at.raw
    assert "Traceback" not in at.plain


def written(folder: Path, plan: str = "", kit: str = "") -> Path:
    """Day 1 of the demo and its kit in a folder, each with so much more at its end."""
    demo = demo_plan(1).parent
    for name, more in (("day-01.toml", plan), ("kit.toml", kit)):
        text = (demo / name).read_text("utf-8").replace("../../shared", f"{demo}/../../shared")
        (folder / name).write_text(text + more, "utf-8")
    return folder / "day-01.toml"


SCENE = '\n[[scene]]\nnumber = 9\nstart = "20:00"\n'

WRONG = {
    "the kit": {"kit": "\n[[nonsense]]\nnumber = 7\n"},
    "the plan": {"plan": "\n[[nonsense]]\nnumber = 7\n"},
    "what the plan names": {"plan": SCENE + 'end = "21:00"\nsources = ["nobody"]\n'},
    "what would be drawn": {"plan": SCENE + 'end = "19:00"\n'},
}


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_file_ends_it_with_every_mistake_told_and_the_terminal_as_it_was(
    tmp_path: Path, wrong: str
) -> None:
    plan = written(tmp_path, **WRONG[wrong])
    with pytest.raises(DefinitionError) as error:
        load_day(plan)
    at = Terminal(plan, f"sqlite:///{tmp_path}/ledger.db", program=PROGRAM)
    before = termios.tcgetattr(at.master)
    assert at.ended() == 2
    after = termios.tcgetattr(at.master)
    at.close()
    assert after == before
    assert at.raw.count(LEFT) == at.raw.count(ENTERED)
    told = CODES.sub(b"", at.raw.rpartition(LEFT)[2]).decode()
    assert told.splitlines() == error.value.lines
    assert not (tmp_path / "ledger.db").exists()


def test_of_a_plan_that_cannot_be_drawn_nothing_is_shown(tmp_path: Path) -> None:
    plan = written(tmp_path, **WRONG["what would be drawn"])
    at = Terminal(plan, f"sqlite:///{tmp_path}/ledger.db", program=PROGRAM)
    assert at.ended() == 2
    at.close()
    assert ENTERED not in at.raw


HELD = """
import sys, time
from pathlib import Path
from kitprep.definitions import problems
read = problems._read
def held(path, name):
    while path.name == "kit.toml" and not Path(sys.argv[1]).with_name("go").exists():
        time.sleep(0.01)
    return read(path, name)
problems._read = held
from kitprep.cli import main
sys.exit(main(["open", sys.argv[1], "--ledger", sys.argv[2]]))
"""


def test_the_first_picture_stands_before_the_kit_is_read_and_its_keys_are_kept(
    tmp_path: Path, url: str
) -> None:
    at = Terminal(written(tmp_path), url, program=HELD)
    at.wait(lambda text: "12A" in text and "Company move" in text, "the scenes on their clock")
    at.type("\x1b[15~TX01\r")
    at.wait(lambda text: "[F5 Pack]" in text, "the screen that opens next")
    assert "packed" not in at.plain
    (tmp_path / "go").touch()
    at.wait(lambda text: "TX01 1/" in text, "what was typed is asked about")
    at.type("\x11")
    assert at.ended() == 0
    at.close()


def test_to_quit_does_not_wait_for_what_is_only_read_or_worked_out(
    tmp_path: Path, url: str
) -> None:
    at = Terminal(written(tmp_path), url, program=HELD)
    at.wait(lambda text: "12A" in text, "the first picture")
    at.type("\x11")
    assert at.ended() == 0
    at.close()
    assert at.raw.count(LEFT) == 1
    assert "Traceback" not in at.plain


def test_a_plan_through_a_pipe_is_read_once_and_then_shown(tmp_path: Path, url: str) -> None:
    text = written(tmp_path).read_text("utf-8")
    os.mkfifo(tmp_path / "pipe.toml")
    at = Terminal(tmp_path / "pipe.toml", url, program=PROGRAM)
    (tmp_path / "pipe.toml").write_text(text, "utf-8")
    at.wait(lambda text: "WORKABLE" in text, "the day")
    at.type("\x11")
    assert at.ended() == 0
    at.close()


def test_nothing_that_is_heavy_is_loaded_before_the_first_picture() -> None:
    script = """
import sys
from kitprep.tui.app import KitprepApp
import kitprep.tui.screens.opening
heavy = "highspy sqlalchemy pydantic kitprep.planning kitprep.walks kitprep.job".split()
print(*[name for name in heavy if name in sys.modules])
"""
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ},
    )
    assert done.stdout.strip() == ""
