"""What to hire over a job, from when to when, as a person, a program and a spreadsheet read it."""

import csv
import io
from datetime import date

import pytest

from kitprep.bundled import demo_plan
from kitprep.cli import main
from kitprep.planning.peak import JobPeak, PeakLine
from kitprep.reports.peak import peak_csv, peak_json, peak_text

DAYS = tuple(date(2027, 3, number) for number in (14, 15, 16, 18))


def line(model: str, name: str, *needed: int, have: int = 1) -> PeakLine:
    """A model over the four days."""
    short = [day for day, qty in zip(DAYS, needed, strict=True) if qty > have]
    return PeakLine(
        "item",
        model,
        name,
        have,
        needed,
        max(needed),
        tuple(day for day, qty in zip(DAYS, needed, strict=True) if qty == max(needed)),
        max(max(needed) - have, 0),
        short[0] if short else None,
        short[-1] if short else None,
    )


JOB = JobPeak(
    "foxes-a",
    DAYS,
    (1, 2, 1, 1),
    (
        line("lav", "Lav with a pack lead", 1, 3, 1, 2),
        line("rx", "Portable receiver", 1, 1, 2, 1),
        line("slate", "=Slate", 1, 1, 1, 1),
        line("CR123A", "CR123A cells", 1, 1, 1, 0),
    ),
    (),
)


def test_what_to_hire_is_named_with_its_first_and_last_day() -> None:
    lines = peak_text(JOB).splitlines()
    assert "  ! 2 x lav (Lav with a pack lead), from 2027-03-15 to 2027-03-18" in lines
    assert "  ! 1 x rx (Portable receiver), on 2027-03-16" in lines


def test_two_plans_of_a_day_are_said_to_be_added_up() -> None:
    assert "2027-03-15 has 2 plans; what they take is added up" in peak_text(JOB).splitlines()


def test_days_that_follow_each_other_are_one_spell() -> None:
    """The 18th follows the 16th: there is no plan between them."""
    on = {row.split()[0]: row.split("  ")[-1] for row in peak_text(JOB).splitlines() if row}
    assert (on["lav"], on["slate"]) == ("2027-03-15", "every day")
    assert on["CR123A"] == "2027-03-14 to 2027-03-16"


def test_a_spreadsheet_has_a_column_a_day_and_no_formula() -> None:
    rows = list(csv.DictReader(io.StringIO(peak_csv(JOB))))
    assert rows[0] == {
        "kind": "item",
        "model": "lav",
        "name": "Lav with a pack lead",
        "have": "1",
        "peak": "3",
        "peak on": "2027-03-15",
        "short": "2",
        "from": "2027-03-15",
        "to": "2027-03-18",
        **{str(day): str(qty) for day, qty in zip(DAYS, (1, 3, 1, 2), strict=True)},
    }
    assert rows[2]["name"] == "'=Slate"


def test_a_program_is_told_the_same() -> None:
    document = peak_json(JOB)
    assert document["ready"] is False
    lav = document["models"][0]
    assert (lav["short"], lav["short_from"], lav["short_to"]) == (2, "2027-03-15", "2027-03-18")
    assert (lav["on"], lav["needed"]) == (["2027-03-15"], [1, 3, 1, 2])


def test_the_demo_says_what_no_hire_mends(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["needs", *(str(demo_plan(number)) for number in (1, 2, 3))]) == 1
    said = capsys.readouterr().out
    mends, still = said.split("STILL SHORT WITH ALL OF THAT")
    assert "1 x bag-rx-s (Portable receiver, mono and stereo), on 2027-03-15" in mends
    assert "no bodypack or plug-on here gives P48 in stereo" in " ".join(still.split())


def test_a_plan_named_twice_is_not_counted_twice(capsys: pytest.CaptureFixture[str]) -> None:
    plan = str(demo_plan(1))
    assert main(["needs", plan, plan]) == 2
    assert capsys.readouterr() == (
        "",
        "kitprep: one plan is here twice, and would be counted twice; write each once\n",
    )
