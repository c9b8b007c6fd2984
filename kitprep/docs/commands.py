"""The reference of the commands, from the one table that the command line itself is made of."""

from argparse import Action, ArgumentParser, _SubParsersAction
from collections import Counter
from collections.abc import Iterator
from functools import cache
from textwrap import wrap

from kitprep.cli.examples import EXAMPLES
from kitprep.cli.words import parser

TYPED, READ = 80, 100
"""Columns of what is typed, and of what is only read."""


def commands() -> str:
    """Every command with its words, what they mean, and examples."""
    return "\n".join("\n".join(_section(name, words)) for name, words in _parsers().items())


def everywhere() -> str:
    """The options that mean the same wherever they stand."""
    told = {_meaning(option): None for words in _parsers().values() for option in _options(words)}
    return "\n".join(f"- {meaning}" for meaning in told if meaning in _told_once())


@cache
def _parsers() -> dict[str, ArgumentParser]:
    (commands,) = (a for a in parser()._actions if isinstance(a, _SubParsersAction))
    return dict(commands.choices)


@cache
def _told_once() -> frozenset[str]:
    """What options of more than half of the commands mean."""
    many = Counter(_meaning(option) for words in _parsers().values() for option in _options(words))
    return frozenset(meaning for meaning, n in many.items() if n > len(_parsers()) / 2)


def _options(words: ArgumentParser) -> list[Action]:
    return [action for action in words._actions if action.option_strings]


def _section(name: str, words: ArgumentParser) -> Iterator[str]:
    yield from (f"### kitprep {name}", "", *wrap(words.description or "", READ), "")
    yield from ("```", *_synopsis(name, words), "```", "")
    told = [_meaning(action) for action in words._actions]
    for meaning in told:
        if meaning not in _told_once():
            yield f"- {meaning}"
    if not _told_once() >= set(told):
        yield ""
    yield "```"
    for example in EXAMPLES.get(name, ()):
        yield from (f"# {example.meaning}", example.line)
    yield from ("```", "")


def _synopsis(name: str, words: ArgumentParser) -> list[str]:
    """How a command is written, in lines that fit."""
    lines, now = [], f"kitprep {name}"
    indent = " " * (len(now) + 1)
    for action in sorted(words._actions, key=lambda action: bool(action.option_strings)):
        if action.dest == "help":
            continue
        if len(now) + 1 + len(_written(action)) > TYPED:
            lines.append(now)
            now = indent + _written(action)
        else:
            now = f"{now} {_written(action)}"
    return [*lines, now]


def _written(action: Action) -> str:
    """``[--json]``, ``[--format text|json|csv]``, ``PLAN``, ``TAG…``."""
    value = _value(action)
    if not action.option_strings:
        return f"[{value}]" if action.nargs in ("?", "*") else value
    words = f"{action.option_strings[-1]} {value}".rstrip()
    return words if action.required else f"[{words}]"


def _value(action: Action) -> str:
    """What stands for the value; empty for an option that takes none."""
    if action.nargs == 0:
        return ""
    offered = "|".join(str(choice) for choice in action.choices or ())
    name = str(action.metavar or offered or action.dest.upper())
    return f"{name}…" if action.nargs in ("+", "*") else name


def _meaning(action: Action) -> str:
    value = _value(action)
    names = [f"`{name} {value}".rstrip() + "`" for name in action.option_strings] or [f"`{value}`"]
    return f"{', '.join(names)}: {action.help}"
