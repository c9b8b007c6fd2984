"""The cases of the pack screen: chosen by their lids or by Tab, and shut by a count."""

from functools import partial

from kitprep.tui.drawing.lines import Role
from kitprep.tui.screens.walk import Ask, WalkScreen
from kitprep.walks.cases import lid, says_case, says_difference, shut
from kitprep.walks.counting import read_count
from kitprep.walks.may import packed_no_more
from kitprep.walks.naming import case_code, short_name
from kitprep.walks.pack import CaseView, PackItem, PackView, pack_view
from kitprep.walks.packing_steps import Step


class CasesScreen(WalkScreen):
    """What there is to do about a whole case; ``step`` is what is asked of the line in hand.

    What was said stays until it is answered, or until the cursor is moved to another line. Of what
    it names, ``full_case`` is the one to count and ``stays_here`` the unit to replace, though the
    cursor has gone on by itself.
    """

    def __init__(self) -> None:
        super().__init__()
        self.step: Step | None = None
        self._said_at: str | None = None
        self._said = False
        self.full_case: str | None = None
        self.stays_here: str | None = None

    def say(self, words: str, role: Role = "", mark: str = " ") -> None:
        """What became of it; it belongs to the line under the cursor."""
        super().say(words, role, mark)
        self._said_at = self.rows.key
        self._said, self.full_case, self.stays_here = True, None, None

    async def answer(self, asked: Ask, typed: str, how: str) -> None:
        """Gives an answer; what was said of the one before goes, where nothing is said of it."""
        self._said = False
        await super().answer(asked, typed, how)
        if not self._said:
            self.say("")

    def ask(self, asked: Ask) -> None:
        """Asks; what was said of the answer before is still to be seen."""
        super().ask(asked)
        self._said_at = self.rows.key

    def go_on_to(self, key: str, top: bool = False) -> None:
        """The cursor on another line by itself: what was said stays."""
        self.rows.go_to(key, top)
        self._said_at = self.rows.key

    def cursor_moved(self) -> None:
        """What was said of the line before goes with it, unless that line went away by itself."""
        super().cursor_moved()
        if self.rows.key != self._said_at and self.view.find(self._said_at or "") is not None:
            self.say("")

    def refused(self) -> bool:
        """Says why nothing may be packed or taken out any more, where it may not."""
        wrap, joined = self.door.key("go.wrap"), self.door.key("wrap.joined")
        says = packed_no_more(self.state, wrap, f"{wrap}, then {joined}")
        if says:
            self.say(f"{says[0].upper()}{says[1:]}", "bad")
        return bool(says)

    @property
    def view(self) -> PackView:
        """The list as it stands."""
        return pack_view(self.day, self.state)

    def item_here(self) -> PackItem | None:
        """The line under the cursor."""
        return self.view.find(self.rows.key or "")

    async def put_in(self, key: str, how: str = "key") -> None:
        """What is in hand is in its case."""
        raise NotImplementedError

    def go_to_open(self, view: PackView, after: str, warned: bool = False) -> None:
        """The cursor on the next open line after one, or the word that nothing is open."""
        raise NotImplementedError

    async def heard_lid(self, code: str, how: str) -> None:
        """Goes on with a case, or puts what is in hand into it; a case that is full is counted."""
        view = self.view
        found = lid(self.day, view, code)
        in_hand = view.find(self.asking.key or "") if self.asking and self.step else None
        if found.case is None:
            self.say(found.says, "bad")
        elif in_hand is None:
            self._go_on_with(found.case)
        elif self.step is None or self.step.kind != "put in":
            self.say(
                f"{short_name(in_hand.line)} is in hand: answer what is asked, or Esc for later"
            )
        elif in_hand.line.case in (None, found.case.case):
            await self.put_in(in_hand.line.key, how)
        else:
            goes_in = view.case_of(in_hand).name
            self.say(
                f"{short_name(in_hand.line)} goes in {goes_in}, not in {found.case.name}", "bad"
            )

    def _go_on_with(self, case: CaseView) -> None:
        self.stop_asking()
        line = next((item for item in case.items if not item.finished), case.items[0]).line
        self.go_on_to(line.key, top=True)
        self._remember(case)
        self.say(says_case(case))
        if all(item.finished for item in case.items) and shut(case) != "shut":
            self._ask_pieces(case)

    def _ask_pieces(self, case: CaseView) -> None:
        self.step = None
        words = f"{case.name}: count the pieces in it. How many? Empty Enter: later"
        take = partial(self._pieces, case)
        self.ask(Ask(self.rows.key or case.items[0].line.key, words, take, enter=self.action_stop))

    async def _pieces(self, case: CaseView, typed: str, how: str) -> str:
        number = read_count(typed)
        if number is None:
            return f"{typed}: type how many pieces are in, in digits"
        if not await self.door.tell(case_code(case.case or ""), "counted", how, qty=number):
            return ""
        self.stop_asking()
        after = next(other for other in self.view.cases if other.case == case.case)
        if shut(after) == "differs":
            self.say(says_difference(after), "bad")
        else:
            self.say(f"{says_case(after)}", "good", " [x] ")
            self.go_to_open(self.view, after.items[-1].line.key)
        return ""

    def case_here(self, view: PackView) -> str | None:
        """The case of the line under the cursor."""
        item = view.find(self.rows.key or "")
        return item.line.case if item else None

    def action_next_case(self) -> None:
        """To the first line of the next case."""
        self._to_case(1)

    def action_previous_case(self) -> None:
        """To the first line of the case before."""
        self._to_case(-1)

    def _to_case(self, by: int) -> None:
        cases = [case.case for case in self.view.cases]
        if cases:
            here = self.case_here(self.view)
            case = self.view.cases[((cases.index(here) if here in cases else 0) + by) % len(cases)]
            self.rows.go_to(case.items[0].line.key, top=True)
            self.cursor_moved()
            self._remember(case)

    def _remember(self, case: CaseView) -> None:
        self.door.case = case.case or ""
        self.door.remember_where()

    def action_count_case(self) -> None:
        """The pieces in the case just named or under the cursor, against what is ticked."""
        view, item = self.view, self.item_here()
        named = next((c for c in view.cases if c.case and c.case == self.full_case), None)
        if self.refused():
            return
        if named is not None:
            self.go_on_to(named.items[0].line.key, top=True)
            self._ask_pieces(named)
        elif item is None or item.line.case is None:
            self.say("What goes in no case is not counted as one")
        else:
            self._ask_pieces(view.case_of(item))
