"""A kit's own events as a job reads them: from a summary on, so that a long past costs little.

Every so many events the state that they leave is written down, in a stream of its own. A summary is
only what the fold of the entries before it gives; where there is none, all of them are read.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from kitprep.ledger.claims import Claim, KitState, UnitRecord, fold_kit
from kitprep.ledger.entries import Draft, Entry
from kitprep.ledger.errors import LedgerError, Stale

if TYPE_CHECKING:
    from kitprep.ledger.store import Ledger

EVERY = 1000
"""Events of a kit after which its state is summed up."""

FORM = 1
"""How a summary is written; one of another form is passed over."""


class KitStream:
    """The stream of one kit. ``state`` is the fold of all that was read of it so far."""

    def __init__(self, ledger: "Ledger", kit: str) -> None:
        self._ledger = ledger
        self._kit = kit
        self._summaries = f"{kit}/summaries"
        summaries = ledger.entries(self._summaries)
        self._summed_up = len(summaries)
        self.state = _newest(summaries)
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
        before = _newest(self._ledger.entries(self._summaries), seq)
        after = self._ledger.entries(self._kit, after=before.head)
        return fold_kit((entry for entry in after if entry.seq <= seq), before)

    def sum_up(self, draft: Callable[[str, str, int, Mapping[str, Any]], Draft]) -> None:
        """Writes a summary where one is due; where another was first or it fails, none is missed.

        ``draft`` makes one, of the stream, the item, what was seen of that, and the facts.
        """
        if self._since < EVERY:
            return
        self._since = 0
        facts = {"form": FORM, "head": self.state.head, "units": plain(self.state)}
        try:
            self._ledger.append([draft(self._summaries, "units", self._summed_up, facts)])
            self._summed_up += 1
        except Stale as other:
            self._summed_up = other.newest.item_seq if other.newest else 0
        except LedgerError:
            pass  # what it would sum up is there


def plain(state: KitState) -> Any:
    """The units of a state, as a summary has them."""
    return json.loads(json.dumps({tag: asdict(record) for tag, record in state.units.items()}))


def _newest(summaries: Sequence[Entry], until: int | None = None) -> KitState:
    """The newest state that was summed up, of those that are not past an entry."""
    for entry in reversed(summaries):
        state = _read(entry.body)
        if state is not None and (until is None or state.head <= until):
            return state
    return KitState()


def _read(body: Mapping[str, Any]) -> KitState | None:
    if body.get("form") != FORM:
        return None
    units = {
        tag: UnitRecord(
            **{
                **record,
                "claims": tuple(Claim(**claim) for claim in record["claims"]),
                "contests": tuple((wants, has) for wants, has in record["contests"]),
            }
        )
        for tag, record in body["units"].items()
    }
    return KitState(units, body["head"])
