"""What the rows of the choice speak of: seats, what is told apart, and the variables by meaning."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from kitprep.planning.brief import Brief, Hold, Want
from kitprep.planning.chains import Sender
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

    ``still``: no source changes its seat; ``all_served``: no link is left out. ``names`` is how
    many modules of a spot can go by one source; that tells any plan with fewer changes than names.
    """

    still: bool = True
    all_served: bool = False
    names: int = 1
    apart: frozenset[Spot] = frozenset()
    in_runs: frozenset[int] = frozenset()


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
    runs: dict[tuple[int, tuple[int, ...]], int] = field(default_factory=dict)
    hired: dict[str, int] = field(default_factory=dict)


def at_once(spans: Mapping[K, Hold], pause: int) -> list[frozenset[K]]:
    """The largest groups of spans that all run at one moment, each kept ``pause`` longer."""
    groups = []
    for span in spans.values():
        now = span.start
        groups.append(
            frozenset(k for k, other in spans.items() if other.start <= now < other.end + pause)
        )
    unique = sorted(set(groups), key=lambda g: (-len(g), sorted(map(str, g))))
    largest: list[frozenset[K]] = []
    for group in unique:
        if not any(group < other for other in largest):
            largest.append(group)
    return largest
