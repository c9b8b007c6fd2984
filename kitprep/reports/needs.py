"""``kitprep needs``: the worked-out day as JSON, and as text that reads well on paper."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from kitprep.definitions.text import clock
from kitprep.planning.firmware import CAUTION
from kitprep.planning.results import Link, Remedy, Route, SceneNeeds, WorkedDay

COLUMNS = 78
"""What fits a page and a small terminal; only names that are longer run over."""


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
        "supplies": [
            {
                "id": s.id,
                "load_w": round(s.load_w, 2),
                "hours_per_pack": None if s.hours_per_pack is None else round(s.hours_per_pack, 2),
                "packs": s.packs,
                "have": s.have,
                "short": s.short,
                "outlets": s.outlets,
            }
            for s in day.supplies
        ],
        "cards": [
            {"card": c.name, "carry": c.carry, "have": c.have, "short": c.short} for c in day.cards
        ],
        "firmware": [
            {"image": f.image, "want": f.want, "units": list(f.units)} for f in day.firmware
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
            }
            for c in day.charging
        ],
        "remedies": [_remedy_json(remedy) for remedy in remedies],
        "unknown": list(day.unknown),
        "shortfalls": [{"kind": s.kind, "scene": s.scene, "what": s.what} for s in day.shortfalls],
        "notices": list(day.notices),
    }


def _remedy_json(remedy: Remedy) -> dict[str, Any]:
    def routes(links: Iterable[Route]) -> list[dict[str, str]]:
        return [{"scene": r.scene, "source": r.source, "destination": r.destination} for r in links]

    return {
        "kind": remedy.kind,
        "what": remedy.what,
        "serves": routes(remedy.serves),
        "loses": routes(remedy.loses),
        "new_short": [s.what for s in remedy.new_short],
        "still_short": [s.what for s in remedy.still_short],
    }


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


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 pack", "2 packs"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def scenes_text(numbers: Sequence[str]) -> str:
    """ "scene 12A", "scenes 12A, 14"."""
    return f"{'scene' if len(numbers) == 1 else 'scenes'} {', '.join(numbers)}"


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
    if "weight" not in day.proven:
        best = ", ".join(day.proven) or "nothing"
        yield f"Best found in the time allowed, not proven best. Proven: {best}."
    for needs in day.scenes:
        yield ""
        yield from _scene_lines(needs)
    yield from _section("SHORT", _short_lines(day))
    yield from _section("WHAT WOULD MEND IT", _remedy_lines(remedies))
    yield from _section("TOTALS TO CARRY", _total_lines(day))
    yield from _section("CHANGES OF CELLS", _change_lines(day))
    yield from _section("FIRMWARE", _firmware_lines(day))
    yield from _section("ONE FAILURE", _failure_lines(day))
    yield from _section("CHARGED BY CALL", _charging_lines(day))
    yield from _section("NOT KNOWN", _wrapped(day.unknown))
    yield from _section("ALSO", _wrapped(day.notices))


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
        yield from _wrapped(
            [f"{unserved.source} to {unserved.destination}: NOT SERVED, {unserved.reason}"],
            "! ",
        )


def _short_lines(day: WorkedDay) -> Iterator[str]:
    if day.ready:
        yield "  Nothing. Everything that the day needs is here."
        return
    for shortfall in day.shortfalls:
        place = f"scene {shortfall.scene}" if shortfall.scene else ""
        place = "" if shortfall.what.startswith(place) else f"{place}: "
        yield from _wrapped([f"{shortfall.kind}: {place}{shortfall.what}"], "! ")
    for hire in day.hire:
        yield from _wrapped(
            [f"hire {hire.qty} x {hire.model} for {scenes_text(hire.scenes)}"], "+ "
        )


def _total_lines(day: WorkedDay) -> Iterator[str]:
    yield f"  {'':<24}{'carry':>7}{'have':>7}{'short':>7}"
    for cells in day.cells:
        note = f"  {cells.planned} planned, {cells.spare} spare"
        yield _row(f"{cells.cell} cells", cells.carry, cells.have, cells.short) + note
    for cable in day.cables:
        yield _row(cable.name, cable.carry, cable.have, cable.short)
    for card in day.cards:
        yield _row(f"{card.name} cards", card.carry, card.have, card.short)
    for supply in day.supplies:
        if supply.hours_per_pack is None:
            yield f"  {supply.id:<24}mains, {supply.load_w:.1f} W"
        else:
            note = f"  {supply.load_w:.1f} W, {supply.hours_per_pack:.1f} h a pack"
            yield _row(f"{supply.id} packs", supply.packs, supply.have, supply.short) + note


def _row(name: str, carry: int, have: int, short: int) -> str:
    return f"  {name:<24}{carry:>7}{have:>7}{short or '-':>7}"


def _change_lines(day: WorkedDay) -> Iterator[str]:
    for change in day.changes:
        when = "within" if change.mid_scene else "before"
        scene = f"{when} scene {change.before}, by {clock(change.by)}"
        yield f"  {change.unit:<10} {change.cell:<8} {scene}"


def _firmware_lines(day: WorkedDay) -> Iterator[str]:
    for image in day.firmware:
        yield f"  image {image.image}, version {image.want} wanted: {', '.join(image.units)}"
    if day.firmware:
        yield from _wrapped([CAUTION])


def _charging_lines(day: WorkedDay) -> Iterator[str]:
    for c in day.charging:
        if c.hours is None:
            yield f"  {c.name:<10} {c.qty} to charge, and no charger here takes them"
            continue
        answer = "yes" if c.in_time else "NO"
        yield (
            f"  {c.name:<10} {answer:<4} {c.qty} on {counted(c.bays, 'bay')}: "
            f"{counted(c.rounds, 'round')}, {c.hours:g} h of {c.turnaround_h:g} h"
        )


def _remedy_lines(remedies: Iterable[Remedy]) -> Iterator[str]:
    for remedy in remedies:
        yield from _wrapped([f"{remedy.what}"], "+ ")
        yield from _wrapped([f"serves {_routes(remedy.serves)}"], "  ")
        if remedy.loses:
            yield from _wrapped([f"but then not {_routes(remedy.loses)}"], "  ")
        for shortfall in remedy.new_short:
            yield from _wrapped([f"is short itself: {shortfall.what}"], "  ")
        if remedy.still_short:
            still = counted(len(remedy.still_short), "thing")
            yield from _wrapped([f"leaves {still} short as before"], "  ")


def _routes(routes: Iterable[Route]) -> str:
    """ "mix to cam-b in scenes 31, 33"."""
    scenes: dict[tuple[str, str], list[str]] = {}
    for route in routes:
        scenes.setdefault((route.source, route.destination), []).append(route.scene)
    return "; ".join(
        f"{source} to {at} in {scenes_text(numbers)}" for (source, at), numbers in scenes.items()
    )


def _failure_lines(day: WorkedDay) -> Iterator[str]:
    for point in day.single_points:
        yield from _wrapped(
            [
                f"without {point.unit}: no {', no '.join(point.sources)} in "
                f"{scenes_text(point.scenes)}, and nothing held can cover it"
            ]
        )
    if day.spares:
        yield from _wrapped([f"spares that cover the loss of any other: {', '.join(day.spares)}"])


def _wrapped(texts: Iterable[str], mark: str = "") -> Iterator[str]:
    for text in texts:
        yield from textwrap.wrap(
            mark + text,
            COLUMNS,
            initial_indent="  ",
            subsequent_indent="    ",
            break_on_hyphens=False,
        )
