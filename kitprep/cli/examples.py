"""The worked examples of the table of commands: help and the reference show them, a test runs them.

They are written for the demo job's folder, and each works there as it stands.
"""

import argparse
from collections.abc import Mapping
from dataclasses import dataclass

WHERE = "in the demo's folder (kitprep demo --where)"


@dataclass(frozen=True, slots=True)
class Example:
    """A command line, what it is for, and how it ends.

    ``after`` is what must have happened first; ``screens`` says that it opens them.
    """

    line: str
    says: str
    status: int = 0
    after: tuple[str, ...] = ()
    screens: bool = False

    @property
    def meaning(self) -> str:
        """What it is for, with the exit status where that is not 0."""
        return f"{self.says}; exit status {self.status}" if self.status else self.says


_PACKED = ("kitprep pack day-01.toml TX01 TX11 cells:FR6=20",)

_READ = "--saw power=yes --saw firmware=5.2 --saw card=yes --saw cells=3.1"

_OUT = (
    *_PACKED,
    f"kitprep pack day-01.toml TX01 {_READ}",
    f"kitprep pack day-01.toml TX11 {_READ}",
    "kitprep list day-01.toml --format csv | grep ,todo, | cut -d, -f2 | "
    'kitprep pack day-01.toml - --leave-out "not today"',
    'kitprep stage day-01.toml packed --accept "as read"',
    "kitprep stage day-01.toml out",
)

_STAGE = (
    Example(
        "kitprep stage day-01.toml closed",
        "refused while anything has no outcome, and says what",
        status=1,
    ),
)

EXAMPLES: Mapping[str, tuple[Example, ...]] = {
    "open": (
        Example("kitprep day-01.toml", "day 1; F1 explains each screen", screens=True),
        Example("kitprep", "the demo job, from any folder", screens=True),
    ),
    "demo": (
        Example("kitprep demo 2", "the day that is short of several things", screens=True),
        Example("kitprep demo 2 --where", "where its files are, to read or to copy"),
    ),
    "check": (Example("kitprep check kit.toml day-0?.toml", "the kit and every day, all at once"),),
    "needs": (
        Example("kitprep needs day-02.toml", "what is short and what would mend it", 1),
        Example(
            "kitprep needs day-0?.toml --format csv > peak.csv", "the most that any day needs", 1
        ),
    ),
    "list": (
        Example("kitprep list day-01.toml", "by case, each line with its why"),
        Example("kitprep list day-01.toml --format csv > list.csv", "for a spreadsheet"),
    ),
    "status": (Example("kitprep status day-01.toml", "what is still to pack", 1),),
    "pack": (
        Example("kitprep pack day-01.toml TX01 TX11 cells:FR6=20", "two packs, twenty cells"),
        Example(
            'kitprep pack day-01.toml item:slate --leave-out "camera brings it"',
            "not packed, with the reason",
        ),
    ),
    "confirm": (
        Example("kitprep confirm day-01.toml", "every question, with its answers"),
        Example("kitprep confirm day-01.toml 12A:boom:recorder:tap=1", "input 1 moved"),
    ),
    "add": (
        Example(
            'kitprep add day-01.toml TX03 item:lav=2 --note "from the truck"',
            "refused while it is not out yet: pack it then",
            2,
        ),
    ),
    "back": (
        Example("kitprep back day-01.toml TX01 TX11=wet", "one in order, one wet", after=_OUT),
        Example("kitprep back day-01.toml cells:FR6=fresh:6,spent:14", "twenty cells", after=_OUT),
    ),
    "hand": (
        Example("kitprep hand day-01.toml TX01 --to Ines", "Ines wears it now", after=_PACKED),
        Example("kitprep hand day-01.toml", "who has what, since when"),
    ),
    "take": (
        Example(
            "kitprep take day-01.toml TX01",
            "off Ines again",
            after=(*_PACKED, "kitprep hand day-01.toml TX01 --to Ines"),
        ),
    ),
    "cells": (
        Example("kitprep cells day-01.toml --at 11:00", "what is due before lunch"),
        Example("kitprep cells day-01.toml TX01 --at 10:05", "a fresh set went in at 10:05"),
    ),
    "standby": (
        Example("kitprep standby day-01.toml --at 08:50", "what should be asleep by then", 1),
        Example("kitprep standby day-01.toml --all --at 08:50", "all of them were put to sleep"),
    ),
    "swap": (
        Example("kitprep swap day-01.toml TX01", "what can stand in"),
        Example(
            'kitprep swap day-01.toml TX01 --by TX03 --reason "no signal"', "TX03 goes in for it"
        ),
    ),
    "replan": (
        Example("kitprep replan day-01.toml", "what moving others would serve", 1, after=_OUT),
        Example("kitprep replan day-01.toml --take", "and they are moved", 1, after=_OUT),
    ),
    "spares": (
        Example("kitprep spares day-01.toml", "what would cover any one failure"),
        Example("kitprep spares day-01.toml --take", "and it goes along"),
    ),
    "stage": _STAGE,
    "report": (
        Example("kitprep report day-01.toml", "the day so far"),
        Example("kitprep report day-01.toml --json > day-01.json", "the same for a program"),
    ),
    "clear": (
        Example(
            'kitprep clear day-01.toml TX11 --note "dried, tested"',
            "tomorrow can count on it",
            after=(*_OUT, "kitprep back day-01.toml TX11=wet"),
        ),
        Example(
            "kitprep clear day-01.toml cells:FR6=32",
            "counted again: as many as the kit's file has",
            after=(*_OUT, "kitprep back day-01.toml cells:FR6=fresh:6,spent:14"),
        ),
    ),
    "ledger": (
        Example(
            "kitprep ledger verify", "whether every entry is as it was recorded", after=_PACKED
        ),
        Example("kitprep ledger export > ledger.jsonl", "a copy to keep elsewhere", after=_PACKED),
    ),
    "new": (
        Example('kitprep new my-job --job "My job" --cast 4 --yes', "four cast, the rest as usual"),
    ),
    "import": (
        Example(
            "kitprep import units.csv --kit kit.toml --dry-run",
            "shows what it would write",
            after=("printf 'tag,model,serial\\nTX07,slim-pack,SN-0440\\n' > units.csv",),
        ),
    ),
    "paper": (
        Example("kitprep paper day-01.toml -o day-01.html", "every sheet, to print"),
        Example("kitprep paper day-02.toml --sheet hire --format md", "the hire request alone"),
    ),
    "labels": (
        Example("kitprep labels kit.toml -o labels.html", "every tag and case lid"),
        Example("kitprep labels kit.toml --only TX01 RX21 -o two.html", "two tags again"),
    ),
    "copy-day": (
        Example(
            "kitprep copy-day day-01.toml day-04.toml --date 2027-03-17", "day 1 again, as day 4"
        ),
    ),
    "compare": (
        Example("kitprep compare day-01.toml day-02.toml", "what to add for day 2, and leave", 1),
    ),
    "what-if": (
        Example(
            "kitprep what-if day-01.toml --without TX01 --scene 12A=07:15-08:30",
            "a pack gone, and an earlier dawn",
        ),
        Example("kitprep what-if day-02.toml --channels mix=1 --json", "for a program", 1),
    ),
    "serve": (Example("kitprep serve day-01.toml --port 0", "on any free port", screens=True),),
    "keys": (Example("kitprep keys", "every command's id and keys, and the file for your own"),),
    "schema": (Example("kitprep schema kit > kit.schema.json", "for an editor to check by"),),
    "completion": (
        Example('eval "$(kitprep completion bash)"', "in ~/.bashrc; zsh alike, in ~/.zshrc"),
        Example("kitprep completion tcsh > ~/.kitprep.tcsh", "and in ~/.tcshrc: source it"),
    ),
}


def epilog(command: str) -> str:
    """The examples as they stand below a command's help."""
    examples = EXAMPLES.get(command, ())
    if not examples:
        return ""
    heading = f"{'example' if len(examples) == 1 else 'examples'}, {WHERE}:"
    lines = (f"  {example.line}\n      {example.meaning}" for example in examples)
    return "\n".join((heading, *lines))


class HelpFormat(argparse.HelpFormatter):
    """Wraps what is prose, and leaves text that has lines of its own as it is."""

    def add_argument(self, action: argparse.Action) -> None:
        """Takes in an argument; commands stand two columns further in, which argparse forgets."""
        super().add_argument(action)
        if action.nargs == argparse.PARSER:
            self._action_max_length += self._indent_increment

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        if "\n" in text:
            return text
        return super()._fill_text(text, width, indent)
