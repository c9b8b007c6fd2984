"""What is asked of a link at the line check.

The order and the wording are common practice, no source: identity, adapter, mode, then each leg
tapped by itself, then what it takes to tell a stereo pair from one signal twice, then what only the
destination shows.
"""

from dataclasses import dataclass

from kitprep.definitions.kit import Transmitter
from kitprep.definitions.plan import Destination, Source
from kitprep.planning.firmware import same_version
from kitprep.planning.reasons import called
from kitprep.planning.results import Link, WorkedDay
from kitprep.walks.answers import MOST_KEYS, NOT_CHECKED
from kitprep.walks.naming import of_modules, part_of

NO_ADAPTER = (
    "the adapter is on another pack: look at every pack in this scene",
    "it was left in its pouch, or on the pack that stayed behind",
)
LEFT_ON = (
    "it was left on from an earlier job: take it off, or swap the pack",
    "it belongs on another pack: look at every pack in this scene",
)
ANOTHER_ADAPTER = (
    "two adapters changed places: look at every pack in this scene",
    "it was left on from an earlier job: take it off, and put the planned one on",
)
"""Why none is on where one is planned, one where none is, another than the planned one."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to look at or listen for. ``answers`` is empty where it is read off and typed.

    ``causes_of`` has the causes of answers that do not have the common ones.
    """

    name: str
    asks: str
    answers: tuple[str, ...]
    expected: str
    causes: tuple[str, ...]
    causes_of: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def likely(self, answer: str) -> tuple[str, ...]:
        """What may be behind an answer that is not the expected one, the likeliest first."""
        return dict(self.causes_of).get(answer.strip().casefold(), self.causes)

    def agrees(self, answer: str) -> bool:
        """Whether an answer is what the plan expects."""
        if self.name == "version":
            return same_version(answer, self.expected)
        return answer.strip().casefold() == self.expected.casefold()


class Asking:
    """What the questions of a day are about, looked up once for all of its links."""

    def __init__(self, day: WorkedDay) -> None:
        self.firmware = day.kit.firmware
        self.sources = {source.id: source for source in day.plan.sources}
        self.places = {place.id: place for place in day.plan.destinations}
        self.transmitters = {u.tag: model for model in day.kit.transmitters for u in model.units}
        self.of_modules = of_modules(day.kit)
        self.adapters = tuple(sorted({_label(x.adapter) for x in day.links if x.adapter}))

    def questions(self, link: Link) -> tuple[Question, ...]:
        """What is asked of a link, in the order in which it is best looked at.

        The answers offered are the same whichever of them is planned, so that none gives itself
        away.
        """
        source, place = self.sources[link.source], self.places[link.destination]
        transmitter = self.transmitters[link.transmitter]
        asked = [
            self._version(link, transmitter),
            self._adapter(link),
            self._mode(link, called(source)),
        ]
        asked += _legs(place, link, source, self._hears(link))
        if link.mode == "stereo" and source.intent == "pair":
            asked.append(_mute_one_side())
        if source.mic_power in ("P12", "P24", "P48"):
            asked.append(_phantom(source.mic_power))
        if transmitter.records:
            asked.append(_backup())
        if place.camera:
            asked += _at_the_camera(place, link, called(source))
        return tuple(question for question in asked if question is not None)

    def _version(self, link: Link, model: Transmitter) -> Question | None:
        wanted = self.firmware.get(model.image or "")
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

    def _adapter(self, link: Link) -> Question:
        answers = ("none", *(self.adapters or ("one is on it",)), NOT_CHECKED)
        return Question(
            "adapter",
            f"Look at {link.transmitter}: which adapter is on it?",
            answers if len(answers) <= MOST_KEYS else (),
            _label(link.adapter) if link.adapter else "none",
            ANOTHER_ADAPTER if link.adapter else LEFT_ON,
            (("none", NO_ADAPTER),),
        )

    def _hears(self, link: Link) -> str:
        """What of the receiver is set and tuned: a module, or all of it."""
        return "module" if link.receiver in self.of_modules else "receiver"

    def _mode(self, link: Link, source: str) -> Question:
        hears = self._hears(link)
        return Question(
            "mode",
            f"Read {part_of(link, self.of_modules)}, {source}: which mode does it show?",
            ("mono", "stereo", NOT_CHECKED),
            link.mode,
            (
                f"transmitter and {hears} are set to different modes",
                f"this is the wrong {hears}: read the source's name on it",
                f"the {hears} cannot do the mode: see the plan",
            ),
        )


def _label(adapter: str) -> str:
    """What can be read on an adapter: its tag, or its model where it has none."""
    model, _, number = adapter.rpartition("#")
    return model if model and number.isdecimal() else adapter


def _legs(place: Destination, link: Link, source: Source, hears: str) -> list[Question]:
    at = place.name or place.id
    if link.mode == "mono":
        (only,) = link.inputs
        return [
            Question(
                "tap",
                f"Tap the microphone of {called(source)}: which input moves at {at}?",
                _input_answers(place.inputs, ("both", "none") if place.inputs > 1 else ("none",)),
                str(only),
                (
                    "the lead is in another input: follow it by hand",
                    f"the {hears} is tuned to another pack: mute packs one by one",
                    "the receiver is off, or the input is on another source",
                    "both moved: a Y lead is on, or an input is patched through to the other",
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


def _at_the_camera(place: Destination, link: Link, source: str) -> list[Question]:
    """What only the camera's own menu, meters and headphones show."""
    at = place.name or place.id
    several = len(link.inputs) > 1
    inputs = f"input{'s' if several else ''} {' and '.join(map(str, link.inputs))}"
    are = "are" if several else "is"
    menu = "it is set in the camera's menu or by a switch beside the socket: ask the assistant"
    return [
        Question(
            "level",
            f"Look at {at}: what {are} {inputs} set to?",
            ("line", "mic", "mic + 48 V", NOT_CHECKED),
            "line",
            (
                menu,
                "48 V on an output of a receiver can harm it: take it off before the lead goes in",
                "the camera was changed, or its settings were reset overnight",
            ),
        ),
        Question(
            "gain",
            f"Look at {at}: is automatic gain on at {inputs}?",
            ("on", "off", NOT_CHECKED),
            "off",
            (menu, "the camera was changed, or its settings were reset overnight"),
        ),
        Question(
            "listen",
            f"Headphones in {at}'s own socket, {source} speaks or taps: what is heard?",
            ("clean", "distorted", "hollow", "nothing", NOT_CHECKED),
            "clean",
            (
                "distorted: line level into an input set to mic",
                "hollow: one side is reversed, or both inputs are mixed to one ear",
                "nothing: the camera listens to another input, or to its own microphone",
            ),
        ),
    ]


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
