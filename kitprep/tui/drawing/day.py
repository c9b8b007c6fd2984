"""The day at a glance: is it workable, what is short, how far is it packed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from kitprep.definitions.text import clock
from kitprep.ledger.events import JobState
from kitprep.planning.results import SceneNeeds, WorkedDay
from kitprep.tui.drawing.clock import Clock, Span, lanes
from kitprep.tui.drawing.lines import (
    Glyphs,
    Line,
    Part,
    Role,
    Row,
    counted,
    fill,
    heading,
    meter,
    paragraph,
)
from kitprep.walks.cautions import RADIO
from kitprep.walks.pack import PackView, pack_view


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What other jobs say of this job's units: who wants them too, what came back unfit."""

    contested: Mapping[str, Sequence[str]]
    unfit: Mapping[str, str]


def day_rows(
    day: WorkedDay, job: JobState, elsewhere: Elsewhere, width: int, glyphs: Glyphs
) -> list[Row]:
    """Everything on the day, the most pressing first."""
    view = pack_view(day, job)
    rows = [*_verdict(day, width), *_packed(view, width, glyphs)]
    rows += [Row(()), *_chart(day, width, glyphs)]
    rows += _short(day, width, glyphs)
    rows += _cases(day, view, width, glyphs)
    rows += _carried(day, width, glyphs)
    rows += _risk(day, job, width, glyphs)
    rows += _to_know(day, elsewhere, width, glyphs)
    return [*rows, *paragraph(RADIO, width, "dim", "  ")]


def _verdict(day: WorkedDay, width: int) -> list[Row]:
    unserved = sum(len(needs.unserved) for needs in day.scenes)
    peak = (
        f"{counted(day.peak.packs, 'pack')}, {counted(day.peak.links, 'link')}, "
        f"{counted(day.peak.modules, 'module')} at once, {day.plan.temperature_c:g} °C"
    )
    if day.ready:
        says = f"WORKABLE: all of {counted(len(day.scenes), 'scene')} served, nothing short"
        return [*paragraph(says, width, "good", "[x] "), *paragraph(peak, width, "", "    ")]
    short = counted(len(day.shortfalls), "thing is", "things are")
    links = f", {counted(unserved, 'link')} not served" if unserved else ""
    hire = sum(h.qty for h in day.hire)
    mends = f"; {counted(hire, 'unit')} to hire" if hire else ""
    says = f"NOT YET: {short} short{links}{mends}"
    return [*paragraph(says, width, "bad", "[!] "), *paragraph(peak, width, "", "    ")]


def _packed(view: PackView, width: int, glyphs: Glyphs) -> list[Row]:
    total = len(view.items)
    bar = meter(view.done, total, min(max(width - 50, 8), 60), glyphs)
    left_out = f", {len(view.skipped)} left out" if view.skipped else ""
    done: Role = "good" if view.complete else ""
    says = f"packed {view.done} of {counted(total, 'line')}{left_out} "
    mark = "[x] " if view.complete else "[~] " if view.done else "[ ] "
    return [Row(((mark, done), (fill(says, 34), done), (bar, done)))]


def _labels(width: int) -> tuple[int, int]:
    """Columns for the name before a bar, and for the note after it."""
    if width >= 110:
        return 30, 18
    return (22, 14) if width >= 74 else (12, 11) if width >= 56 else (11, 0)


def clock_over(day: WorkedDay, width: int, glyphs: Glyphs) -> Clock:
    """The clock of the whole day, from the first pack on to the last off."""
    minutes = [t for needs in day.scenes for t in (needs.scene.start, needs.scene.end)]
    minutes += [t for feed in day.feeds for t in (feed.on, feed.off)]
    minutes += [t for pause in day.plan.breaks for t in (pause.start, pause.end)]
    return Clock.over(minutes, width, glyphs)


def _chart(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    label, note = _labels(width)
    over = clock_over(day, width - label - note - 1, glyphs)
    yield Row(((" " * label, ""), (over.axis(), "head")))
    for row in lanes(_places(day)):
        spans: list[Span] = [(start, end, place, "key") for start, end, place in row]
        yield Row(((fill("    place", label), "dim"), *over.words(spans)))
    by_start: list[tuple[int, int, Row]] = [
        (needs.scene.start, 0, _scene_row(day, needs, over, label, note)) for needs in day.scenes
    ]
    for pause in day.plan.breaks:
        name = fill(f"    {pause.name}", label - 1, glyphs.dots) + " "
        bar = over.bar([(pause.start, pause.end, glyphs.half, "dim")])
        by_start.append((pause.start, 1, Row(((name, "dim"), *bar))))
    yield from (row for _, _, row in sorted(by_start, key=lambda entry: entry[:2]))
    if day.changes:
        marks: list[tuple[int, str, Role]] = [
            (c.by, "!" if c.mid_scene else glyphs.change, "warn") for c in day.changes
        ]
        note_text = _note(counted(len(day.changes), "change"), note, over)
        yield Row(
            ((fill("    cell changes", label), "dim"), *over.bar([], marks), (note_text, "warn"))
        )


def _places(day: WorkedDay) -> list[tuple[int, int, str]]:
    """Each stay at a place, by the scenes that follow each other there."""
    stays: list[tuple[int, int, str]] = []
    open_at: dict[str, int] = {}
    for needs in sorted(day.scenes, key=lambda n: n.scene.start):
        scene = needs.scene
        if not scene.place:
            continue
        number = open_at.get(scene.place)
        left = number is not None and any(
            stay[2] != scene.place and stays[number][1] <= stay[0] < scene.start for stay in stays
        )
        if number is None or left:
            open_at[scene.place] = len(stays)
            stays.append((scene.start, scene.end, scene.place))
        else:
            start, end, place = stays[number]
            stays[number] = (start, max(end, scene.end), place)
    return stays


def _scene_row(day: WorkedDay, needs: SceneNeeds, over: Clock, label: int, note: int) -> Row:
    scene = needs.scene
    kinds = [s.kind for s in day.shortfalls if s.scene == scene.number]
    short = bool(needs.unserved or kinds)
    mark: tuple[str, Role] = ("[!]", "bad") if short else ("[x]", "good")
    name = f" {scene.number} " if label < 20 else f" {fill(scene.number, 5)} {scene.place}"
    if label >= 30:
        name = f" {fill(scene.number, 5)} {clock(scene.start)}-{clock(scene.end)} {scene.place}"
    wanted = needs.mono + needs.stereo
    links = f"{wanted} served"
    if needs.unserved:
        of = " of " if note >= 14 else "/"
        links = f"{len(needs.unserved)}{of}{wanted} short"
    elif short:
        links = f"{kinds[0]} short"
    dots = over.glyphs.dots
    look: tuple[str, Role] = (over.glyphs.short, "bad") if short else (over.glyphs.full, "bar")
    bar = over.bar([(scene.start, scene.end, *look)])
    line: Line = (
        mark,
        (fill(name, label - 4, dots) + " ", ""),
        *bar,
        (_note(links, note, over), mark[1] if short else ""),
    )
    return Row(line, f"scene:{scene.number}")


def _note(words: str, width: int, over: Clock) -> str:
    return f" {fill(words, width - 1, over.glyphs.dots)}" if width > 1 else ""


def _short(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    if day.ready:
        return
    yield heading("What is short", width, glyphs)
    together: dict[tuple[str, str], list[str]] = {}
    for shortfall in day.shortfalls:
        scenes = together.setdefault((shortfall.kind, shortfall.what), [])
        if shortfall.scene is not None:
            scenes.append(shortfall.scene)
    for number, ((kind, what), scenes) in enumerate(together.items()):
        where = f"scene{'s' if len(scenes) > 1 else ''} {', '.join(scenes)}, " if scenes else ""
        key = f"scene:{scenes[0]}#{number}" if scenes else None
        yield from paragraph(f"{where}{kind}: {what}", width, "bad", "[!] ", key)
    for hire in day.hire:
        word = "scene" if len(hire.scenes) == 1 else "scenes"
        says = f"hire {hire.qty} x {_model_name(day, hire.model)}: {word} {', '.join(hire.scenes)}"
        yield from paragraph(says, width, "warn", "[+] ")


def _model_name(day: WorkedDay, model: str) -> str:
    kit = day.kit
    named = {kind.model: kind.name for kind in kit.transmitters}
    named |= {kind.model: kind.name for kind in kit.receivers}
    named |= {kind.model: kind.name for kind in kit.adapters}
    name = named.get(model, "")
    return f"{model} ({name})" if name else model


def _cases(day: WorkedDay, view: PackView, width: int, glyphs: Glyphs) -> Iterator[Row]:
    yield heading("How far packed", width, glyphs)
    loads = {load.case: load for load in day.cases}
    for case in view.cases:
        load = loads.get(case.case)
        kilos = "" if load is None else f"{load.weight_g / 1000:.1f} kg"
        if load is not None and load.limit_g is not None:
            kilos = f"{load.weight_g / 1000:.1f} of {load.limit_g / 1000:g} kg"
        done = case.done == len(case.items)
        yield Row(
            (
                ("[x] " if done else "[~] " if case.done else "[ ] ", "good" if done else ""),
                (fill(case.name, min(max(width - 40, 10), 32), glyphs.dots), ""),
                (fill(f"{case.done}/{len(case.items)}", 7, right=True) + " ", ""),
                (meter(case.done, len(case.items), 12, glyphs), "good" if done else ""),
                (f"  {kilos}", "dim"),
            )
        )


def _carried(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """What goes by number: cells, cables, cards, packs."""
    totals = [
        *((f"{c.cell} cells", c.carry, c.have, c.short) for c in day.cells),
        *((f"{c.name} cards", c.carry, c.have, c.short) for c in day.cards),
        *((c.name, c.carry, c.have, c.short) for c in day.cables),
        *(
            (f"{s.id} packs", s.packs, s.have, s.short)
            for s in day.supplies
            if s.hours_per_pack is not None
        ),
    ]
    if not totals:
        return
    yield heading("To carry by number", width, glyphs)
    for name, carry, have, short in totals:
        parts: list[Part] = [
            ("[!] " if short else "[x] ", "bad" if short else "good"),
            (fill(name, min(max(width - 40, 10), 26), glyphs.dots), ""),
            (f"{carry:>4} to carry {have:>4} held", ""),
        ]
        if short:
            parts.append((f"  {short} short", "bad"))
        yield Row(tuple(parts))


def _risk(day: WorkedDay, job: JobState, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """What no spare covers, and what covers the rest."""
    if day.single_points or day.spares:
        yield heading("If one unit fails", width, glyphs)
    for point in day.single_points:
        says = (
            f"{point.unit} lost: {', '.join(point.sources)} in scene {', '.join(point.scenes)}, "
            "and nothing held covers it"
        )
        yield from paragraph(says, width, "warn", "[!] ")
    for tag in day.spares:
        taken = tag in job.spares
        says = f"{tag} {'goes along' if taken else 'would cover'} (any other one failure)"
        yield from paragraph(says, width, "", "[x] " if taken else "[+] ")


def _to_know(day: WorkedDay, elsewhere: Elsewhere, width: int, glyphs: Glyphs) -> Iterator[Row]:
    notes = [
        f"{tag} is wanted at the same hours by {', '.join(jobs)}: settle it with them"
        for tag, jobs in elsewhere.contested.items()
    ]
    notes += [f"{tag} came back {what} from another job" for tag, what in elsewhere.unfit.items()]
    notes += day.notices
    if "weight" not in day.proven:
        proven = ", ".join(day.proven) or "nothing"
        notes.append(f"the best plan found in the time allowed; proven best: {proven}")
    if notes:
        yield heading("To know", width, glyphs)
    for note in notes:
        yield from paragraph(note, width, "", "  - ")
