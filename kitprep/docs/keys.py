"""The reference of the screens' keys, from the one table that the screens themselves use."""

from collections.abc import Iterator

from kitprep.tui.commands import SCREENS, Command, everywhere, of_screen, written


def keys() -> str:
    """A table a screen, after that of the keys that work on all of them."""
    parts = [_table("On every screen", everywhere())]
    for number, (name, title, about) in enumerate(SCREENS):
        parts.append(_table(f"{title} (F{number + 2})", of_screen(name), about))
    return "\n".join(parts)


def _table(heading: str, commands: tuple[Command, ...], about: str = "") -> str:
    lines = [f"### {heading}", ""]
    if about:
        lines += [f"{about}.", ""]
    if commands:
        lines += ["| key | name | does |", "| --- | --- | --- |", *map(_row, commands), ""]
    return "\n".join(lines)


def _row(command: Command) -> str:
    return f"| {' or '.join(_keys(command))} | {command.title} | {command.tooltip} |"


def _keys(command: Command) -> Iterator[str]:
    yield from (f"**{written(key)}**" for key in command.keys)
