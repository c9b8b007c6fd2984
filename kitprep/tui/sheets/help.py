"""Help for each screen, written for a sound person; its keys come from the table of commands."""

from collections.abc import Iterator, Sequence

from kitprep.tui.commands import COMMANDS, SCREENS, Command, everywhere, of_screen, written
from kitprep.tui.drawing.lines import Glyphs, Row, fill, heading, paragraph
from kitprep.tui.keymap import Keymap, keys_of, with_keys
from kitprep.tui.sheets.base import Sheet

KEYS_ROOM = 16

# A command's id in braces stands for its key, as it is set here.
WORDS: dict[str, tuple[str, ...]] = {
    "day": (
        "Read this the night before, while something can still be hired. The first line says "
        "whether every source of every scene reaches its input, with cells, cables and supplies.",
        "Each scene is a bar on the clock of the day; breaks and moves are shaded; the last row "
        "marks when a set of cells is changed. What is short has its reason, and under it what to "
        "hire.",
        "{day.open} on a scene, or on what it is short of, opens its chains. {day.moves} shows "
        "what must come along at each company move; {day.spares} puts the offered spares on the "
        "packing list. {day.what-if} asks what if: a unit gone, a scene at another time, a source "
        "left out.",
        "{day.edit} changes the files: scenes, sources, destinations, units, old and new. What it "
        "does to the day and every line that differs are shown first; your comments stay. "
        "{app.take-back} takes the last change back. {app.days} opens, compares or makes another "
        "day; {app.new} makes a job of your own.",
        "On any screen, scan a tag to be told what the thing does today and where it stands.",
    ),
    "scene": (
        "One row a chain: the source, the transmitter with its adapter, the air, the receiver, the "
        "input. A single line is mono, a double line is stereo. Read it aloud when you line up.",
        "The boxes are the destination's inputs. A name in brackets is patched there for another "
        "scene and silent in this one: leave its lead in. A wide screen shows the units too, and "
        "where the scene stands in the day.",
        "A link that is not served stands with its reason. {scene.what-if} tries this scene and "
        "the rest of the day another way; nothing of that is kept. {scene.edit} changes the files "
        "themselves.",
    ),
    "power": (
        "Each unit on cells against the clock: solid while it is in a scene, light while it is on "
        "between scenes. The mark says by when its set is changed, always between scenes if a "
        "fresh set lasts one. An exclamation mark says that it dies within a scene.",
        "At the foot, what is left in the marked unit's set, hour under hour: it falls while the "
        "unit is on, and is full again after a change. The lowest part is the day's reserve.",
        "{power.fresh-set} on a unit, or on a change, says that a fresh set is in; what is "
        "overdue is marked. {power.asleep} says that a pack was put to sleep, or woken; "
        "{power.all-asleep} says it of all that should sleep now.",
        "Hours are planned hours of a fresh set: cold and the day's reserve are taken off "
        "already. Part-used cells are never counted.",
    ),
    "pack": (
        "Scan or type a tag at any time; Enter takes the marked line. A unit is looked at first: "
        "it asks for what you read, one thing after the other, and is ticked last, when it is in "
        "its case. Things taken by number are counted in.",
        "Several tags scanned at once lie on the bench and are asked for in turn. A wrong tag, a "
        "tag of another case or one that is packed already is said at once.",
        "The key before an answer answers by itself; versions, volts and counts are typed, with "
        "Enter. A tag that begins with such a key: scan it, or press {pack.stop} first and then "
        "type it. {pack.not-checked} goes on without a reading; it stays on the statement.",
        "Something misread? Scan the unit once more, press Enter on it, or {pack.read-again}: one "
        "reading or all are made again. The latest counts; the log keeps them all. A line is left "
        "out only with a reason.",
        "A case's lid, scanned, goes on with that case and takes what is in hand. When a case is "
        "full its pieces are counted ({pack.count-case}) against what is ticked; then it is shut.",
        "A unit that is not there or not in order: {pack.replace} offers what can stand in for "
        "it, and what that would change is said before you take it. {pack.edit} changes what the "
        "kit's file says of it: state, firmware.",
        "Interrupted? The case that you were in is begun again from its first line. When nothing "
        "is open, {pack.done} shows the statement; {pack.gone-out} says that the kit has gone "
        "out.",
    ),
    "check": (
        "Every line is one thing to look at or listen for, at the destination, not at the bag. "
        "The planned answer is not shown until yours is in.",
        "Press the key before an answer, or type what you read: a number for an input, B for both, "
        "N for none. 0 or {check.not-checked} is 'did not check': it is recorded as unverified, "
        "never as a pass.",
        "Where an answer differs, likely causes stand below; mend it and answer again. "
        "{check.replace} replaces a unit of the chain: its lines then ask again.",
    ),
    "wrap": (
        "Count what came back, by holder first, then by case. A scanned tag is back, whole. For "
        "anything else press Enter on the line and say what has become of it; no word here blames "
        "anyone. A case's lid leads to what is still to go back into it.",
        "Numbers must balance with what went out; the difference is shown, a surplus too. Cells "
        "are fresh, part-used or spent. Cards are copied, then verified, then formatted, in that "
        "order.",
        "{wrap.hand} says who or what holds a thing, at any time of the day. {wrap.close} closes "
        "the job when nothing is without an outcome; what is still out goes on tomorrow's list.",
    ),
    "log": (
        "Every tick ever shown, the newest first, with the clock of this place. Nothing here can "
        "be changed: a mistake is mended by a later event.",
    ),
}

SHEETS: dict[str, tuple[str, ...]] = {
    "": ("Up and Down, or Page Up and Page Down, show the rest.",),
    "edit": (
        "Everything that you can change: scenes, sources, destinations, units. Enter opens the "
        "marked line; so does a tag, or a name typed into the field. [+] begins a new one.",
        "A unit is never taken out, for it has a past: it ends on a day, and is not planned with "
        "from then on. Nothing is written before you have seen what it does to the day.",
    ),
    "form": (
        "One line a field. Type into the marked one, or step through what is offered with Left "
        "and Right and take it with Space. What is wrong stands right under its field.",
        "Below stands what comes of it; Page Up and Page Down show the rest of that.",
        "Nothing is written while you type.",
    ),
    "review": (
        "What would be written, line by line: + is new, - goes. Below it stands what that does to "
        "the day. Enter writes it; Esc goes back, and all that you typed is still there.",
    ),
    "days": (
        "The days of this kit, by date. Enter opens the marked one. Compare says what to add to "
        "the bag and what to leave, from the open day to the marked one. Make the next copies the "
        "open day to a new date; who wears what can go along.",
    ),
    "what-if": (
        "Try the day otherwise. Enter on a unit: it is gone. On a source under a scene: it is left "
        "out. On a source further down: mono or stereo. On a scene: other times.",
        "Or type it: TX04 is gone; 12A=08:00-10:00 moves a scene; mix=1 makes a source mono; "
        "12A:boom leaves the boom out. The same again takes it back.",
        "Nothing of this is kept, and no file is changed.",
    ),
    "move": (
        "What is worn, rigged, plugged in or on a camera at the place that you leave, and must "
        "come along, in the numbers that were packed.",
        "Scan or type a tag: it is seen in. Enter takes the marked line. Of what goes by number, "
        "say how many are in. Enter on what is ticked takes a wrong tick back.",
    ),
    "statement": (
        "Read it as if somebody else had packed. Signing says that it is so, in your name.",
    ),
}
"""What each sheet over a screen is for, by its ABOUT."""


class SheetHelp(Sheet[None]):
    """Help for a sheet, over it; the key that opened it closes it too."""

    def __init__(self, about: str, foot: str) -> None:
        super().__init__()
        self._about, self._foot = about, foot

    def show_help(self) -> None:
        """Away with it."""
        self.action_leave()

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What the sheet is for, and the keys at its foot."""
        rows = [heading("Help", width, glyphs)]
        for words in SHEETS[self._about]:
            rows += [*paragraph(words, width, "", "  "), Row(())]
        rows.append(heading("Keys here", width, glyphs))
        for pair in self._foot.strip().split("   "):
            key, _, does = pair.partition(" ")
            rows.append(Row(((fill(f"  {key}", KEYS_ROOM), "key"), (does, ""))))
        screens = "keys for the seven screens leave this and go there, unless something would be "
        return [*rows, Row(()), *paragraph(f"The {screens}lost.", width, "dim", "  ")]


class HelpSheet(Sheet[None]):
    """Help for one screen; the key that opened it closes it too."""

    def __init__(self, screen: str) -> None:
        super().__init__()
        self._of = screen

    @property
    def keymap(self) -> Keymap:
        """The keys of one's own."""
        return self.door.keymap

    def show_help(self) -> None:
        """Away with it."""
        self.action_leave()

    def lines(self, width: int, glyphs: Glyphs) -> Sequence[Row]:
        """What the screen is for, and every key that works on it."""
        title, question = next((t, q) for name, t, q in SCREENS if name == self._of)
        rows = [heading(title, width, glyphs), *paragraph(question, width, "head", "  ")]
        for words in WORDS[self._of]:
            rows += [Row(()), *paragraph(with_keys(words, self.keymap), width, "", "  ")]
        rows += [Row(()), heading("Keys here", width, glyphs)]
        rows += _keys(of_screen(self._of), self.keymap, width, glyphs)
        rows += [Row(()), heading("Keys everywhere", width, glyphs)]
        letters = (
            "Letters, capital or not, work wherever nothing is being typed; F keys and ^ (Ctrl) "
            "always do."
        )
        rows += [
            *paragraph(letters, width, "dim", "  "),
            *_keys(everywhere(), self.keymap, width, glyphs),
        ]
        return rows


def _keys(commands: Sequence[Command], keymap: Keymap, width: int, glyphs: Glyphs) -> Iterator[Row]:
    room = max(len(command.title) for command in COMMANDS)
    indent = 2 + KEYS_ROOM + room + 2
    for command in commands:
        keys = fill(" or ".join(map(written, keys_of(command, keymap))), KEYS_ROOM, glyphs.dots)
        title = fill(command.title, room, glyphs.dots)
        for number, row in enumerate(paragraph(command.tooltip, max(width - indent, 12))):
            lead = f"  {keys}{title}  " if number == 0 else " " * indent
            yield Row(((lead, "key"), *row.line))
