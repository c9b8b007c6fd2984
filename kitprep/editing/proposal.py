"""From a filled-in form to a text: which file, what it will say, and whether the day then reads.

Nothing is written here. The changed text is read in place of the file, with the whole kit and the
plan, by the same checks that ``kitprep check`` makes; where it does not read well, there is nothing
to write.
"""

import difflib
import os
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from kitprep.definitions.added_units import COUNTED, TAGGED, why_not
from kitprep.definitions.loading import Day, load_written
from kitprep.definitions.locator import Path as Keys
from kitprep.definitions.plan import Plan
from kitprep.definitions.problems import DefinitionError, SourceFile
from kitprep.definitions.text import clean_line, clean_message
from kitprep.editing.fields import NotReadable, shown_text
from kitprep.editing.forms import NAMED_BY, Kind, fields_of
from kitprep.editing.owned import is_owned, owned_text
from kitprep.editing.surgery import (
    AddEntry,
    Change,
    DropEntry,
    NotEditable,
    SetKey,
    changed_data,
    edited,
)

AROUND = 2
"""Lines that a difference shows around a change."""


@dataclass(frozen=True, slots=True)
class Edit:
    """An entry as it is to be: its fields as a form has them; ``name`` is None for a new one."""

    kind: Kind
    name: str | None
    texts: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Drop:
    """A scene, a source or a destination goes out of the plan. A unit never does: it ends."""

    kind: Kind
    name: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a file would say, or why it cannot.

    ``at`` are sentences by field, ``elsewhere`` those that no field of the form can mend. ``day``
    is there only where nothing is wrong.
    """

    path: Path
    before: str
    after: str
    day: Day | None = None
    at: Mapping[str, str] = field(default_factory=dict)
    elsewhere: tuple[str, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether the file stays as it is."""
        return self.before == self.after

    @property
    def is_owned(self) -> bool:
        """Whether the file is the program's own."""
        return is_owned(self.before)

    def difference(self) -> tuple[str, ...]:
        """The changed lines with those around them, as a unified difference."""
        before, after = (
            text.replace("\r\n", "\n").split("\n") for text in (self.before, self.after)
        )
        lines = difflib.unified_diff(before, after, lineterm="", n=AROUND)
        return tuple(clean_message(line) for line in lines)[2:]


class Book:
    """A day's files as they are now, with forms for what is in them."""

    def __init__(self, plan: Path) -> None:
        """Reads the files.

        Raises:
            DefinitionError: where they do not read well as they are.
        """
        self.path = plan
        self.day, self.written = load_written(plan)

    def names(self, kind: Kind) -> tuple[str, ...]:
        """Every entry of a kind, as written."""
        if kind == "unit":
            return tuple(self.written.units)
        return tuple(_names(self.day.plan, kind))

    def texts(self, kind: Kind, name: str | None) -> dict[str, str]:
        """An entry's fields as they stand in its file; all empty for a new one."""
        fields = fields_of(kind, name is None)
        entry = {} if name is None else _entry(*self._place(kind, name))
        return {one.key: shown_text(entry.get(one.key)) for one in fields}

    def proposed(self, wanted: Edit | Drop) -> Proposal:
        """What a change comes to; the files stay as they are."""
        if isinstance(wanted, Drop):
            file, keys = self._place(wanted.kind, wanted.name)
            needed = tuple(_needed_by(self.day.plan, wanted))
            return _refused(file, {}, needed) if needed else self._made(file, [DropEntry(keys)])
        before = self.texts(wanted.kind, wanted.name)
        changed = {key: text for key, text in wanted.texts.items() if text != before[key]}
        values, wrong = _read(wanted, changed)
        if wanted.name is None:
            return self._added(wanted.kind, values, wrong)
        file, keys = self._place(wanted.kind, wanted.name)
        if wrong:
            return _refused(file, wrong)
        changes: list[Change] = [SetKey(keys, key, value) for key, value in values.items()]
        return self._made(file, [*changes, *_renamed(file, wanted, values)], keys)

    def _added(
        self, kind: Kind, values: Mapping[str, object], wrong: Mapping[str, str]
    ) -> Proposal:
        entry = {key: value for key, value in values.items() if value is not None}
        file: SourceFile = self.written.plan
        where: Keys = (kind,)
        if kind == "unit" and "model" not in wrong:
            model = str(entry.get("model", ""))
            not_one = why_not(model, self._lists()) if model else "a unit is of a model; choose one"
            wrong = {**wrong, "model": not_one} if not_one else wrong
            if not not_one:
                file, where = self._beside(model)
                if where[0] != "unit":
                    del entry["model"]
        if wrong:
            return _refused(file, wrong)
        data: Any = tomllib.loads(file.text)
        for key in where[:-1]:
            data = data[key]
        return self._made(file, [AddEntry(where, entry)], (*where, len(data.get(where[-1], ()))))

    def _lists(self) -> dict[str, Sequence[Any]]:
        return {attribute: getattr(self.day.kit, attribute) for attribute, _ in (*TAGGED, *COUNTED)}

    def _beside(self, model: str) -> tuple[SourceFile, Keys]:
        """The list that a new unit joins: that of its model's last unit, else its model's own."""
        units = [
            unit.tag
            for attribute, _ in TAGGED
            for thing in getattr(self.day.kit, attribute)
            if thing.model == model
            for unit in thing.units
        ]
        if units:
            file, keys = self.written.units[units[-1]]
            return file, keys[:-1]
        file, keys = self.written.models[model]
        return file, (*keys, "unit")

    def _place(self, kind: Kind, name: str) -> tuple[SourceFile, Keys]:
        if kind == "unit":
            return self.written.units[name]
        return self.written.plan, (kind, _names(self.day.plan, kind).index(name))

    def _made(
        self, file: SourceFile, changes: Sequence[Change], entry: Keys | None = None
    ) -> Proposal:
        """The changed file, read with all others; ``entry`` is what the form is about."""
        path = Path(file.name)
        try:
            after = _changed(file.text, changes)
        except NotEditable as error:
            return _refused(file, {}, (f"{path}: {error}",))
        real = Path(os.path.realpath(path))
        try:
            day, _ = load_written(self.path, {real: after.encode()})
        except DefinitionError as error:
            at, elsewhere = _sorted_out(error, file, entry)
            return Proposal(path, file.text, after, None, at, elsewhere)
        return Proposal(path, file.text, after, day)


def _refused(file: SourceFile, at: Mapping[str, str], elsewhere: tuple[str, ...] = ()) -> Proposal:
    return Proposal(Path(file.name), file.text, file.text, None, at, elsewhere)


def _names(plan: Plan, kind: Kind) -> list[str]:
    things = {"scene": plan.scenes, "source": plan.sources, "destination": plan.destinations}
    return [getattr(thing, NAMED_BY[kind]) for thing in things[kind]]


def _entry(file: SourceFile, keys: Keys) -> Mapping[str, object]:
    found: Any = tomllib.loads(file.text)
    for key in keys:
        found = found[key]
    entry: Mapping[str, object] = found
    return entry


def _read(wanted: Edit, changed: Mapping[str, str]) -> tuple[dict[str, object], dict[str, str]]:
    """The values of the changed fields, and what is wrong with those that are nothing of theirs."""
    values: dict[str, object] = {}
    wrong: dict[str, str] = {}
    for one in fields_of(wanted.kind, wanted.name is None):
        if one.key not in changed:
            continue
        try:
            values[one.key] = one.value(changed[one.key])
        except NotReadable as error:
            wrong[one.key] = str(error)
    return values, wrong


def _changed(text: str, changes: Sequence[Change]) -> str:
    if not is_owned(text):
        return edited(text, changes)
    data = tomllib.loads(text)
    for change in changes:
        data = changed_data(data, change)
    return owned_text(data)


def _renamed(file: SourceFile, wanted: Edit, values: Mapping[str, object]) -> Iterator[SetKey]:
    """What refers to an entry by its id, so that it still does once the id is another."""
    old, new = str(wanted.name), values.get(NAMED_BY[wanted.kind])
    if not isinstance(new, str):
        return
    data: Any = tomllib.loads(file.text)
    if wanted.kind == "source":
        for number, scene in enumerate(data["scene"]):
            for place, source in enumerate(scene.get("sources", ())):
                if clean_line(source) == old:
                    yield SetKey(("scene", number, "sources"), place, new)
    elif wanted.kind == "destination":
        for number, source in enumerate(data["source"]):
            to = source["to"]
            if isinstance(to, str):
                if _goes_to(to, old):
                    yield SetKey(("source", number), "to", new + to[to.find(":") :] * (":" in to))
                continue
            for place, entry in enumerate(to):
                if _goes_to(entry, old):
                    port = entry[entry.find(":") :] * (":" in entry)
                    yield SetKey(("source", number, "to"), place, new + port)


def _goes_to(entry: str, destination: str) -> bool:
    return clean_line(entry).partition(":")[0] == destination


def _needed_by(plan: Plan, wanted: Drop) -> Iterator[str]:
    """Who still refers to what is to go, in one sentence."""
    if wanted.kind == "source":
        users = [scene.number for scene in plan.scenes if wanted.name in scene.sources]
        if users:
            where = f"scene {users[0]}" if len(users) == 1 else f"scenes {_and(users)}"
            yield f"{wanted.name} is in {where}; take it out of there first"
    elif wanted.kind == "destination":
        users = [
            source.id
            for source in plan.sources
            if wanted.name in (name for name, _ in source.ports)
        ]
        if users:
            goes = "goes" if len(users) == 1 else "go"
            yield f"{_and(users)} {goes} to {wanted.name}; send them elsewhere first"


def _and(names: Sequence[str]) -> str:
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))


def _sorted_out(
    error: DefinitionError, file: SourceFile, entry: Keys | None
) -> tuple[dict[str, str], tuple[str, ...]]:
    """What each field of the form is told, and what is wrong in other places."""
    at: dict[str, str] = {}
    elsewhere: list[str] = []
    for problem in error.problems:
        mine = entry is not None and problem.file.name == file.name
        if mine and entry and problem.keys[: len(entry)] == entry and problem.keys != entry:
            key = str(problem.keys[len(entry)])
            at.setdefault(key, clean_message(problem.message).removesuffix(" = …"))
        else:
            elsewhere.append(str(problem))
    return at, tuple(dict.fromkeys(elsewhere))
