"""What would mend a day: what each remedy serves, what it costs and what it leaves short."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from kitprep.planning.reasons import FETCH
from kitprep.planning.results import Remedy, Route, Shortfall, WorkedDay
from kitprep.reports.wording import scenes_text, wrapped


def remedy_json(remedy: Remedy) -> dict[str, Any]:
    """A remedy for a program."""

    def routes(links: Iterable[Route]) -> list[dict[str, str]]:
        return [{"scene": r.scene, "source": r.source, "destination": r.destination} for r in links]

    return {
        "kind": remedy.kind,
        "what": remedy.what,
        "serves": routes(remedy.serves),
        "loses": routes(remedy.loses),
        "new_short": [s.what for s in remedy.new_short],
        "still_short": [s.what for s in remedy.still_short],
        "powers": list(remedy.powers),
    }


def mending_lines(day: WorkedDay, remedies: Sequence[Remedy]) -> Iterator[str]:
    """The remedies on paper, and then the links that none of them serves."""
    for remedy in remedies:
        yield from wrapped([remedy.what], "+ ")
        yield from wrapped(_comes_to(remedy), "  ")
    mended = {route for remedy in remedies for route in remedy.serves}
    left: list[Route] = []
    at_base: list[Route] = []
    for one in (u for needs in day.scenes for u in needs.unserved):
        route = Route(one.scene, one.source, one.destination)
        if route not in mended:
            (at_base if one.reason.endswith(FETCH) else left).append(route)
    if left:
        yield from wrapped([f"nothing that was tried with this kit mends {_routes(left)}"], "- ")
    if at_base:
        says = f"nothing in the bag mends {_routes(at_base)}, but what is at base was not tried"
        yield from wrapped([says + FETCH], "- ")


def _comes_to(remedy: Remedy) -> Iterator[str]:
    """What a remedy mends, what it costs, and what it leaves as it was."""
    if remedy.serves:
        does = "stands in for" if remedy.kind == "own recording" else "serves"
        yield f"{does} {_routes(remedy.serves)}"
    if remedy.powers:
        yield f"gives power to {', '.join(remedy.powers)}"
    if remedy.loses:
        yield f"but then not {_routes(remedy.loses)}"
    for shortfall in remedy.new_short:
        if shortfall.kind not in ("link", "input"):
            yield f"is short itself: {shortfall.what}"
    if remedy.still_short:
        yield f"leaves short as before: {'; '.join(map(_head, remedy.still_short))}"


def _head(shortfall: Shortfall) -> str:
    """Enough of a shortfall to know it by: "8 CR123A to carry in whole sets"."""
    link = shortfall.kind in ("link", "input")
    head = re.split(": " if link else "[:;,]", shortfall.what, maxsplit=1)[0]
    return f"{head} in scene {shortfall.scene}" if link else head


def _routes(routes: Iterable[Route]) -> str:
    """ "mix to cam-b in scenes 31, 33"."""
    scenes: dict[tuple[str, str], list[str]] = {}
    for route in routes:
        scenes.setdefault((route.source, route.destination), []).append(route.scene)
    return "; ".join(
        f"{source} to {at} in {scenes_text(numbers)}" for (source, at), numbers in scenes.items()
    )
