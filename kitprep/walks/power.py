"""What the plan says of one unit's cells: how long a fresh set is counted to last, and for whom."""

from kitprep.definitions.kit import Receiver, Transmitter
from kitprep.planning.cells import life
from kitprep.planning.packing import find_units
from kitprep.planning.reasons import called
from kitprep.planning.results import UnitCells, WorkedDay


def planned_hours(day: WorkedDay, feed: UnitCells) -> float | None:
    """Hours on air that a fresh set is planned to last: cold and reserve taken off.

    None where nobody can say.
    """
    model, _ = find_units(day.kit).get(feed.unit, (None, None))
    if not isinstance(model, Transmitter | Receiver):
        return None
    option = next((o for o in model.power if (o.cell, o.count) == (feed.cell, feed.count)), None)
    cell = next((c for c in day.kit.cells if c.type == feed.cell), None)
    if option is None or cell is None:
        return None
    modes = {x.mode for x in day.links if feed.unit in (x.transmitter, x.receiver)}
    minutes = life(option, "stereo" if "stereo" in modes else "mono", cell, day.plan)
    return None if minutes is None else float(minutes) / 60


def serves(day: WorkedDay, unit: str) -> tuple[str, ...]:
    """What people call the sources that a unit serves today, in the order of the clock."""
    links = [x for x in day.links if unit in (x.transmitter, x.receiver)]
    names = {source.id: called(source) for source in day.plan.sources}
    return tuple(dict.fromkeys(names[link.source] for link in links))
