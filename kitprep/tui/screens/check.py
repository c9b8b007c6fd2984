"""Line check: does every chain do at its destination what the plan says?"""

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual import events
from textual.binding import BindingType

from kitprep.ledger.moment import Moment
from kitprep.planning.results import SceneNeeds
from kitprep.tui.commands import of_screen
from kitprep.tui.drawing.check import check_rows, checked, checked_rows, question_rows, summary
from kitprep.tui.drawing.lines import Row
from kitprep.tui.screens.walk import Ask, WalkScreen
from kitprep.tui.widgets.note import Note
from kitprep.walks.answers import NOT_CHECKED, answer_keys, meant
from kitprep.walks.line_check import CheckLine, line_check, next_to_ask, tally
from kitprep.walks.lookup import about


class CheckScreen(WalkScreen):
    """One observation a line. Where answers are offered their keys answer; else it is typed."""

    NAME = "check"
    AUTO_FOCUS = "#rows"
    IDLE = "Nothing is open in this scene; right or left for another"
    BINDINGS: ClassVar[list[BindingType]] = [command.binding for command in of_screen("check")]

    def __init__(self) -> None:
        super().__init__()
        self._worked: tuple[Moment, str, tuple[CheckLine, ...]] | None = None

    @property
    def needs(self) -> SceneNeeds:
        """The scene that is checked."""
        scenes = self.day.scenes
        return next((n for n in scenes if n.scene.number == self.door.scene), scenes[0])

    @property
    def lines(self) -> tuple[CheckLine, ...]:
        """Its questions as they stand, worked out once for each moment."""
        now, scene = self.door.now, self.needs.scene.number
        if self._worked is None or self._worked[0] is not now or self._worked[1] != scene:
            self._worked = now, scene, line_check(now.worked, now.state, scene)
        return self._worked[2]

    def line_here(self) -> CheckLine | None:
        """The question under the cursor."""
        return next((line for line in self.lines if line.key == self.rows.key), None)

    def on_mount(self) -> None:
        """The list has the keys until something is typed."""
        super().on_mount()
        self.rows.can_focus = True

    def begin(self) -> None:
        """At the first question without an answer."""
        self._take_up(None)

    def on_screen_resume(self) -> None:
        """Another screen may have gone to another scene."""
        super().on_screen_resume()
        if self.is_mounted and self.asking is not None:
            self._ask_here()

    def _take_up(self, after: str | None) -> None:
        line = next_to_ask(self.lines, after)
        if line is not None:
            self.rows.go_to(line.key)
        self._ask_here()

    def draw(self) -> None:
        """The scene's questions."""
        needs, lines = self.needs, self.lines
        self.show_list(lambda width: check_rows(self.day, needs, lines, width, self.glyphs))
        self.draw_detail()

    def how_far(self, width: int) -> Sequence[Row]:
        """Of this scene."""
        return checked_rows(self.needs, self.lines, width, self.glyphs)

    def title_left(self, room: int) -> str:
        """On a low screen, where the list scrolls under it, the scene and how far it is."""
        if not self.is_low:
            return super().title_left(room)
        here, lines = self.needs.scene.number, self.lines
        done = checked(tally(lines))
        return f" Scene {here}  {done} of {len(lines)} checked"

    def draw_detail(self) -> None:
        """The question under the cursor, with its likely causes where it differs."""
        line = self.line_here()
        self.query_one("#detail", Note).show(
            lambda width: question_rows(self.day, line, width, self.glyphs)
        )

    def cursor_moved(self) -> None:
        """The question under the cursor is asked."""
        if self.asking is None or self.asking.key not in (None, self.rows.key):
            self._ask_here()
        self.draw_detail()

    async def chosen(self) -> None:
        """A click on a question asks it."""
        self._ask_here()

    def _ask_here(self) -> None:
        if self.asks_of_the_job:
            return
        line = self.line_here()
        if line is None:
            self.stop_asking()
            self._typing(False)
            return
        asks, answers = line.question.asks, line.question.answers
        if line.verdict in ("differs", "as planned", "unverified"):
            asks = f"Again: {asks}"
        self.ask(Ask(line.key, asks, partial(self._answered, line.key), answers))

    def as_it_was(self) -> None:
        """The line under the cursor asks on."""
        self._ask_here()

    def ask(self, asked: Ask) -> None:
        """Where answers are offered their keys answer, so the list has the keys."""
        super().ask(asked)
        if self.asking is not None:
            self._typing(not self.asking.answers)

    def _typing(self, on: bool) -> None:
        """The field has the keys only where something is to be typed."""
        field = self.prompt.field
        field.disabled = not on
        if not on:
            field.value = ""
        self.prompt.query_one("#mark", Note).say("=>" if on else "", "head", " ")
        self.set_focus(field if on else self.rows)  # at once: the next key is for it already
        if on:
            for _, character in self.door.taken_out(self._pressed):
                field.insert_text_at_cursor(character)

    # Answers

    def on_key(self, event: events.Key) -> None:
        """The key of an answer that is offered."""
        asked = self.asking
        offered = answer_keys(asked.answers) if asked is not None else {}
        if (event.character or "").casefold() in offered or (
            self.door.is_busy and event.is_printable
        ):
            event.stop()
            event.prevent_default()
            self.door.in_turn(partial(self._pressed, event.key, event.character or ""))

    async def _pressed(self, key: str, character: str) -> None:
        """A key that was pressed before: it answers what is asked now, or is typed into that."""
        asked = self.asked_here()
        answer = answer_keys(asked.answers).get(character.casefold()) if asked is not None else None
        if asked is not None and answer is not None:
            await self.answer(asked, answer, "key")
        elif asked is not None and not asked.answers:
            self.prompt.field.insert_text_at_cursor(character)
        else:
            self.app.simulate_key(key)  # no answer, so a command after all

    def is_tag(self, code: str, fast: bool) -> bool:
        """A scan is no answer here."""
        return fast and not code.replace(".", "").isdecimal()

    async def heard(self, code: str, how: str) -> None:
        """Says what was scanned."""
        self.say(about(self.day, self.state, code))

    async def _answered(self, key: str, typed: str, how: str) -> str:
        line = next((line for line in self.lines if line.key == key), None)
        if line is None:
            return "This question is not asked any more"
        answer = meant(line.question.answers, typed) if line.question.answers else typed.strip()
        if answer is None:
            return f"{typed}: answer with one of the keys shown"
        await self._record(key, answer[:80], how)
        return ""

    async def _record(self, key: str, answer: str, how: str) -> None:
        line = next((line for line in self.lines if line.key == key), None)
        if line is None or not await self.door.tell(
            key, "observed", how, answer=answer, chain=line.chain
        ):
            return
        line = next((line for line in self.lines if line.key == key), None)
        if line is None:  # someone swapped a unit meanwhile, and the new one is not asked this
            self.say("This question is not asked any more", "warn")
            self._take_up(None)
            return
        if line.verdict == "differs":
            planned = line.question.expected
            likeliest = line.question.likely(answer)[0]
            says = f"differs: you saw {answer}, planned {planned}. Perhaps {likeliest}"
            self.say(says, "bad")
            self._ask_here()
            return
        if line.verdict == "unverified":
            self.say(f"{line.question.name}: unverified", "warn", " [?] ")
        elif line.verdict == "ask again":  # someone swapped a unit of the chain meanwhile
            self.say(f"{line.question.name}: asked again, {line.touched}", "warn", " [~] ")
        else:
            self.say(f"{line.question.name}: as planned, {answer}", "good", " [x] ")
        if next_to_ask(self.lines, key) is None:
            self.prompt.say(
                f"Scene {self.needs.scene.number}: {summary(self.lines, self.needs)}", "", " "
            )
        self._take_up(key)

    # Commands

    async def action_go(self) -> None:
        """Enter says nothing by itself: an observation needs an answer."""

    def action_stop(self) -> None:
        """Esc: back from a replacement to the line's own question, and the banner away."""
        self.stop_asking()
        self._ask_here()
        self.door.action_hush()

    async def action_not_checked(self) -> None:
        """Recorded as unverified."""
        asked = self.asked_here()
        if asked is not None and asked.key is not None:
            await self._record(asked.key, NOT_CHECKED, "key")

    def action_replace(self) -> None:
        """Another unit stands in for one of the chain."""
        line = self.line_here()
        if line is None:
            return
        link = line.link
        units = tuple(tag for tag in (link.transmitter, link.adapter, link.receiver) if tag)
        reason = f"line check: {line.question.name} {line.verdict}"

        async def take(typed: str, how: str) -> str:
            tag = meant(units, typed)
            if tag is None:
                return f"{typed}: answer with one of the keys shown"
            await self.replace(line.key, tag, reason)
            return ""

        self.ask(Ask(line.key, "Which unit of this chain is to be replaced?", take, units))

    async def action_choose_anew(self) -> None:
        """Where moving others serves more, asks whether they are moved."""
        if self.state.out is None:
            self.say("The kit is not out yet: till then the day is chosen anew with every change")
        elif not self.asks_of_the_job and not await self.offered_to_move():
            self.say("To choose anew among what is in the bag serves no more")
            self._ask_here()

    def swapped(self, by: str) -> None:
        """To the first line that asks again."""
        self._take_up(None)

    def action_next_open(self) -> None:
        """To the next question without an answer that counts."""
        if next_to_ask(self.lines, self.rows.key) is None:
            self.say(f"Nothing is open here. {summary(self.lines, self.needs)}")
        self._take_up(self.rows.key)

    def action_next(self) -> None:
        """The next scene by the clock."""
        self._walk(1)

    def action_previous(self) -> None:
        """The scene before."""
        self._walk(-1)

    def _walk(self, by: int) -> None:
        numbers = [needs.scene.number for needs in self.day.scenes]
        here = numbers.index(self.needs.scene.number)
        self.door.scene = numbers[(here + by) % len(numbers)]
        self.rows.scroll_home(animate=False)
        self.repaint()
        self.say("")
        self._take_up(None)
