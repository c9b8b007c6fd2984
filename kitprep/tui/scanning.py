"""Telling a scanner from a hand, where no field has the keys.

A scanner that is fired at a list would press its letters as commands. Printable keys are therefore
held for a moment: a burst that ends in Enter is a code, anything else is given on as it came.
"""

from dataclasses import dataclass, field
from typing import Generic, TypeVar

from kitprep.tui.widgets.code_input import FAST_S

LEAST_KEYS = 3
"""Fewer keys in a burst are two fingers that fell together, not a code."""

K = TypeVar("K")


@dataclass
class Burst(Generic[K]):
    """The keys held so far, with the moment of the last."""

    gap_s: float = FAST_S
    held: list[tuple[K, str]] = field(default_factory=list)
    last: float = 0.0

    def printable(self, key: K, character: str, now: float) -> list[K]:
        """Holds a key; gives those that it came too late to belong to."""
        free = self.release() if self.held and now - self.last >= self.gap_s else []
        self.held.append((key, character))
        self.last = now
        return free

    def ended(self, now: float) -> str:
        """The code, where an Enter now ends a burst; empty where it is only an Enter."""
        if len(self.held) < LEAST_KEYS or now - self.last >= self.gap_s:
            return ""
        code = "".join(character for _, character in self.held)
        self.held.clear()
        return code.strip()

    def release(self) -> list[K]:
        """The held keys, to be given on; a burst with no end is dropped, for no hand made it."""
        free = [key for key, _ in self.held]
        self.held.clear()
        return free if len(free) < LEAST_KEYS else []
