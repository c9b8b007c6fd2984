"""Reads a kit with all that it includes, and a day plan with its kit, or tells every problem."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from kitprep.definitions.added_units import TAGGED, place_units
from kitprep.definitions.kit import AddedUnit, Kit, Tables
from kitprep.definitions.kit_checks import check_kit
from kitprep.definitions.plan import Plan
from kitprep.definitions.plan_checks import check_plan
from kitprep.definitions.problems import (
    DefinitionError,
    Keys,
    Problem,
    SourceFile,
    read_toml,
)
from kitprep.definitions.reading import read_model
from kitprep.definitions.text import clean_line, shown

LISTS = (
    ("transmitters", "transmitter"),
    ("receivers", "receiver"),
    ("adapters", "adapter"),
    ("cables", "cable"),
    ("stock", "stock"),
    ("supplies", "supply"),
    ("cases", "case"),
    ("items", "item"),
    ("cells", "cell"),
    ("connectors", "connector"),
)
"""Each list of a kit: its attribute and its key in the file."""

_OF_A_DAY = {"day", "scene", "source", "destination"}

Instead: TypeAlias = Mapping[Path, bytes]
"""What to read in place of files, by their real paths: a change before it is written."""


@dataclass(frozen=True)
class Day:
    """A day plan and the kit it draws on."""

    kit: Kit
    plan: Plan
    path: Path


@dataclass(frozen=True)
class Written:
    """Where the entries of a day stand: by what names each, its file and the way inside that.

    ``units`` go by tag; ``models`` are the models that have units, by their names.
    """

    plan: SourceFile
    units: Mapping[str, tuple[SourceFile, Keys]]
    models: Mapping[str, tuple[SourceFile, Keys]]


class _Merge:
    """Gathers a kit's files, earliest first, remembering where each entry stands."""

    def __init__(self, instead: Instead) -> None:
        self._instead = instead
        self.lists: dict[str, list[object]] = {attribute: [] for attribute, _ in LISTS}
        self.origins: dict[tuple[str, int], tuple[SourceFile, int]] = {}
        self.problems: list[Problem] = []
        self.added: list[AddedUnit] = []
        self._added_at: list[tuple[SourceFile, int]] = []
        self._placed: Mapping[tuple[str, int, int], int] = {}
        self._done: set[str] = set()

    def read(self, path: Path, name: str, model: type[Tables], above: tuple[str, ...]) -> None:
        """Takes in a file after all that it includes; what is wrong joins the problems."""
        try:
            here = os.path.realpath(path)
            file, data = read_toml(path, name, self._instead.get(Path(here)))
        except DefinitionError as error:
            self.problems.extend(error.problems)
            return
        self.top = file
        self._done.add(here)
        tables: Tables | None = None
        try:
            tables = read_model(model, file, data)
        except DefinitionError as error:
            self.problems.extend(error.problems)
        for number, entry in _written(data, tables):
            self._include(file, path, ("include", number), entry, (*above, here))
        self.top = file
        if tables is not None:
            self._take(file, tables)

    def _include(
        self, file: SourceFile, path: Path, at: Keys, entry: str, above: tuple[str, ...]
    ) -> None:
        target = path.parent / entry
        real = os.path.realpath(target)
        if real in above:
            message = f"{shown(entry)} includes this file in its turn; take one of the two out"
            self.problems.append(Problem(file, at, message))
        elif not _is_file(target):
            message = f"there is no file {shown(entry)}; write its path from this file's folder"
            self.problems.append(Problem(file, at, message))
        elif real not in self._done:
            self.read(target, str(Path(file.name).parent / entry), Tables, above)

    def _take(self, file: SourceFile, tables: Tables) -> None:
        self.tables = tables
        for attribute, key in LISTS:
            for index, thing in enumerate(getattr(tables, attribute)):
                self.origins[key, len(self.lists[attribute])] = (file, index)
                self.lists[attribute].append(thing)
        self.added.extend(tables.units)
        self._added_at.extend((file, index) for index in range(len(tables.units)))

    def place_units(self) -> None:
        """Puts the units that are written away from their models among these."""
        placed = place_units(self.lists, self.added)
        self.lists.update({attribute: list(models) for attribute, models in placed.lists.items()})
        self._placed = placed.places
        for unit in placed.misplaced:
            file, index = self._added_at[unit.number]
            self.problems.append(Problem(file, ("unit", index, "model"), unit.message))

    def place(self, keys: Keys) -> tuple[SourceFile, Keys]:
        """The file, and the way inside it, of a way inside the merged kit."""
        match keys:
            case (str(key), int(number), "unit", int(unit), *rest):
                added = self._placed.get((key, number, unit))
                if added is not None:
                    file, index = self._added_at[added]
                    return file, ("unit", index, *rest)
        if len(keys) > 1 and isinstance(keys[1], int):
            file, index = self.origins[str(keys[0]), keys[1]]
            return file, (keys[0], index, *keys[2:])
        return self.top, keys

    def where(self, keys: Keys) -> str:
        """File and line of a way inside the merged kit."""
        file, inside = self.place(keys)
        return file.line(inside)


def _written(data: Mapping[str, object], tables: Tables | None) -> list[tuple[int, str]]:
    """The files to include, as far as they can be made out where the file itself is wrong."""
    if tables is not None:
        return list(enumerate(tables.include))
    include = data.get("include")
    entries = enumerate(include if isinstance(include, list) else [])
    cleaned = [(number, clean_line(entry)) for number, entry in entries if isinstance(entry, str)]
    return [(number, entry) for number, entry in cleaned if entry]


def _is_file(path: Path) -> bool:
    # Path.is_file() raises where a name is too long or a folder above may not be entered.
    return os.path.isfile(path)  # noqa: PTH113


def load_kit(path: Path, name: str | None = None) -> Kit:
    """The kit of a file, with what it includes.

    Raises:
        DefinitionError: with every problem of every file, or else every one between entries.
    """
    return _merged_kit(path, name or str(path), {})[0]


def _merged_kit(path: Path, name: str, instead: Instead) -> tuple[Kit, _Merge]:
    merge = _Merge(instead)
    merge.read(path, name, Kit, ())
    if not merge.problems:
        merge.place_units()
    if merge.problems:
        raise DefinitionError(merge.problems)
    kit = merge.tables
    assert isinstance(kit, Kit)
    lists = {name: tuple(things) for name, things in merge.lists.items()}
    whole = kit.model_copy(update={**lists, "units": tuple(merge.added)})
    faults = check_kit(whole, merge.where)
    if faults:
        raise DefinitionError(
            Problem(*merge.place(fault.keys), fault.message, fault.at_key) for fault in faults
        )
    return whole, merge


def load_tables(path: Path) -> Tables:
    """An included file by itself; its references are checked with the kit that takes it in.

    Raises:
        DefinitionError: with every problem of the file and of what it includes.
    """
    merge = _Merge({})
    merge.read(path, str(path), Tables, ())
    if merge.problems:
        raise DefinitionError(merge.problems)
    return merge.tables


def load_day(path: Path) -> Day:
    """A day plan and its kit.

    Raises:
        DefinitionError: with every problem of the plan and of its kit, or else between them.
    """
    return load_written(path)[0]


def load_written(path: Path, instead: Instead | None = None) -> tuple[Day, Written]:
    """A day plan and its kit, and where their entries stand; raises as :func:`load_day`."""
    instead = instead or {}
    file, data = read_toml(path, str(path), instead.get(Path(os.path.realpath(path))))
    if _is_a_kit(data):
        message = "this is a kit, where a day plan belongs; write the path of a day that uses it"
        raise DefinitionError([Problem(file, (), message)])
    problems: list[Problem] = []
    plan: Plan | None = None
    kit: Kit | None = None
    try:
        plan = read_model(Plan, file, data)
    except DefinitionError as error:
        problems.extend(error.problems)
    entry = plan.kit if plan is not None else data.get("kit")
    if isinstance(entry, str) and entry:
        kit_path = path.parent / entry
        if _is_file(kit_path):
            try:
                kit, merge = _merged_kit(kit_path, str(Path(file.name).parent / entry), instead)
            except DefinitionError as error:
                problems.extend(error.problems)
        else:
            message = f"there is no kit {shown(entry)}; write its path from this file's folder"
            problems.append(Problem(file, ("kit",), message))
    if plan is not None:
        faults = check_plan(plan, kit, file.line)
        problems.extend(Problem(file, fault.keys, fault.message) for fault in faults)
    if problems or plan is None or kit is None:
        raise DefinitionError(problems)
    return Day(kit, plan, path), _written_at(file, kit, merge)


def _is_a_kit(data: Mapping[str, object]) -> bool:
    return not data.keys() & _OF_A_DAY and bool(data.keys() & {key for _, key in LISTS})


def _written_at(file: SourceFile, kit: Kit, merge: _Merge) -> Written:
    units, models = {}, {}
    for attribute, key in TAGGED:
        for number, model in enumerate(getattr(kit, attribute)):
            models[model.model] = merge.place((key, number))
            for place, unit in enumerate(model.units):
                units[unit.tag] = merge.place((key, number, "unit", place))
    return Written(file, units, models)


def load_any(path: Path) -> Kit | Day | Tables:
    """Whatever definition the file is: a day plan, a kit, or tables that a kit includes.

    Raises:
        DefinitionError: with every problem found.
    """
    file, data = read_toml(path, str(path))
    if not data:
        message = "this file says nothing; write a kit, a day plan, or tables for a kit"
        raise DefinitionError([Problem(file, (), message)])
    if data.keys() & _OF_A_DAY:
        return load_day(path)
    if data.keys() & {"kit", "firmware", "name"}:
        return load_kit(path)
    return load_tables(path)
