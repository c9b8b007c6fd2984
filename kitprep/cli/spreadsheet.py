"""``import``: units out of a spreadsheet."""

import re
from argparse import Namespace
from collections.abc import Iterable, Mapping
from pathlib import Path

from kitprep.cli import BAD, DONE, answer, say
from kitprep.cli.asking import NoAnswerComing, Stopped, ask, can_ask
from kitprep.cli.sheet_words import left_out, settled_words
from kitprep.definitions.kit import AddedUnit, Tables
from kitprep.definitions.loading import load_kit, load_tables
from kitprep.definitions.problems import DefinitionError
from kitprep.definitions.text import counted
from kitprep.editing.including import including, take_in
from kitprep.files import NotWritten, replace, write_new
from kitprep.importing.columns import IGNORE, Columns, guess, said
from kitprep.importing.figures import Decimal
from kitprep.importing.memory import (
    default_place,
    recall,
    remember,
    remember_words,
    words_place,
)
from kitprep.importing.problems import ImportProblems, letter
from kitprep.importing.table import ENCODINGS, SEPARATORS, Table, read_table
from kitprep.importing.units import (
    Wishes,
    count_by_model,
    how_read,
    units_of,
)
from kitprep.importing.words import Names, new_cases, words_of
from kitprep.importing.writing import include_line, includes, is_untouched, units_text

_SHOWN = 24
_NAMED = 4
_EXAMPLE = re.compile(r'^\s*tag = "([^"]+)" +# example', re.MULTILINE)
_MARKS: Mapping[str | None, Decimal] = {"point": ".", "comma": ","}


def run_import(given: Namespace) -> int:
    """Reads, shows what each column is taken for, and writes the file of units, or nothing."""
    try:
        target = given.to or given.kit.parent / "units.toml"
        wishes = Wishes(given.owner, given.due, _MARKS.get(given.decimal), given.dates)
        _refuse_a_persons_file(target)
        kit = load_kit(given.kit)
        table = read_table(_content(given.csv), str(given.csv))
        names = Names.of(kit)
        columns = _settled(given, table, names, wishes)
        place = words_place(default_place())
        meanings = settled_words(given, table, columns, names, place)
        before = load_tables(target) if target.is_file() else Tables()
        replaced = [u.tag for u in before.units] if includes(given.kit, target) else []
        units = units_of(table, columns, names, wishes, meanings, replaced)
        words = words_of(table, columns, names, meanings)
        text = units_text(units, given.csv.name, new_cases(words, before.cases))
        if given.dry_run:
            answer(text)
            say(*left_out(words), *_counts(units, "would be written; this was a dry run"))
            return DONE
        _write(target, text)
    except ImportProblems as error:
        say(*error.lines)
        return BAD
    except NotWritten as error:
        say(f"kitprep: {error}")
        return BAD
    except (NoAnswerComing, Stopped):
        say("kitprep: nothing was written")
        return BAD
    if not remember(default_place(), table.headings, columns):
        say("kitprep: the columns could not be kept for the next time")
    elif any(meanings.values()) and not remember_words(place, kit.kit, meanings):
        say("kitprep: the words could not be kept for the next time")
    answer(f"{target}\n")
    say(
        *left_out(words),
        *_counts(units, f"are in {target}"),
        *_examples(given.kit, replaced),
        *_how_to_include(given.kit, target),
    )
    if can_ask() and not given.yes and not includes(given.kit, target):
        return _include(given.kit, target)
    return DONE


def _include(kit: Path, target: Path) -> int:
    """Writes the line into the kit, where the person says so on seeing what would change."""
    proposal = including(kit, target)
    if proposal is None:
        return DONE
    say(*proposal.difference())
    try:
        if ask("Write that into the kit now? yes or no:", "no").casefold() not in ("y", "yes"):
            return DONE
        take_in(proposal)
    except NoAnswerComing:
        return DONE
    except (DefinitionError, NotWritten) as error:
        say(f"kitprep: the kit is as it was: {error}")
        return BAD
    say(f"{kit} takes them in now")
    return DONE


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise NotWritten(f"{path} cannot be read ({error.strerror}); write a CSV file") from error


def _settled(given: Namespace, table: Table, names: Names, wishes: Wishes) -> Columns:
    """The columns: said, else remembered, else guessed, and then agreed to."""
    columns = guess(table, names.models)
    kept = recall(default_place(), table.headings)
    if kept is not None:
        columns = Columns(kept, columns.weight_unit)
    if given.columns:
        columns = said(given.columns, table, columns)
    how = "as last time" if kept is not None else "taken for"
    say(*_shown(table, columns, how, how_read(table, columns, names, wishes)))
    if given.yes or given.dry_run:
        return columns
    if not can_ask():
        raise NotWritten("nobody is here to ask; add --yes if the columns above are right")
    while change := ask("Enter if that is right, else LETTER=WHAT, such as C=serial; q to stop:"):
        if change.casefold() in ("q", "quit"):
            raise Stopped
        column, _, role = change.partition("=")
        try:
            columns = said(f"{role.strip()}={column.strip()}", table, columns)
        except ImportProblems as error:
            say(*error.lines)
        else:
            say(*_shown(table, columns, "taken for", how_read(table, columns, names, wishes)))
    return columns


def _shown(table: Table, columns: Columns, how: str, figures: Mapping[str, str]) -> Iterable[str]:
    yield (
        f"{table.name}: {len(table.rows)} rows, {SEPARATORS[table.separator]}, "
        f"{ENCODINGS[table.encoding]}; each column is {how}"
    )
    for column, heading in enumerate(table.headings):
        role = columns.role(column)
        what = "-" if role == IGNORE else role
        if role in figures:
            what += f", read as {figures[role]}"
        example = next((row.cell(column) for row in table.rows if row.cell(column)), "")
        yield f"  {letter(column):<3} {_cut(heading)}  {_cut(example)}  {what}"


def _cut(text: str) -> str:
    short = text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"
    return f"{short:<{_SHOWN}}"


def _examples(kit: Path, replaced: Iterable[str]) -> Iterable[str]:
    """Units that a first kit was made with: they would be planned with as if they were there."""
    tags = [tag for tag in _EXAMPLE.findall(kit.read_text("utf-8-sig")) if tag not in replaced]
    if tags:
        more = f" and {len(tags) - _NAMED} more" if len(tags) > _NAMED else ""
        yield (
            f"{kit} still has example units, which are planned with as if you had them: "
            f"{', '.join(tags[:_NAMED])}{more}; take out what is not yours."
        )


def _refuse_a_persons_file(target: Path) -> None:
    if not target.exists():
        return
    if not target.is_file() or not is_untouched(target.read_text("utf-8", errors="replace")):
        raise NotWritten(
            f"{target} is not as an import left it, and nothing is written over; write another "
            "name after --to, or empty the file first"
        )


def _write(target: Path, text: str) -> None:
    if target.exists():
        _refuse_a_persons_file(target)
        replace(target, text.encode())
    else:
        write_new(target, text.encode())


def _counts(units: tuple[AddedUnit, ...], what: str) -> Iterable[str]:
    yield f"{counted(len(units), 'unit')} {what}:"
    for model, count in count_by_model(units):
        yield f"  {count:>5} {model}"


def _how_to_include(kit: Path, target: Path) -> Iterable[str]:
    if includes(kit, target):
        return
    line, text = include_line(kit, target)
    where = f"write line {line} of {kit} so" if line else f"write this above the first [[ in {kit}"
    yield f"The kit does not take them in yet; {where}:"
    yield text
