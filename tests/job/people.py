"""What people do at a pane: they pack, go out, look, replace, hand out, move and wrap.

Whatever a screen showed as done is kept, to be looked for in the ledger; and so is what someone was
told who came second.
"""

from __future__ import annotations

import random
import re
import time
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from functools import partial
from typing import Literal

from kitprep.tui.widgets.code_input import ECHO_S
from kitprep.walks.wrap import MEANINGS

from .panes import PATIENCE_S, Pane, Screen

Tick = tuple[str, str, str, str]
"""Who, what (as screens call it), the kind of event, and the fact that matters."""

Came = Literal["recorded", "second", "refused"]

SEVERAL = 5
"""Questions of the line check, or steps of a line, that are answered one after the other."""


def is_there(seen: Screen) -> bool:
    """The job is open: the title has its figures."""
    return bool(seen.stage and seen.open)


class Person:
    """Someone at a pane. ``others`` are the names by which one is told who came first, ``names``
    is how what goes by number is called, ``tags`` and ``counted`` is what one has in hand."""

    def __init__(
        self,
        pane: Pane,
        others: Collection[str],
        names: Collection[str],
        tags: Sequence[str],
        counted: Sequence[str],
    ) -> None:
        self.pane = pane
        self.tags, self.counted = tags, counted
        self.others = others
        self.names = sorted(names, key=len, reverse=True)
        self.rng = random.Random()
        self.shown: Counter[Tick] = Counter()
        self.unsure: Counter[Tick] = Counter()
        self.pictures: dict[Tick, Screen] = {}
        self.in_vain: list[Screen] = []
        self.came: Counter[str] = Counter()
        self.refusals: Counter[str] = Counter()
        self.waits: list[float] = []
        self.words = 0

    # What a screen is asked, and what it says

    def on(self, key: str) -> Screen:
        """Another screen, with nothing asked and no banner."""
        self.pane.press(key)
        self.pane.wait(lambda seen: seen.open == key)
        seen = self.pane.still()
        for _ in range(3):
            if not seen.banner and not _asks(seen):
                break
            self.pane.press("Escape")
            seen = self.pane.still()
        return seen

    def a_word(self, before: str) -> str:
        """A word that was never typed before."""
        self.words += 1
        return f"{before} {self.pane.who}{self.words}"

    def at(self, key: str, most: int = 1) -> Screen | None:
        """A walk's screen somewhere in its list, with nothing older said; None where it takes
        nothing any more. A word that names nothing says when all keys before it have come."""
        self.on(key)
        word = self.a_word("zz").replace(" ", "")
        self.pane.press(*["PageUp"] * 8, *["Down"] * self.rng.randrange(most))
        self.pane.still()
        self.pane.type(word)
        seen = self.pane.look(lambda seen: word in seen.said or seen.said == CLOSED, 10)
        return self.pane.still() if word in seen.said else None

    def came_of(
        self, before: Screen, shows: Callable[[Screen], object], patience_s: float = PATIENCE_S
    ) -> Came:
        """What became of the last key: shown as done, or told who was first, or why it cannot be.

        A banner without the deed stands a moment, so that no half of a picture is judged.
        """
        began = time.monotonic()
        done = told = 0

        def is_over(seen: Screen) -> bool:
            nonlocal done, told
            done = done + 1 if shows(seen) else 0
            replies = seen.open != "F4"  # where there is none but the deed's own words
            says = seen.banner or (replies and seen.said != before.said and seen.said)
            told = told + 1 if says and not done else 0
            return done > 1 or told > 8

        seen = self.pane.look(is_over, patience_s)
        if not (done or told or seen.stage):  # the title says that it is being written
            seen = self.pane.look(is_over)
        self.waits.append(time.monotonic() - began)
        came: Came = "recorded" if shows(seen) else "refused"
        if came == "refused" and any(other in seen.banner for other in self.others):
            came = "second"
        if came == "refused":
            self.refusals[seen.banner or seen.said or "nothing was said"] += 1
        if not (done or told):
            self.in_vain.append(seen)
        self.came[came] += 1
        return came

    def told(self, otherwise: str) -> str:
        """What it is that the screen's last reply names."""
        said = re.sub(r"^\[.\] ", "", self.pane.screen.said)
        tag = re.match(r"[A-Z]{2}\d+\b(?! cells)", said)
        return tag[0] if tag else next((n for n in self.names if said.startswith(n)), otherwise)

    def tick(self, what: str, kind: str, fact: str = "") -> None:
        tick = (self.pane.who, what, kind, fact)
        self.shown[tick] += 1
        self.pictures[tick] = self.pane.screen

    def asked(self, before: Screen) -> Screen:
        """After something was begun: what it asks, or what it says instead."""
        self.pane.look(lambda seen: _asks(seen) or seen.said != before.said or seen.banner, 5)
        return self.pane.still()

    # Packing

    def look_at(self) -> None:
        """A unit, check by check, until it is in or someone else was quicker."""
        tag = self.rng.choice(self.tags)
        if before := self.at("F5"):
            self.pane.type(tag)
            self.steps(tag, before)

    def steps(self, tag: str, before: Screen) -> None:
        """What is asked of a unit, step by step; the last is to put it in."""
        step = rf" {tag} (\d+)/(\d+): "
        seen = self.pane.look(lambda s: re.search(step, s.text) or s.said != before.said, 2)
        for _ in range(SEVERAL):
            asked = re.search(step, seen.text)
            if asked is None and not (_asks(seen) and _unit(seen) == tag and not seen.offered):
                return
            before = seen
            if asked is None or asked[1] == asked[2]:  # only to be put in
                time.sleep(2 * ECHO_S)  # an Enter at once would be the scanner's own
                self.pane.press("Enter")
            else:
                question = seen.text[asked.end() :]
                value = "5.2" if "version" in question[:60] else "3.1"
                if seen.offered:
                    value = self.rng.choice(["yes"] * 5 + ["did not check"])
                self.pane.type(value)
            done = rf"\[[x?~]\] {tag}\b|\[!\] {tag}(:| reads| packed)"
            if self.came_of(before, partial(_says, before, done)) != "recorded":
                return
            if asked is None or asked[1] == asked[2]:
                self.tick(tag, "packed", "1")
                return
            self.tick(tag, "checked", value)
            seen = self.pane.look(partial(_lacks, asked[0]))

    def count(self) -> None:
        """What goes by number."""
        key = self.rng.choice(self.counted)
        if before := self.at("F5"):
            self.pane.type(key)
            self._number(self.asked(before), str(self.rng.randrange(1, 5)))

    def _number(self, seen: Screen, number: str) -> None:
        if not _asks(seen):
            return
        name = _called(seen)
        self.pane.type(number)
        more = self.pane.look(lambda s: s.offered or s.said != seen.said or s.banner)
        if "yes" in more.offered.values():  # it is more than there should be
            seen = self.pane.still()
            self.pane.type("yes")
        if self.came_of(seen, partial(_says, seen, r"\[[x~]\] ")) == "recorded":
            self.tick(self.told(name), "packed", number)

    def leave_out(self) -> None:
        """A line stays here, with a reason."""
        if before := self.at("F5", 40):
            self._leave_out(before)

    def _leave_out(self, before: Screen) -> None:
        self.pane.press("C-l")
        seen = self.asked(before)
        if not _asks(seen):
            return
        reason = self.a_word("no room")
        self.pane.type(reason)
        if self.came_of(seen, partial(_says, seen, LEFT_OUT)) == "recorded":
            self.tick(self.told(_called(seen)), "skipped", reason)

    def take_out(self) -> None:
        """A wrong tick is mended."""
        if before := self.at("F5", 30):
            self.pane.press("C-t")
            if self.came_of(before, partial(_says, before, UNDONE)) == "recorded":
                self.tick(self.told(_called(before)), "unpacked")

    def replace_packed(self) -> None:
        """Another unit goes in the place of one."""
        if (before := self.at("F5", 20)) and _unit(before):
            self.pane.press("C-r")
            self._stand_in(before, self._typed)

    def _stand_in(self, before: Screen, answer: Callable[[Screen, str], None]) -> None:
        """What stands in for a unit, once it was said which: the first that is offered."""
        seen = self.pane.look(
            lambda s: (
                {"none", "no"} & set(s.offered.values())
                or s.banner
                or (s.said != before.said and s.said.startswith("[!]"))
            )
        )
        if "none" not in seen.offered.values():
            if "no" in seen.offered.values():
                answer(seen, "no")
            return
        asked = re.search(r" ([A-Z]+\d+)\?", seen.text)
        lost, by = asked[1] if asked else _called(seen), seen.offered["1"]
        answer(seen, by)
        seen = self.pane.look(lambda s: set(s.offered.values()) == {"yes", "no"})
        if "yes" not in seen.offered.values():
            return
        answer(seen, "yes")
        done = rf"\[x\] {by} "
        if self.came_of(seen, partial(_says, seen, done)) == "recorded":
            self.tick(lost, "swapped", by)

    def _typed(self, _: Screen, word: str) -> None:
        self.pane.type(word)

    def _pressed(self, seen: Screen, word: str) -> None:
        self.pane.press(next(key for key, each in seen.offered.items() if each == word))

    def settle_pack(self) -> None:
        """The first line that is open, and the statement once none is; then it goes out."""
        if (before := self.at("F5")) is None:
            return
        if before.stage == "packed":
            self.pane.press("C-o")
            seen = self.asked(before)
            if "yes" in seen.offered.values():
                before = seen
                self.pane.type("yes")
            if self.came_of(before, partial(_says, before, DONE)) == "recorded":
                self.tick("job", "stage", "out")
            return
        self.pane.press("C-d")
        seen = self._sheet_or_said(before)
        if SIGNS in seen.text:
            self._sign(before, "packed")
        elif _unit(seen) and self.rng.random() < 0.7:
            self.pane.press("Enter")
            self.steps(_unit(seen), seen)
        elif not _unit(seen) and self.rng.random() < 0.7:
            self.pane.press("Enter")
            asked = self.asked(seen)
            needed = re.search(r"(\d+) needed", asked.text)
            self._number(asked, needed[1] if needed else "1")
        else:
            self._leave_out(seen)

    def _sheet_or_said(self, before: Screen) -> Screen:
        self.pane.look(lambda s: SIGNS in s.text or s.banner or s.said != before.said, 5)
        return self.pane.still()

    def _sign(self, before: Screen, *stages: str) -> None:
        self.pane.press("C-s")
        if self.came_of(before, partial(_says, before, DONE)) == "recorded":
            for stage in stages:
                self.tick("job", "stage", stage)

    # Out

    def check(self) -> None:
        """Several questions of a scene."""
        scene, before = self.at_a_scene()
        for _ in range(SEVERAL):
            name = before.detail.partition(" [")[0]
            if not scene or not before.marked.startswith("[") or not name:
                return
            answer = self.rng.choice([*before.offered.values()] or ["5.2"])
            if not before.offered:
                self.pane.type(answer)
            elif self.rng.random() < 0.2:
                answer = "did not check"
                self.pane.press("C-n")
            else:
                key = next(k for k, each in before.offered.items() if each == answer)
                self.pane.press(key)
            came = self.came_of(before, partial(_says, before, "."))
            if came != "recorded":
                return
            after = self.pane.still()
            said, scene = after.said, _scene(after) or scene
            told = re.match(r"\[[x?~]\] ([a-z ]+):", said)
            what = f"{scene} {told[1] if told else name}"
            if not re.match(r"\[[x?~!]\]|Scene ", said):
                self.unsure[self.pane.who, what, "observed", answer] += 1
                return
            self.tick(what, "observed", answer)
            before = after
            if told is None or before.detail.partition(" [")[0] == told[1]:
                return  # what is said to the next answer might be the same words

    def at_a_scene(self) -> tuple[str, Screen]:
        """The line check of another scene at one of its first lines, with nothing said.

        The question for a unit to replace, left again, says when all keys before it have come.
        """
        self.on("F6")
        self.pane.press(*["Right"] * self.rng.randrange(1, 4))
        self.pane.press(*["PageUp"] * 6, *["Down"] * self.rng.randrange(5), "C-r")
        self.pane.look(lambda s: _offers_units(s) or s.banner, 10)
        scene = _scene(self.pane.still())
        self.pane.press("Escape")
        self.pane.look(lambda s: not _offers_units(s), 10)
        return scene, self.pane.still()

    def replace_in_chain(self) -> None:
        """A unit of a chain fails at the line check."""
        _, before = self.at_a_scene()
        if not before.marked.startswith("["):
            return
        self.pane.press("C-r")
        asked = self.pane.look(_offers_units, 5)
        if _offers_units(asked):
            self.pane.press("1")
            self._stand_in(asked, self._pressed)

    def fresh_set(self) -> None:
        """Cells are changed, or the pack of a supply."""
        self._of_power("C-f", "cells changed")

    def asleep(self) -> None:
        """A pack is put to sleep, or woken."""
        self._of_power("z", "standby")

    def _of_power(self, key: str, kind: str) -> None:
        self.on("F4")
        self.pane.press(*["PageUp"] * 4, *["Down"] * self.rng.randrange(10))
        before = self.pane.still()
        was = _fed(before)
        self.pane.press(key)
        came = self.came_of(before, lambda seen: _fed(seen) not in ("", was), 4)
        if came == "recorded":
            self.tick(_fed(self.pane.still()), kind)
        elif was and _fed(self.pane.still()) == was:  # the same once more, in the same minute?
            self.unsure[self.pane.who, was, kind, ""] += 1

    def move(self) -> None:
        """Things are seen into the truck, from the first that is still to be seen in."""
        self.on("F2")
        self.pane.press("m")
        seen = self.pane.look(lambda s: MOVED.search("\n".join(s.lines)), 3)
        for _ in range(self.rng.randrange(5)):
            here = _moved(seen)
            self.pane.press("Down")
            self.pane.look(partial(_not_at, here), 3)
            seen = self.pane.still()
        for _ in range(3):
            before = self.pane.still()
            row = MOVED.search(_moved(before))
            if row is None or row[1] != "[ ]":
                break
            self.pane.press("Enter")
            done = r"\[[x~]\] [A-Z]{2}\d+\b"
            if self.came_of(before, partial(_says, before, done), 6) != "recorded":
                break
            self.tick(self.told(row[2]), "moved")
        self.pane.press("Escape")
        self.pane.look(lambda s: not _moved(s), 3)

    # Wrap

    def hand(self) -> None:
        """Who has it now; or it is here again."""
        before = self.at("F7", 20)
        if before is None or not _called(before):
            return
        self.pane.press("C-g")
        seen = self.asked(before)
        if not _asks(seen):
            return
        if re.search(r"It is with ", seen.text) and self.rng.random() < 0.4:
            self.pane.press("Enter")
            if self.came_of(seen, partial(_says, seen, DONE)) == "recorded":
                self.tick(self.told(_called(seen)), "taken back")
            return
        holder = self.a_word("Ines")
        self.pane.type(holder)
        done = r"\[>\] "
        if self.came_of(seen, partial(_says, seen, done)) == "recorded":
            self.tick(self.told(_called(seen)), "handed", holder)

    def scan_back(self) -> None:
        """A unit is scanned: it is back."""
        tag = self.rng.choice(self.tags)
        if before := self.at("F7"):
            self.pane.type(tag)
            done = rf"\[x\] {tag}\b"
            if self.came_of(before, partial(_says, before, done)) == "recorded":
                self.tick(tag, "returned", "back 1")

    def say_outcome(self) -> None:
        """Of a line of the list: what has become of it."""
        if before := self.at("F7", 30):
            self.pane.press("Enter")
            self._outcome(before)

    def _outcome(self, before: Screen, *, in_full: bool = False) -> None:
        seen = self.asked(before)
        name = _called(seen)
        if set(seen.offered.values()) >= {"back", "not seen"}:
            words = ["back"] * 12 + [w for w in seen.offered.values() if w != "back"]
            word = self.rng.choice(words)
            self.pane.type(word)
            if word in ("with", "faulty", "incomplete", "wet", "another unit's"):
                self.pane.look(lambda s: not s.offered, 5)
                self.pane.type(self.a_word("Oda"))
            if self.came_of(seen, partial(_says, seen, DONE)) == "recorded":
                self.tick(self.told(_called(seen)), "returned", f"{word} 1")
            return
        counts: dict[str, int] = {}
        for _ in range(len(MEANINGS)):
            asked = _outcome_asked(seen)
            if asked is None:
                break
            left = re.search(r"(\d+) to account for", seen.text)
            number = int(left[1]) if left else 1
            if asked in ("with", "faulty", "incomplete", "wet"):
                number = 0
            elif asked == "fresh" or not in_full:
                number = self.rng.choice([number, number, self.rng.randrange(number + 1)])
            self.pane.type(str(number))
            if self.came_of(seen, partial(_asks_on, asked)) != "recorded":
                return
            counts[asked] = number
            self.tick(name, "returned", _counts(counts))
            seen = self.pane.still()
        if WHY in seen.text:
            self.pane.type(self.a_word("found"))
            if self.came_of(seen, partial(_says, seen, DONE)) == "recorded":
                self.tick(name, "returned", _counts(counts))
            return
        self._cards(name, seen)

    def _cards(self, name: str, seen: Screen) -> None:
        """Cards: copied, then verified, then formatted."""
        for _ in range(3):
            if set(seen.offered.values()) != {"yes", "not yet"}:
                return
            before = seen
            self.pane.type("yes")
            if self.came_of(before, partial(_says, before, DONE)) != "recorded":
                return
            self.tick(name, "card")
            seen = self.pane.still()

    def take_off(self) -> None:
        """A wrong outcome is taken off again."""
        if before := self.at("F7", 30):
            self.pane.press("C-t")
            if self.came_of(before, partial(_says, before, UNDONE)) == "recorded":
                self.tick(self.told(_called(before)), "returned", "")

    def settle_wrap(self) -> None:
        """The first line without an outcome, and the statement once none is."""
        if (before := self.at("F7")) is None:
            return
        self.pane.press("C-d")
        seen = self._sheet_or_said(before)
        if SIGNS in seen.text:
            self._sign(before, "returned", "closed")
        elif seen.said != before.said:
            self.pane.press("Enter")
            self._outcome(seen, in_full=True)


PACKING = ("look_at",) * 4 + ("count",) * 2 + ("leave_out", "take_out", "replace_packed", "hand")
OUT = ("check",) * 4 + ("replace_in_chain", "fresh_set", "fresh_set", "asleep", "hand", "hand",
                        "move", "move")  # fmt: skip
WRAPPING = ("say_outcome",) * 4 + ("scan_back",) * 3 + ("take_off", "hand", "fresh_set")

CLOSED = "[!] The job is closed"
SIGNS = "^S Sign"
WHY = "Why is it so, in a few words?"
IDLE = "Scan or type a tag"
"""How both walks' words begin when nothing is asked."""
DONE = r"\[x\] "
LEFT_OUT = r"\[-\] |\[x\] Nothing is open"
UNDONE = r"\[ \] "
MOVED = re.compile(r"> (\[[x ]\]) (?:here|seen in) +([A-Z]{2}\d+) +\S")


def _says(before: Screen, done: str, seen: Screen) -> bool:
    """Whether something new is said, and it is that it is done."""
    is_new = seen.said != before.said and SIGNS not in seen.text
    return is_new and re.match(done, seen.said) is not None


def _fed(seen: Screen) -> str:
    """Whose cells or pack the power screen has said last to be changed, asleep or awake."""
    said = "\n".join(seen.lines[-3:-1])
    found = re.search(r"(?m)^ \d\d:\d\d (.+) (?:has a fresh|put to sleep|woken)", said)
    return found[1] if found else ""


def _moved(seen: Screen) -> str:
    """The line under the cursor of the sheet of moves."""
    return next((line for line in seen.lines if MOVED.search(line)), "")


def _not_at(here: str, seen: Screen) -> bool:
    return _moved(seen) != here


def _offers_units(seen: Screen) -> bool:
    """Whether it is asked which unit of a chain is meant."""
    return any(re.fullmatch(r"[A-Z]{2}\d+", each) for each in seen.offered.values())


def _asks(seen: Screen) -> bool:
    """Whether something is asked on a walk's screen."""
    return seen.open in ("F5", "F7") and IDLE not in seen.text


def _called(seen: Screen) -> str:
    """What the line in full is called, by its tag where it has one."""
    name = seen.detail.partition(" [")[0]
    return _unit(seen) or name


def _scene(seen: Screen) -> str:
    """The scene whose lines are checked."""
    found = (re.match(r" +Scene (\S+)", line) for line in seen.lines)
    return next((each[1] for each in found if each), "")


def _unit(seen: Screen) -> str:
    """The tag of the line in full; empty where it goes by number."""
    found = re.match(r"([A-Z]{2}\d+) (?!cells)", seen.detail)
    return found[1] if found else ""


def _lacks(words: str, seen: Screen) -> bool:
    return words not in seen.text


def _outcome_asked(seen: Screen) -> str | None:
    """The outcome whose number is asked for."""
    asked = (word for word, means in MEANINGS.items() if f"{word} ({means})" in seen.text)
    return next(asked, None)


def _asks_on(asked: str, seen: Screen) -> bool:
    """Whether the count goes on, or is at its end."""
    return _outcome_asked(seen) != asked and not seen.banner


def _counts(counts: dict[str, int]) -> str:
    """Counts of outcomes in a fixed order."""
    return ", ".join(f"{word} {n}" for word, n in sorted(counts.items()))
