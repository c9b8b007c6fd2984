"""Answers that a question offers: which key gives which, and what a typed word means."""

from collections.abc import Mapping, Sequence

from kitprep.ledger.events import NOT_CHECKED

__all__ = ["NOT_CHECKED", "answer_keys", "meant"]

OWN_KEYS = {NOT_CHECKED: "0", "both": "b", "none": "n"}
"""Answers that have the same key wherever they are offered, so that a hand learns it once."""

MOST_KEYS = 9
"""Inputs above this number are typed: a digit no longer says which."""


def answer_keys(answers: Sequence[str]) -> Mapping[str, str]:
    """The key of each answer, one character each, in the order in which they are offered.

    An answer that is a digit goes by that digit, so that input 7 is 7; those of ``OWN_KEYS`` go by
    theirs; the others take the lowest digits left, then the first free letter of their word.
    """
    digits = [str(n) for n in range(1, MOST_KEYS + 1)]
    taken = {answer: answer for answer in answers if answer in digits}
    taken |= {answer: key for answer, key in OWN_KEYS.items() if answer in answers}
    for answer in answers:
        if answer in taken:
            continue
        used = set(taken.values())
        choices = [*digits, *(c for c in answer.casefold() if c.isalpha())]
        taken[answer] = next((c for c in choices if c not in used), "")
    return {taken[answer]: answer for answer in answers if taken[answer]}


def meant(answers: Sequence[str], typed: str) -> str | None:
    """The answer that is meant by its key, its word, or the beginning of its word."""
    word = typed.strip().casefold()
    by_key = answer_keys(answers)
    if word in by_key:
        return by_key[word]
    alike = [answer for answer in answers if answer.casefold().startswith(word)] if word else []
    exact = [answer for answer in alike if answer.casefold() == word]
    if exact or len(alike) == 1:
        return (exact or alike)[0]
    return None
