"""R3: the cables from each module in use to its destination, for its widest link of the day."""

from collections.abc import Iterable, Iterator, Sequence
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
        for leg in _legs(module):
            fitting = _fitting(leg, kit.cables)
            if not fitting:
                what = (
                    f"no cable here goes from {leg.source} to "
                    f"{' and '.join([leg.to] * leg.legs)}: {module.receiver} module "
                    f"{module.module} to {module.destination}"
                )
                missing.append(Shortfall("cable", None, what))
                continue
            cable = next((c for c in fitting if left[c.model] > 0), fitting[0])
            left[cable.model] -= 1
            carry[cable.model] = carry.get(cable.model, 0) + 1
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
            yield Shortfall("cable", None, what)


def _legs(module: ModuleInUse) -> list[_Leg]:
    """One cable for an output of enough channels, or one for each single-channel output."""
    for output in module.model.outputs:
        if output.channels >= module.channels:
            return [_Leg(output.connector, module.connector, module.channels)]
    outputs = module.model.outputs[: module.channels]
    return [_Leg(output.connector, module.connector, 1) for output in outputs]


def _fitting(leg: _Leg, cables: Sequence[Cable]) -> list[Cable]:
    fitting = [
        cable
        for cable in cables
        if cable.source == leg.source and cable.to.count(leg.to) >= leg.legs
    ]
    return sorted(fitting, key=lambda cable: (len(cable.to), cable.model))
