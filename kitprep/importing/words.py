"""What a sheet's own words for models and cases stand for: guessed, said or remembered, agreed to.

A gear list calls things by what people call them, not by the kit's ids. Each different word is
settled once, for all the rows that have it.
"""

import csv
import difflib
import io
import shlex
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from kitprep.definitions.added_units import COUNTED, TAGGED, why_not
from kitprep.definitions.kit import Case, Kit
from kitprep.definitions.problems import did_you_mean, one_of
from kitprep.definitions.text import shown
from kitprep.importing.columns import IGNORE, Columns, plain
from kitprep.importing.problems import ImportProblems, Mistake
from kitprep.importing.table import Table

NEW = "new"
"""Of a case: one that the kit has not yet, and that the import makes."""

SETTLED = ("model", "case")
"""The roles whose words are settled."""

_LONGEST_ID = 50

Meanings = Mapping[str, Mapping[str, str]]
"""By role, what a folded word of the sheet stands for: an id of the kit, IGNORE, or NEW."""


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the sheet, as first met, in how many rows, and what it stands for, if settled."""

    role: str
    text: str
    rows: int
    meaning: str | None


@dataclass(frozen=True)
class Names:
    """What the kit's things are called: ids under each of their folded ids and names."""

    kit: Kit
    models: Mapping[str, set[str]]
    cases: Mapping[str, set[str]]
    _tokens: dict[str, set[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, kit: Kit) -> "Names":
        """The names of a kit."""
        return cls(kit, names_of_models(kit), _names_of_cases(kit))

    def known(self, role: str, word: str) -> set[str]:
        """The ids that a word of the kit's own may mean."""
        return (self.models if role == "model" else self.cases).get(word.casefold(), set())

    def id_of(self, role: str, word: str) -> str:
        """The id that a word of the kit's own means; any other word as it is."""
        known = self.known(role, word)
        return next(iter(known)) if len(known) == 1 else word

    def likeliest(self, word: str) -> str | None:
        """The one model whose id and name have most of a word's parts, else one spelt nearly so.

        None where two fit alike, or none does.
        """
        parts = set(plain(word).split())
        if not self._tokens:
            for name, ids in self.models.items():
                for model in ids:
                    self._tokens.setdefault(model, set()).update(plain(name).split())
        fits = {
            model: sum(_said(part, tokens) for part in parts)
            for model, tokens in self._tokens.items()
        }
        most = max(fits.values(), default=0)
        if most * 2 <= len(parts):
            near = difflib.get_close_matches(word.casefold(), self.models, n=1, cutoff=0.75)
            return self.id_of("model", near[0]) if near else None
        best = [self._tokens[model] for model, fit in fits.items() if fit == most]
        # "mono" fits what is mono and what is mono and stereo: the one that says no more than both.
        plainest = [m for m, fit in fits.items() if fit == most and self._within(m, best)]
        return plainest[0] if len(plainest) == 1 else None

    def _within(self, model: str, others: Iterable[set[str]]) -> bool:
        return all(self._tokens[model] <= other for other in others)


def _said(part: str, tokens: set[str]) -> bool:
    """Whether a part is among tokens, in the singular or the plural."""
    return part in tokens or f"{part}s" in tokens or (part.endswith("s") and part[:-1] in tokens)


def names_of_models(kit: Kit) -> dict[str, set[str]]:
    """The ids that a model may be meant by, under its folded id and its folded name."""
    names: dict[str, set[str]] = {}
    for attribute, _ in (*TAGGED, *COUNTED):
        for model in getattr(kit, attribute):
            for name in (model.model, model.name):
                if name:
                    names.setdefault(name.casefold(), set()).add(model.model)
    return names


def _names_of_cases(kit: Kit) -> dict[str, set[str]]:
    names: dict[str, set[str]] = {}
    for case in kit.cases:
        for name in (case.id, case.name):
            names.setdefault(name.casefold(), set()).add(case.id)
    return names


def words_of(table: Table, columns: Columns, names: Names, meanings: Meanings) -> list[Word]:
    """Each different word for a model or a case, in the order met, that is no name of the kit's."""
    found = []
    for role in SETTLED:
        column = columns.by_role.get(role)
        if column is None:
            continue
        counts: Counter[str] = Counter()
        first: dict[str, str] = {}
        for row in table.rows:
            text = row.cell(column)
            if text and len(names.known(role, text)) != 1:
                first.setdefault(text.casefold(), text)
                counts[text.casefold()] += 1
        for folded, text in first.items():
            found.append(Word(role, text, counts[folded], meanings.get(role, {}).get(folded)))
    return found


def likely(word: Word, names: Names) -> str | None:
    """What a word looks as if it stood for, for a person to agree to; None where nothing tells."""
    if word.role == "case":
        known = names.known("case", case_id(word.text))
        return next(iter(known), None) or (NEW if case_id(word.text) else None)
    likeliest = names.likeliest(word.text)
    if likeliest is not None and why_not(likeliest, lists_of(names.kit)):
        return IGNORE  # it is counted, and has no units
    return likeliest


def agreed(words: Iterable[Word]) -> Meanings:
    """What words stand for, as meanings."""
    found: dict[str, dict[str, str]] = {}
    for word in words:
        if word.meaning is not None:
            found.setdefault(word.role, {})[word.text.casefold()] = word.meaning
    return found


def meant(role: str, text: str | None, names: Names) -> Mapping[str, str]:
    """Words as ``Long pack=long-pack,Old leads=ignore`` says them, folded.

    Raises:
        ImportProblems: with everything in it that cannot be followed.
    """
    found: dict[str, str] = {}
    mistakes = []
    for entry in next(csv.reader([text or ""]), []):
        word, equals, meaning = (part.strip() for part in entry.rpartition("="))
        if not equals or not word:
            example = "Long pack=long-pack" if role == "model" else "Bag 2=new"
            mistakes.append(f"{shown(entry)} has no =; write WORD={role.upper()}, as in {example}")
            continue
        message = why_no_meaning(role, word, meaning, names)
        if message:
            mistakes.append(message)
        found[word.casefold()] = names.id_of(role, meaning)
    if mistakes:
        raise ImportProblems("--" + role + "s", [Mistake(None, None, m) for m in mistakes])
    return found


def why_no_meaning(role: str, word: str, meaning: str, names: Names) -> str | None:
    """Why a word cannot stand for this, in a sentence; None where it can."""
    if meaning == IGNORE:
        return None
    if role == "model":
        return why_not(names.id_of(role, meaning), lists_of(names.kit))
    if meaning == NEW:
        there = next(iter(names.known("case", case_id(word))), None)
        if there is not None:
            return f"{shown(word)} as new, but the kit has such a case; write {there}"
        return None if case_id(word) else f"{shown(word)}, which makes no id; write a case there is"
    if len(names.known(role, meaning)) == 1:
        return None
    ids = [case.id for case in names.kit.cases]
    return f"no case {shown(meaning)} in the kit; {did_you_mean(meaning, ids, one_of(ids))}"


def lists_of(kit: Kit) -> Mapping[str, tuple[object, ...]]:
    """A kit's lists of models, by attribute."""
    return {attribute: getattr(kit, attribute) for attribute, _ in (*TAGGED, *COUNTED)}


def case_id(word: str) -> str:
    """An id for a case of this name; empty where the name has no letter or digit for one."""
    return plain(word).replace(" ", "-")[:_LONGEST_ID].strip("-")


def as_said(word: str, meaning: str) -> str:
    """How a word's meaning is said on the command line."""
    entry = io.StringIO()
    csv.writer(entry, lineterminator="").writerow([f"{word}={meaning}"])
    return shlex.quote(entry.getvalue())


def new_cases(words: Iterable[Word], kept: Iterable[Case]) -> Iterator[Case]:
    """The cases of a file of units: those that it had, then those whose words are new."""
    made = {case.id: case for case in kept}
    for word in words:
        if word.role == "case" and word.meaning == NEW:
            case = Case(id=case_id(word.text), name=word.text)
            made.setdefault(case.id, case)
    yield from made.values()
