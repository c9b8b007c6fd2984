"""A kit's own events as a job reads them: from a summary on, so that a long past costs little.

Every so many events the state that they leave is written down, in a stream of its own. A summary is
only what the fold of the entries before it gives; where there is none, all of them are read.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from pydantic import TypeAdapter, ValidationError

from kitprep.ledger.claims import KitState, UnitRecord, fold_kit
from kitprep.ledger.entries import Draft, Entry
from kitprep.ledger.errors import LedgerError, Stale

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger

EVERY = 1000
"""Events of a kit after which its state is summed up."""

FORM = 2
"""What a summary holds. Raised with every change of a unit's record or of how events fold into it:
a program reads only summaries of its own form, for others leave out what it knows more."""


class KitStream:
    """The stream of one kit. ``state`` is the fold of all that was read of it so far."""

    def __init__(self, ledger: "Ledger", kit: str) -> None:
        self._ledger = ledger
        self._kit = kit
        self._summaries, self._item = where(kit)
        newest = ledger.newest(self._summaries, self._item)
        self._summed_up = newest.item_seq if newest else 0
        self.state = _read(newest)
        self._since = 0
        self.take(self.newer())

    def newer(self) -> tuple[Entry, ...]:
        """What has come since; :meth:`take` takes it in."""
        return self._ledger.entries(self._kit, after=self.state.head)

    def take(self, newer: Sequence[Entry]) -> None:
        """Takes in what has come since."""
        self.state = fold_kit(newer, self.state)
        self._since += len(newer)

    def at(self, seq: int) -> KitState:
        """The state as it was at an entry of the ledger."""
        before = _read(self._ledger.newest(self._summaries, self._item, until=seq))
        after = self._ledger.entries(self._kit, after=before.head)
        return fold_kit((entry for entry in after if entry.seq <= seq), before)

    def sum_up(self, draft: Callable[[str, str, int, Mapping[str, Any]], Draft]) -> None:
        """Writes a summary where one is due; where another was first or it fails, none is missed.

        ``draft`` makes one, of the stream, the item, what was seen of that, and the facts.
        """
        if self._since < EVERY:
            return
        self._since = 0
        facts = summary(self.state)
        try:
            self._ledger.append([draft(self._summaries, self._item, self._summed_up, facts)])
            self._summed_up += 1
        except Stale as other:
            self._summed_up = other.newest.item_seq if other.newest else 0
        except LedgerError:
            pass  # what it would sum up is there


def where(kit: str) -> tuple[str, str]:
    """The stream and the item under which a kit's summaries are kept."""
    return f"{kit}/summaries", f"form {FORM}"


def summary(state: KitState) -> dict[str, Any]:
    """The facts of a summary."""
    return {"head": state.head, "units": _records().dump_python(dict(state.units), mode="json")}


def _read(entry: Entry | None) -> KitState:
    """The state that a summary holds; that of no entry where it holds none that can be meant."""
    if entry is None:
        return KitState()
    head = entry.body.get("head")
    if not isinstance(head, int) or not 0 <= head < entry.seq:
        return KitState()
    try:
        return KitState(_records().validate_python(entry.body.get("units")), head)
    except ValidationError:
        return KitState()


@cache
def _records() -> TypeAdapter[dict[str, UnitRecord]]:
    return TypeAdapter(dict[str, UnitRecord])
