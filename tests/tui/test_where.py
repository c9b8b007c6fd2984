"""Where a job stood is found again; what is wrong with the file is never fatal."""

from collections.abc import Callable
from pathlib import Path

import pytest

from kitprep.job import Job
from kitprep.tui.app import KitprepApp
from kitprep.tui.where import MOST, Where, recall, remember

from .seat import Seat


def test_each_job_has_its_own_place(tmp_path: Path) -> None:
    file = tmp_path / "new" / "where.json"
    assert remember(file, "a", Where("pack", "12A", "pouch"))
    assert remember(file, "b", Where("log"))
    assert recall(file, "a") == Where("pack", "12A", "pouch")
    assert recall(file, "b") == Where("log")
    assert recall(file, "c") == Where()


@pytest.mark.parametrize("text", ["", "[]", "{", '{"a": 7}', '{"a": {"screen": 7}}', "\x00\xff"])
def test_a_damaged_file_is_as_if_nothing_had_been_remembered(text: str, tmp_path: Path) -> None:
    file = tmp_path / "where.json"
    file.write_bytes(text.encode("latin-1"))
    assert recall(file, "a") == Where()
    assert remember(file, "a", Where("log"))
    assert recall(file, "a") == Where("log")


def test_a_place_that_cannot_be_written_is_no_matter(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert not remember(tmp_path / "file" / "where.json", "a", Where("log"))
    assert recall(tmp_path / "file" / "where.json", "a") == Where()


def test_the_newest_jobs_are_kept(tmp_path: Path) -> None:
    file = tmp_path / "where.json"
    for number in range(MOST + 3):
        remember(file, f"job {number}", Where("log"))
    assert recall(file, "job 2") == Where()
    assert recall(file, "job 3") == Where("log")


async def test_the_program_opens_where_it_was_left(job: Callable[..., Job], tmp_path: Path) -> None:
    file, first = tmp_path / "where.json", job()
    app = KitprepApp(first, remembered=file)
    async with app.run_test() as pilot:
        at = Seat(app, pilot)
        await at.go("scene")
        await at.press("right", "right")
        scene = app.scene
        await at.go("pack")
        await at.press("tab", "tab")
        mark = at.mark
    first.close()
    again = job()
    app = KitprepApp(again, remembered=file)
    async with app.run_test() as pilot:
        at = Seat(app, pilot)
        await at.settle()
        await at.settle()
        assert at.screen.NAME == "pack"
        assert at.mark == mark
        assert app.scene == scene
    again.close()


async def test_a_screen_or_scene_that_is_no_more_is_forgotten(
    job: Callable[..., Job], tmp_path: Path
) -> None:
    file, opened = tmp_path / "where.json", job()
    remember(file, opened.name, Where("nowhere", "99", "no case"))
    app = KitprepApp(opened, remembered=file)
    async with app.run_test() as pilot:
        at = Seat(app, pilot)
        await at.settle()
        assert at.screen.NAME == "day"
        assert app.scene == opened.worked.scenes[0].scene.number
    opened.close()
