"""What a what-if comes to, said in sections: for the sheet on screen and for the command line."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from kitprep.definitions.plan import Plan
from kitprep.definitions.text import clock
from kitprep.planning.difference import Change, Difference, Fed, Fresh
from kitprep.planning.pool import natural
from kitprep.planning.reasons import called
from kitprep.planning.results import Hire, Route, Shortfall, Unserved
from kitprep.planning.whatif import WhatIf

Weight = Literal["good", "bad", "warn", ""]


SAME = (
    "No difference: the same is served, short, carried and worn, and cells are changed at the same "
    "times."
)


@dataclass(frozen=True, slots=True)
class Section:
    """Lines under a heading; every line has the same mark, and ``weight`` is how it is meant."""

    heading: str
    mark: str
    weight: Weight
    lines: tuple[str, ...]


def told(what: WhatIf) -> str:
    """What is otherwise, on one line; empty where nothing is."""
    parts = [f"{tag} gone" for tag in sorted(what.gone, key=natural)]
    parts += [f"{n} at {clock(start)}-{clock(end)}" for n, (start, end) in what.times.items()]
    parts += [f"{s} {'stereo' if n == 2 else 'mono'}" for s, n in what.channels.items()]
    parts += [f"{source} not in {number}" for number, source in sorted(what.dropped)]
    return f"What if: {', '.join(parts)}" if parts else ""


def verdict(found: Difference) -> tuple[str, str, Weight]:
    """The first line, with its mark and how it is meant."""
    if found.nothing:
        return "[ ]", SAME, ""
    if found.ready:
        return "[x]", "WORKABLE: nothing would be short.", "good"
    if found.unserved or found.newly_short:
        return "[!]", "NOT WORKABLE: more would be short than now.", "bad"
    return "[!]", "NOT YET: something would still be short.", "warn"


def sections(found: Difference, plan: Plan) -> Iterator[Section]:
    """What would change, the weightiest first; only what there is. Names are the plan's."""
    names = {source.id: called(source) for source in plan.sources}
    names |= {place.id: place.name or place.id for place in plan.destinations}
    everything = (
        Section("No longer served", "[!]", "bad", _unserved(found.unserved, names)),
        Section("Served now", "[x]", "good", _routes(found.served, names)),
        Section("Not wanted any more", "[-]", "", _routes(found.dropped, names)),
        Section("In no scene yet", "[~]", "warn", tuple(map(_no_scene, found.silent))),
        Section("Newly short", "[!]", "bad", _short(_not_links(found.newly_short))),
        Section("No longer short", "[x]", "good", _short(_not_links(found.no_longer_short))),
        Section("Hire", "[+]", "warn", tuple(_hire(found))),
        Section("Add to the bag", "[+]", "warn", tuple(map(_change, found.to_add))),
        Section("Leave out", "[-]", "", tuple(map(_change, found.to_leave))),
        Section(
            "Who wears what",
            "[~]",
            "",
            tuple(
                f"{w.name}: {w.after or 'nothing'} (was {w.before or 'nothing'})"
                for w in found.worn
            ),
        ),
        Section(
            "Inputs",
            "[~]",
            "",
            tuple(
                f"{p.name}, {names.get(p.destination, p.destination)}: {p.after or 'none'} "
                f"(was {p.before or 'none'})"
                for p in found.plugged
            ),
        ),
        Section("Changes of cells and packs", "[~]", "", tuple(map(_changed, found.fed))),
    )
    return (section for section in everything if section.lines)


def _not_links(shortfalls: tuple[Shortfall, ...]) -> tuple[Shortfall, ...]:
    """Links are told by themselves, with their reasons."""
    return tuple(short for short in shortfalls if short.kind not in ("link", "input"))


def _unserved(found: tuple[Unserved, ...], names: dict[str, str]) -> tuple[str, ...]:
    return tuple(
        f"scene {u.scene}, {names.get(u.source, u.source)} to "
        f"{names.get(u.destination, u.destination)}: {u.reason}"
        for u in found
    )


def _routes(found: tuple[Route, ...], names: dict[str, str]) -> tuple[str, ...]:
    return tuple(
        f"scene {route.scene}, {names.get(route.source, route.source)} to "
        f"{names.get(route.destination, route.destination)}"
        for route in found
    )


def _short(found: tuple[Shortfall, ...]) -> tuple[str, ...]:
    return tuple(f"{_where(short)}{short.kind}: {short.what}" for short in found)


def _where(short: Shortfall) -> str:
    told = short.scene is None or short.what.startswith(f"scene {short.scene} ")
    return "" if told else f"scene {short.scene}, "


def _hire(found: Difference) -> Iterator[str]:
    if found.hire_before == found.hire_after:
        return
    yield f"now {_hired(found.hire_before, found.called)}"
    yield f"then {_hired(found.hire_after, found.called)}"


def _hired(hire: tuple[Hire, ...], called: dict[str, str]) -> str:
    return "; ".join(f"{one.qty} x {called[one.model]}" for one in hire) or "nothing"


def _no_scene(name: str) -> str:
    return f"{name}: nothing is carried for it until a scene has it"


def _changed(fed: Fed) -> str:
    return f"{fed.name}, fresh {fed.what}: {_times(fed.after)} (was {_times(fed.before)})"


def _times(changes: tuple[Fresh, ...]) -> str:
    """ "by 14:00 before scene 33"; "none"."""
    words = (
        f"by {clock(one.by)} {'within' if one.mid_scene else 'before'} scene {one.scene}"
        for one in changes
    )
    return ", ".join(words) or "none"


def _change(change: Change) -> str:
    where = f" ({change.in_case})" if change.in_case else ""
    if {change.before, change.after} == {0, 1} and ":" not in change.key:
        return f"{change.key} {change.name}{where}"
    return f"{abs(change.more)} x {change.name}, {change.before} to {change.after}{where}"


def whatif_text(found: Difference, plan: Plan) -> str:
    """For a person at a shell."""
    lines = [verdict(found)[1]]
    for section in sections(found, plan):
        lines += ["", section.heading.upper(), *(f"  {line}" for line in section.lines)]
    return "\n".join(lines) + "\n"


def whatif_json(found: Difference) -> dict[str, Any]:
    """For a program."""
    return {
        "ready": found.ready,
        "difference": not found.nothing,
        "served": [_route_json(route) for route in found.served],
        "unserved": [_route_json(u) | {"reason": u.reason} for u in found.unserved],
        "dropped": [_route_json(route) for route in found.dropped],
        "newly_short": [_short_json(short) for short in found.newly_short],
        "no_longer_short": [_short_json(short) for short in found.no_longer_short],
        "hire": {"before": _hire_json(found.hire_before), "after": _hire_json(found.hire_after)},
        "add": [change_json(change) for change in found.to_add],
        "leave": [change_json(change) for change in found.to_leave],
        "worn": [{"source": w.source, "before": w.before, "after": w.after} for w in found.worn],
        "inputs": [
            {"source": p.source, "destination": p.destination, "before": p.before, "after": p.after}
            for p in found.plugged
        ],
        "fed": [
            {
                "unit": f.unit,
                "what": f.what,
                "before": [_fresh_json(fresh) for fresh in f.before],
                "after": [_fresh_json(fresh) for fresh in f.after],
            }
            for f in found.fed
        ],
        "in_no_scene": list(found.silent),
    }


def _fresh_json(fresh: Fresh) -> dict[str, Any]:
    return {"by": clock(fresh.by), "scene": fresh.scene, "mid_scene": fresh.mid_scene}


def _route_json(route: Route | Unserved) -> dict[str, Any]:
    return {"scene": route.scene, "source": route.source, "destination": route.destination}


def _short_json(short: Shortfall) -> dict[str, Any]:
    return {"kind": short.kind, "scene": short.scene, "what": short.what}


def _hire_json(hire: tuple[Hire, ...]) -> list[dict[str, Any]]:
    return [{"model": one.model, "qty": one.qty, "scenes": list(one.scenes)} for one in hire]


def change_json(change: Change) -> dict[str, Any]:
    """A line of the bag that differs."""
    return {
        "key": change.key,
        "name": change.name,
        "case": change.case,
        "before": change.before,
        "after": change.after,
    }
