"""What is handed on and retuned today, on paper and for a program."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from kitprep.definitions.text import clock
from kitprep.planning.handovers import Retune, handovers, retunes
from kitprep.planning.reasons import names_of
from kitprep.planning.results import WorkedDay
from kitprep.reports.wording import scenes_text, wrapped


def handover_lines(day: WorkedDay) -> Iterator[str]:
    """Each pack that is handed on, then each module that is retuned."""
    names = names_of(day.plan)
    yield from wrapped(handover.says(names) for handover in handovers(day))
    by_module: dict[str, list[Retune]] = defaultdict(list)
    for retune in retunes(day):
        by_module[f"{retune.receiver}/{retune.module}"].append(retune)
    for module, mine in by_module.items():
        heard = " > ".join([names[s] for s in (mine[0].source, *(retune.to for retune in mine))])
        scenes = scenes_text([retune.before for retune in mine])
        yield from wrapped([f"module {module}: {heard}, retuned before {scenes}"])


def handovers_json(day: WorkedDay) -> list[dict[str, Any]]:
    """The same for a program; of a retune there is no time off and on."""
    packs = {link.transmitter for link in day.links}
    handed = [
        {
            "kind": "pack" if h.unit in packs else "adapter",
            "unit": h.unit,
            "module": None,
            "adapter": h.adapter,
            "takes_off": h.takes_off,
            "puts_on": h.puts_on,
            "from": h.source,
            "off": clock(h.off),
            "to": h.to,
            "on": clock(h.on),
            "minutes": h.minutes,
            "before": h.before,
        }
        for h in handovers(day)
    ]
    retuned = [
        {
            "kind": "retune",
            "unit": r.receiver,
            "module": r.module,
            "transmitter": r.transmitter,
            "from": r.source,
            "to": r.to,
            "before": r.before,
        }
        for r in retunes(day)
    ]
    return [*handed, *retuned]
