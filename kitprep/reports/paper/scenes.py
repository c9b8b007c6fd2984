"""The scene sheet: every scene's chains from source to input, with a box for the line check."""

from collections.abc import Iterator

from kitprep.definitions.plan import Break
from kitprep.definitions.text import clock, counted
from kitprep.planning.handovers import to_do_before
from kitprep.planning.results import Link, SceneNeeds, WorkedDay
from kitprep.reports.paper.sheet import BOX, Block, Column, Sheet, Value
from kitprep.walks.cautions import RADIO

_CHAIN = (
    BOX,
    Column("", "Source"),
    Column("mode", "Mode", "short"),
    Column("", "Transmitter", "tag"),
    Column("", "Module", "tag"),
    Column("", "To"),
    Column("inputs", "Input", "tag"),
    Column("scene", ""),
    Column("source", ""),
    Column("transmitter", ""),
    Column("adapter", ""),
    Column("receiver", ""),
    Column("module", ""),
    Column("destination", ""),
)

_UNSERVED = (
    Column("source", "Not served"),
    Column("destination", "To"),
    Column("reason", "Why"),
    Column("scene", ""),
)


def scene_sheet(day: WorkedDay) -> Sheet:
    """Scenes and breaks by the clock."""
    timed: list[tuple[int, int, Iterator[Block]]] = [
        (needs.scene.start, 0, _scene(day, needs)) for needs in day.scenes
    ]
    timed += [(pause.start, 1, iter([_break(pause)])) for pause in day.plan.breaks]
    blocks = [b for *_, found in sorted(timed, key=lambda entry: entry[:2]) for b in found]
    peak = (
        f"{counted(day.peak.packs, 'pack')} over the day, "
        f"{counted(day.peak.links, 'link')} in all, "
        f"{counted(day.peak.modules, 'module')} at the busiest moment."
    )
    return Sheet("scenes", "Scene sheet", (peak, RADIO), tuple(blocks))


def _scene(day: WorkedDay, needs: SceneNeeds) -> Iterator[Block]:
    scene = needs.scene
    names = {source.id: source.name or source.id for source in day.plan.sources}
    places = {d.id: d.name or d.id for d in day.plan.destinations}
    where = ", ".join(part for part in (scene.name, scene.place) if part)
    what = (
        f"{needs.mono} mono, {needs.stereo} stereo, {counted(needs.outputs, 'output')}, "
        f"{counted(needs.packs, 'pack')}"
    )
    before = "; ".join(to_do_before(day, scene.number))
    before = before and f"Before it: {before}."
    yield Block(
        f"Scene {scene.number}, {clock(scene.start)} to {clock(scene.end)}",
        tuple(note for note in (where, what, before, scene.notes) if note),
        _CHAIN,
        tuple(_row(link, names, places) for link in needs.links),
    )
    if needs.unserved:
        yield Block(
            f"Scene {scene.number}: not served",
            (),
            _UNSERVED,
            tuple(
                (names[u.source], places[u.destination], u.reason, scene.number)
                for u in needs.unserved
            ),
        )


def _row(link: Link, names: dict[str, str], places: dict[str, str]) -> tuple[Value, ...]:
    inputs = "+".join(map(str, link.inputs))
    return (
        None,
        names[link.source],
        link.mode,
        link.transmitter + (f" with {link.adapter}" if link.adapter else ""),
        f"{link.receiver}/{link.module}",
        places[link.destination],
        inputs,
        link.scene,
        link.source,
        link.transmitter,
        link.adapter,
        link.receiver,
        link.module,
        link.destination,
    )


def _break(pause: Break) -> Block:
    return Block(f"{pause.name}, {clock(pause.start)} to {clock(pause.end)}")
