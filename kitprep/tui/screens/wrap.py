"""Wrap: what has become of everything that went out?"""

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.binding import BindingType

from kitprep.definitions.text import counted
from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.lines import Row
from kitprep.tui.drawing.wrap import back_rows, closing_rows, wrap_rows, wrapped_rows
from kitprep.tui.screens.walk import Ask, WalkScreen
from kitprep.tui.sheets.statement import StatementSheet
from kitprep.tui.widgets.note import Note
from kitprep.walks.answers import meant
from kitprep.walks.cases import is_lid, lid_back
from kitprep.walks.counting import read_count
from kitprep.walks.joining import NotJoining, joining
from kitprep.walks.line_check import says_not_settled
from kitprep.walks.may import not_out
from kitprep.walks.naming import full_name, short_name
from kitprep.walks.out import says_handed
from kitprep.walks.stages import hindrance
from kitprep.walks.wrap import (
    CARD_ASKS,
    MEANINGS,
    NEEDS_NOTE,
    WrapItem,
    WrapView,
    next_outcome,
    says_difference,
    scan_back,
    wrap_view,
)


class WrapScreen(WalkScreen):
    """By holder, then by case, until everything has an outcome."""

    NAME = "wrap"
    IDLE = "Scan or type a tag: it is back. Enter says something else of the marked line"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("wrap")]

    @property
    def view(self) -> WrapView:
        """What went out, as it stands."""
        return wrap_view(self.day, self.state)

    def item_here(self) -> WrapItem | None:
        """The line under the cursor."""
        return self.view.find(self.rows.key or "")

    def begin(self) -> None:
        """At the first line without an outcome."""
        first = next(iter(self.view.unsettled), None)
        if first is not None:
            self.rows.go_to(first.line.key, top=True)
        if self.state.stage != "closed":
            self._too_soon()

    def draw(self) -> None:
        """The count and the line under the cursor."""
        view = self.view
        self.show_list(lambda width: wrap_rows(view, width, self.glyphs))
        self.draw_detail()

    def how_far(self, width: int) -> Sequence[Row]:
        """Of all that went out."""
        return back_rows(self.view, width, self.glyphs)

    def draw_detail(self) -> None:
        """What the line is, who holds it, what became of it."""
        item = self.item_here()
        self.query_one("#detail", Note).show(
            lambda width: wrapped_rows(self.day, item, width, self.glyphs)
        )

    # A tag comes in

    def is_tag(self, code: str, fast: bool) -> bool:
        """A number that was typed is an answer, whatever tags there are."""
        if not fast and code.strip().isdecimal():
            return False
        return is_lid(code) or self.view.named(code) is not None

    async def heard(self, code: str, how: str) -> None:
        """A scanned unit is back; what is counted is counted; anything else is said at once."""
        if self._refused() or self._too_soon():
            return
        if is_lid(code):
            self._to_case(code)
            return
        found = scan_back(self.view, code)
        if found.item is None:
            self.say(found.says, "bad")
            return
        key = found.item.line.key
        self.stop_asking()
        self.rows.go_to(key)
        item = self.view.find(key)
        if item is not None and item.counted:
            await self.action_go()
        elif item is not None:
            await self._outcome(item, {"back": 1}, how)

    def _to_case(self, code: str) -> None:
        """To the first line that is to go back into a case and has no outcome."""
        found = lid_back(self.day, self.view, code)
        if not found.items:
            self.say(found.says, "bad")
            return
        self.stop_asking()
        line = next((item for item in found.items if not item.settled), found.items[0]).line
        self.rows.go_to(line.key)
        self.say(found.says)

    def _refused(self) -> bool:
        if self.state.stage == "closed":
            self.say("The job is closed", "bad")
            return True
        return False

    def _too_soon(self) -> bool:
        if not (why := not_out(self.day, self.state)):
            return False
        pack, out = self.door.key("go.pack"), self.door.key("pack.gone-out")
        self.say(f"{why[0].upper()}{why[1:]} ({pack}, then {out})", "warn")
        return True

    # What has become of it

    async def action_go(self) -> None:
        """Enter: asks for the outcome, the count, or the next step of cards."""
        item = self.item_here()
        if item is None or self._refused() or self._too_soon():
            return
        key = item.line.key
        if item.counted and item.state.outcome and not item.difference and item.cards_open:
            self._ask_cards(item)
        elif item.counted:
            self._ask_count(item, {})
        else:
            words = f"{full_name(item.line)}: what has become of it?"
            self.ask(Ask(key, words, partial(self._choose, key), item.outcomes))

    async def _choose(self, key: str, typed: str, how: str) -> str:
        item = self.view.find(key)
        outcome = meant(item.outcomes, typed) if item else None
        if item is None or outcome is None:
            return f"{typed}: answer with one of the keys shown"
        if outcome == "with":
            self._ask_holder(item, {"with": 1})
        elif outcome in NEEDS_NOTE:
            self._ask_note(item, {outcome: 1})
        else:
            await self._outcome(item, {outcome: 1}, how)
        return ""

    def _ask_holder(self, item: WrapItem, counts: dict[str, int]) -> None:
        words = f"{full_name(item.line)}: with whom, or where? A name is needed"

        async def take(typed: str, how: str) -> str:
            await self._outcome(item, counts, how, holder=typed)
            return ""

        self.ask(Ask(item.line.key, words, take, free=True))

    def _ask_note(self, item: WrapItem, counts: dict[str, int]) -> None:
        outcome = next(iter(counts))
        words = (
            f"{full_name(item.line)} {outcome}: what was seen, in a few words? Empty Enter for none"
        )

        async def take(typed: str, how: str) -> str:
            await self._outcome(item, counts, how, note=typed)
            return ""

        bare = partial(self._outcome, item, counts, "key")
        self.ask(Ask(item.line.key, words, take, enter=bare, free=True))

    def _ask_count(self, item: WrapItem, counts: dict[str, int]) -> None:
        outcome = next_outcome(item, counts)
        if outcome is None:
            self._counted(item.line.key)
            return
        so_far = item.went_out - sum(counts.values())
        words = (
            f"{item.line.name}: {item.went_out} went out, {so_far} to account for. "
            f"How many {outcome} ({MEANINGS[outcome]})?"
        )
        take = partial(self._count, item.line.key, counts, outcome)
        self.ask(Ask(item.line.key, words, take))

    async def _count(
        self, key: str, counts: dict[str, int], outcome: str, typed: str, how: str
    ) -> str:
        item = self.view.find(key)
        number = read_count(typed)
        if item is None or number is None:
            return f"{typed}: type a number; 0 where there is none"
        more = {**counts, outcome: number}
        if outcome == "with" and more["with"]:
            self._ask_holder(item, more)
        elif await self._record(item, more, how):
            self._ask_count(item, more)
        return ""

    def _counted(self, key: str) -> None:
        """The end of a count: it balances, or the difference is said."""
        item = self.view.find(key)
        if item is None:
            return
        if item.difference:
            self.stop_asking()
            self.say(f"{item.line.name}: {says_difference(item)}. Enter counts again", "bad")
        elif item.contradiction:
            self._ask_why(item)
        elif item.cards_open is not None:
            self._ask_cards(item)
        else:
            self._said(item)

    def _ask_why(self, item: WrapItem) -> None:
        """What the log knows speaks against a count: it is so for a reason, or is counted again."""
        words = (
            f"{item.line.name}: {item.contradiction}. Why is it so, in a few words? Empty Enter "
            "counts again"
        )

        async def take(typed: str, how: str) -> str:
            if await self._record(item, dict(item.state.outcome), how, note=typed):
                self._counted(item.line.key)
            return ""

        again = partial(self._ask_count, item, {})
        self.app.bell()
        self.ask(Ask(item.line.key, words, take, enter=again, free=True))

    async def _outcome(
        self,
        item: WrapItem,
        counts: dict[str, int],
        how: str = "key",
        holder: str | None = None,
        note: str = "",
    ) -> None:
        if not await self._record(item, counts, how, holder, note):
            return
        if item.counted:
            self._ask_count(item, counts)
        else:
            after = self.view.find(item.line.key)
            self._said(after or item)

    async def _record(
        self,
        item: WrapItem,
        counts: dict[str, int],
        how: str,
        holder: str | None = None,
        note: str = "",
    ) -> bool:
        key = item.line.key
        holder = holder or (item.state.outcome_holder if counts.get("with") else None)
        happened = [(key, "returned", {"counts": counts, "holder": holder, "note": note})]
        if item.state.holder and not counts.get("with"):
            happened.append((key, "taken back", {}))
        return await self.door.tell_all(happened, how)

    def _said(self, item: WrapItem) -> None:
        self.stop_asking()
        view = self.view
        left = len(view.unsettled)
        words = [word for word, count in item.state.outcome.items() if count]
        becomes = ", ".join(words) if item.counted else f"{words[0]}: {MEANINGS[words[0]]}"
        closes = f"Nothing is open: {self.door.key('wrap.close')} closes the job"
        rest = f"{counted(left, 'line')} open" if left else closes
        self.say(f"{short_name(item.line)} {becomes}. {rest}", "good", " [x] ")
        self.action_next_open()

    def _ask_cards(self, item: WrapItem) -> None:
        step = item.cards_open
        if step is None:
            self._said(item)
            return
        name, key = item.line.name, item.line.key
        words = f"{name}, {item.in_hand} here. {CARD_ASKS[step]}"
        self.ask(Ask(key, words, partial(self._cards, key, name, step), ("yes", "not yet")))

    async def _cards(self, key: str, name: str, step: str, typed: str, how: str) -> str:
        answer = meant(("yes", "not yet"), typed)
        if answer is None:
            return f"{typed}: answer with one of the keys shown"
        if answer == "not yet":
            self.stop_asking()
            self.say(f"{name}: not {step} yet; Enter asks again", "warn", " [~] ")
        elif await self.door.tell(key, "card", how, step=step):
            self.say(f"{name}: {step}", "good", " [x] ")
            item = self.view.find(key)
            if item is not None:
                self._ask_cards(item)
        return ""

    # Commands

    def action_hand(self) -> None:
        """Who or what holds the thing now."""
        item = self.item_here()
        if item is None or self._refused():
            return
        key = item.line.key
        now = f" It is with {item.state.holder}." if item.state.holder else ""
        many = item.went_out > 1
        free = item.went_out - item.state.handed
        number = f" {free} are here: a number first hands over so many." if many else ""
        words = f"Who or what holds {full_name(item.line)}?{now}{number} Empty Enter: it is here"

        async def take(typed: str, how: str) -> str:
            first, _, rest = typed.strip().partition(" ")
            some = read_count(first) if many and rest.strip() else None
            qty, holder = (free, typed.strip()) if some is None else (some, rest.strip())
            if many and not 0 < qty <= free:
                return f"{free} of {item.went_out} are here; empty Enter takes all back"
            remark = says_handed(self.day, self.state, key, holder)
            counted = {"qty": qty} if many else {}
            if await self.door.tell(key, "handed", how, holder=holder, **counted):
                self.stop_asking()
                self.rows.go_to(key)
                with_whom = f"{short_name(item.line)} is with {holder}"
                says = f"{with_whom}. {remark}" if remark else with_whom
                self.say(says, "warn" if remark else "good", " [>] ")
            return ""

        async def here() -> None:
            self.stop_asking()
            if item.state.holder and await self.door.tell(key, "taken back"):
                self.rows.go_to(key)
                self.say(f"{short_name(item.line)} is here again", "good", " [x] ")

        self.ask(Ask(key, words, take, enter=here, free=True))

    def action_joined(self) -> None:
        """What joins the job while it is out, and must come back with it."""
        if self._refused():
            return

        async def take(typed: str, how: str) -> str:
            try:
                key, qty = joining(self.day, self.state, typed)
            except NotJoining as wrong:
                return str(wrong)
            if await self.door.tell(key, "added", how, qty=qty, note=""):
                self.stop_asking()
                self.rows.go_to(key)
                self.say(f"{qty} {key} joined, and must come back", "good", " [+] ")
            return ""

        words = "What joined? A tag, or KEY=NUMBER of what goes by number"
        self.ask(Ask(self.rows.key or "", words, take, free=True, tags=True))

    async def action_take_off(self) -> None:
        """Takes a wrong outcome off again."""
        item = self.item_here()
        if item is None or self._refused():
            return
        if not item.state.outcome:
            self.say("This line has no outcome")
        elif await self._record(item, {}, "key"):
            self.stop_asking()
            self.say(f"{short_name(item.line)}: its outcome is taken off", "", " [ ] ")

    def action_next_open(self) -> None:
        """To the next line without an outcome."""
        items = self.view.items
        here = next((n for n, i in enumerate(items) if i.line.key == self.rows.key), -1) + 1
        following = next((i for i in (*items[here:], *items[:here]) if not i.settled), None)
        if following is not None:
            self.rows.go_to(following.line.key)

    def action_close(self) -> None:
        """The closing statement, when nothing is without an outcome."""
        view = self.view
        if self._refused():
            return
        if why := hindrance(self.day, self.state, "closed", short_name):
            self.say(f"Not closed: {why}", "bad")
            if view.unsettled:
                self.rows.go_to(view.unsettled[0].line.key)
            return
        unchecked = says_not_settled(self.day, self.state)
        sheet = StatementSheet(lambda width, glyphs: closing_rows(view, unchecked, width, glyphs))
        self.app.push_screen(sheet, lambda signed: self.door.in_turn(partial(self._signed, signed)))

    async def _signed(self, signed: bool | None) -> None:
        if signed and await self.door.advance("returned", "closed"):
            self.say("The job is closed", "good", " [x] ")
