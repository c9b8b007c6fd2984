"""The app's other half: the job behind the screens, and all that is done beside them.

The screens are drawn first; the files are read in earnest, the ledger is opened and the day worked
out in a thread beside them.
What is recorded goes through that one thread too, in the order in which it was asked for, so that a
slow ledger never holds up the screen. What the screens show, ``now``, changes only when it is
committed.
"""

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable, Collection, Mapping, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor, wait
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from textual import work

from kitprep.definitions.problems import DefinitionError
from kitprep.ledger.errors import Contested, LedgerError, Stale
from kitprep.tui.ends import EndsApp

if TYPE_CHECKING:
    from kitprep.definitions.glimpse import Glimpse
    from kitprep.definitions.loading import Day
    from kitprep.definitions.plan import Plan
    from kitprep.job import Job
    from kitprep.ledger.events import Stage
    from kitprep.ledger.moment import Moment

LOOK_S = 1.0
"""How often others' ticks are looked for."""

SLOW_S = 0.15
"""What a tick may take before the screen says that it is being written."""

LAST_S = 1.0
"""What is going on beside the screens may take so long to end, once they are left."""

Happening = tuple[str, str, Mapping[str, Any]]
Deed = Callable[[], Awaitable[object]]
Found = TypeVar("Found")


class JobApp(EndsApp):
    """An app over a job that is opened behind its first picture, which shows ``first``."""

    def __init__(self, first: "Plan | Glimpse", opening: "Callable[[], Job]") -> None:
        super().__init__()
        self.first = first
        self.alarm_says = ""
        self.is_writing = False
        self.failure: DefinitionError | LedgerError | None = None
        self._opening = opening
        self._job: Job | None = None
        self._now: Moment | None = None
        self._ledger_hand = ThreadPoolExecutor(1, "ledger")
        self._thinking = ThreadPoolExecutor(2, "working out")
        self._beside: set[Future[Any]] = set()
        self._turns: deque[Deed] = deque()
        self._in_turn = False
        self._wants_out = False
        self._cannot_look = False
        self._looking = False

    @property
    def job(self) -> "Job":
        """The job under way, once it is open."""
        assert self._job is not None, "the job is not open yet"
        return self._job

    @property
    def day(self) -> "Day":
        """The day's plan and its kit, once the job is open."""
        return self.job.day

    @property
    def now(self) -> "Moment":
        """The job as the screens show it."""
        assert self._now is not None, "the job is not open yet"
        return self._now

    @property
    def is_open(self) -> bool:
        """Whether the day is worked out and the ledger read."""
        return self._job is not None

    @property
    def is_busy(self) -> bool:
        """Whether something that was pressed is still being done."""
        return self._in_turn

    @property
    def leaves_threads(self) -> bool:
        """Whether something is going on beside the screens, to be waited for or cut off."""
        return bool(self._beside)

    def wait_a_moment(self) -> None:
        """Once the screens are left: what was pressed last may be on its way into the ledger."""
        if self.is_open:
            wait(self._beside.copy(), LAST_S)

    # Beside the screens

    async def aside(self, work_out: Callable[[], Found]) -> Found:
        """Works something out without holding up the screens; it must change nothing."""
        return await self._in(self._thinking, work_out)

    async def _by_hand(self, work: Callable[[], Found]) -> Found:
        """Does something with the job: one thing after another, in the order of asking."""
        return await self._in(self._ledger_hand, work)

    async def _in(self, threads: Executor, work: Callable[[], Found]) -> Found:
        future = threads.submit(work)
        self._beside.add(future)
        future.add_done_callback(self._beside.discard)  # not before its thread has left it
        return await asyncio.wrap_future(future)

    @work(group="open")
    async def open_job(self) -> None:
        """Reads the files, opens the ledger, works the day out; then the screens have figures."""
        try:
            self._job = await self._by_hand(self._opening)
        except (DefinitionError, LedgerError) as failure:
            self.failure = failure
            self.exit()
            return
        self._now = self._job.now
        await self.opened()
        self.set_interval(LOOK_S, self.look)
        self._try_failures()

    async def opened(self) -> None:
        """The job is there."""

    def show_all(self) -> None:
        """Shows the job as it stands."""

    def alarm(self, sentence: str) -> None:
        """Puts a sentence at the top, to stay until something is recorded or Esc is pressed."""
        self.alarm_says = sentence
        if sentence:
            self._wants_out = False
            self.bell()
        self.show_all()

    async def take_day(self, day: "Day") -> None:
        """From here on the screens show another day, or this one with its files changed.

        Raises:
            LedgerError: where the ledger cannot be read; the day is then the one before.
        """
        self._job = await self._by_hand(partial(self.job.on, day))
        self._take_in()
        self.show_all()

    def _take_in(self) -> None:
        """From here on the screens show what the job has read."""
        self._now = self.job.now
        self._try_failures()

    @work(group="one failure", exclusive=True)
    async def _try_failures(self) -> None:
        """Answers R11 when everything else is there."""
        now = self.now
        if now.tried:
            return
        answered = await self.aside(partial(self.job.one_failure, now))
        await self._by_hand(partial(self.job.take_failures, now.worked, answered))
        self._now = self.job.now
        self.show_all()

    # In turn

    def in_turn(self, deed: Deed) -> None:
        """Does what was pressed after all that was pressed before, ticks and all."""
        self._turns.append(deed)
        if not self._in_turn:
            self._in_turn = True
            self._take_turns()

    def taken_out(self, deed: Callable[..., Awaitable[object]]) -> list[tuple[Any, ...]]:
        """Takes all of one kind out of what waits for its turn; with what each was to be done."""
        waiting = [turn for turn in self._turns if isinstance(turn, partial) and turn.func == deed]
        for turn in waiting:
            self._turns.remove(turn)
        return [turn.args for turn in waiting]

    @work(group="turns")
    async def _take_turns(self) -> None:
        try:
            while self._turns:
                await self._turns.popleft()()
        finally:
            self._in_turn = False
        if self._wants_out:
            self.exit()

    async def action_quit(self) -> None:
        """Leaves; what was pressed and is not recorded yet is waited for, unless asked again."""
        if self.is_busy and not self._wants_out:
            self.alarm("What you pressed is being written; this leaves then, or at once if asked")
            self._wants_out = True
        else:
            self.exit()

    # What is recorded

    async def tell(self, item: str, kind: str, how: str = "key", **facts: Any) -> bool:
        """Records what happened to an item, then shows it; False where nothing was recorded."""
        return await self.tell_all([(item, kind, facts)], how)

    async def tell_all(self, happened: Sequence[Happening], how: str = "key") -> bool:
        """Records all of it or none, then shows it."""
        slow = self.set_timer(SLOW_S, partial(self._writing, True))
        try:
            await self._by_hand(partial(self.job.record_all, happened, how))
        except Stale as stale:
            self._take_in()
            return self._not_recorded(self._who_was_first(stale))
        except Contested as contested:
            self._take_in()
            return self._not_recorded(str(contested))
        except LedgerError as error:
            return self._not_recorded(f"Nothing was recorded: {error}")
        finally:
            slow.stop()
            self.is_writing = False
        self._take_in()
        self.alarm(self.now.says_contested(item for item, kind, _ in happened if kind == "packed"))
        return True

    def _not_recorded(self, sentence: str) -> bool:
        """Says so. What was pressed meanwhile was meant for what comes after, so it is dropped."""
        dropped = "; what was pressed after it is dropped" if self._turns else ""
        self._turns.clear()
        self.alarm(sentence + dropped)
        return False

    async def advance(self, *stages: "Stage", note: str = "") -> bool:
        """Records that the job has reached a stage, unless others have done what stands in its way.

        Of several the last is the one that is to be reached. The note says with what it was signed.
        """
        from kitprep.walks.stages import hindrance

        try:
            await self._by_hand(self.job.refresh)
        except LedgerError as error:
            return self._not_recorded(f"Nothing was recorded: {error}")
        self._take_in()
        if why := hindrance(self.now.worked, self.now.state, stages[-1], accepted=note):
            self.alarm(f"Not {stages[-1]}: {why}")
            return False
        return await self.tell_all(
            [("job", "stage", {"stage": stage, "note": note}) for stage in stages]
        )

    def _writing(self, is_writing: bool) -> None:
        self.is_writing = is_writing
        self.show_all()

    def _who_was_first(self, stale: Stale) -> str:
        from kitprep.walks.log import said_by
        from kitprep.walks.naming import spoken

        first = said_by(stale.newest, spoken(self.now.worked)) if stale.newest else "someone else"
        return f"{first} came first, so nothing was recorded for you; look, then decide"

    # What others record

    @work(group="look")
    async def look(self) -> None:
        """Takes in what others have recorded."""
        if self._looking or self.is_writing:
            return  # a slow ledger is asked once at a time
        self._looking = True
        try:
            before = self.now.contested
            if await self.aside(self._others) and await self._by_hand(self.job.refresh):
                self._take_in()
                self.show_all()
                self._say_contested(before)
        except LedgerError as error:
            if not self._cannot_look:
                self._cannot_look = True
                self.alarm(f"What others do cannot be seen now: {error}")
            return
        finally:
            self._looking = False
        if self._cannot_look:
            self._cannot_look = False
            self.alarm("")

    def _say_contested(self, before: Collection[str]) -> None:
        """Tells of what another job wants too since it was looked last."""
        new = (key for key in self.now.contested if key not in before)
        if sentence := self.now.says_contested(new):
            self.alarm(sentence)

    def _others(self) -> bool:
        """Whether anyone has recorded anything; only reads the ledger."""
        ledger, now = self.job.ledger, self.now
        return bool(
            ledger.entries(now.name, after=now.state.head)
            or ledger.entries(self.day.kit.kit, after=now.kit.head)
        )
