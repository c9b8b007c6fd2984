"""Power against the clock: each set of cells, its changes, what to carry, supplies, firmware."""

from collections.abc import Iterator, Mapping, Sequence

from kitprep.definitions.text import clock, counted
from kitprep.ledger.events import JobState
from kitprep.planning.firmware import CAUTION
from kitprep.planning.loads import watts_said
from kitprep.planning.packing import at_least
from kitprep.planning.results import (
    Cells,
    PlannedChange,
    SupplyLoad,
    UnitCells,
    WorkedDay,
)
from kitprep.tui.drawing.clock import Clock, Mark, Span
from kitprep.tui.drawing.day import clock_over
from kitprep.tui.drawing.gauge import columns
from kitprep.tui.drawing.lines import (
    Glyphs,
    Role,
    Row,
    beside,
    fill,
    half,
    heading,
    paragraph,
)
from kitprep.walks.cautions import for_power
from kitprep.walks.feeding import CellLine, cell_round, pack_round, sleeping
from kitprep.walks.firmware import says_units
from kitprep.walks.power import planned_hours, serves

DUE: Mapping[str, tuple[str, str, Role]] = {
    "made": ("[x]", "made", "good"),
    "overdue": ("[!]", "overdue", "bad"),
    "due": ("[~]", "due", "warn"),
    "short": ("[!]", "short", "bad"),
    "later": ("[ ]", "later", ""),
    "none left": ("[ ]", "later", ""),
}


ROOM_FOR_TWO = 160
"""Cells from which two lists stand side by side."""


def power_rows(day: WorkedDay, job: JobState, minute: int, width: int, glyphs: Glyphs) -> list[Row]:
    """Everything that keeps the day's units alive, at a minute of the day."""
    rounds = cell_round(day, job, minute)
    rows = list(_feeds(day, rounds, width, glyphs))
    if width >= ROOM_FOR_TWO:
        changes = list(_changes(day, rounds, half(width), glyphs))
        rows += beside(changes, list(_cells(day, half(width), glyphs)), width)
        rows += _asleep(day, job, minute, width, glyphs)
    else:
        rows += _changes(day, rounds, width, glyphs)
        rows += [*_asleep(day, job, minute, width, glyphs), *_cells(day, width, glyphs)]
    rows += _supplies(day, job, minute, width, glyphs)
    rows += _firmware(day, width, glyphs)
    cautions = list(for_power(day))
    if cautions:
        rows.append(heading("With care", width, glyphs))
    for caution in cautions:
        rows += paragraph(caution, width, "", "  - ")
    return rows


def _feeds(day: WorkedDay, rounds: Sequence[CellLine], width: int, glyphs: Glyphs) -> Iterator[Row]:
    plan = day.plan
    says = (
        f"{counted(len(day.feeds), 'unit')} on cells at {plan.temperature_c:g} {glyphs.degree}; "
        f"the last {plan.reserve * 100:g} % of a set is kept in reserve; {plan.between} between "
        "scenes"
    )
    yield from paragraph(says, width)
    label, note = columns(width)
    over = clock_over(day, width - label - note - 1, glyphs)
    title = "unit   set       lasts" + "  for" * (label > 30) if label > 20 else ""
    title = fill(title, label)
    yield Row(((title, "dim"), (fill(over.axis(), over.width), "head"), (" on"[:note], "dim")))
    lines = {line.unit: line for line in rounds}
    for feed in day.feeds:
        yield _feed_row(day, feed, lines[feed.unit].changes, over, label, note)
    legend = (
        f"{glyphs.full} in a scene   {glyphs.half} on between scenes   {glyphs.change} change the "
        "set by then   ! dies within a scene"
    )
    if not all(feed.known for feed in day.feeds):
        legend += "   ? nobody knows how long a set lasts"
    yield from paragraph(legend, width, "dim", "  ")


def _feed_row(
    day: WorkedDay,
    feed: UnitCells,
    changes: Sequence[PlannedChange],
    over: Clock,
    label: int,
    note: int,
) -> Row:
    hours = planned_hours(day, feed)
    lasts = "?" if hours is None else f"{hours:.1f} h"
    cells = f"{feed.count} x {feed.cell}"
    name = feed.unit if label < 10 else f"{fill(feed.unit, 6)} {fill(cells, 10)}"
    if label > 20:
        name = f"{name} {lasts:>6}"
    who = f"  {', '.join(serves(day, feed.unit))}" if label > 30 else ""
    spans: list[Span] = [(feed.on, feed.off, over.glyphs.half, "dim")]
    numbers = {x.scene for x in day.links if feed.unit in (x.transmitter, x.receiver)}
    spans += [
        (needs.scene.start, needs.scene.end, over.glyphs.full, "bar")
        for needs in day.scenes
        if needs.scene.number in numbers
    ]
    dead = any(change.mid_scene for change in changes)
    marks: list[Mark] = [
        (c.by, "!" if c.mid_scene else over.glyphs.change, "bad" if c.mid_scene else "warn")
        for c in changes
    ]
    on = f" {(feed.off - feed.on) / 60:.1f} h"
    if note > 10 and not feed.known:
        on += ", not known"
    elif note > 10 and changes:
        on += f", {counted(len(changes), 'change')}"
    shown = fill(on, note, over.glyphs.dots) if note else ""
    return Row(
        (
            (name, "key"),
            (fill(who, label - len(name), over.glyphs.dots), ""),
            *over.bar(spans, marks),
            (shown, "bad" if dead else "warn" if changes or not feed.known else ""),
        ),
        f"unit:{feed.unit}",
    )


def _changes(
    day: WorkedDay, rounds: Sequence[CellLine], width: int, glyphs: Glyphs
) -> Iterator[Row]:
    """The sets that went in, and what is still to be changed, reckoned from them."""
    yield heading("Changes of cells, by the clock", width, glyphs)
    unknown = [feed.unit for feed in day.feeds if not feed.known]
    if unknown:
        says = f"not known how long a set lasts in {', '.join(unknown)}: look often, change early"
        yield from paragraph(says, width, "warn", "[~] ")
    if not any(line.planned for line in rounds) and len(unknown) < len(day.feeds):
        each = "each other set" if unknown else "each set"
        yield from paragraph(f"none: {each} lasts the day", width, "good", "[x] ")
    rows = [row for line in rounds for row in _of_unit(day, line)]
    for at, key, due, says in sorted(rows, key=lambda row: (row[0], row[1])):
        mark, word, role = DUE[due]
        yield from paragraph(f"{clock(at)} {says}", width, role, f"{mark} {fill(word, 8)}", key)


def _of_unit(day: WorkedDay, line: CellLine) -> Iterator[tuple[int, str, str, str]]:
    """One unit's changes: the minute, the row's key, how it stands, and what it says."""
    who = f"{line.unit} ({', '.join(serves(day, line.unit))}) {line.cell}"
    for at in line.fresh:
        yield at, f"unit:{line.unit}", "made", f"{who}, a fresh set"
    for change in line.changes:
        key = f"scene:{change.before}#{line.unit}@{change.by}"
        if change.mid_scene:
            within = f"dead by then, within scene {change.before}, which outlasts the set"
            yield change.by, key, "short", f"{who}: {within}"
            continue
        runs_out = line.runs_out if change is line.next else None
        dead = ""
        if runs_out is not None and runs_out.scene is not None:
            dead = f", else dead at {clock(runs_out.at)} in scene {runs_out.scene}"
        due = line.due if change is line.next else "later"
        yield change.by, key, due, f"{who}, before scene {change.before}{dead}"


def _asleep(
    day: WorkedDay, job: JobState, minute: int, width: int, glyphs: Glyphs
) -> Iterator[Row]:
    """What should be asleep now and what is, once the kit is out."""
    found = sleeping(day, job, minute)
    if job.stage != "out" or (not found.planned and not found.to_wake):
        return
    yield heading("Asleep between scenes", width, glyphs, f"{found.planned} should be now")
    if found.asleep:
        says = f"{len(found.asleep)} asleep: {', '.join(found.asleep)}"
        yield from paragraph(says, width, "good", "[x] ")
    if found.awake:
        says = f"{len(found.awake)} not put to sleep, so reckoned as on: {', '.join(found.awake)}"
        yield from paragraph(says, width, "warn", "[~] ")
    if found.to_wake:
        says = f"to wake, and see each signal: {', '.join(found.to_wake)}"
        yield from paragraph(says, width, "bad", "[!] ")


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
        mark, word, role = _held(cells)
        yield Row(
            (
                (mark, role),
                (fill(cells.cell, name, glyphs.dots), ""),
                (body, "bad" if cells.short else ""),
                (f"  {word}", "dim" if role == "good" else role),
            )
        )


def _held(cells: Cells) -> tuple[str, str, Role]:
    """Mark, word and role of what is held against what is wanted."""
    if cells.short:
        return "[!] ", "short", "bad"
    return ("[~] ", "at least", "warn") if cells.at_least else ("[x] ", "enough", "good")


def _supplies(
    day: WorkedDay, job: JobState, minute: int, width: int, glyphs: Glyphs
) -> Iterator[Row]:
    if not day.supplies:
        return
    yield heading("Supplies", width, glyphs)
    packs = pack_round(day, job, minute)
    for load in day.supplies:
        says = f"{load.id}: {watts_said(load)}, {_packs(load)}, {_outlets(day, load)}"
        mark: tuple[str, Role] = ("[!] ", "bad") if load.short else ("[x] ", "")
        if load.at_least and not load.short:
            mark = ("[~] ", "warn")
        key = f"unit:supply:{load.id}"
        yield from paragraph(says, width, mark[1], mark[0], key)
        for pack in (pack for pack in packs if pack.id == load.id):
            for at in pack.fresh:
                made = f"{clock(at)} a fresh pack for {', '.join(pack.units)}"
                yield from paragraph(made, width, "good", f"[x] {fill('made', 8)}", key)
            glyph, word, role = DUE[pack.due] if pack.next else ("[x]", "enough", "good")
            yield from paragraph(pack.says, width, role, f"{glyph} {fill(word, 8)}", key)


def _packs(load: SupplyLoad) -> str:
    if load.mains:
        return "from the mains"
    short = f", {load.short} short" if load.short else ""
    hours = "hours not known" if load.hours_per_pack is None else f"{load.hours_per_pack:.1f} h"
    more = " or more" if len(load.courses) > 1 else ""
    return (
        f"{hours} a pack{more}, {at_least(load)}{counted(load.packs, 'pack')} to carry, "
        f"{load.have} held{short}"
    )


def _outlets(day: WorkedDay, load: SupplyLoad) -> str:
    supply = next((s for s in day.kit.supplies if s.id == load.id), None)
    of = f" of {supply.outlets}" if supply is not None else ""
    used = f"{load.outlets}{of} outlets"
    if len(load.courses) > 1:
        parts = " and ".join(str(len(course.units)) for course in load.courses)
        used = f"{parts}{of} outlets in the parts of the unit"
    return f"{used} for {', '.join(load.units)}, on {clock(load.on)}-{clock(load.off)}"


def _firmware(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    yield heading("Firmware", width, glyphs)
    if not day.firmware:
        yield from paragraph("every unit in use has the wanted version", width, "good", "[x] ")
        return
    for image in day.firmware:
        says = f"to do: image {image.image}, {image.want} wanted on {says_units(image)}"
        yield from paragraph(says, width, "warn", "[ ] ")
    yield from paragraph(CAUTION, width, "", "    ")
