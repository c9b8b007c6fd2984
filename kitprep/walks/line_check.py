"""The line check: one observation a line, made at the destination, the expected answer hidden.

The order and the wording are common practice, no source: identity, adapter, mode, then each leg
tapped by itself, then what it takes to tell a stereo pair from one signal twice.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from kitprep.definitions.kit import Receiver, Transmitter
from kitprep.ledger.events import ItemState, JobState
from kitprep.planning.results import Link, WorkedDay

NOT_CHECKED = "did not check"
"""An answer everywhere: recorded as unverified, never as a pass."""

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
    """A question about one link in one scene, with its answer so far."""

    link: Link
    question: Question
    chain: str
    state: ItemState

    @property
    def key(self) -> str:
        """The item under which the answer is recorded."""
        link = self.link
        return f"check:{link.scene}:{link.source}:{link.destination}:{self.question.name}"

    @property
    def verdict(self) -> Verdict:
        """What the answer is worth; one given before a swap is asked again."""
        if self.state.answer is None:
            return "open"
        if self.state.chain != self.chain:
            return "ask again"
        if self.state.answer == NOT_CHECKED:
            return "unverified"
        return "as planned" if self.question.agrees(self.state.answer) else "differs"


def line_check(day: WorkedDay, job: JobState, scene: str) -> tuple[CheckLine, ...]:
    """Every question of a scene, chain by chain."""
    lines = []
    for link in day.links:
        if link.scene != scene:
            continue
        chain = chain_mark(link)
        for question in questions(day, link):
            line = CheckLine(link, question, chain, ItemState())
            lines.append(CheckLine(link, question, chain, job.item(line.key)))
    return tuple(lines)


def chain_mark(link: Link) -> str:
    """A short mark of a chain's parts, so that an answer counts only for what it was given about."""
    parts = (
        link.transmitter, link.adapter or "-", link.receiver, str(link.module), link.destination,
        ",".join(map(str, link.inputs)),
    )
    return hashlib.sha256("|".join(parts).encode()).hexdigest()[:12]


def questions(day: WorkedDay, link: Link) -> tuple[Question, ...]:
    """What is asked of a link, in the order in which it is best looked at."""
    source = next(s for s in day.plan.sources if s.id == link.source)
    transmitter = _transmitter(day, link)
    asked = [_version(day, link, transmitter), _adapter(link), _mode(link)]
    asked += _legs(link, source.intent)
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


def _adapter(link: Link) -> Question:
    causes = (
        "the adapter is on another pack: look at every pack in this scene",
        "it was left in its pouch, or on the pack that stayed behind",
        "it is on but not seated: press until the lock clicks",
    )
    return Question(
        "adapter",
        f"Look at {link.transmitter}: which adapter is on it?",
        (*_adapter_answers(link), NOT_CHECKED),
        link.adapter or "none",
        causes,
    )


def _adapter_answers(link: Link) -> Sequence[str]:
    return ("none", link.adapter) if link.adapter else ("none", "one is on it")


def _mode(link: Link) -> Question:
    return Question(
        "mode",
        f"Read module {link.module} on {link.receiver}: which mode does it show?",
        ("mono", "stereo", NOT_CHECKED),
        link.mode,
        (
            "transmitter and module are set to different modes",
            "this is the wrong module: read the source's name on it",
            "the module cannot do the mode: see the plan",
        ),
    )


def _legs(link: Link, intent: str) -> list[Question]:
    at = f"at {link.destination}"
    if link.mode == "mono":
        (only,) = link.inputs
        return [
            Question(
                "tap",
                f"Tap the microphone of {link.source}: which input moved {at}?",
                (*_input_answers(link), "none", NOT_CHECKED),
                str(only),
                (
                    "the lead is in another input: follow it by hand",
                    "the module is tuned to another pack: mute packs one by one",
                    "the receiver is off, or the input is on another source",
                ),
            )
        ]
    first, second = link.inputs
    sides = ("left", "right") if intent == "pair" else ("first feed", "second feed")
    answers = (str(first), str(second), "both", "none", NOT_CHECKED)
    return [
        Question(
            name,
            f"The {side} alone is tapped or toned at {link.source}: which input moved {at}?",
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


def _input_answers(link: Link) -> tuple[str, ...]:
    (only,) = link.inputs
    return tuple(str(n) for n in sorted({max(only - 1, 1), only, only + 1}))


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
