"""The line check: one observation a line, made at the destination, the expected answer hidden.

The order and the wording are common practice, no source: identity, adapter, mode, then each leg
tapped by itself, then what it takes to tell a stereo pair from one signal twice. What was found
as planned holds for the later scenes of the same chain, until something touches it: a swap, fresh
cells at either end, a move, a break. Then it is asked again.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kitprep.definitions.kit import Receiver, Transmitter
from kitprep.definitions.plan import Scene, Source
from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.reasons import called
from kitprep.planning.results import Link, WorkedDay
from kitprep.walks.answers import MOST_KEYS, NOT_CHECKED

Verdict = Literal["open", "as planned", "differs", "unverified", "ask again"]


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to look at or listen for. ``answers`` is empty where it is read off and typed."""

    name: str
    asks: str
    answers: tuple[str, ...]
    expected: str
    causes: tuple[str, ...]

    def agrees(self, answer: str) -> bool:
        """Whether an answer is what the plan expects."""
        return answer.strip().casefold() == self.expected.casefold()


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
    return tuple(
        _answered(day, job, CheckLine(link, question, chain_mark(link), ItemState()))
        for link in day.links
        if link.scene == scene
        for question in questions(day, link)
    )


def _answered(day: WorkedDay, job: JobState, line: CheckLine) -> CheckLine:
    """The line with its own answer, or with an earlier scene's that holds here still."""
    own = job.item(line.key)
    if own.answer is not None:
        swapped = "something in the chain was swapped" if own.chain != line.chain else None
        return replace(line, state=own, touched=swapped or _fresh_cells(job, line.link, own))
    scenes = {needs.scene.number: needs.scene for needs in day.scenes}
    here = scenes[line.link.scene]
    for link in reversed(_earlier(day, line.link, here)):
        before = job.item(replace(line, link=link).key)
        if before.answer is None or not line.question.agrees(before.answer):
            continue
        touched = (
            ("something in the chain was swapped" if before.chain != line.chain else None)
            or _fresh_cells(job, link, before)
            or _moved_or_paused(day, scenes[link.scene], here)
        )
        if touched is not None:
            return replace(line, touched=touched)
        return replace(line, state=before, carried=link.scene)
    return line


def _earlier(day: WorkedDay, link: Link, here: Scene) -> list[Link]:
    """The same source's links to the same destination in earlier scenes, by the clock."""
    starts = {needs.scene.number: needs.scene.start for needs in day.scenes}
    return [
        other
        for other in day.links
        if (other.source, other.destination) == (link.source, link.destination)
        and starts[other.scene] < here.start
    ]


def _fresh_cells(job: JobState, link: Link, answer: ItemState) -> str | None:
    for unit in (link.transmitter, link.receiver):
        if any(at > answer.at for at in job.item(unit).cells_changed):
            return f"fresh cells in {unit}"
    return None


def _moved_or_paused(day: WorkedDay, before: Scene, here: Scene) -> str | None:
    if before.place != here.place:
        return f"after the move to {here.place or 'another place'}"
    for pause in day.plan.breaks:
        if before.start < pause.end and pause.start < here.start:
            return f"after {pause.name}"
    return None


def tally(lines: Sequence[CheckLine]) -> dict[Verdict, int]:
    """How many lines stand at each verdict."""
    verdicts: tuple[Verdict, ...] = ("as planned", "differs", "unverified", "ask again", "open")
    return {verdict: sum(line.verdict == verdict for line in lines) for verdict in verdicts}


def next_to_ask(lines: Sequence[CheckLine], after: str | None) -> CheckLine | None:
    """The next line without an answer that counts, going on from a line, around the scene."""
    start = next((n for n, line in enumerate(lines) if line.key == after), -1) + 1
    around = (*lines[start:], *lines[:start])
    return next((line for line in around if line.verdict in ("open", "ask again")), None)


def chain_mark(link: Link) -> str:
    """A short mark of a chain's parts: an answer counts only for the chain it was given about."""
    parts = (
        link.transmitter,
        link.adapter or "-",
        link.receiver,
        str(link.module),
        link.destination,
        ",".join(map(str, link.inputs)),
    )
    return hashlib.sha256("|".join(parts).encode()).hexdigest()[:12]


def questions(day: WorkedDay, link: Link) -> tuple[Question, ...]:
    """What is asked of a link, in the order in which it is best looked at.

    The answers offered are the same whichever of them is planned, so that none gives itself away.
    """
    source = next(s for s in day.plan.sources if s.id == link.source)
    transmitter = _transmitter(day, link)
    asked = [_version(day, link, transmitter), _adapter(day, link), _mode(link, called(source))]
    asked += _legs(day, link, source)
    if link.mode == "stereo" and source.intent == "pair":
        asked.append(_mute_one_side())
    if source.mic_power in ("P12", "P24", "P48"):
        asked.append(_phantom(source.mic_power))
    if transmitter.records:
        asked.append(_backup())
    return tuple(question for question in asked if question is not None)


def _transmitter(day: WorkedDay, link: Link) -> Transmitter:
    return next(
        model for model in day.kit.transmitters for u in model.units if u.tag == link.transmitter
    )


def receiver_of(day: WorkedDay, link: Link) -> Receiver:
    """The model of a link's receiver."""
    return next(model for model in day.kit.receivers for u in model.units if u.tag == link.receiver)


def _version(day: WorkedDay, link: Link, model: Transmitter) -> Question | None:
    wanted = day.kit.firmware.get(model.image or "")
    if wanted is None:
        return None
    return Question(
        "version",
        f"Version that {link.transmitter} shows at switch-on",
        (),
        wanted,
        (
            "the pack was missed at the update: see the firmware list",
            "it is another unit's pack: read its tag and serial",
        ),
    )


def _adapter(day: WorkedDay, link: Link) -> Question:
    seen = tuple(sorted({_label(other.adapter) for other in day.links if other.adapter}))
    answers = ("none", *(seen or ("one is on it",)), NOT_CHECKED)
    return Question(
        "adapter",
        f"Look at {link.transmitter}: which adapter is on it?",
        answers if len(answers) <= MOST_KEYS else (),
        _label(link.adapter) if link.adapter else "none",
        (
            "the adapter is on another pack: look at every pack in this scene",
            "it was left in its pouch, or on the pack that stayed behind",
            "it is on but not seated: press until the lock clicks",
        ),
    )


def _label(adapter: str) -> str:
    """What can be read on an adapter: its tag, or its model where it has none."""
    model, _, number = adapter.rpartition("#")
    return model if model and number.isdecimal() else adapter


def _mode(link: Link, source: str) -> Question:
    return Question(
        "mode",
        f"Read module {link.module} on {link.receiver}, {source}: which mode does it show?",
        ("mono", "stereo", NOT_CHECKED),
        link.mode,
        (
            "transmitter and module are set to different modes",
            "this is the wrong module: read the source's name on it",
            "the module cannot do the mode: see the plan",
        ),
    )


def _legs(day: WorkedDay, link: Link, source: Source) -> list[Question]:
    place = next(d for d in day.plan.destinations if d.id == link.destination)
    at = place.name or place.id
    if link.mode == "mono":
        (only,) = link.inputs
        return [
            Question(
                "tap",
                f"Tap the microphone of {called(source)}: which input moves at {at}?",
                _input_answers(place.inputs, ("none",)),
                str(only),
                (
                    "the lead is in another input: follow it by hand",
                    "the module is tuned to another pack: mute packs one by one",
                    "the receiver is off, or the input is on another source",
                ),
            )
        ]
    first, second = link.inputs
    sides = ("left", "right") if source.intent == "pair" else ("first feed", "second feed")
    answers = _input_answers(place.inputs, ("both", "none"))
    return [
        Question(
            name,
            f"The {side} alone is tapped or toned at {called(source)}: which input moves at {at}?",
            answers,
            str(expected),
            (
                "the other input moved: the two leads are crossed",
                "both moved: one lead feeds both, or the pack sends mono",
                "none moved: the adapter is not seated, or only one output is patched",
            ),
        )
        for name, side, expected in (("left", sides[0], first), ("right", sides[1], second))
    ]


def _input_answers(inputs: int, words: tuple[str, ...]) -> tuple[str, ...]:
    """Every input there, by its number; typed where a digit does not say which."""
    if inputs > MOST_KEYS:
        return ()
    return (*(str(n) for n in range(1, inputs + 1)), *words, NOT_CHECKED)


def _mute_one_side() -> Question:
    return Question(
        "mute",
        "Mute the right side at its source and listen at the destination: the right ear has",
        ("silence", "sound", NOT_CHECKED),
        "silence",
        (
            "one signal is on both sides: a Y lead was left on, or the pack sends mono",
            "the muted side is not the one that feeds right",
        ),
    )


def _phantom(power: str) -> Question:
    return Question(
        "phantom",
        f"Does the transmitter show {power} on, and is breath on the microphone heard?",
        ("yes", "no", NOT_CHECKED),
        "yes",
        (
            "phantom is off in the transmitter",
            "the lead has a broken leg: try another",
            "cells are low: phantom is the first thing to go",
        ),
    )


def _backup() -> Question:
    return Question(
        "backup",
        "Look at the pack's recording: does it roll, with time code running?",
        ("yes", "no", NOT_CHECKED),
        "yes",
        ("no card, or a card that was not formatted in the pack", "the card is full"),
    )
