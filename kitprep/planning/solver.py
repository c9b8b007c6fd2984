"""The one door to the integer solver: linear rows over whole numbers, one objective at a time.

Each call builds a fresh model: a warm start was measured to return worse values than it reported
(DEVELOPERS.md, "The solver"). No bound is a large finite number, for the same reason.
"""

import functools
import math
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from time import monotonic, thread_time
from typing import Any

Terms = Mapping[int, int]
"""A linear form: coefficient by variable."""
Values = tuple[int, ...]
"""By variable."""


@dataclass(frozen=True, slots=True)
class Row:
    """low <= terms <= high; None is no bound."""

    terms: Terms
    low: int | None
    high: int | None


@dataclass
class Program:
    """Whole-number variables, each from 0 to its upper bound, and the rows between them."""

    upper: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    def variable(self, upper: int = 1) -> int:
        """A new variable; returns its number."""
        self.upper.append(upper)
        return len(self.upper) - 1

    def at_most(self, terms: Terms, high: int) -> None:
        """Adds terms <= high."""
        if terms:
            self.rows.append(Row(terms, None, high))

    def at_least(self, terms: Terms, low: int) -> None:
        """Adds terms >= low."""
        self.rows.append(Row(terms, low, None))

    def equal(self, terms: Terms, value: int) -> None:
        """Adds terms = value."""
        self.rows.append(Row(terms, value, value))


@dataclass(frozen=True, slots=True)
class Answer:
    """Values by variable, and whether no better objective exists."""

    values: Values
    proven: bool


CEILING = 4
"""Times its seconds that a budget lasts by the wall clock, however little of it is had."""
SURE = 0.1
"""Seconds of processor time by which the pace can be told."""


@dataclass(frozen=True, slots=True)
class Goal:
    """Something to minimise, and the most by which two answers can differ in it."""

    terms: Terms
    span: int


LARGEST_COEFFICIENT = 100_000
"""Goals are added up in one objective only while its coefficients stay exact for the solver."""


def in_order(goals: Iterable[Goal]) -> list[Terms]:
    """Goals of strictly falling rank as few objectives, in each of which a goal outweighs the rest.

    Goals of whole counts; objectives that are to be met one after the other.
    """
    added: list[list[Goal]] = []
    worth = 0
    for goal in goals:
        worth *= goal.span + 1
        if not added or worth > LARGEST_COEFFICIENT:
            added.append([])
            worth = goal.span + 1
        added[-1].append(goal)
    return [_sum(together) for together in added]


def _sum(goals: Sequence[Goal]) -> Terms:
    terms: dict[int, int] = {}
    worth = 1
    for goal in reversed(goals):
        terms |= {variable: worth * c for variable, c in goal.terms.items()}
        worth *= goal.span + 1
    return terms


Solver = Callable[[Program, Terms, float], Answer | None]
"""(program, objective to minimise, seconds allowed) -> the best answer, or None where none exists
or none was found in time."""


@dataclass(slots=True)
class Budget:
    """Processor time for a piece of work in one thread, whatever of it the solver takes.

    So a machine that does other work as well proves as much, only later; but no later than the
    wall clock's CEILING. ``start`` is by the wall clock, ``busy`` by the thread's own; ``over``
    where the solver was cut off.
    """

    seconds: float
    start: float
    busy: float
    over: bool = False

    @classmethod
    def of(cls, seconds: float) -> "Budget":
        """So much from now on."""
        return cls(seconds, monotonic(), thread_time())

    @property
    def left(self) -> float:
        """Seconds left by the wall clock, at the pace so far; 0 when it is spent.

        By the wall clock since the solver's limit is. Before much is done the pace is not known:
        then as if the machine did nothing else.
        """
        if self.over:
            return 0.0
        waited, worked = monotonic() - self.start, thread_time() - self.busy
        pace = max(waited / max(worked, SURE), 1.0)
        left = min((self.seconds - worked) * pace, CEILING * self.seconds - waited)
        return max(left, 0.0)

    def solve(self, solver: Solver, program: Program, objective: Terms) -> Answer | None:
        """The solver's answer in what is left of it; where that was not enough, nothing is."""
        allowed, asked = self.left, monotonic()
        answer = solver(program, objective, allowed)
        cut_off = answer is None or not answer.proven
        self.over = self.over or (cut_off and monotonic() - asked >= allowed)
        return answer


def total(terms: Terms, values: Values) -> int:
    """The value of a linear form."""
    return sum(coefficient * values[number] for number, coefficient in terms.items())


def keeps(program: Program, values: Values) -> bool:
    """Whether whole values lie within all bounds and rows, in exact arithmetic."""
    return all(0 <= v <= upper for v, upper in zip(values, program.upper, strict=True)) and all(
        (row.low is None or row.low <= total(row.terms, values))
        and (row.high is None or total(row.terms, values) <= row.high)
        for row in program.rows
    )


def _new_solver() -> Any:
    """A solver; highspy says nothing of its types."""
    import highspy

    make: Callable[[], Any] = highspy.Highs
    return make()


SMALL = 1_000
"""Variables of a program up to which the solver is spared its presolve."""


@functools.cache
def _swallow_banner() -> None:
    """HiGHS 1.16 greets on standard output when first made; that output is the answer's alone."""
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        _new_solver()
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def highs(program: Program, objective: Terms, seconds: float) -> Answer | None:
    """Solves with HiGHS: one thread, no gap, cold."""
    import highspy

    _swallow_banner()
    columns = len(program.upper)
    model = highspy.HighsLp()
    model.num_col_ = columns
    model.num_row_ = len(program.rows)
    model.col_cost_ = [float(objective.get(number, 0)) for number in range(columns)]
    model.col_lower_ = [0.0] * columns
    model.col_upper_ = [float(bound) for bound in program.upper]
    model.integrality_ = [highspy.HighsVarType.kInteger] * columns
    model.row_lower_ = [-math.inf if row.low is None else float(row.low) for row in program.rows]
    model.row_upper_ = [math.inf if row.high is None else float(row.high) for row in program.rows]
    starts, indices, coefficients = [0], [], []
    for row in program.rows:
        for number, coefficient in row.terms.items():
            indices.append(number)
            coefficients.append(float(coefficient))
        starts.append(len(indices))
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = starts
    model.a_matrix_.index_ = indices
    model.a_matrix_.value_ = coefficients

    # Presolve and one heuristic cost more than they save on a day's small programs, and on those of
    # many runs in few rows: with them it took two to five times as long.
    spared = columns <= SMALL or columns > len(program.rows)
    solver = _new_solver()
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("random_seed", 0),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.0),
        ("time_limit", max(seconds, 0.01)),
        ("presolve", "off" if spared else "choose"),
        ("mip_heuristic_run_feasibility_jump", not spared),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(model)
    solver.run()
    status = solver.getModelStatus()
    proven = status == highspy.HighsModelStatus.kOptimal
    found = (
        solver.getInfo().primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    )
    if not found:
        return None
    values = tuple(round(value) for value in solver.getSolution().col_value)
    return Answer(values, proven) if keeps(program, values) else None
