"""A program in parts that no row joins: each is solved by itself, far sooner than all at once.

Packs and receivers come apart where every link is served and every pack is heard everywhere, as on
most days. R4's orders are sums, so a plan is best where each part of it is.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from kitprep.planning.solver import (
    Budget,
    Goal,
    Program,
    Row,
    Solver,
    Terms,
    Values,
    in_order,
    keeps,
    total,
)


@dataclass
class Part:
    """Some variables of a program with the rows between them, and the best values so far, if any.

    ``numbers`` are its own numbers by those of the whole.
    """

    program: Program
    numbers: Mapping[int, int]
    values: Values | None

    def worth(self, terms: Terms) -> int:
        """The value of what of a linear form of the whole lies here; 0 before there are values."""
        return total(self._share(terms), self.values) if self.values is not None else 0

    def at_most(self, terms: Terms, values: Mapping[int, int]) -> None:
        """What of a form of the whole lies here is at most what it is at these values of it."""
        limit = sum(c * values[number] for number, c in terms.items() if number in self.numbers)
        self.program.at_most(self._share(terms), limit)

    def meet(self, goals: Iterable[Goal], least: int, solver: Solver, budget: Budget) -> bool:
        """Makes its values the best for goals of the whole, which stay met; whether that is proven.

        No values where none were needed yet, or none exist or were found in time. Where time runs
        out, the better of the best found and the values so far. ``least``: of the first goal here.
        """
        mine = [Goal(share, g.span) for g in goals if (share := self._share(g.terms))]
        if mine and least:
            self.program.at_least(mine[0].terms, least)
        for objective in in_order(mine):
            if self.values is None and not any(objective.values()):
                continue
            if self.values is None or not _settled(objective, self.values, least):
                answer = budget.solve(solver, self.program, objective)
                if answer is None:
                    return False
                if answer.proven or self._betters(answer.values, objective):
                    self.values = answer.values
                if not answer.proven:
                    return False
            assert self.values is not None
            self.program.at_most(objective, total(objective, self.values))
        return True

    def _betters(self, values: Values, objective: Terms) -> bool:
        return self.values is None or total(objective, values) < total(objective, self.values)

    def _share(self, terms: Terms) -> Terms:
        return {self.numbers[n]: c for n, c in terms.items() if n in self.numbers}


def _settled(objective: Terms, values: Values, least: int) -> bool:
    """Whether nothing can be lower than these values."""
    return all(c >= 0 for c in objective.values()) and total(objective, values) <= least


def in_parts(program: Program) -> list[Part]:
    """The parts, the smallest first; where nothing need be taken, nothing taken is their values."""
    first_of = _joined(program)
    members: dict[int, list[int]] = {}
    for number in range(len(program.upper)):
        members.setdefault(first_of(number), []).append(number)
    rows: dict[int, list[Row]] = {first: [] for first in members}
    for row in program.rows:
        rows[first_of(next(iter(row.terms)))].append(row)
    parts = [_part(program, mine, rows[first]) for first, mine in members.items()]
    return sorted(parts, key=lambda part: len(part.numbers))


def _part(program: Program, members: Sequence[int], rows: Iterable[Row]) -> Part:
    numbers = {number: at for at, number in enumerate(members)}
    own = [Row({numbers[n]: c for n, c in row.terms.items()}, row.low, row.high) for row in rows]
    part = Program([program.upper[number] for number in members], own)
    nothing = (0,) * len(members)
    return Part(part, numbers, nothing if keeps(part, nothing) else None)


def _joined(program: Program) -> Callable[[int], int]:
    """By variable: the first of all that rows join it with, directly or by way of others."""
    before = list(range(len(program.upper)))

    def first_of(number: int) -> int:
        while before[number] != number:
            before[number] = before[before[number]]
            number = before[number]
        return number

    for row in program.rows:
        firsts = sorted({first_of(number) for number in row.terms})
        for other in firsts[1:]:
            before[other] = firsts[0]
    return first_of


def whole(parts: Iterable[Part]) -> Values | None:
    """The values of all parts as those of the program; None where a part has none."""
    found: dict[int, int] = {}
    for part in parts:
        if part.values is None:
            return None
        found |= {number: part.values[at] for number, at in part.numbers.items()}
    return tuple(found[number] for number in sorted(found))
