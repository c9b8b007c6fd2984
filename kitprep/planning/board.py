"""What the rows of the choice speak of: seats, what is told apart, and the variables by meaning."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from kitprep.planning.brief import Brief, Hold, Want
from kitprep.planning.chains import Sender
from kitprep.planning.runs import Step
from kitprep.planning.solver import Program

K = TypeVar("K")

Spot = tuple[int, str]
"""A receiver class at a destination."""
Seat = tuple[int, int | None]
"""A receiver class, and the name of a module of it where modules are told apart."""
Route = tuple[int, str]
"""A source at a destination."""


@dataclass(frozen=True, slots=True)
class Split:
    """Which plans the variables can tell, and which of their parts are told apart beyond counts.

    ``still``: no source changes its seat; ``all_served``: no link is left out but for those that
    are not in ``only``. ``names`` is how
    many modules of a spot can go by one source; that tells any plan with fewer changes than names.
    ``excess`` is how many changes of cells more than promised a run may cost that is told apart;
    that tells any plan with no more of them in all than that and ``promised``.
    """

    still: bool = True
    all_served: bool = False
    names: int = 1
    apart: frozenset[Spot] = frozenset()
    in_runs: frozenset[int] = frozenset()
    only: frozenset[Want] | None = None
    promised: int = 0
    excess: int = 0


@dataclass
class Board:
    """The program and the meaning of its variables."""

    brief: Brief
    split: Split
    program: Program = field(default_factory=Program)
    takes: dict[tuple[int, Sender], int] = field(default_factory=dict)
    heard: dict[tuple[Want, Seat], int] = field(default_factory=dict)
    placed: dict[Spot, int] = field(default_factory=dict)
    packs: dict[int, int] = field(default_factory=dict)
    adapters: dict[int, int] = field(default_factory=dict)
    used: dict[tuple[Spot, int], int] = field(default_factory=dict)
    moves: list[int] = field(default_factory=list)
    steps: dict[tuple[int, Step], int] = field(default_factory=dict)
    hired: dict[str, int] = field(default_factory=dict)

    @property
    def wants(self) -> tuple[Want, ...]:
        """The links that may be served."""
        only = self.split.only
        return tuple(w for w in self.brief.wants if only is None or w in only)


def at_once(spans: Mapping[K, Hold], pause: int) -> list[list[K]]:
    """The largest groups of spans that all run at one moment, each kept ``pause`` longer."""
    groups = {}
    for now in sorted({span.start for span in spans.values()}):
        running = [k for k, span in spans.items() if span.start <= now < span.end + pause]
        groups[frozenset(running)] = running
    return [running for group, running in groups.items() if not any(group < g for g in groups)]
