"""Power against the clock: each set of cells, its changes, what to carry, supplies, firmware."""

from collections import Counter
from collections.abc import Iterator, Mapping

from kitprep.definitions.text import clock
from kitprep.ledger.events import JobState
from kitprep.planning.firmware import CAUTION
from kitprep.planning.results import SupplyLoad, UnitCells, WorkedDay
from kitprep.tui.drawing.clock import Clock, Mark, Span
from kitprep.tui.drawing.day import clock_over
from kitprep.tui.drawing.lines import Glyphs, Role, Row, counted, fill, heading, paragraph
from kitprep.walks.cautions import for_power
from kitprep.walks.out import cell_round
from kitprep.walks.power import planned_hours, serves

DUE: Mapping[str, tuple[str, str, Role]] = {
    "made": ("[x]", "made", "good"),
    "overdue": ("[!]", "overdue", "bad"),
    "due": ("[~]", "due", "warn"),
    "short": ("[!]", "short", "bad"),
    "later": ("[ ]", "later", ""),
    "none left": ("[ ]", "later", ""),
}


def power_rows(day: WorkedDay, job: JobState, minute: int, width: int, glyphs: Glyphs) -> list[Row]:
    """Everything that keeps the day's units alive, at a minute of the day."""
    rows = [*_feeds(day, width, glyphs), *_changes(day, job, minute, width, glyphs)]
    rows += [*_cells(day, width, glyphs), *_supplies(day, width, glyphs)]
    rows += _firmware(day, width, glyphs)
    cautions = list(for_power(day))
    if cautions:
        rows.append(heading("With care", width, glyphs))
    for caution in cautions:
        rows += paragraph(caution, width, "", "  - ")
    return rows


def _feeds(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    plan = day.plan
    says = (
        f"{counted(len(day.feeds), 'unit')} on cells at {plan.temperature_c:g} {glyphs.degree}; "
        f"the last {plan.reserve * 100:g} % of a set is kept in reserve; {plan.between} between "
        "scenes"
    )
    yield from paragraph(says, width)
    label = 26 if width >= 74 else 18 if width >= 56 else 6
    note = 18 if width >= 74 else 8 if width >= 56 else 0
    over = clock_over(day, width - label - note - 1, glyphs)
    title = fill("unit   set       lasts", label) if label > 20 else " " * label
    yield Row(((title, "dim"), (fill(over.axis(), over.width), "head"), (" on"[:note], "dim")))
    for feed in day.feeds:
        yield _feed_row(day, feed, over, label, note)
    legend = (
        f"{glyphs.full} in a scene   {glyphs.half} on between scenes   {glyphs.change} change the "
        "set by then   ! dies within a scene"
    )
    yield from paragraph(legend, width, "dim", "  ")


def _feed_row(day: WorkedDay, feed: UnitCells, over: Clock, label: int, note: int) -> Row:
    hours = planned_hours(day, feed)
    lasts = "" if hours is None else f"{hours:.1f} h"
    cells = f"{feed.count} x {feed.cell}"
    name = feed.unit if label < 10 else f"{fill(feed.unit, 6)} {fill(cells, 10)}"
    if label > 20:
        name = f"{name} {lasts:>6}"
    spans: list[Span] = [(feed.on, feed.off, over.glyphs.half, "dim")]
    numbers = {x.scene for x in day.links if feed.unit in (x.transmitter, x.receiver)}
    spans += [
        (needs.scene.start, needs.scene.end, over.glyphs.full, "bar")
        for needs in day.scenes
        if needs.scene.number in numbers
    ]
    dead = any(change.mid_scene for change in feed.changes)
    marks: list[Mark] = [
        (c.by, "!" if c.mid_scene else over.glyphs.change, "bad" if c.mid_scene else "warn")
        for c in feed.changes
    ]
    on = f" {(feed.off - feed.on) / 60:.1f} h"
    if note > 10 and feed.changes:
        on += f", {counted(len(feed.changes), 'change')}"
    shown = fill(on, note, over.glyphs.dots) if note else ""
    return Row(
        (
            (fill(name, label), "key"),
            *over.bar(spans, marks),
            (shown, "bad" if dead else "warn" if feed.changes else ""),
        ),
        f"unit:{feed.unit}",
    )


def _changes(
    day: WorkedDay, job: JobState, minute: int, width: int, glyphs: Glyphs
) -> Iterator[Row]:
    """What is changed when; the first change made stands for the first planned, and so on."""
    yield heading("Changes of cells, by the clock", width, glyphs)
    if not day.changes:
        yield from paragraph("none: each set lasts the day", width, "good", "[x] ")
    rounds = {line.unit: line for line in cell_round(day, job, minute)}
    passed: Counter[str] = Counter()
    for change in day.changes:
        line = rounds[change.unit]
        passed[change.unit] += 1
        made = passed[change.unit] <= line.made
        due = line.due if line.next is change else "later"
        mark, word, role = DUE["made" if made else due]
        who = ", ".join(serves(day, change.unit))
        key = f"scene:{change.before}#{change.unit}@{change.by}"
        if change.mid_scene:
            within = f"dead by then, within scene {change.before}, which outlasts a fresh set"
            says = f"{clock(change.by)} {change.unit} ({who}) {change.cell}: {within}"
            mark, word, role = DUE["made" if made else "short"]
        else:
            what = f"{change.unit} ({who}) {change.cell}"
            says = f"{clock(change.by)} {what}, before scene {change.before}"
        yield from paragraph(says, width, role, f"{mark} {fill(word, 8)}", key)


def _cells(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    if not day.cells:
        return
    yield heading("Cells to carry", width, glyphs, "in cells; whole sets only")
    columns = ("planned", "spare", "carry", "held", "short")
    size = 8 if width >= 56 else 6
    name = max(width - 4 - size * len(columns) - 4, 8)
    name = min(name, 24)
    head = "".join(fill(column[: size - 1], size, right=True) for column in columns)
    yield Row(((" " * (4 + name) + head, "dim"),))
    for cells in day.cells:
        figures = (cells.planned, cells.spare, cells.carry, cells.have, cells.short)
        body = "".join(fill(str(figure), size, right=True) for figure in figures)
        mark = "[!] " if cells.short else "[x] "
        yield Row(
            (
                (mark, "bad" if cells.short else "good"),
                (fill(cells.cell, name, glyphs.dots), ""),
                (body, "bad" if cells.short else ""),
                ("  short" if cells.short else "  enough", "bad" if cells.short else "dim"),
            )
        )


def _supplies(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    if not day.supplies:
        return
    yield heading("Supplies", width, glyphs)
    for load in day.supplies:
        says = f"{load.id}: {load.load_w:.1f} W, {_packs(load)}, {_outlets(day, load)}"
        mark = "[!] " if load.short else "[x] "
        yield from paragraph(says, width, "bad" if load.short else "", mark)


def _packs(load: SupplyLoad) -> str:
    if load.hours_per_pack is None:
        return "from the mains"
    short = f", {load.short} short" if load.short else ""
    return (
        f"{load.hours_per_pack:.1f} h a pack, {counted(load.packs, 'pack')} to carry, "
        f"{load.have} held{short}"
    )


def _outlets(day: WorkedDay, load: SupplyLoad) -> str:
    supply = next((s for s in day.kit.supplies if s.id == load.id), None)
    of = f" of {supply.outlets}" if supply is not None else ""
    return (
        f"{load.outlets}{of} outlets for {', '.join(load.units)}, on {clock(load.on)}-"
        f"{clock(load.off)}"
    )


def _firmware(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    yield heading("Firmware", width, glyphs)
    if not day.firmware:
        yield from paragraph("every unit in use has the wanted version", width, "good", "[x] ")
        return
    for image in day.firmware:
        says = f"to do: image {image.image}, {image.want} wanted on {', '.join(image.units)}"
        yield from paragraph(says, width, "warn", "[ ] ")
    yield from paragraph(CAUTION, width, "", "    ")
