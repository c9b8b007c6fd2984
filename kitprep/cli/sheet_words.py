"""A spreadsheet's words for models and cases: shown with what they are taken for, and agreed to."""

from argparse import Namespace
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from kitprep.cli import say
from kitprep.cli.asking import Stopped, ask
from kitprep.importing.columns import IGNORE, Columns
from kitprep.importing.memory import recall_words
from kitprep.importing.table import Table
from kitprep.importing.words import (
    NEW,
    SETTLED,
    Meanings,
    Names,
    Word,
    agreed,
    case_id,
    likely,
    meant,
    why_no_meaning,
    words_of,
)

_SHOWN = 32


def settled_words(
    given: Namespace, table: Table, columns: Columns, names: Names, place: Path
) -> Meanings:
    """What the sheet's words stand for: said, else remembered, else guessed and agreed to.

    Raises:
        ImportProblems: where what was said cannot be followed.
        Stopped: where the person would rather not.
        NoAnswerComing: at the end of the input.
    """
    kept = recall_words(place, names)
    said = {"model": meant("model", given.models, names), "case": meant("case", given.cases, names)}
    settled = {role: {**kept.get(role, {}), **said[role]} for role in SETTLED}
    words = words_of(table, columns, names, settled)
    if not words or given.yes:
        return settled  # nobody looks at guesses, so none is taken
    guessed = [word for word in words if word.meaning is None]
    words = [replace(word, meaning=word.meaning or likely(word, names)) for word in words]
    say(*_shown(words))
    if given.dry_run or not guessed:
        return agreed(words)
    return agreed(_asked(words, names))


def _asked(words: list[Word], names: Names) -> list[Word]:
    while True:
        change = ask("Enter if that is right, else NUMBER=WHAT, such as 1=ignore; q to stop:")
        if change.casefold() in ("q", "quit"):
            raise Stopped
        if not change:
            open_at = [n for n, word in enumerate(words, 1) if word.meaning is None]
            if not open_at:
                return words
            say(f"{open_at[0]} stands for nothing yet; write {open_at[0]}=WHAT, or =ignore")
            continue
        number, _, meaning = (part.strip() for part in change.partition("="))
        at = int(number) - 1 if number.isdecimal() else -1
        if not 0 <= at < len(words) or not meaning:
            say(f"write a number up to {len(words)}, = and what it is")
            continue
        message = why_no_meaning(words[at].role, words[at].text, meaning, names)
        if message:
            say(message)
            continue
        words[at] = replace(words[at], meaning=names.id_of(words[at].role, meaning))
        say(*_shown(words))


def _shown(words: Iterable[Word]) -> Iterable[str]:
    yield "Words that are not the kit's own, and what each stands for:"
    for number, word in enumerate(words, 1):
        text = word.text if len(word.text) <= _SHOWN else word.text[: _SHOWN - 1] + "…"
        rows = "1 row" if word.rows == 1 else f"{word.rows} rows"
        yield f"  {number:>3}  {text:<{_SHOWN}}  {rows:>9}  {_stands_for(word)}"


def _stands_for(word: Word) -> str:
    if word.meaning is None:
        return f"which {word.role}?"
    if word.meaning == IGNORE:
        return "ignore: left out" if word.role == "model" else "ignore: no case"
    if word.meaning == NEW:
        return f"a new case, {case_id(word.text)}"
    return f"{word.role} {word.meaning}"


def left_out(words: Iterable[Word]) -> Iterable[str]:
    """What an import passes over, in a line each."""
    for word in words:
        if word.role == "model" and word.meaning == IGNORE:
            rows = "1 row" if word.rows == 1 else f"{word.rows} rows"
            yield f"{rows} left out: {word.text} (what is counted has its qty in the kit)"
