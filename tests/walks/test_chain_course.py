"""What the day does to a chain is found among the few links that have a part in common with it."""

from dataclasses import replace

import pytest
from small_job import small_day

from kitprep.planning.results import Link, WorkedDay
from kitprep.walks.chain_course import ChainCourse

DAY = small_day()
FIRST, SECOND = (needs.scene.number for needs in DAY.scenes[:2])


def link(number: int, scene: str, **other: object) -> Link:
    """A source's link by a chain of its own."""
    made = Link(
        scene, f"s{number}", "recorder", "mono", f"T{number}", None, f"R{number}", 1, 1, (number,)
    )
    return replace(made, **other)  # type: ignore[arg-type]


def day(*links: Link) -> WorkedDay:
    scenes = tuple(
        replace(needs, links=tuple(x for x in links if x.scene == needs.scene.number))
        for needs in DAY.scenes
    )
    ids = dict.fromkeys(link.source for link in links)
    one = DAY.plan.sources[0]
    sources = tuple(one.model_copy(update={"id": id, "name": id.upper()}) for id in ids)
    plan = DAY.plan.model_copy(update={"breaks": (), "sources": sources})
    return replace(DAY, scenes=scenes, plan=plan)


def test_only_links_with_a_part_in_common_are_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    compared = []
    shared = ChainCourse._shared

    def count(course: ChainCourse, other: Link, here: Link) -> str | None:
        compared.append((other, here))
        return shared(course, other, here)

    monkeypatch.setattr(ChainCourse, "_shared", count)
    sources = range(1, 201)
    course = ChainCourse(day(*(link(n, scene) for scene in (FIRST, SECOND) for n in sources)))
    for n in sources:
        assert course.earlier(link(n, SECOND)) == [link(n, FIRST)]
        course.since(link(n, FIRST), link(n, SECOND))
    assert len(compared) == len(sources)  # each with its own earlier link, and with nobody else's


@pytest.mark.parametrize(
    ("part", "says"),
    [
        ({"receiver": "R1"}, f"R1 was on S2 in scene {FIRST}"),
        ({"inputs": (1, 2)}, f"input 1 was S2's in scene {FIRST}"),
        ({"transmitter": "T1"}, f"T1 was on S2 in scene {FIRST}"),
    ],
    ids=["module", "input", "transmitter"],
)
def test_each_part_that_another_source_had_meanwhile_is_named(
    part: dict[str, object], says: str
) -> None:
    course = ChainCourse(day(link(1, FIRST), link(2, FIRST, **part), link(1, SECOND)))
    assert course.since(link(1, FIRST), link(1, SECOND)) == says
