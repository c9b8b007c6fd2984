"""The day at a glance: is it workable, what is short, how far is it packed."""

from collections.abc import Iterator

from kitprep.ledger.moment import Moment
from kitprep.planning.results import SceneNeeds, WorkedDay
from kitprep.tui.drawing.chart import Chart, Look, chart_rows, day_clock, labels
from kitprep.tui.drawing.clock import Clock, Mark
from kitprep.tui.drawing.lines import (
    Glyphs,
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


def day_rows(now: Moment, width: int, glyphs: Glyphs) -> list[Row]:
    """Everything on the day, the most pressing first."""
    day = now.worked
    view = pack_view(day, now.state)
    rows = [*_verdict(day, width, glyphs), *_packed(view, width, glyphs)]
    rows += [Row(()), *_chart(day, width, glyphs)]
    rows += _short(day, width, glyphs)
    rows += _cases(day, view, width, glyphs)
    rows += _carried(day, width, glyphs)
    rows += _risk(now, width, glyphs)
    rows += _to_know(now, width, glyphs)
    return [*rows, *paragraph(RADIO, width, "dim", "  ")]


def _verdict(day: WorkedDay, width: int, glyphs: Glyphs) -> list[Row]:
    unserved = sum(len(needs.unserved) for needs in day.scenes)
    peak = (
        f"{counted(day.peak.packs, 'pack')}, {counted(day.peak.links, 'link')}, "
        f"{counted(day.peak.modules, 'module')} at once, {day.plan.temperature_c:g} {glyphs.degree}"
    )
    if day.ready:
        known = ", as far as is known" if day.unknown else ""
        says = f"WORKABLE: all of {counted(len(day.scenes), 'scene')} served, nothing short{known}"
        return [*paragraph(says, width, "good", "[x] "), *paragraph(peak, width, "", "    ")]
    short = counted(len(day.shortfalls), "thing is", "things are")
    links = f", {counted(unserved, 'link')} not served" if unserved else ""
    hire = sum(h.qty for h in day.hire)
    mends = f"; {counted(hire, 'unit')} to hire" if hire else ""
    says = f"NOT YET: {short} short{links}{mends}"
    return [*paragraph(says, width, "bad", "[!] "), *paragraph(peak, width, "", "    ")]


def _packed(view: PackView, width: int, glyphs: Glyphs) -> list[Row]:
    total = len(view.items)
    if not total:
        return [Row((("[ ] ", ""), ("nothing to pack: no link is served", "")))]
    bar = meter(view.done, total, min(max(width - 50, 8), 60), glyphs)
    left_out = f", {len(view.skipped)} left out" if view.skipped else ""
    done: Role = "good" if view.complete else ""
    says = f"packed {view.done} of {counted(total, 'line')}{left_out} "
    mark = "[x] " if view.complete else "[~] " if view.done else "[ ] "
    return [Row(((mark, done), (fill(says, 34), done), (bar, done)))]


def clock_over(day: WorkedDay, width: int, glyphs: Glyphs) -> Clock:
    """The clock of the whole day, from the first pack on to the last off."""
    return day_clock(day.plan, _on_and_off(day), width, glyphs)


def _on_and_off(day: WorkedDay) -> list[int]:
    return [minute for feed in day.feeds for minute in (feed.on, feed.off)]


def _chart(day: WorkedDay, width: int, glyphs: Glyphs) -> Iterator[Row]:
    looks = {needs.scene.number: _look(day, needs, width, glyphs) for needs in day.scenes}
    marks: list[Mark] = [(c.by, "!" if c.mid_scene else glyphs.change, "warn") for c in day.changes]
    yield from chart_rows(Chart(day.plan, _on_and_off(day), looks, marks), width, glyphs)


def _look(day: WorkedDay, needs: SceneNeeds, width: int, glyphs: Glyphs) -> Look:
    kinds = [s.kind for s in day.shortfalls if s.scene == needs.scene.number]
    wanted = needs.mono + needs.stereo
    if not needs.unserved and not kinds:
        return Look("[x]", "good", glyphs.full, "bar", f"{wanted} served")
    note = f"{kinds[0]} short" if kinds else ""
    if needs.unserved:
        of = " of " if labels(width)[1] >= 14 else "/"
        note = f"{len(needs.unserved)}{of}{wanted} short"
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
        least = "at least " if load is not None and load.unknown else ""
        kilos = "" if load is None else f"{least}{load.weight_g / 1000:.1f} kg"
        if load is not None and load.limit_g is not None:
            kilos = f"{least}{load.weight_g / 1000:.1f} of {load.limit_g / 1000:g} kg"
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
        *((f"{c.cell} cells", c.carry, c.have, c.short, c.at_least) for c in day.cells),
        *((f"{c.name} cards", c.carry, c.have, c.short, False) for c in day.cards),
        *((c.name, c.carry, c.have, c.short, False) for c in day.cables),
        *(
            (f"{s.id} packs", s.packs, s.have, s.short, s.at_least)
            for s in day.supplies
            if not s.mains
        ),
    ]
    if not totals:
        return
    yield heading("To carry by number", width, glyphs)
    for name, carry, have, short, at_least in totals:
        mark: Part = ("[!] ", "bad") if short else ("[x] ", "good")
        parts: list[Part] = [
            ("[~] ", "warn") if at_least and not short else mark,
            (fill(name, min(max(width - 40, 10), 26), glyphs.dots), ""),
            (f"{carry:>4} to carry {have:>4} held", ""),
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
    for point in day.single_points:
        says = (
            f"{point.unit} lost: {', '.join(point.sources)} in scene {', '.join(point.scenes)}, "
            "and nothing held covers it"
        )
        yield from paragraph(says, width, "warn", "[!] ")
    for tag in day.spares:
        taken = tag in now.state.spares
        says = f"{tag} {'goes along' if taken else 'would cover'} (any other one failure)"
        yield from paragraph(says, width, "", "[x] " if taken else "[+] ")


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
