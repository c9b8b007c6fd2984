"""What a starter is made from: a few questions, their usual answers, and what an answer may be."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal, get_args

from kitprep.definitions.text import MINUTES_A_DAY, clean_line, clock, parse_clock, shown

Boom = Literal["wired", "plug-on", "boom-pack"]
Receivers = Literal["rack", "portables"]

BOOMS: tuple[str, ...] = get_args(Boom)
RECEIVERS: tuple[str, ...] = get_args(Receivers)
YES_NO = ("yes", "no")

MOST_CAST = 16
"""More packs than that want a kit of one's own making, not a starter."""

LONGEST_JOB = 80


class NoAnswer(Exception):
    """An answer that cannot be used: what is wrong; what to write."""


@dataclass(frozen=True, slots=True)
class Answers:
    """All that a starter depends on. ``first_call`` is in minutes from the day's midnight."""

    job: str
    cast: int
    boom: Boom
    hop: bool
    receivers: Receivers
    day: date
    first_call: int


@dataclass(frozen=True, slots=True)
class Question:
    """One question: the answer's key (and its option's name), the words, and what it may be.

    ``choices`` are all the answers there are, where they can be counted.
    """

    key: str
    asks: str
    may_be: str
    usual: str
    read: Callable[[str], object]
    choices: tuple[str, ...] = ()


def questions(today: date) -> tuple[Question, ...]:
    """The questions in the order in which they are asked; the day is tomorrow if nobody says."""
    return (
        Question("job", "What is the job called?", "a name", "My first job", _job),
        Question("cast", "How many cast packs?", f"0 to {MOST_CAST}", "2", _cast),
        Question(
            "boom",
            "How does the boom come in?",
            "wired, plug-on or boom-pack",
            "wired",
            _one_of(*BOOMS),
            BOOMS,
        ),
        Question("hop", "A stereo hop to a camera?", "yes or no", "no", _yes_or_no, YES_NO),
        Question(
            "receivers",
            "What are the receivers?",
            "rack or portables",
            "portables",
            _one_of(*RECEIVERS),
            RECEIVERS,
        ),
        Question(
            "day",
            "Which day?",
            "a date, as in 2027-03-14",
            (today + timedelta(days=1)).isoformat(),
            _day,
        ),
        Question("first_call", "When is the first call?", "a time, as in 07:00", "07:00", _call),
    )


def read_answers(written: Mapping[str, str], today: date) -> Answers:
    """The answers as written, the usual one where there is none.

    Raises:
        NoAnswer: for the first that cannot be used.
    """
    found: dict[str, Any] = {
        question.key: question.read(written.get(question.key, question.usual))
        for question in questions(today)
    }
    answers = Answers(**found)
    if not answers.cast and answers.boom == "wired" and not answers.hop:
        raise NoAnswer(
            "no cast packs, a boom on a cable and no hop leave nothing to hear by radio; "
            "write at least one of them"
        )
    return answers


def _job(written: str) -> str:
    name = clean_line(written)
    if not name:
        raise NoAnswer("the job has no name; write one")
    if not name.isprintable():
        raise NoAnswer("the job's name has letters that are no text; write it anew")
    if len(name) > LONGEST_JOB:
        raise NoAnswer(f"{shown(name)} is longer than {LONGEST_JOB} characters; shorten it")
    return name


def _cast(written: str) -> int:
    word = written.strip()
    if not re.fullmatch("[0-9]{1,3}", word) or int(word) > MOST_CAST:
        raise NoAnswer(f"cast cannot be {shown(word)}; write a number from 0 to {MOST_CAST}")
    return int(word)


def _one_of(*words: str) -> Callable[[str], str]:
    """One of the words, or the beginning of just one."""

    def read(written: str) -> str:
        word = written.strip().casefold().replace(" ", "-")
        begun = [known for known in words if word and known.startswith(word)]
        if len(begun) != 1:
            raise NoAnswer(f"{shown(written.strip())} is none of them; write {' or '.join(words)}")
        return begun[0]

    return read


def _yes_or_no(written: str) -> bool:
    return _one_of(*YES_NO)(written) == "yes"


def _day(written: str) -> date:
    try:
        return date.fromisoformat(written.strip())
    except ValueError:
        raise NoAnswer(
            f"{shown(written.strip())} is no date; write year, month, day, as in 2027-03-14"
        ) from None


def _call(written: str) -> int:
    try:
        minutes = parse_clock(written)
    except ValueError as error:
        raise NoAnswer(str(error)) from None
    if minutes >= MINUTES_A_DAY:
        raise NoAnswer(f"a first call at {clock(minutes)} is on the next day; write that day")
    return minutes
