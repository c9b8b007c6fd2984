"""R3: the cables from each module in use to its destination, for its widest link of the day."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from kitprep.definitions.kit import Cable, Kit, Receiver
from kitprep.planning.results import Counted, Shortfall


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
    """Cables by model, the fewest legs that do, those held first; none where the kit lists none."""
    if not kit.cables:
        return (), ()
    left = {cable.model: cable.qty for cable in kit.cables}
    carry: dict[str, int] = {}
    missing: list[Shortfall] = []
    # The wide ones choose first: a cable of two legs does for one channel, never the other way.
    for module in sorted(modules, key=lambda m: -m.channels):
        cables = _connect(module, kit.cables, left)
        if cables is None:
            missing.append(Shortfall("cable", None, _no_cable(module)))
            continue
        for cable in cables:
            left[cable] -= 1
            carry[cable] = carry.get(cable, 0) + 1
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


def _connect(
    module: ModuleInUse, cables: Sequence[Cable], left: Mapping[str, int]
) -> list[str] | None:
    """The cables for a module, by the first way that those left do, or else that any here would."""
    ways = [[_fitting(leg, cables) for leg in way] for way in _ways(module)]
    for way in ways:
        rest = dict(left)
        taken = []
        for fitting in way:
            held = next((cable.model for cable in fitting if rest[cable.model] > 0), None)
            if held is not None:
                rest[held] -= 1
                taken.append(held)
        if len(taken) == len(way):
            return taken
    return next(([fitting[0].model for fitting in way] for way in ways if all(way)), None)


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
