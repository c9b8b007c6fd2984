"""Planning time and memory, against a plain model and a greedy plan. A script, never a timed test.

    python tests/benchmarks/bench_planning.py [--quick]

Prints a Markdown table. (a) ``plain`` gives the solver one variable a unit, where the planner
counts identical ones; (b) ``greedy`` gives each link, as written, the first units that do, and
never looks back: the days on which it serves fewer links are counted as wrong. Each figure is a
process of its own, so that memory is its own too; figures are medians with the least and the most.
Seconds are by the wall clock; beside them is the processor time, which the planner's budget is of
and other work on the machine changes less. Sources come and go as cast does on a call sheet: each
works a part of the day, in most of its scenes.
"""

import argparse
import json
import random
import resource
import statistics
import subprocess
import sys
import time
from collections import defaultdict
from dataclasses import replace
from datetime import date

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.definitions.text import clock
from kitprep.planning.brief import Brief, brief
from kitprep.planning.choice import choose
from kitprep.planning.day import work_out
from kitprep.planning.orders import ORDERS
from kitprep.planning.pool import Pool
from kitprep.planning.solver import highs

SCENES = {10: 10, 50: 20, 200: 20}
"""By number of sources."""
SIZES = (
    (12, 10, 60),
    (60, 20, 500),
    *((sources, scenes, units) for sources, scenes in SCENES.items() for units in (50, 500, 5000)),
)
"""Sources, scenes, units: a usual day, a large one, and the growth in both."""

QUICK = SIZES[:2]
REPEATS = 5
SECONDS = 10.0
PLAIN_SECONDS = 20.0
PLAIN_LIMITS = (90, 4 * 2**30)
"""Seconds and bytes past which the plain model, laid out and all, is given up."""


def random_kit(units: int, seed: int) -> Kit:
    """A kit of so many units in six models of two bands, with cells and cables for all."""
    rng = random.Random(seed)
    shares = {"slim": 0.3, "long": 0.25, "plug": 0.1, "rx-m": 0.15, "rx-s": 0.1, "rack": 0.05}
    counts = {model: max(1, round(share * units)) for model, share in shares.items()}
    band = [[518.0, 572.0]]

    def tagged(model: str) -> list[dict[str, object]]:
        return [{"tag": f"{model}-{n + 1}"} for n in range(counts[model])]

    def pack(model: str, form: str, hours: float, cell: str, count: int) -> dict[str, object]:
        power = [{"cell": cell, "count": count, "hours": hours, "hours_stereo": hours * 0.75}]
        body: dict[str, object] = {
            "model": model,
            "name": model,
            "form": form,
            "system": "d1",
            "tuning_mhz": band,
            "power": power,
            "weight_g": rng.choice([62.0, 110.0, 140.0]),
            "standby": 0.2,
            "unit": tagged(model),
        }
        if form == "plug-on":
            return {**body, "connector": "XLR3", "mic_power": ["P48"]}
        return {**body, "connector": "TA3", "mic_power": ["bias"]}

    def receiver(model: str, modules: int, modes: list[str], weight: float) -> dict[str, object]:
        return {
            "model": model,
            "name": model,
            "system": "d1",
            "tuning_mhz": band,
            "modules": modules,
            "modes": modes,
            "outputs": [{"connector": "XLR3"}] * len(modes),
            "power": [{"cell": "FR6", "count": 2, "hours": 8.0}],
            "weight_g": weight,
            "unit": tagged(model),
        }

    return Kit.model_validate(
        {
            "kit": "bench",
            "name": "bench",
            "transmitter": [
                pack("slim", "bodypack", 6.0, "CR123A", 1),
                pack("long", "bodypack", 10.0, "FR6", 2),
                pack("plug", "plug-on", 8.0, "FR6", 2),
            ],
            "receiver": [
                receiver("rx-m", 1, ["mono"], 150.0),
                receiver("rx-s", 1, ["mono", "stereo"], 200.0),
                receiver("rack", 4, ["mono", "stereo"], 2400.0),
            ],
            "adapter": [
                {
                    "model": "stereo",
                    "fits": ["long"],
                    "channels": 2,
                    "connector": "TA5",
                    "qty": max(1, units // 20),
                }
            ],
            "cell": [{"type": "CR123A", "source": "-"}, {"type": "FR6", "source": "-"}],
            "stock": [{"cell": "CR123A", "qty": 9999}, {"cell": "FR6", "qty": 9999}],
        }
    )


def random_plan(sources: int, scenes: int, seed: int) -> Plan:
    """A day of scenes one after the other; one source in six is stereo, to a camera."""
    rng = random.Random(seed)
    ids = [f"s{n}" for n in range(sources)]
    cast: dict[int, list[str]] = {number: [] for number in range(scenes)}
    for name in ids:
        works = rng.randint(2, max(2, scenes // 2))
        first = rng.randint(0, scenes - works)
        mine = [n for n in range(first, first + works) if rng.random() < 0.7] or [first]
        for number in mine:
            cast[number].append(name)
    length = 12 * 60 // scenes
    listed = []
    for number in range(scenes):
        start = 7 * 60 + number * length
        end = start + length - rng.choice([0, 5, 10])
        times = {"start": clock(start), "end": clock(end)}
        listed.append({"number": str(number + 1), **times, "sources": cast[number]})
    destination = {"inputs": 2 * sources + 2, "connector": "XLR3"}
    return Plan.model_validate(
        {
            "kit": "kit.toml",
            "day": date(2027, 3, 14),
            "destination": [{"id": "recorder", **destination}, {"id": "camera", **destination}],
            "source": [_source(name, rng) for name in ids],
            "scene": listed,
        }
    )


def _source(name: str, rng: random.Random) -> dict[str, object]:
    kind = rng.random()
    source: dict[str, object] = {"id": name, "to": "recorder", "priority": rng.choice([1, 1, 2])}
    if kind < 1 / 6:
        return source | {"form": "bodypack", "channels": 2, "connector": "TA5", "to": "camera"}
    if kind < 1 / 3:
        return source | {"form": "plug-on", "mic_power": "P48"}
    return source | {"form": "bodypack", "connector": "TA3"}


def plain(question: Brief) -> Brief:
    """The same question with every unit a class of its own."""
    pool = question.pool

    def single(classes):  # type: ignore[no-untyped-def]
        return tuple(replace(c, tags=(tag,), plain=False) for c in classes for tag in c.tags)

    return Brief(
        question.kit,
        question.plan,
        Pool(single(pool.transmitters), single(pool.receivers), single(pool.adapters)),
    )


def greedy(question: Brief) -> int:
    """Links that a first-come plan serves: as written, the first units that are free."""
    pool = question.pool
    taken: dict[object, list[tuple[int, int]]] = defaultdict(list)
    left = {
        (kind, place): list(c.tags)
        for kind, classes in (
            ("t", pool.transmitters),
            ("a", pool.adapters),
            ("r", pool.receivers),
        )
        for place, c in enumerate(classes)
    }
    stands: dict[str, str] = {}
    served = 0

    def free(key: object, start: int, end: int, pause: int) -> bool:
        return all(end + pause <= a or b + pause <= start for a, b in taken[key])

    def first(kind: str, place: int, start: int, end: int) -> str | None:
        pause = question.plan.handover_min
        return next((t for t in left[kind, place] if free(t, start, end, pause)), None)

    for source, hold in sorted(question.holds.items()):
        worn = None
        for sender in question.senders[source]:
            pack = first("t", sender.transmitter, hold.start, hold.end)
            adapter = None
            if sender.adapter is not None:
                adapter = first("a", sender.adapter, hold.start, hold.end)
            if pack is not None and (sender.adapter is None or adapter is not None):
                worn = sender
                for tag in (pack, adapter):
                    if tag is not None:
                        taken[tag].append((hold.start, hold.end))
                break
        if worn is None:
            continue
        for want in question.wants:
            if want.source != source or not question.given_inputs(want):
                continue
            scene = question.scenes[want.scene]
            served += _sit(question, want, scene, left, stands, taken, free)
    return served


def _sit(question, want, scene, left, stands, taken, free):  # type: ignore[no-untyped-def]
    for place in question.receivers(want.source, want.destination):
        modules = question.pool.receivers[place].model.modules
        for tag in left["r", place]:
            if stands.get(tag, want.destination) != want.destination:
                continue
            for module in range(modules):
                if free((tag, module), scene.start, scene.end, 0):
                    stands[tag] = want.destination
                    taken[tag, module].append((scene.start, scene.end))
                    return 1
    return 0


def one(sources: int, scenes: int, units: int, seed: int, way: str) -> dict[str, object]:
    """One day planned in this process: seconds, links served, orders proven, peak memory in MB."""
    if way == "plain":
        resource.setrlimit(resource.RLIMIT_AS, (PLAIN_LIMITS[1], PLAIN_LIMITS[1]))
    kit, plan = random_kit(units, seed), random_plan(sources, scenes, seed)
    work_out(random_kit(20, 1), random_plan(2, 2, 1))  # the solver's own start is not the day's
    before, busy_before = time.perf_counter(), time.process_time()
    question = brief(kit, plan)
    if way == "greedy":
        served, proven = greedy(question), ()
    elif way == "day":
        day = work_out(kit, plan, seconds=SECONDS)
        served, proven = len(day.links), day.proven
    else:
        asked = plain(question) if way == "plain" else question
        chosen = choose(asked, highs, PLAIN_SECONDS if way == "plain" else SECONDS)
        served, proven = len(chosen.selection.modules), chosen.proven
    return {
        "seconds": time.perf_counter() - before,
        "busy": time.process_time() - busy_before,
        "served": served,
        "proven": list(proven),
        "wanted": len(question.wants),
        "mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }


def measured(size: tuple[int, int, int], way: str, repeats: int) -> list[dict[str, object]]:
    """The same in processes of their own, one a seed."""
    return [_in_a_process([*size, seed, way]) for seed in range(1, repeats + 1)]


def _in_a_process(what: list[object], seconds: float | None = None) -> dict[str, object]:
    words = [sys.executable, __file__, "--one", json.dumps(what)]
    done = subprocess.run(words, capture_output=True, text=True, check=True, timeout=seconds)
    return json.loads(done.stdout.splitlines()[-1])  # the solver may have said something too


def main() -> None:
    """Runs every size and prints the table."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--quick", action="store_true", help="the first two sizes only")
    words.add_argument("--one", help=argparse.SUPPRESS)
    given = words.parse_args()
    if given.one:
        print(json.dumps(one(*json.loads(given.one))))
        return
    lines = [
        "| sources, scenes, units | choice, s | of it processor | whole day, s | proven "
        "| memory, MB | plain, s | plain proven | greedy wrong |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for size in QUICK if given.quick else SIZES:
        lines.append(_row(size))
        print(lines[-1], file=sys.stderr, flush=True)
    print("\n".join(lines))


def _row(size: tuple[int, int, int]) -> str:
    repeats = REPEATS if size[0] <= 60 else 3
    counts = measured(size, "counts", repeats)
    day = measured(size, "day", repeats)
    first_come = measured(size, "greedy", repeats)
    wrong = sum(g["served"] < c["served"] for g, c in zip(first_come, counts, strict=True))
    memory = max(row["mb"] for row in day)
    return (
        f"| {', '.join(map(str, size))} | {_spread(counts, 'seconds')} | {_spread(counts, 'busy')} "
        f"| {_spread(day, 'seconds')} | {_proven(counts)} | {memory:.0f} | {_plain(size)} "
        f"| {wrong} of {len(counts)} |"
    )


def _plain(size: tuple[int, int, int]) -> str:
    rows = []
    for seed in range(1, (4 if size[0] <= 12 else 2)):
        try:
            rows.append(_in_a_process([*size, seed, "plain"], PLAIN_LIMITS[0]))
        except subprocess.TimeoutExpired:
            return f"given up after {PLAIN_LIMITS[0]} | -"
        except subprocess.CalledProcessError as error:
            if "MemoryError" not in error.stderr and "bad_alloc" not in error.stderr:
                raise
            return f"given up at {PLAIN_LIMITS[1] >> 30} GB | -"
    return f"{_spread(rows, 'seconds')} | {_proven(rows)}"


def _spread(rows: list[dict[str, object]], what: str) -> str:
    seconds = [float(str(row[what])) for row in rows]
    return f"{statistics.median(seconds):.2f} ({min(seconds):.2f}-{max(seconds):.2f})"


def _proven(rows: list[dict[str, object]]) -> str:
    """On how many days each order was proven, in R4's order, and of how many."""
    counts = [sum(order in list(row["proven"]) for row in rows) for order in ORDERS]  # type: ignore[call-overload]
    return f"{' '.join(map(str, counts))} of {len(rows)}"


if __name__ == "__main__":
    main()
