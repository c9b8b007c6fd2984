"""Keys of one's own: a file of command ids and keys, checked before a screen opens.

    [keys]
    "pack.done" = "ctrl+y"
    "go.log" = ["f8", "v"]

A command that is not named keeps its keys; one that is named has those alone.
"""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from kitprep.definitions.problems import (
    DefinitionError,
    Keys,
    Problem,
    SourceFile,
    did_you_mean,
    read_toml,
)
from kitprep.definitions.text import shown
from kitprep.tui.commands import (
    COMMANDS,
    EVERYWHERE,
    FORBIDDEN,
    Command,
    everywhere,
    of_screen,
    written,
)

QUIT = "app.quit"
TYPED_AT = ("pack", "check", "wrap")
"""Screens where a letter is always an answer or part of a code."""

FIELDS_OWN = frozenset({"ctrl+u", "ctrl+b", "delete"})
"""Keys that the field for codes takes before anything else sees them."""

NAMED = frozenset(
    {"up", "down", "left", "right", "home", "end", "pageup", "pagedown", "insert", "delete"}
    | {"enter", "escape", "tab", "shift+tab", "space", "question_mark", "slash", "full_stop"}
    | {"comma", "minus", "plus", "semicolon", "colon"}
)
"""Keys that have a name, beside letters, F1 to F12 and Ctrl with a letter."""

WAYS = 'write a letter, "f1" to "f12", "ctrl+" and a letter, or a name such as "pageup"'

Keymap = Mapping[str, tuple[str, ...]]


def default_place() -> Path:
    """The file in the user's settings folder."""
    from platformdirs import user_config_dir

    return Path(user_config_dir("kitprep", appauthor=False)) / "keys.toml"


def read_keymap(path: Path) -> Keymap:
    """The file's keys by command; none where there is no file.

    Raises:
        DefinitionError: with everything in it that cannot be.
    """
    if not path.exists():
        return {}
    file, data = read_toml(path, str(path))
    problems = list(_strange(file, data))
    table = data.get("keys", {})
    if not isinstance(table, dict):
        problems.append(Problem(file, ("keys",), "write a table here: [keys]"))
        raise DefinitionError(problems)
    keymap: dict[str, tuple[str, ...]] = {}
    for id, value in table.items():
        found = list(_wrong(file, id, value))
        problems += found
        if not found:
            keymap[id] = (value,) if isinstance(value, str) else tuple(value)
    if not problems:
        problems += _clashes(file, keymap)
    if problems:
        raise DefinitionError(problems)
    return keymap


def keys_of(command: Command, keymap: Keymap) -> tuple[str, ...]:
    """The keys that do it."""
    return keymap.get(command.id, command.keys)


def key_of(id: str, keymap: Keymap) -> str:
    """The first key that does a command, as it is written on screens."""
    return written(keys_of(next(command for command in COMMANDS if command.id == id), keymap)[0])


def with_keys(words: str, keymap: Keymap) -> str:
    """Our own words, with the key of each command whose id stands in braces."""
    return re.sub(r"\{([a-z.-]+)\}", lambda found: key_of(found[1], keymap), words)


def _strange(file: SourceFile, data: Mapping[str, object]) -> Iterator[Problem]:
    for key in data:
        if key != "keys":
            yield Problem(file, (key,), f"{shown(key)} is not known here; write [keys]", True)


def _wrong(file: SourceFile, id: str, value: object) -> Iterator[Problem]:
    at: Keys = ("keys", id)
    commands = {command.id: command for command in COMMANDS}
    if id not in commands:
        hint = did_you_mean(id, commands, "kitprep keys lists all ids")
        yield Problem(file, at, f"there is no command {shown(id)}; {hint}", True)
        return
    keys = [value] if isinstance(value, str) else value
    if not isinstance(keys, list) or not all(isinstance(key, str) for key in keys):
        yield Problem(file, at, f"write a key in quotes, or a list of keys; {WAYS}")
        return
    if not keys:
        lost = "no way to quit is left; write" if id == QUIT else "no key is left; write"
        yield Problem(file, at, f"{lost} a key, or take the line out to keep {_usual(id)}")
    for place, key in enumerate(keys):
        where = at if isinstance(value, str) else (*at, place)
        yield from _wrong_key(file, where, commands[id], key)


def _usual(id: str) -> str:
    return " or ".join(next(c.keys for c in COMMANDS if c.id == id))


def _wrong_key(file: SourceFile, at: Keys, command: Command, key: str) -> Iterator[Problem]:
    prefix, _, last = key.rpartition("+")
    is_letter = len(last) == 1 and last.isascii() and last.isalpha() and last.islower()
    is_f = last[:1] == "f" and last[1:].isdecimal() and 1 <= int(last[1:] or 0) <= 12
    if key in FORBIDDEN:
        says = f"{shown(key)} never arrives: a terminal sends it as another key; write another"
        yield Problem(file, at, says)
    elif len(key) == 1 and key.isdecimal():
        yield Problem(file, at, f"{shown(key)} is kept for answers; write another key")
    elif not (
        key in NAMED or (not prefix and (is_letter or is_f)) or (prefix == "ctrl" and is_letter)
    ):
        yield Problem(file, at, f"{shown(key)} is no key that every terminal sends; {WAYS}")
    elif key in FIELDS_OWN and command.screen in (*TYPED_AT, EVERYWHERE):
        yield Problem(file, at, f"{shown(key)} is the field's own; write another key")
    elif _is_typed(key) and (command.screen in TYPED_AT or command.id == QUIT):
        says = f"{shown(key)} is typed into the field; write a key with ctrl, or an F key"
        yield Problem(file, at, says)


def _is_typed(key: str) -> bool:
    """Whether a field takes the key as a character."""
    return len(key) == 1 or key in {
        "space", "question_mark", "slash", "full_stop", "comma", "minus", "plus", "semicolon",
        "colon",
    }  # fmt: skip


def _clashes(file: SourceFile, keymap: Keymap) -> Iterator[Problem]:
    """A key with two meanings on one screen, told at the later of those that the file names."""
    told: set[tuple[str, str]] = set()
    for screen in dict.fromkeys(c.screen for c in COMMANDS if c.screen != EVERYWHERE):
        taken: dict[str, Command] = {}
        for command in (*everywhere(), *of_screen(screen)):
            for key in keys_of(command, keymap):
                other = taken.setdefault(key, command)
                as_ever = key in other.keys and key in command.keys
                if other is command or as_ever:
                    continue
                ours = command if command.id in keymap else other
                theirs = other if ours is command else command
                if (ours.id, key) not in told:
                    told.add((ours.id, key))
                    says = f"{shown(key)} does {theirs.id} as well; write another key for one"
                    yield Problem(file, ("keys", ours.id), says)
