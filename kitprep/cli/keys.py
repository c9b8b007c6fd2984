"""``keys``: every command with its keys, and where to write one's own."""

from argparse import Namespace

from kitprep.cli import DONE, answer, answer_json


def run_keys(given: Namespace) -> int:
    """The table as it is now, with one's own keys in it."""
    from kitprep.tui.commands import COMMANDS, written
    from kitprep.tui.keymap import default_place, keys_of, read_keymap

    place = default_place()
    keymap = read_keymap(place)
    if given.json:
        commands = [
            {
                "id": command.id,
                "keys": list(keys_of(command, keymap)),
                "title": command.title,
                "does": command.tooltip,
                "screen": command.screen,
                "own": command.id in keymap,
            }
            for command in COMMANDS
        ]
        answer_json({"file": str(place), "there": place.exists(), "commands": commands})
        return DONE
    wide = max(len(command.id) for command in COMMANDS)
    for command in COMMANDS:
        keys = " or ".join(map(written, keys_of(command, keymap)))
        own = " (yours)" if command.id in keymap else ""
        answer(f"{command.id:<{wide}}  {keys:<16}  {command.tooltip}{own}\n")
    answer(f"\nYour own keys: {place}{'' if place.exists() else ' (not there yet)'}\n")
    answer('There, under [keys], a line each: "pack.done" = "ctrl+y"\n')
    return DONE
