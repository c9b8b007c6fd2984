"""The first picture stands before the day is worked out; nothing that is pressed then is lost."""

import os
import re
import subprocess
import sys
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

import kitprep.job as job_module
from kitprep.bundled import demo_plan
from kitprep.definitions.loading import load_day
from kitprep.job import Job
from kitprep.ledger.errors import Unusable
from kitprep.planning.results import WorkedDay
from kitprep.tui.app import KitprepApp

from .seat import Seat
from .terminal import Terminal

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

    app = KitprepApp(opened.day, opening)
    async with app.run_test(size=size) as pilot:
        at = Seat(app, pilot)
        await pilot.pause()
        try:
            yield at, may_open.set
        finally:
            may_open.set()
    opened.close()


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
    app = KitprepApp(day, lambda: Job.open_day(day, url, "Ana", "key", tries=False))
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

    app = KitprepApp(load_day(demo_plan(1)), opening)
    async with app.run_test() as pilot:
        await Seat(app, pilot).until(lambda: app._exit, "it leaves")
    assert app.return_code == 2
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


@pytest.mark.parametrize("wrong", ["kit", "plan"])
def test_a_wrong_file_is_told_before_any_picture(tmp_path: Path, wrong: str) -> None:
    folder = demo_plan(1).parent
    for name in ("kit.toml", "day-01.toml"):
        text = (folder / name).read_text("utf-8").replace("../../shared", f"{folder}/../../shared")
        (tmp_path / name).write_text(text)
    with (tmp_path / ("kit.toml" if wrong == "kit" else "day-01.toml")).open("a") as file:
        file.write("\n[[nonsense]]\nnumber = 7\n")
    at = Terminal(tmp_path / "day-01.toml", f"sqlite:///{tmp_path}/ledger.db", program=PROGRAM)
    assert at.ended() == 2
    at.close()
    assert b"\x1b[?1049h" not in at.raw
    assert re.search(r"\.toml:\d+:\d+: unknown key \"?nonsense", at.plain), at.plain
    assert not (tmp_path / "ledger.db").exists()


def test_nothing_that_is_heavy_is_loaded_before_the_first_picture() -> None:
    script = """
import sys
from kitprep.tui.app import KitprepApp
import kitprep.tui.screens.opening
heavy = ("highspy", "sqlalchemy", "kitprep.planning.day", "kitprep.walks", "kitprep.job")
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
