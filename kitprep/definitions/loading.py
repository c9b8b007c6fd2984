"""Reads a kit with all that it includes, and a day plan with its kit, or tells every problem."""

from dataclasses import dataclass
from pathlib import Path

from kitprep.definitions.kit import Kit, Tables
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


@dataclass(frozen=True)
class Day:
    """A day plan and the kit it draws on."""

    kit: Kit
    plan: Plan
    path: Path


class _Merge:
    """Gathers a kit's files, earliest first, remembering where each entry stands."""

    def __init__(self) -> None:
        self.lists: dict[str, list[object]] = {attribute: [] for attribute, _ in LISTS}
        self.origins: dict[tuple[str, int], tuple[SourceFile, int]] = {}
        self.problems: list[Problem] = []
        self._done: set[Path] = set()

    def read(self, path: Path, name: str, model: type[Tables], above: tuple[Path, ...]) -> Tables:
        file, data = read_toml(path, name)
        tables = read_model(model, file, data)
        here = path.resolve()
        for number, entry in enumerate(tables.include):
            self._include(file, here, number, entry, (*above, here))
        for attribute, key in LISTS:
            for index, thing in enumerate(getattr(tables, attribute)):
                self.origins[key, len(self.lists[attribute])] = (file, index)
                self.lists[attribute].append(thing)
        self.top = file
        self._done.add(here)
        return tables

    def _include(
        self, file: SourceFile, here: Path, number: int, entry: str, above: tuple[Path, ...]
    ) -> None:
        target = here.parent / entry
        at: Keys = ("include", number)
        if target.resolve() in above:
            message = f'"{entry}" includes this file again; take one of the two out'
            self.problems.append(Problem(file, at, message))
        elif target.resolve() in self._done:
            return
        elif not target.is_file():
            message = f'there is no file "{entry}" here; write a path relative to this file'
            self.problems.append(Problem(file, at, message))
        else:
            shown = str(Path(file.name).parent / entry)
            try:
                self.read(target, shown, Tables, above)
            except DefinitionError as error:
                self.problems.extend(error.problems)

    def place(self, keys: Keys) -> tuple[SourceFile, Keys]:
        """The file, and the way inside it, of a way inside the merged kit."""
        if len(keys) > 1 and isinstance(keys[1], int):
            file, index = self.origins[str(keys[0]), keys[1]]
            return file, (keys[0], index, *keys[2:])
        return self.top, keys


def load_kit(path: Path, name: str | None = None) -> Kit:
    """The kit of a file, with what it includes.

    Raises:
        DefinitionError: with every problem of every file.
    """
    merge = _Merge()
    kit = merge.read(path, name or str(path), Kit, ())
    assert isinstance(kit, Kit)
    if not merge.problems:
        whole = kit.model_copy(update={name: tuple(things) for name, things in merge.lists.items()})
        found = [
            Problem(*merge.place(fault.keys), fault.message, fault.at_key)
            for fault in check_kit(whole)
        ]
        if not found:
            return whole
        merge.problems.extend(found)
    raise DefinitionError(merge.problems)


def load_tables(path: Path) -> Tables:
    """An included file by itself; its references are checked with the kit that takes it in.

    Raises:
        DefinitionError: with every problem of the file.
    """
    file, data = read_toml(path, str(path))
    return read_model(Tables, file, data)


def load_day(path: Path) -> Day:
    """A day plan and its kit.

    Raises:
        DefinitionError: with every problem of the plan, or else of its kit, or else between them.
    """
    file, data = read_toml(path, str(path))
    problems: list[Problem] = []
    plan: Plan | None = None
    kit: Kit | None = None
    try:
        plan = read_model(Plan, file, data)
    except DefinitionError as error:
        problems.extend(error.problems)
    kit_name = data.get("kit")
    if isinstance(kit_name, str) and kit_name:
        kit_path = path.parent / kit_name
        if kit_path.is_file():
            try:
                kit = load_kit(kit_path, str(Path(file.name).parent / kit_name))
            except DefinitionError as error:
                problems.extend(error.problems)
        else:
            message = f'there is no kit file "{kit_name}" here; write a path relative to this file'
            problems.append(Problem(file, ("kit",), message))
    if plan is not None:
        faults = check_plan(plan, kit)
        problems.extend(Problem(file, fault.keys, fault.message) for fault in faults)
    if problems or plan is None or kit is None:
        raise DefinitionError(problems)
    return Day(kit, plan, path)


def load_any(path: Path) -> Kit | Day | Tables:
    """Whatever definition the file is: a day plan, a kit, or tables that a kit includes.

    Raises:
        DefinitionError: with every problem found.
    """
    _, data = read_toml(path, str(path))
    if data.keys() & {"day", "scene", "source", "destination"}:
        return load_day(path)
    if data.keys() & {"kit", "firmware", "name"}:
        return load_kit(path)
    return load_tables(path)
