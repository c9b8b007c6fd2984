"""The one table of commands: keys, footer, palette and help all come from here.

A letter never works while something can be typed; function keys and Ctrl always do. Digits are
kept for answers, so that no habit of one screen answers a question on another.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from textual.binding import Binding

ScreenName = Literal["day", "scene", "power", "pack", "check", "wrap", "log"]

SCREENS: tuple[tuple[ScreenName, str, str], ...] = (
    ("day", "Day", "Is tomorrow workable, what is short, how far is it packed"),
    ("scene", "Scene", "One scene's chains, from source to input"),
    ("power", "Power", "Cells and supplies against the clock, firmware to do"),
    ("pack", "Pack", "What goes in which case, with what was looked at"),
    ("check", "Line check", "One observation a line, made at the destination"),
    ("wrap", "Wrap", "What has become of everything that went out"),
    ("log", "Log", "Who did what, and when"),
)

EVERYWHERE = "*"

FORBIDDEN = frozenset(
    {"ctrl+c", "ctrl+h", "ctrl+i", "ctrl+j", "ctrl+m", "ctrl+z", "ctrl+left_square_bracket"}
)
"""Keys that a terminal sends as others, or keeps for itself."""


@dataclass(frozen=True, slots=True)
class Command:
    """Something that can be done: ``action`` is a method of the screen, or of the app."""

    id: str
    keys: tuple[str, ...]
    title: str
    tooltip: str
    screen: str = EVERYWHERE
    footer: bool = False
    action: str = ""

    @property
    def does(self) -> str:
        """The action's name: the last part of the id where none is given."""
        return self.action or self.id.partition(".")[2].replace("-", "_")

    @property
    def binding(self) -> Binding:
        """As Textual binds it."""
        action = self.does if self.screen != EVERYWHERE else f"app.{self.does}"
        return Binding(
            ",".join(pressed(self.keys)),
            action,
            self.title,
            show=False,
            priority=self.id == "app.quit",
            id=self.id,
            tooltip=self.tooltip,
        )


def _screens() -> Iterator[Command]:
    for number, (name, title, tooltip) in enumerate(SCREENS):
        keys = (f"f{number + 2}", LETTERS[name])
        yield Command(f"go.{name}", keys, title, tooltip, action=f"go('{name}')")


LETTERS: dict[str, str] = {
    "day": "d", "scene": "s", "power": "o", "pack": "k", "check": "l", "wrap": "w", "log": "g"
}  # fmt: skip

COMMANDS: tuple[Command, ...] = (
    *_screens(),
    Command("app.help", ("f1", "question_mark"), "Help", "What this screen is for, and its keys"),
    Command(
        "app.commands",
        ("ctrl+p",),
        "Find",
        "Any command, scene or thing by its name",
        action="command_palette",
    ),
    Command("app.days", ("c",), "Days", "Open, compare or make another day of this kit"),
    Command("app.new", ("j",), "New job", "Make a kit and a day of your own"),
    Command("app.take-back", ("u",), "Take back", "Undo the last change to a file"),
    Command("app.light", ("f9",), "Light or dark", "Change between dark and light colours"),
    Command("app.hush", ("escape",), "Hide message", "Take the message at the top away"),
    Command("app.quit", ("ctrl+q",), "Quit", "Leave; every tick is stored already"),
    Command("move.up", ("up",), "Up", "One line up", action="move(-1)"),
    Command("move.down", ("down",), "Down", "One line down", action="move(1)"),
    Command("move.page-up", ("pageup",), "Page up", "A screenful up", action="page(-1)"),
    Command("move.page-down", ("pagedown",), "Page down", "A screenful down", action="page(1)"),
    Command("day.open", ("enter",), "Open scene", "Show the scene's chains", "day", True),
    Command("day.moves", ("m",), "Moves", "What must come along at a company move", "day", True),
    Command("day.spares", ("t",), "Take spares", "Put the offered spares on the list", "day", True),
    Command(
        "day.what-if", ("i",), "What if", "Try the day another way; nothing is kept", "day", True
    ),
    Command(
        "day.edit",
        ("e",),
        "Edit",
        "Change the day's files: scenes, sources, destinations, units",
        "day",
        True,
    ),
    Command("scene.next", ("right", "n"), "Next scene", "The next by the clock", "scene", True),
    Command("scene.previous", ("left", "p"), "Previous", "The scene before", "scene", True),
    Command(
        "scene.what-if",
        ("i",),
        "What if",
        "Try the day another way; nothing is kept",
        "scene",
        True,
    ),
    Command(
        "scene.edit",
        ("e",),
        "Edit",
        "Change the day's files: scenes, sources, destinations, units",
        "scene",
        True,
    ),
    Command("power.open", ("enter",), "Open", "A change's scene, what a unit is", "power", True),
    Command(
        "power.fresh-set",
        ("ctrl+f",),
        "Fresh set in",
        "The unit's cells are changed, or the supply's pack",
        "power",
        True,
    ),
    Command(
        "power.asleep",
        ("z",),
        "Asleep or awake",
        "The pack was put to sleep, or woken",
        "power",
        True,
    ),
    Command(
        "power.all-asleep",
        ("a",),
        "All asleep",
        "Every pack that should sleep now was put to sleep",
        "power",
        True,
    ),
    Command(
        "pack.go", ("enter",), "Pack line", "Go on with the line: read, count, put in", "pack", True
    ),
    Command(
        "pack.leave-out", ("ctrl+l",), "Leave out", "Leave a line out, with a reason", "pack", True
    ),
    Command("pack.take-out", ("ctrl+t",), "Take out", "Take a packed line out again", "pack", True),
    Command(
        "pack.read-again",
        ("ctrl+g",),
        "Read again",
        "Make a reading once more: a slip of the hand, another set of cells",
        "pack",
    ),
    Command(
        "pack.not-checked",
        ("ctrl+n",),
        "Not checked",
        "Go on without this reading; it stays unverified",
        "pack",
    ),
    Command(
        "pack.replace", ("ctrl+r",), "Replace", "Let another unit stand in for this one", "pack"
    ),
    Command(
        "pack.plan-again",
        ("ctrl+e",),
        "Plan again",
        "A unit that was taken off the plan is planned with again",
        "pack",
    ),
    Command("pack.next-case", ("tab",), "Next case", "To the next case", "pack", True),
    Command("pack.previous-case", ("shift+tab",), "Case before", "To the case before", "pack"),
    Command(
        "pack.count-case",
        ("ctrl+k",),
        "Count case",
        "Count the pieces in a case, to shut it",
        "pack",
    ),
    Command("pack.edit", ("ctrl+x",), "Edit", "Change what the kit's file says of it", "pack"),
    Command("pack.stop", ("escape",), "Stop asking", "Leave the line for later", "pack"),
    Command("pack.done", ("ctrl+d",), "Done", "Read the statement and close packing", "pack", True),
    Command("pack.gone-out", ("ctrl+o",), "Gone out", "The packed kit leaves", "pack"),
    Command("check.next", ("right",), "Next scene", "The next by the clock", "check", True),
    Command("check.previous", ("left",), "Previous scene", "The scene before", "check"),
    Command(
        "check.not-checked",
        ("ctrl+n",),
        "Not checked",
        "Recorded as unverified, never as a pass",
        "check",
        True,
    ),
    Command(
        "check.replace",
        ("ctrl+r",),
        "Replace",
        "Let another unit stand in for one of this chain",
        "check",
        True,
    ),
    Command(
        "check.plan-again",
        ("ctrl+e",),
        "Plan again",
        "A unit that was taken off the plan is planned with again",
        "check",
    ),
    Command(
        "check.choose-anew",
        ("ctrl+a",),
        "Move others",
        "Choose anew among what is in the bag, where that serves more; asks first",
        "check",
    ),
    Command("check.next-open", ("tab",), "Next open", "To the next open line", "check", True),
    Command("check.stop", ("escape",), "Stop asking", "Back to the line's question", "check"),
    Command("wrap.go", ("enter",), "Outcome", "What has become of the line", "wrap", True),
    Command("wrap.hand", ("ctrl+g",), "Hand to", "Who or what holds it now", "wrap", True),
    Command("wrap.joined", ("ctrl+y",), "Joined", "What joined the job while it is out", "wrap"),
    Command("wrap.take-off", ("ctrl+t",), "Take off", "Take its outcome off again", "wrap", True),
    Command("wrap.next-open", ("tab",), "Next open", "To the next without outcome", "wrap", True),
    Command("wrap.stop", ("escape",), "Stop asking", "Leave the line for later", "wrap"),
    Command("wrap.close", ("ctrl+d",), "Close job", "When everything has an outcome", "wrap", True),
    Command("log.newest", ("home",), "Newest", "To the newest event", "log", True),
)


def pressed(keys: Sequence[str]) -> tuple[str, ...]:
    """The keys as they arrive: a letter's capital too, for Caps Lock is not seen in the dark.

    No command has a capital of its own.
    """
    return (*keys, *(key.upper() for key in keys if len(key) == 1))


def of_screen(name: str) -> tuple[Command, ...]:
    """What can be done on a screen alone."""
    return tuple(command for command in COMMANDS if command.screen == name)


def everywhere() -> tuple[Command, ...]:
    """What can be done on every screen."""
    return of_screen(EVERYWHERE)


def written(key: str) -> str:
    """A key as it is written on screens: ^D, F1, Enter."""
    if key.startswith("ctrl+"):
        return "^" + key.removeprefix("ctrl+").upper()
    names = {
        "question_mark": "?",
        "pageup": "PgUp",
        "pagedown": "PgDn",
        "shift+tab": "Shift+Tab",
        "escape": "Esc",
    }
    if key in names:
        return names[key]
    return key.upper() if key[0] == "f" and key[1:].isdigit() else key.capitalize()
