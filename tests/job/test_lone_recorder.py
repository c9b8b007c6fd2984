"""A pack that stands in by its own recording is in no plan; the way that is said can be gone."""

from __future__ import annotations

import pytest

from kitprep.cli import main
from kitprep.job import Job
from kitprep.planning.remedies import remedies
from kitprep.walks.wrap import wrap_view

from .world import KIT, Scene, World, back, packed, served

SCENES: list[Scene] = [("1", "", "09:00", "11:00", "ines marek")]

CARDS = """
[[stock]]
card = "sd"
qty = 2
capacity_gb = 16
"""


@pytest.fixture
def job(file_world: World) -> Job:
    """One receiver of one module for two, and packs that record."""
    text = KIT.replace("modules = 4", "modules = 1").replace(', { tag = "RX2" }', "")
    text = text.replace('connector = "TA3"\n', 'connector = "TA3"\nrecords = true\ncard = "sd"\n')
    (file_world.folder / "kit.toml").write_text(text + CARDS, "utf-8")
    return file_world.job("Ana", file_world.plan(scenes=SCENES))


def own_recording(job: Job) -> str:
    return next(r.what for r in remedies(job.worked, job.work_out) if r.kind == "own recording")


def test_what_is_told_to_be_typed_brings_it_all_on_the_job_and_back(
    file_world: World, job: Job
) -> None:
    """One receiver takes ines on TX1. TX2 takes a cell and a card more; a spare cell is there."""
    says = own_recording(job)
    assert says.startswith("marek on TX2's own recording")
    assert "put TX2, 1 CR123A, 1 sd card in a case by hand" in says
    listed = {line.key: line.qty for line in job.worked.packing}
    before = served(job)
    packed(job)
    job.advance("packed")
    job.advance("out")
    words = says.rpartition(": kitprep ")[2].split()
    assert words[:2] == ["add", "PLAN"]
    assert main(["add", str(job.day.path), *words[2:], "--ledger", file_world.url]) == 0
    job.refresh()
    out = {item.line.key: item.went_out for item in wrap_view(job.worked, job.state).items}
    assert out == {
        **listed,
        "TX2": 1,
        "cells:CR123A": listed["cells:CR123A"] + 1,
        "cards:sd": listed["cards:sd"] + 1,
    }
    assert served(job) == before


def test_a_pack_that_came_back_unfit_is_not_told_to_record(file_world: World, job: Job) -> None:
    friday = file_world.job("Bo", file_world.plan("2027-03-12", SCENES))
    packed(friday)
    friday.record("TX2", "packed")
    friday.advance("out")
    back(friday, "TX2", "wet")
    job.refresh()
    assert own_recording(job).startswith("marek on TX3's own recording")
