"""R3: the cables from each module in use to its destination, for its widest link of the day.

Over all modules together the fewest cables short; then for each module the first of its ways, by
its outputs in the kit's order and cables of the fewest legs.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from kitprep.definitions.kit import Cable, Kit, Receiver
from kitprep.planning.results import Counted, Shortfall
from kitprep.planning.solver import Goal, Program, Terms, highs, in_order, total

_SECONDS = 5.0

Way = tuple[str, ...]
"""The cables of one way from a module to its destination, by model."""


@dataclass(frozen=True, slots=True)
class ModuleInUse:
    """A module with its widest link of the day, and the connector at its destination."""

    receiver: str
    module: int
    model: Receiver
    channels: int
    destination: str
    connector: str


@dataclass(frozen=True, slots=True)
class _Leg:
    """One cable's work: from an output, so many legs to the destination's connector."""

    source: str
    to: str
    legs: int


def cables_to_carry(
    modules: Sequence[ModuleInUse], kit: Kit
) -> tuple[tuple[Counted, ...], tuple[Shortfall, ...]]:
    """Cables by model, to carry and short; none where the kit lists none."""
    if not kit.cables:
        return (), ()
    missing: list[Shortfall] = []
    alike: Counter[tuple[Way, ...]] = Counter()
    for module in modules:
        ways = tuple(_cabled(module, kit.cables))
        if ways:
            alike[ways] += 1
        else:
            missing.append(Shortfall("cable", None, _no_cable(module)))
    carry = _fewest(alike, kit.cables)
    lines = tuple(
        Counted(c.model, carry[c.model], c.qty, max(carry[c.model] - c.qty, 0))
        for c in kit.cables
        if c.model in carry
    )
    return lines, (*missing, *_short(lines, kit))


def _short(lines: Iterable[Counted], kit: Kit) -> Iterator[Shortfall]:
    names = {cable.model: cable.name or cable.model for cable in kit.cables}
    for line in lines:
        if line.short:
            what = (
                f"{names[line.name]}: {line.carry} to carry, {line.have} held; {line.short} short"
            )
            yield Shortfall("cable", None, what, f"cable:{line.name}")


def _cabled(module: ModuleInUse, cables: Sequence[Cable]) -> Iterator[Way]:
    """Every way from a module with cables of the kit, each once, the plainest first."""
    ways = ([[c.model for c in _fitting(leg, cables)] for leg in way] for way in _ways(module))
    every = (tuple(sorted(way)) for fitting in ways for way in product(*fitting))
    yield from dict.fromkeys(every)


def _fewest(alike: Counter[tuple[Way, ...]], cables: Sequence[Cable]) -> Counter[str]:
    """So many of each cable for so many modules of the same ways, one way to a module."""
    program = Program()
    uses: dict[str, dict[int, int]] = {cable.model: {} for cable in cables}
    later: dict[int, int] = {}
    for ways, modules in alike.items():
        by = {program.variable(modules): way for way in ways}
        program.equal(dict.fromkeys(by, 1), modules)
        for place, (variable, way) in enumerate(by.items()):
            later[variable] = place
            for model, count in Counter(way).items():
                uses[model][variable] = count
    most = {model: _most(program, terms) for model, terms in uses.items()}
    short = {}
    for cable in cables:
        short[program.variable(most[cable.model])] = 1
        program.at_most({**uses[cable.model], max(short): -1}, cable.qty)
    goals = [Goal(terms, _most(program, terms)) for terms in (short, later)]
    values: tuple[int, ...] = (0,) * len(program.upper)
    for objective in in_order(goals):
        answer = highs(program, objective, _SECONDS)
        assert answer is not None, "any way for each module is an answer"
        values = answer.values
        program.at_most(objective, total(objective, values))
    return Counter({m: n for m, terms in uses.items() if (n := total(terms, values))})


def _most(program: Program, terms: Terms) -> int:
    return sum(count * program.upper[variable] for variable, count in terms.items())


def _ways(module: ModuleInUse) -> list[list[_Leg]]:
    """One cable from an output of enough channels, or one from each single-channel output."""
    outputs = module.model.outputs
    wide = [output for output in outputs if output.channels >= module.channels]
    ways = [[_Leg(output.connector, module.connector, module.channels)] for output in wide]
    narrow = [output for output in outputs if output.channels == 1][: module.channels]
    if module.channels == len(narrow) > 1:
        ways.append([_Leg(output.connector, module.connector, 1) for output in narrow])
    return ways


def _no_cable(module: ModuleInUse) -> str:
    ways = " or ".join(
        dict.fromkeys(
            " and ".join(f"{leg.source} to {' and '.join([leg.to] * leg.legs)}" for leg in way)
            for way in _ways(module)
        )
    )
    return (
        f"no cable here goes from {ways}: {module.receiver} module {module.module} to "
        f"{module.destination}"
    )


def _fitting(leg: _Leg, cables: Sequence[Cable]) -> list[Cable]:
    fitting = [
        cable
        for cable in cables
        if cable.source == leg.source and cable.to.count(leg.to) >= leg.legs
    ]
    return sorted(fitting, key=lambda cable: (len(cable.to), cable.model))
