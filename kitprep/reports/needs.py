"""``kitprep needs``: the worked-out day as JSON, and as text that reads well on paper."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from kitprep.definitions.text import clock, counted
from kitprep.planning.firmware import CAUTION
from kitprep.planning.loads import watts_said
from kitprep.planning.packing import at_least
from kitprep.planning.results import Link, PlannedSwap, Remedy, SceneNeeds, WorkedDay
from kitprep.reports.handovers import handover_lines, handovers_json
from kitprep.reports.mending import mending_lines, remedy_json
from kitprep.reports.wording import COLUMNS, scenes_text, wrapped
from kitprep.walks.firmware import says_units


def needs_json(day: WorkedDay, remedies: Sequence[Remedy] = ()) -> dict[str, Any]:
    """The document that ``needs --json`` prints; keys are a contract, added to, never renamed."""
    return {
        "kit": day.kit.kit,
        "day": day.plan.day.isoformat(),
        "ready": day.ready,
        "proven": list(day.proven),
        "peak": {"packs": day.peak.packs, "links": day.peak.links, "modules": day.peak.modules},
        "scenes": [_scene_json(needs) for needs in day.scenes],
        "hire": [{"model": h.model, "qty": h.qty, "scenes": list(h.scenes)} for h in day.hire],
        "cables": [
            {"model": c.name, "carry": c.carry, "have": c.have, "short": c.short}
            for c in day.cables
        ],
        "cells": [
            {
                "cell": c.cell,
                "planned": c.planned,
                "spare": c.spare,
                "carry": c.carry,
                "have": c.have,
                "short": c.short,
                "at_least": c.at_least,
            }
            for c in day.cells
        ],
        "changes": [
            {
                "unit": c.unit,
                "cell": c.cell,
                "before": c.before,
                "by": clock(c.by),
                "mid_scene": c.mid_scene,
            }
            for c in day.changes
        ],
        "handovers": handovers_json(day),
        "supplies": [
            {
                "id": s.id,
                "load_w": round(s.load_w, 2),
                "hours_per_pack": None if s.hours_per_pack is None else round(s.hours_per_pack, 2),
                "packs": s.packs,
                "have": s.have,
                "short": s.short,
                "outlets": s.outlets,
                "mains": s.mains,
                "at_least": s.at_least,
                "swaps": [_swap_json(swap) for swap in s.swaps],
                "at": [{"destinations": list(c.destinations), "packs": c.packs} for c in s.courses],
            }
            for s in day.supplies
        ],
        "cards": [
            {"card": c.name, "carry": c.carry, "have": c.have, "short": c.short} for c in day.cards
        ],
        "firmware": [
            {
                "image": f.image,
                "want": f.want,
                "units": list(f.units),
                "read": [{"unit": r.unit, "version": r.version, "at": r.at} for r in f.read],
            }
            for f in day.firmware
        ],
        "single_points": [
            {"unit": p.unit, "scenes": list(p.scenes), "sources": list(p.sources)}
            for p in day.single_points
        ],
        "spares": list(day.spares),
        "charging": [
            {
                "what": c.name,
                "qty": c.qty,
                "bays": c.bays,
                "rounds": c.rounds,
                "hours": c.hours,
                "turnaround_h": c.turnaround_h,
                "in_time": c.in_time,
                "at_least": c.at_least,
                "beside": list(c.beside),
            }
            for c in day.charging
        ],
        "remedies": [remedy_json(remedy) for remedy in remedies],
        "unknown": list(day.unknown),
        "not_usable": not_usable_json(day),
        "shortfalls": [{"kind": s.kind, "scene": s.scene, "what": s.what} for s in day.shortfalls],
        "notices": list(day.notices),
    }


def _swap_json(swap: PlannedSwap) -> dict[str, Any]:
    return {
        "before": swap.before,
        "by": clock(swap.by),
        "mid_scene": swap.mid_scene,
        "units": list(swap.units),
    }


def not_usable_json(day: WorkedDay) -> list[dict[str, Any]]:
    """What of the kit the day does not count on, each with its why; ``qty`` is null of a unit, and
    ``name`` empty."""
    return [
        {
            "key": n.key,
            "name": n.name,
            "qty": n.qty,
            "what": n.what,
            "job": n.job,
            "note": n.note,
        }
        for n in day.not_counted
    ]


def _scene_json(needs: SceneNeeds) -> dict[str, Any]:
    return {
        "scene": needs.scene.number,
        "mono": needs.mono,
        "stereo": needs.stereo,
        "outputs": needs.outputs,
        "packs": needs.packs,
        "phantom": needs.phantom,
        "links": [
            {
                "source": link.source,
                "mode": link.mode,
                "transmitter": link.transmitter,
                "adapter": link.adapter,
                "receiver": link.receiver,
                "module": link.module,
                "outputs": link.outputs,
                "destination": link.destination,
                "inputs": list(link.inputs),
            }
            for link in needs.links
        ],
        "unserved": [
            {"source": u.source, "destination": u.destination, "reason": u.reason}
            for u in needs.unserved
        ],
    }


def inputs_text(link: Link) -> str:
    """Where a link is plugged in: "recorder 7+8"."""
    return f"{link.destination} {'+'.join(map(str, link.inputs))}"


def needs_text(day: WorkedDay, remedies: Sequence[Remedy] = ()) -> str:
    """Scene by scene, then what is short, then totals; at most 78 columns wide."""
    return "\n".join(_lines(day, remedies)) + "\n"


def _lines(day: WorkedDay, remedies: Sequence[Remedy]) -> Iterator[str]:
    yield day.kit.name
    title = f"{day.plan.title or 'Day plan'}, {day.plan.day.isoformat()}"
    yield title
    yield "=" * min(len(title), COLUMNS)
    yield (
        f"{counted(day.peak.packs, 'pack')}, {counted(day.peak.links, 'link')} over the scenes, "
        f"{counted(day.peak.modules, 'module')} at the busiest moment"
    )
    if day.kept:
        yield "As it was chosen before, with only what has failed since replaced."
    elif "weight" not in day.proven:
        best = ", ".join(day.proven) or "nothing"
        yield f"Best found in the time allowed, not proven best. Proven: {best}."
    for needs in day.scenes:
        yield ""
        yield from _scene_lines(needs)
    yield from _section("SHORT", _short_lines(day))
    yield from _section("WHAT WOULD MEND IT", mending_lines(day, remedies))
    yield from _section("TOTALS TO CARRY", _total_lines(day))
    yield from _section("CHANGES OF CELLS", _change_lines(day))
    yield from _section("PACKS SWAPPED", _swap_lines(day))
    yield from _section("HANDOVERS", handover_lines(day))
    yield from _section("FIRMWARE", _firmware_lines(day))
    yield from _section("ONE FAILURE", _failure_lines(day))
    yield from _section("CHARGED BY CALL", _charging_lines(day))
    yield from _section("NOT COUNTED ON", wrapped(each.sentence for each in day.not_counted))
    yield from _section("NOT KNOWN", wrapped(day.unknown))
    yield from _section("ALSO", wrapped(day.notices))


def _section(heading: str, lines: Iterable[str]) -> Iterator[str]:
    shown = list(lines)
    if shown:
        yield ""
        yield heading
        yield from shown


def _scene_lines(needs: SceneNeeds) -> Iterator[str]:
    scene = needs.scene
    where = ", ".join(part for part in (scene.name, scene.place) if part)
    heading = f"SCENE {scene.number}  {clock(scene.start)}-{clock(scene.end)}  {where}".rstrip()
    yield from textwrap.wrap(heading, COLUMNS, subsequent_indent="  ", break_on_hyphens=False)
    phantom = f", {counted(needs.phantom, 'point')} of phantom" if needs.phantom else ""
    yield (
        f"  {needs.mono} mono, {needs.stereo} stereo, {counted(needs.outputs, 'output')}, "
        f"{counted(needs.packs, 'pack')}{phantom}"
    )
    for link in needs.links:
        adapter = f" + {link.adapter}" if link.adapter else ""
        yield (
            f"  {link.source:<12} {link.mode:<6} {link.transmitter + adapter:<18} > "
            f"{link.receiver}/{link.module:<4} > {inputs_text(link)}"
        )
    for unserved in needs.unserved:
        yield from wrapped(
            [f"{unserved.source} to {unserved.destination}: NOT SERVED, {unserved.reason}"],
            "! ",
        )


def _short_lines(day: WorkedDay) -> Iterator[str]:
    if day.ready:
        yield (
            "  Nothing, as far as is known. See NOT KNOWN."
            if day.unknown
            else "  Nothing. Everything that the day needs is here."
        )
        return
    alike: dict[tuple[str, str], list[str]] = {}
    for shortfall in day.shortfalls:
        scenes = alike.setdefault((shortfall.kind, shortfall.what), [])
        scenes += [shortfall.scene] if shortfall.scene else []
    for (kind, what), scenes in alike.items():
        place = f"{scenes_text(scenes)}: " if scenes else ""
        place = "" if what.startswith(f"scene {''.join(scenes)} ") else place
        yield from wrapped([f"{kind}: {place}{what}"], "! ")
    for hire in day.hire:
        yield from wrapped([f"hire {hire.qty} x {hire.model} for {scenes_text(hire.scenes)}"], "+ ")


def _total_lines(day: WorkedDay) -> Iterator[str]:
    yield f"  {'':<24}{'carry':>7}{'have':>7}{'short':>7}"
    for cells in day.cells:
        note = f"{at_least(cells)}{cells.planned} planned, {cells.spare} spare"
        row = _row(f"{cells.cell} cells", cells.carry, cells.have, cells.short)
        yield from _noted(row, note)
    for cable in day.cables:
        yield _row(cable.name, cable.carry, cable.have, cable.short)
    for card in day.cards:
        yield _row(f"{card.name} cards", card.carry, card.have, card.short)
    for supply in day.supplies:
        load = watts_said(supply)
        if supply.mains:
            yield f"  {supply.id:<24}mains, {load}"
        else:
            hours, parts = supply.hours_per_pack, len(supply.courses)
            note = load + (f" in {parts} parts of the unit, " if parts > 1 else ", ")
            note += "hours not known" if hours is None else f"{hours:.1f} h a pack"
            note += " or more" if parts > 1 and hours is not None else ""
            row = _row(f"{supply.id} packs", supply.packs, supply.have, supply.short)
            yield from _noted(row, note)


def _row(name: str, carry: int, have: int, short: int) -> str:
    return f"  {name:<24}{carry:>7}{have:>7}{short or '-':>7}"


def _noted(row: str, note: str) -> Iterator[str]:
    """A row with its note beside it, or under it where that is too wide."""
    if len(row) + 2 + len(note) <= COLUMNS:
        yield f"{row}  {note}"
        return
    yield row
    yield f"    {note}"


def _change_lines(day: WorkedDay) -> Iterator[str]:
    for change in day.changes:
        when = "within" if change.mid_scene else "before"
        scene = f"{when} scene {change.before}, by {clock(change.by)}"
        yield f"  {change.unit:<10} {change.cell:<8} {scene}"


def _swap_lines(day: WorkedDay) -> Iterator[str]:
    for swap in (swap for load in day.supplies for swap in load.swaps):
        when = "within" if swap.mid_scene else "before"
        says = f"{swap.supply} {when} scene {swap.before}, by {clock(swap.by)}"
        yield from wrapped([says + (f": {swap.costs}" if swap.units else "")])


def _firmware_lines(day: WorkedDay) -> Iterator[str]:
    for image in day.firmware:
        units = says_units(image)
        yield from wrapped([f"image {image.image}, version {image.want} wanted: {units}"])
    if day.firmware:
        yield from wrapped([CAUTION])


def _charging_lines(day: WorkedDay) -> Iterator[str]:
    for c in day.charging:
        if c.hours is None:
            yield f"  {c.name:<10} NO   {c.qty} to charge, and no charger here takes them"
            continue
        answer = "NO" if not c.in_time else "?" if c.at_least else "yes"
        more = " or more" if c.at_least else ""
        beside = f", with {' and '.join(c.beside)}," if c.beside else ""
        yield (
            f"  {c.name:<10} {answer:<4} {c.qty}{more}{beside} on {counted(c.bays, 'bay')}: "
            f"{counted(c.rounds, 'round')}, {c.hours:g} h of {c.turnaround_h:g} h"
        )


def _failure_lines(day: WorkedDay) -> Iterator[str]:
    for point in day.single_points:
        yield from wrapped(
            [
                f"without {point.unit}: no {', no '.join(point.sources)} in "
                f"{scenes_text(point.scenes)}, and nothing held can cover it"
            ]
        )
    packed = {line.key for line in day.packing}
    along = [tag for tag in day.spares if tag in packed]
    offered = [tag for tag in day.spares if tag not in packed]
    if along:
        yield from wrapped([f"spares on the packing list: {', '.join(along)}"])
    if offered:
        yield from wrapped([f"spares that cover any other loss: {', '.join(offered)}"])
