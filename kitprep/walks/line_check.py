"""The line check: one observation a line, made at the destination, the expected answer hidden.

What was found as planned holds for the later scenes of the same chain, until something touches it:
a swap, fresh cells at either end, another pack on the receiver's supply, another source on one of
its parts, a move, a break. Then it is asked again, and so it is where it differed. Fresh cells and
another pack touch no scene that was over by the minute that was told of them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.reasons import called
from kitprep.planning.results import Link, SceneNeeds, SupplyLoad, Unserved, WorkedDay
from kitprep.walks.answers import NOT_CHECKED
from kitprep.walks.chain_course import ChainCourse, chain_mark
from kitprep.walks.questions import Asking, Question

Verdict = Literal["open", "as planned", "differs", "unverified", "ask again"]


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A question about one link in one scene, with its answer so far.

    ``carried`` is the earlier scene whose answer holds here still; ``touched`` is why an answer,
    this scene's or an earlier one's, holds no longer.
    """

    link: Link
    question: Question
    chain: str
    state: ItemState
    carried: str | None = None
    touched: str | None = None

    @property
    def key(self) -> str:
        """The item under which the answer is recorded."""
        link = self.link
        return f"check:{link.scene}:{link.source}:{link.destination}:{self.question.name}"

    @property
    def verdict(self) -> Verdict:
        """What the answer is worth; one that something has touched since is asked again."""
        if self.touched is not None:
            return "ask again"
        if self.state.answer is None:
            return "open"
        if self.state.answer == NOT_CHECKED:
            return "unverified"
        return "as planned" if self.question.agrees(self.state.answer) else "differs"


def line_check(day: WorkedDay, job: JobState, scene: str) -> tuple[CheckLine, ...]:
    """Every question of a scene, chain by chain."""
    return tuple(_of_scenes(day, job, (scene,)))


def all_lines(day: WorkedDay, job: JobState) -> tuple[CheckLine, ...]:
    """Every question of the day, scene by scene, in one pass over its links."""
    return tuple(_of_scenes(day, job, [needs.scene.number for needs in day.scenes]))


def _of_scenes(day: WorkedDay, job: JobState, scenes: Sequence[str]) -> Iterator[CheckLine]:
    course, asking = ChainCourse(day), Asking(day)
    links: dict[str, list[Link]] = {scene: [] for scene in scenes}
    for link in day.links:
        if link.scene in links:
            links[link.scene].append(link)
    for link in (link for scene in scenes for link in links[scene]):
        mark = chain_mark(link)
        for question in asking.questions(link):
            yield _answered(job, course, CheckLine(link, question, mark, ItemState()))


def _answered(job: JobState, course: ChainCourse, line: CheckLine) -> CheckLine:
    """The line with its own answer, or with the newest of an earlier scene that holds here still.

    What differed there is asked again here, whatever was seen before that.
    """
    own = job.item(line.key)
    if own.answer is not None:
        return replace(line, state=own, touched=_touched(course, job, line, line.link, own))
    answers = [(link, job.item(replace(line, link=link).key)) for link in course.earlier(line.link)]
    looked = [(link, a) for link, a in answers if a.answer not in (None, NOT_CHECKED)]
    if not looked:
        return line
    link, before = max(looked, key=lambda found: found[1].last)
    if not line.question.agrees(before.answer or ""):
        return replace(line, touched=f"it differed in scene {link.scene}")
    touched = _touched(course, job, line, link, before) or course.since(link, line.link)
    if touched is not None:
        return replace(line, touched=touched)
    return replace(line, state=before, carried=link.scene)


def _touched(
    course: ChainCourse, job: JobState, line: CheckLine, link: Link, answer: ItemState
) -> str | None:
    """What was done to a line's chain, before its scene was over, since an answer was given about
    a link of it."""
    units = [tag for tag in (link.transmitter, link.adapter, link.receiver) if tag is not None]
    swapped = any(n > answer.last for unit in units for n in job.item(unit).swapped)
    if answer.chain != line.chain or swapped:
        return "something in the chain was swapped"
    end = course.end(line.link.scene)
    for unit in (link.transmitter, link.receiver):
        cells = job.item(unit)
        changes = zip(cells.cells_changed, cells.changed_min, strict=True)
        if any(change > answer.last and _within(at, end) for change, at in changes):
            return f"fresh cells in {unit}"
    for load in course.day.supplies:
        if link.receiver in load.units and _went_off(job, load, link, answer.last, end):
            return f"another pack on {load.id}, so {link.receiver} was off"
    return None


def _within(at: int | None, end: int) -> bool:
    """Whether a change was made before the end of a scene; one of no known minute may have been."""
    return at is None or at < end


def _went_off(job: JobState, load: SupplyLoad, link: Link, since: int, end: int) -> bool:
    """Whether another pack went on where a link's receiver hangs on the supply, since an entry and
    before the end of a scene."""
    packs = job.item(f"supply:{load.id}")
    part = next((c.destinations for c in load.courses if link.destination in c.destinations), ())
    changes = zip(packs.cells_changed, packs.changed_min, packs.changed_at, strict=True)
    return any(
        change > since and _within(at, end) and (not where or not part or where in part)
        for change, at, where in changes
    )


def not_served(day: WorkedDay) -> tuple[Unserved, ...]:
    """The links that nothing serves, so that nobody can check them, scene by scene."""
    return tuple(unserved for needs in day.scenes for unserved in needs.unserved)


def says_not_served(day: WorkedDay, needs: SceneNeeds) -> str:
    """ "2 links not served: Ana to Recorder (the one transmitter that would do, TX01, is with
    Marek), …"; empty where all of a scene's are."""
    if not needs.unserved:
        return ""
    links = "link" if len(needs.unserved) == 1 else "links"
    said = (f"{route(day, one)} ({_briefly(one.reason)})" for one in needs.unserved)
    return f"{len(needs.unserved)} {links} not served: {', '.join(said)}"


def _briefly(reason: str) -> str:
    """A reason without the units that are not counted on, but for those that were left out."""
    first, _, others = reason.partition("; not counted on: ")
    left_out = [one for one in others.split("; ") if " left out at packing" in one]
    return "; ".join([first, *left_out])


def route(day: WorkedDay, link: Link | Unserved) -> str:
    """ "Ana to Recorder": a link by what the crew calls its ends."""
    source = next(called(s) for s in day.plan.sources if s.id == link.source)
    place = next(d for d in day.plan.destinations if d.id == link.destination)
    return f"{source} to {place.name or place.id}"


def says_not_settled(day: WorkedDay, job: JobState) -> str:
    """ "of the line check 1 differs, 2 not asked; 1 link not served"; empty where every link was
    served and every line as planned."""
    counts = tally(all_lines(day, job))
    words = {"differs": "differ", "unverified": "not checked", "ask again": "not asked again"}
    parts = [
        f"{n} {words.get(v, 'not asked')}" for v, n in counts.items() if n and v != "as planned"
    ]
    dead = len(not_served(day))
    unserved = f"{dead} {'link' if dead == 1 else 'links'} not served" if dead else ""
    asked = f"of the line check {', '.join(parts)}" if parts else ""
    return "; ".join(part for part in (asked, unserved) if part)


def tally(lines: Sequence[CheckLine]) -> dict[Verdict, int]:
    """How many lines stand at each verdict."""
    verdicts: tuple[Verdict, ...] = ("as planned", "differs", "unverified", "ask again", "open")
    return {verdict: sum(line.verdict == verdict for line in lines) for verdict in verdicts}


def next_to_ask(lines: Sequence[CheckLine], after: str | None) -> CheckLine | None:
    """The next line without an answer that counts, going on from a line, around the scene."""
    start = next((n for n, line in enumerate(lines) if line.key == after), -1) + 1
    around = (*lines[start:], *lines[:start])
    return next((line for line in around if line.verdict in ("open", "ask again")), None)
