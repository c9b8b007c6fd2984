"""What the walks share: a list, a line in full, and a field that is always ready.

The field takes a tag at any time, whatever is being asked; everything else is the answer to what
is asked. Only the field has the focus, so that no letter of a code can press a command.
"""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from functools import partial
from inspect import isawaitable

from textual import on
from textual.app import ComposeResult
from textual.containers import Container

from kitprep.planning.pool import natural
from kitprep.tui.drawing.lines import Role, Row
from kitprep.tui.screens.base import JobScreen
from kitprep.tui.widgets.code_input import CodeInput
from kitprep.tui.widgets.note import Note
from kitprep.tui.widgets.prompt import Prompt
from kitprep.tui.widgets.row_list import Draw, RowList
from kitprep.walks.answers import meant
from kitprep.walks.standing_in import says_moved, says_none, says_swap

MOST_OFFERED = 8

ROOM_FOR_A_BAR = 22
"""Lines of a screen from which the bar has one to itself."""

FIRST = "Answer what is asked first, or leave it with Esc"

Take = Callable[[str, str], str | Awaitable[str]]
"""Has what was typed and how it came, and gives what is wrong with it; what records is awaited."""


@dataclass(frozen=True)
class Ask:
    """What is asked about a line: ``take`` has the answer and says what is wrong with it, if so.

    Without a ``key`` it is asked about the job, and stays whatever line is marked, until it is
    answered or left with Esc. ``enter`` is what an empty Enter does; without it an answer is
    needed. ``free`` words may happen to name a thing, unless they were scanned; where ``tags`` are
    asked for, a scan is an answer too.
    """

    key: str | None
    words: str
    take: Take
    answers: tuple[str, ...] = ()
    enter: Callable[[], Awaitable[None] | None] | None = None
    free: bool = False
    tags: bool = False


class WalkScreen(JobScreen):
    """A walk through a list of lines."""

    AUTO_FOCUS = "#code"
    IDLE = "Scan or type a tag; Enter takes the marked line"

    def __init__(self) -> None:
        super().__init__()
        self.asking: Ask | None = None

    def body(self) -> ComposeResult:
        """How far the walk is, the list, the line in full, the prompt."""
        yield Note("progress")
        with Container(id="work"):
            yield RowList("rows", focusable=False)
            yield Note("detail")
        yield Prompt()

    @property
    def prompt(self) -> Prompt:
        """The foot of the walk."""
        return self.query_one(Prompt)

    def opened(self) -> None:
        """Where the walk is taken up."""
        super().opened()
        self.stop_asking()
        self.begin()

    def how_far(self, width: int) -> Sequence[Row]:
        """A bar, with its words."""
        raise NotImplementedError

    @property
    def is_low(self) -> bool:
        """Whether how far it is has no line of its own."""
        return self.app.size.height < ROOM_FOR_A_BAR

    def show_list(self, draw: Draw) -> None:
        """The list, under how far the walk is; on a low screen that scrolls away with the list."""

        def listed(width: int) -> Sequence[Row]:
            return [*(self.how_far(width) if self.is_low else ()), *draw(width)]

        self.query_one("#progress", Note).show(
            lambda width: () if self.is_low else self.how_far(width)
        )
        self.rows.show(listed)

    def begin(self) -> None:
        """Puts the cursor where the walk goes on."""

    def is_tag(self, code: str, fast: bool) -> bool:
        """Whether a code names a thing, even while something is asked."""
        raise NotImplementedError

    async def heard(self, code: str, how: str) -> None:
        """A tag came in."""
        raise NotImplementedError

    async def action_go(self) -> None:
        """Enter on the marked line."""
        raise NotImplementedError

    @property
    def asks_of_the_job(self) -> bool:
        """Whether what is asked belongs to no line: then nothing else is asked meanwhile."""
        return self.asking is not None and self.asking.key is None

    def ask(self, asked: Ask) -> None:
        """Asks something about a line, or about the job."""
        if self.asks_of_the_job:
            self.say(FIRST, "warn")
            return
        self.asking = asked
        if asked.key is not None and self.rows.key != asked.key:
            self.rows.go_to(asked.key)
        self.prompt.ask(asked.words, asked.answers)

    def stop_asking(self) -> None:
        """Nothing is asked; the field waits for a tag."""
        self.asking = None
        self.prompt.ask(self.IDLE, role="dim")

    def say(self, words: str, role: Role = "", mark: str = " ") -> None:
        """What became of it, in words."""
        self.prompt.say(words, role, mark)

    @on(CodeInput.Scanned)
    def _code(self, event: CodeInput.Scanned) -> None:
        event.stop()
        self.in_key_order(partial(self._code_came, event.code, event.fast))

    def in_key_order(self, deed: Callable[[], Awaitable[object]]) -> None:
        """Takes a deed in turn behind the keys that were pressed before: these go by the app."""
        self.door.call_later(self.door.in_turn, deed)

    async def _code_came(self, code: str, fast: bool) -> None:
        how = "scan" if fast else "key"
        asked = self.asked_here()
        takes_it = asked is not None and (asked.tags or (asked.free and not fast))
        takes_it = takes_it or self.asks_of_the_job
        if asked is None or (not takes_it and self.is_tag(code, fast)):
            await self.heard(code, how)
        else:
            await self.answer(asked, code, how)

    async def answer(self, asked: Ask, typed: str, how: str) -> None:
        """Gives an answer to what is asked, and says what is wrong with it."""
        wrong = asked.take(typed, how)
        if isawaitable(wrong):
            wrong = await wrong
        if wrong:
            self.say(wrong, "bad")

    def asked_here(self) -> Ask | None:
        """What is asked of the job, or of the line under the cursor, though it moved just now."""
        if self._has_left_its_line():
            self.cursor_moved()
        return self.asking

    def _has_left_its_line(self) -> bool:
        return self.asking is not None and self.asking.key not in (None, self.rows.key)

    @on(CodeInput.Entered)
    def _enter(self, event: CodeInput.Entered) -> None:
        event.stop()
        self.in_key_order(self.entered)

    async def entered(self) -> None:
        """Enter with nothing typed."""
        asked = self.asked_here()
        if asked is None:
            await self.action_go()
        elif asked.enter is not None:
            done = asked.enter()
            if isawaitable(done):
                await done
        else:
            self.say("An answer is needed; Esc leaves the line for later", "warn")

    @on(RowList.Moved)
    def _moved(self) -> None:
        self.cursor_moved()

    def cursor_moved(self) -> None:
        """A cursor that was moved away leaves its line for later."""
        if self._has_left_its_line():
            self.stop_asking()
        self.draw_detail()

    @on(RowList.Chosen)
    def _chosen(self) -> None:
        self.door.in_turn(self.chosen)

    async def chosen(self) -> None:
        """A click on the marked line takes it in hand."""
        if self.asks_of_the_job:
            self.say(FIRST, "warn")
            return
        self.stop_asking()
        await self.action_go()

    def action_stop(self) -> None:
        """Esc: first the question, then the banner."""
        if self.asking is not None:
            self.stop_asking()
        else:
            self.door.action_hush()

    async def replace(self, key: str, tag: str, reason: str) -> None:
        """Asks what stands in for a unit; what is packed is offered first."""
        self.say(f"Looking for what can stand in for {tag}")
        able = (await self.door.aside(partial(self.door.job.substitutes, tag)))[:MOST_OFFERED]
        if not able:
            why = await self.door.aside(partial(self.door.job.why_none, tag))
            words = f"{says_none(tag, why)} Work the day out without it?"
            take_off = partial(self._withdraw, tag, reason)
            self.ask_whether(key, words, f"{tag} stays as it is", take_off)
            self.say("")
            return
        words = f"What stands in for {tag}? The day is worked out again with it"
        take = partial(self._swap, tag, able, reason)
        self.ask(Ask(key, words, take, (*able, "none"), tags=True))
        self.say("")

    async def _swap(
        self, tag: str, able: tuple[str, ...], reason: str, typed: str, how: str
    ) -> str:
        by = meant((*able, "none"), typed)
        if by is None:
            return f"{typed} cannot stand in for {tag}: answer with one of the keys shown"
        asked = self.asking
        self.stop_asking()
        if by == "none" or asked is None:
            self.say(f"{tag} stays as it is")
            self.as_it_was()
            return ""
        self.say(f"Working the day out with {by} in place of {tag}")
        before = self.day
        after = await self.door.aside(partial(self.door.job.with_swap, tag, by))
        where = self.door.job.where(by)
        says = f"{where}{'; ' if where else ''}{says_swap(before, after, self.state, tag, by)}"
        words = f"{by} for {tag}: {says}. Take it?"
        take = partial(self._take_swap, tag, by, reason)
        self.ask_whether(asked.key, words, f"{tag} stays as it is", take)
        self.say("")
        return ""

    def ask_whether(
        self, key: str | None, words: str, no: str, yes: Callable[[str], Awaitable[None]]
    ) -> None:
        """Asks for a yes or a no of a line, or of the job; ``no`` is said where it is no."""
        self.ask(Ask(key, words, partial(self._decide, no, yes), ("yes", "no")))

    async def _decide(
        self, no: str, yes: Callable[[str], Awaitable[None]], typed: str, how: str
    ) -> str:
        """Yes does it; no says so and leaves all as it was."""
        answer = meant(("yes", "no"), typed)
        if answer is None:
            return f"{typed}: answer with one of the keys shown"
        self.stop_asking()
        if answer == "yes":
            await yes(how)
            return ""
        if no:
            self.say(no)
        self.as_it_was()
        return ""

    async def _take_swap(self, tag: str, by: str, reason: str, how: str) -> None:
        if await self.door.tell(tag, "swapped", how, by=by, reason=reason):
            self.say(f"{by} stands in for {tag}; its lines ask again", "good", " [x] ")
            self.swapped(by)

    async def _withdraw(self, tag: str, reason: str, how: str) -> None:
        if await self.door.tell(tag, "withdrawn", how, withdrawn=True, reason=reason):
            day, back = self.door.key("go.day"), self.door.key(f"{self.NAME}.plan-again")
            says = f"{tag} is off the plan; {day} shows what is short, {back} takes it back"
            self.say(says, "warn", " [!] ")
            if not await self.offered_to_move():
                self.swapped(tag)

    async def offered_to_move(self) -> bool:
        """Where to choose all anew would serve more than before, asks whether people are moved."""
        if self.state.out is None:
            return False
        self.ask(Ask(None, "Looking whether moving others would serve more", _too_early))
        anew = await self.door.aside(self.door.job.chosen_anew)
        self.stop_asking()
        if anew is None:
            return False
        moved = says_moved(self.day, anew)
        moves = f" {moved}." if moved else ""
        words = f"By moving others: {says_swap(self.day, anew, self.state)}.{moves} Move them?"
        self.ask_whether(None, words, "Nobody is moved", self._move)
        return True

    async def _move(self, how: str) -> None:
        if await self.door.tell("job", "chosen anew", how):
            self.say("Chosen anew among what is in the bag; its lines ask again", "good", " [x] ")
        self.as_it_was()

    async def action_plan_again(self) -> None:
        """A unit that was taken off the plan is planned with again."""
        off = tuple(sorted(self.state.withdrawn, key=natural))
        if not off:
            self.say("No unit was taken off the plan")
            return
        if len(off) == 1:
            words = f"{off[0]} was taken off the plan. Is it planned with again?"
            stays = f"{off[0]} stays off the plan"
            self.ask_whether(None, words, stays, partial(self._plan_again, off[0]))
            return
        offered = off[:MOST_OFFERED]

        async def take(typed: str, how: str) -> str:
            tag = meant(offered, typed)
            if tag is None:
                return f"{typed}: answer with one of the keys shown"
            self.stop_asking()
            await self._plan_again(tag, how)
            return ""

        self.ask(Ask(None, "Which of these is planned with again?", take, offered))

    async def _plan_again(self, tag: str, how: str) -> None:
        if await self.door.tell(tag, "withdrawn", how, withdrawn=False, reason=""):
            self.say(f"{tag} is on the plan again; its lines ask again", "good", " [x] ")
            self.swapped(tag)

    def as_it_was(self) -> None:
        """Nothing came of a replacement: what was asked before is asked again."""

    def swapped(self, by: str) -> None:
        """The day has been worked out again."""

    def scanned(self, code: str) -> None:
        """A scan that came while the field had not the keys."""
        self.door.in_turn(partial(self.heard, code, "scan"))

    def draw_detail(self) -> None:
        """The line under the cursor in full."""


def _too_early(typed: str, how: str) -> str:
    """An answer before the question."""
    return "Not yet: what to answer is shown in a moment"
