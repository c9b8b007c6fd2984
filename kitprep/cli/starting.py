"""``new``: a first kit and a first day."""

from argparse import Namespace
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from kitprep.bundled import reference_table
from kitprep.cli import BAD, DONE, answer, say
from kitprep.cli.asking import NoAnswerComing, ask, can_ask
from kitprep.files import NotWritten, refuse_if_there, write_folder
from kitprep.starter.answers import NoAnswer, Question, questions, read_answers
from kitprep.starter.making import DAY, KIT, TABLE_NAMES, TABLES, starter_files


def run_new(given: Namespace) -> int:
    """Asks what was not said, then writes the folder, all of it or nothing."""
    today = date.today()
    asked = questions(today)
    written = {q.key: getattr(given, q.key) for q in asked if getattr(given, q.key) is not None}
    try:
        refuse_if_there(given.folder, (TABLES, KIT, DAY))
        for question in asked:
            if question.key in written:
                question.read(written[question.key])
        if not given.yes:
            written = _ask_the_rest(asked, written)
        tables = {name: reference_table(name) for name in TABLE_NAMES}
        files = starter_files(read_answers(written, today), tables)
        write_folder(given.folder, files)
    except (NoAnswer, NotWritten) as error:
        say(f"kitprep: {error}")
        return BAD
    except NoAnswerComing:
        say("kitprep: nothing was written")
        return BAD
    _tell(given.folder, files)
    return DONE


def _ask_the_rest(asked: Sequence[Question], written: Mapping[str, str]) -> dict[str, str]:
    missing = [question for question in asked if question.key not in written]
    if missing and not can_ask():
        options = ", ".join(f"--{question.key.replace('_', '-')}" for question in missing)
        raise NoAnswer(f"nobody is here to ask; write {options}, or --yes for the usual answers")
    answers = dict(written)
    for question in missing:
        answers[question.key] = _ask(question)
    return answers


def _ask(question: Question) -> str:
    while True:
        answered = ask(f"{question.asks} ({question.may_be})", question.usual)
        try:
            question.read(answered)
        except NoAnswer as error:
            say(f"  {error}")
        else:
            return answered


def _tell(folder: Path, files: Mapping[str, bytes]) -> None:
    for name in files:
        answer(f"{folder / name}\n")
    plan = folder / DAY
    say(
        "",
        "It works out as it stands, with made-up things. Now put yours in:",
        f"  {folder / KIT}   what you have; lines marked example are to be replaced",
        f"  {plan}   the day, scene by scene",
        f"  kitprep check {plan}   says what is wrong, line by line",
        f"  kitprep {plan}   opens the day",
    )
