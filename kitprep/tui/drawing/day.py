"""The day at a glance: is it workable, what is short, how far is it packed."""

from collections.abc import Iterator

from kitprep.definitions.text import counted
from kitprep.ledger.moment import Moment
from kitprep.planning.hire import hired_as
from kitprep.planning.reasons import names_of
from kitprep.planning.results import CaseLoad, SceneNeeds, WorkedDay
from kitprep.tui.drawing.chart import Chart, Look, chart_rows, day_clock, labels
from kitprep.tui.drawing.clock import Clock, Mark
from kitprep.tui.drawing.lines import (
    Glyphs,
    Part,
    Row,
    beside,
    fill,
    half,
    heading,
    meter,
    paragraph,
)
from kitprep.tui.drawing.pack import packed_rows
from kitprep.walks.cautions import RADIO
from kitprep.walks.naming import spoken
from kitprep.walks.pack import PackView, pack_view

ROOM_FOR_TWO = 110
"""Cells from which two lists stand side by side."""

SHORT = {"cell": "cells", "card": "cards", "cable": "cables", "input": "inputs"}
"""What a scene is short of, as it stands beside its bar."""


def day_rows(now: Moment, width: int, glyphs: Glyphs, greeting: str = "") -> list[Row]:
    """Everything on the day, the most pressing first; a greeting has the line above the clock."""
    day = now.worked
    view = pack_view(day, now.state)
    rows = [*_verdict(day, width, glyphs), *packed_rows(view, width, glyphs)]
    rows += paragraph(greeting, width, "key", "    ") if greeting else [Row(())]
    rows += _chart(day, width, glyphs)
    rows += _short(day, width, glyphs)
    if width >= ROOM_FOR_TWO:
        cases = list(_cases(day, view, half(width), glyphs))
        rows += beside(cases, list(_carried(day, half(width), glyphs)), width)
    else:
        rows += [*_cases(day, view, width, glyphs), *_carried(day, width, glyphs)]
    rows += _risk(now, width, glyphs)
    rows += _to_know(now, width, glyphs)
    return [*rows, *paragraph(RADIO, width, "dim", "  ")]


def _verdict(day: WorkedDay, width: int, glyphs: Glyphs) -> list[Row]:
    unserved = sum(len(needs.unserved) for needs in day.scenes)
    peak = (
        f"{counted(day.peak.packs, 'pack')}, {counted(day.peak.links, 'link')}, "
        f"{counted(day.peak.modules, 'receiver channel')} at once, {day.plan.temperature_c:g} "
        f"{glyphs.degree}"
    )
    if day.ready:
        known = ", as far as is known" if day.unknown else ""
        scenes = len(day.scenes)
        says = f"WORKABLE: {scenes} of {counted(scenes, 'scene')} served, nothing short{known}"
        return [*paragraph(says, width, "good", "[x] "), *paragraph(peak, width, "", "    ")]
    short = counted(len(day.shortfalls), "thing is", "things are")
    links = f", {counted(unserved, 'link')} not served" if unserved else ""
    hire = sum(h.qty for h in day.hire)
    mends = f"; {counted(hire, 'unit')} to hire" if hire else ""
    says = f"NOT YET: {short} short{links}{mends}"
    return [*paragraph(says, width, "bad", "[!] "), *paragraph(peak, width, "", "    ")]


def clock_over(day: WorkedDay, width: int, glyphs: Glyphs) -> Clock:
    """The clock of the whole day, from the first pack on to the last off."""
    return day_clock(day.plan, on_and_off(day), width, glyphs)


def on_and_off(day: WorkedDay) -> list[int]:
    """When each unit on cells is on and off: minutes that the day's clock must show."""
    return [minute for feed in day.feeds for minute in (feed.on, feed.off)]


def _chart(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    looks = {needs.scene.number: _look(day, needs, width, glyphs) for needs in day.scenes}
    marks: list[Mark] = [(c.by, "!" if c.mid_scene else glyphs.change, "warn") for c in day.changes]
    yield from chart_rows(Chart(day.plan, on_and_off(day), looks, marks), width, glyphs)


def short_of(day: WorkedDay, scene: str) -> str:
    """What else than links a scene is short of: "cells, cards"; empty where it is short of none."""
    kinds = dict.fromkeys(s.kind for s in day.shortfalls if s.scene == scene and s.kind != "link")
    return ", ".join(SHORT.get(kind, kind) for kind in kinds)


def _look(day: WorkedDay, needs: SceneNeeds, width: int, glyphs: Glyphs) -> Look:
    kinds = [s.kind for s in day.shortfalls if s.scene == needs.scene.number]
    wanted, room = needs.mono + needs.stereo, labels(width)[1] - 1
    if not needs.unserved and not kinds:
        full = f"{counted(wanted, 'link')} served"
        return Look("[x]", "good", glyphs.full, "bar", full if room >= len(full) else full[:-7])
    note = f"{SHORT.get(kinds[0], kinds[0])} short" if kinds else ""
    note = note if room >= len(note) else note.removesuffix(" short")
    if needs.unserved:
        of = " of " if room >= 20 else "/"
        links = " links" if room >= 14 else ""
        note = f"{len(needs.unserved)}{of}{wanted}{links} short"
    return Look("[!]", "bad", glyphs.short, "bad", note)


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
        where = "" if what.startswith(f"scene {''.join(scenes)} ") else where
        key = f"scene:{scenes[0]}#{number}" if scenes else None
        yield from paragraph(f"{where}{kind}: {what}", width, "bad", "[!] ", key)
    for hire in day.hire:
        word = "scene" if len(hire.scenes) == 1 else "scenes"
        what = hired_as(day.kit, hire.model)
        says = f"hire {hire.qty} x {what}: {word} {', '.join(hire.scenes)}"
        yield from paragraph(says, width, "warn", "[+] ")


def _cases(day: WorkedDay, view: PackView, width: int, glyphs: Glyphs) -> Iterator[Row]:
    yield heading("How far packed", width, glyphs)
    weighs = {load.case: _kilos(load) for load in day.cases}
    name = min(max(width - 39, 10), 32)
    bar = max(min(width - name - 14 - max(map(len, weighs.values()), default=0), 42), 6)
    for case in view.cases:
        kilos = weighs.get(case.case, "")
        done = case.done == len(case.items)
        yield Row(
            (
                ("[x] " if done else "[~] " if case.done else "[ ] ", "good" if done else ""),
                (fill(case.name, name, glyphs.dots), ""),
                (fill(f"{case.done}/{len(case.items)}", 7, right=True) + " ", ""),
                (meter(case.done, len(case.items), bar, glyphs), "good" if done else ""),
                (f"  {kilos}", "dim"),
            )
        )


def _kilos(load: CaseLoad) -> str:
    least = "at least " if load.unknown else ""
    of = "" if load.limit_g is None else f" of {load.limit_g / 1000:g}"
    return f"{least}{load.weight_g / 1000:.1f}{of} kg"


def _carried(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """What goes by number: cells, cables, cards, packs."""
    totals = [
        *((f"cells:{c.cell}", c.carry, c.have, c.short, c.at_least) for c in day.cells),
        *((f"cards:{c.name}", c.carry, c.have, c.short, False) for c in day.cards),
        *((f"cable:{c.name}", c.carry, c.have, c.short, False) for c in day.cables),
        *(
            (f"supply:{s.id}", s.packs, s.have, s.short, s.at_least)
            for s in day.supplies
            if not s.mains
        ),
    ]
    names = spoken(day)
    if not totals:
        return
    yield heading("To carry by number", width, glyphs)
    for key, carry, have, short, at_least in totals:
        mark: Part = ("[!] ", "bad") if short else ("[x] ", "good")
        parts: list[Part] = [
            ("[~] ", "warn") if at_least and not short else mark,
            (fill(names.get(key, key), min(max(width - 29, 10), 46), glyphs.dots), ""),
            (f"{carry:>4}  {f'({have} held)':<10}", ""),
        ]
        if short:
            parts.append((f"  {short} short", "bad"))
        elif at_least:
            parts.append(("  at least", "warn"))
        yield Row(tuple(parts))


def _risk(now: Moment, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """What no spare covers, and what covers the rest."""
    day = now.worked
    if day.single_points or day.spares or not now.tried:
        yield heading("If one unit fails", width, glyphs)
    if not now.tried:
        yield from paragraph(f"is being worked out{glyphs.dots}", width, "dim", "[ ] ")
    names = names_of(day.plan)
    for point in day.single_points:
        who = ", ".join(names[source] for source in point.sources)
        word = "scene" if len(point.scenes) == 1 else "scenes"
        says = (
            f"{point.unit} lost: no {who} in {word} {', '.join(point.scenes)}, and nothing held "
            "covers it"
        )
        yield from paragraph(says, width, "warn", "[!] ")
    along = [tag for tag in day.spares if tag in now.state.spares]
    offered = [tag for tag in day.spares if tag not in now.state.spares]
    if along:
        yield from paragraph(f"spares that go along: {', '.join(along)}", width, "good", "[x] ")
    if offered:
        says = f"spares that would cover the loss of any other one unit: {', '.join(offered)}"
        yield from paragraph(says, width, "", "[+] ")


def _to_know(now: Moment, width: int, glyphs: Glyphs) -> Iterator[Row]:
    day, unfit = now.worked, now.found_unfit
    notes = [now.says_contested([key]) for key in now.contested]
    notes += [f"{tag} came back {what} from another job" for tag, what in unfit.items()]
    notes += [f"not counted on: {e.sentence}" for e in day.not_counted if e.key not in unfit]
    notes += [f"not known: {what}" for what in day.unknown]
    notes += day.notices
    if day.kept:
        notes.append("as it was chosen before, with only what has failed since replaced")
    elif "weight" not in day.proven:
        proven = ", ".join(day.proven) or "nothing"
        notes.append(f"the best plan found in the time allowed; proven best: {proven}")
    if notes:
        yield heading("To know", width, glyphs)
    for note in notes:
        yield from paragraph(note, width, "", "  - ")
