"""Re-tests every rule on a named selection, without the solver and apart from how it was found.

A plan that breaks a rule is never shown: it is an error of the program.
"""

from collections import defaultdict
from collections.abc import Mapping
from itertools import combinations, pairwise

from kitprep.planning.brief import Brief, Want
from kitprep.planning.chains import Sender, lives_at, meet, senders
from kitprep.planning.choice import Chosen
from kitprep.planning.naming import Selection
from kitprep.planning.pool import Bands, khz


class BrokenPlan(AssertionError):
    """A selection that breaks a rule; the message says which."""


def check_selection(brief: Brief, chosen: Chosen) -> None:
    """Tests R1 and R2 on every unit and link.

    Raises:
        BrokenPlan: at the first rule that does not hold.
    """
    selection = chosen.selection
    _packs(brief, selection)
    _shared_by_time(brief, selection.transmitters, "transmitter")
    _shared_by_time(brief, selection.adapters, "adapter")
    _links(brief, selection)
    _modules(brief, selection)
    _one_frequency(brief, selection)


def _hold(true: bool, message: str) -> None:
    if not true:
        raise BrokenPlan(message)


def _packs(brief: Brief, selection: Selection) -> None:
    pool = brief.pool
    served = {want.source for want in selection.modules}
    _hold(served == set(selection.transmitters), "a source with no link carries a transmitter")
    for source, tag in selection.transmitters.items():
        own = [n for n, c in enumerate(pool.transmitters) if tag in c.tags]
        _hold(len(own) == 1, f"{tag} is no usable transmitter")
        name = selection.adapters.get(source)
        adapters = [n for n, c in enumerate(pool.adapters) if name in c.tags]
        _hold(name is None or len(adapters) == 1, f"{name} is no usable adapter")
        sender = Sender(own[0], adapters[0] if adapters else None)
        _hold(
            sender in senders(brief.sources[source], pool),
            f"{tag} with {name} does not send what {brief.sources[source].id} needs",
        )


def _shared_by_time(brief: Brief, given: Mapping[int, str], kind: str) -> None:
    by_tag: dict[str, list[int]] = defaultdict(list)
    for source, tag in given.items():
        by_tag[tag].append(source)
    for tag, sources in by_tag.items():
        in_turn = sorted(sources, key=lambda s: brief.holds[s].start)
        for one, other in pairwise(in_turn):
            free = brief.holds[one].end + brief.plan.handover_min
            _hold(free <= brief.holds[other].start, f"{kind} {tag} is in two places at once")


def _bands(brief: Brief, tag: str) -> Bands:
    return next(c.bands for c in brief.pool.transmitters if tag in c.tags)


def _links(brief: Brief, selection: Selection) -> None:
    for want, (tag, module) in selection.modules.items():
        source = brief.sources[want.source]
        where = brief.destinations[want.destination]
        receiver = next(c for c in brief.pool.receivers if tag in c.tags)
        sender = next(
            c for c in brief.pool.transmitters if selection.transmitters[want.source] in c.tags
        )
        _hold(1 <= module <= receiver.model.modules, f"{tag} has no module {module}")
        _hold(selection.stands[tag] == want.destination, f"{tag} is at two destinations")
        _hold(lives_at(receiver.model, where), f"{tag} may not stand at {where.id}")
        _hold(receiver.model.system == sender.model.system, f"{tag} is of another system")
        _hold(source.mode in receiver.model.modes, f"{tag} does not take {source.mode}")
        outputs = sum(output.channels for output in receiver.model.outputs)
        _hold(outputs >= source.channels, f"{tag} has too few outputs")
        _hold(len(brief.given_inputs(want)) == source.channels, f"{source.id} has no input")


def _modules(brief: Brief, selection: Selection) -> None:
    sitting: dict[tuple[str, int], list[Want]] = defaultdict(list)
    for want, seat in selection.modules.items():
        sitting[seat].append(want)
    for (tag, module), wants in sitting.items():
        for one, other in combinations(wants, 2):
            apart = not brief.scenes[one.scene].overlaps(brief.scenes[other.scene])
            _hold(apart, f"module {module} of {tag} serves two links at once")


def _one_frequency(brief: Brief, selection: Selection) -> None:
    together: dict[tuple[int, int], list[Bands]] = defaultdict(list)
    for want, (tag, _) in selection.modules.items():
        receiver = next(c for c in brief.pool.receivers if tag in c.tags)
        together[want.source, want.scene].append(receiver.bands)
    for (source, _), bands in together.items():
        tuning = brief.sources[source].tuning_mhz
        own = [_bands(brief, selection.transmitters[source])]
        own += [] if tuning is None else [khz(tuning)]
        _hold(meet(*own, *bands), f"{brief.sources[source].id} is heard on no one frequency")
