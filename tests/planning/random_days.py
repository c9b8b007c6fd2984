"""Random kits and days in which everything is scarce, so that the rules bite."""

from random import Random
from typing import Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan

from .building import (
    Entry,
    adapter,
    cells,
    destination,
    kit,
    numbered,
    plan,
    receiver,
    scene,
    source,
    span,
    stereo_receiver,
    transmitter,
)

BANDS = [[500, 520]], [[510, 540]], [[530, 560]], [[500, 505], [535, 560]], [[500, 560]]


def _tuning(random: Random) -> list[list[int]]:
    return random.choice([*[BANDS[-1]] * 6, *BANDS])


def _pack_model(random: Random, model: str, units: list[str]) -> Entry:
    own: dict[str, Any] = {
        "form": random.choice(["bodypack", "bodypack", "bodypack", "plug-on"]),
        "system": random.choice(["d1"] * 9 + ["d2"]),
        "tuning_mhz": _tuning(random),
        "channels": random.choice([1, 2]),
        "connector": random.choice(["TA3", "TA3", "TA5"]),
        "mic_power": random.choice([["bias"], ["bias", "P48"]]),
        "weight_g": random.choice([60, 62.5, 90]),
        "power": [cells(hours=random.choice([0.5, 1, 2]), hours_stereo=random.choice([0.4, 0.75]))],
    }
    if random.random() < 0.5:
        own["standby"] = random.choice([0, 0.5])
    tagged: list[str | dict[str, Any]] = list(units)
    if random.random() < 0.3:
        narrow = {"tag": units[-1], "weight_g": random.choice([55, 70])}
        tagged[-1] = {**narrow, "tuning_mhz": [own["tuning_mhz"][0]]}
    return transmitter(model, tagged, **own)


def _receiver_model(random: Random, model: str, units: list[str], most_modules: int) -> Entry:
    make = random.choice([receiver, stereo_receiver, stereo_receiver, stereo_receiver])
    return make(
        model,
        units,
        system=random.choice(["d1"] * 9 + ["d2"]),
        tuning_mhz=_tuning(random),
        modules=random.randint(1, most_modules),
        weight_g=random.choice([100, 150, 200]),
    )


def random_kit(random: Random, packs: int, receivers: int, adapters: int, models: int) -> Kit:
    """A kit of so many units, in up to so many models of each kind."""
    entries: list[Entry] = []
    names = [chr(ord("a") + n) for n in range(models)]
    pack_models = [random.choice(names) for _ in range(packs)]
    receiver_models = [random.choice(names) for _ in range(receivers)]
    for name in names:
        mine = [f"TX{n}" for n in range(packs) if pack_models[n] == name]
        if mine:
            entries.append(_pack_model(random, f"pack-{name}", mine))
        mine = [f"RX{n}" for n in range(receivers) if receiver_models[n] == name]
        if mine:
            most_modules = 2 if len(mine) < 3 else 1
            entries.append(_receiver_model(random, f"rx-{name}", mine, most_modules))
    fits = [entry["model"] for table, entry in entries if table == "transmitter"]
    for number in range(adapters):
        entries.append(
            adapter(
                f"lead-{number}",
                fits=random.sample(fits, random.randint(1, len(fits))),
                channels=random.choice([1, 2, 2]),
                connector=random.choice(["TA3", "TA5"]),
                weight_g=random.choice([10, 20]),
                **random.choice([{}, {"mic_power": ["P48"]}]),
            )
        )
    return kit(*entries)


def random_plan(
    random: Random, sources: int, scenes: int, most_wants: int, receivers: list[str]
) -> Plan:
    """A day of so many sources and short scenes, with at most so many links wanted."""
    entries: list[Entry] = [destination("rec", random.choice([2, 16, 16, 16]))]
    entries.append(
        destination("cam", 16, **random.choice([{}, {"receivers": random.sample(receivers, 1)}]))
    )
    names = numbered("s", sources)
    homes = {}
    for name in names:
        homes[name] = random.choice([["rec"], ["rec"], ["rec"], ["cam"], ["rec", "cam"]])
        entries.append(_source(random, name, homes[name]))
    clock, left = 9 * 60, most_wants
    busy: dict[str, int] = {}
    for number in range(scenes):
        length = random.choice([10, 20, 30, 40])
        free = [name for name in names if busy.get(name, 0) <= clock]
        cast = []
        for name in random.sample(free, len(free)):
            if len(homes[name]) <= left and random.random() < 0.6:
                cast.append(name)
                left -= len(homes[name])
        if cast:
            for name in cast:
                busy[name] = clock + length
            times = span(clock, clock + length)
            entries.append(scene(f"{number + 1}", times, " ".join(cast)))
        # The next scene may run at the same time, touch this one, or leave a gap.
        clock += random.choice([0, length - 5, length, length + 10, length + 20])
    if not any(table == "scene" for table, _ in entries):
        entries.append(scene("1", "09:00-09:10", ""))
    return plan(
        *entries,
        between=random.choice(["standby", "on", "off"]),
        lead_min=random.choice([0, 10]),
        handover_min=random.choice([0, 10, 15]),
        reserve=random.choice([0, 0.2]),
    )


def _source(random: Random, name: str, homes: list[str]) -> Entry:
    own: dict[str, Any] = {
        "channels": random.choice([1, 1, 1, 2]),
        "priority": random.choice([1, 1, 2, 3]),
    }
    if random.random() < 0.6:
        own["form"] = ["bodypack", "plug-on"]
    if random.random() < 0.3:
        own["connector"] = random.choice(["TA3", "TA3", "TA5"])
    if random.random() < 0.2:
        own["mic_power"] = random.choice(["bias", "P48"])
    if random.random() < 0.2:
        own["tuning_mhz"] = random.choice(BANDS)
    return source(name, homes, **own)


def crowded_day(random: Random) -> tuple[Kit, Plan]:
    """Mono sources enough packs, too few modules of two kinds: links that must change module."""
    names = numbered("s", random.randint(3, 4))
    modules = random.randint(2, 3)
    at_first = random.randint(1, modules)
    entries: list[Entry] = [
        transmitter("pack", numbered("TX", len(names)), weight_g=60, power=[cells(hours=9)]),
        receiver("rx-a", ["RX1"], modules=at_first, weight_g=100),
    ]
    if modules > at_first:
        entries.append(receiver("rx-b", ["RX2"], modules=modules - at_first, weight_g=90))
    shots: list[Entry] = []
    pairs = 0
    for number in range(random.randint(3, 5)):
        cast = random.sample(names, min(modules, len(names)))
        if pairs + len(cast) <= 8:
            pairs += len(cast)
            shots.append(
                scene(str(number), span(60 * (9 + number), 60 * (9 + number) + 30), " ".join(cast))
            )
    return kit(*entries), plan(*(source(name) for name in names), *shots)


def relay_day(random: Random) -> tuple[Kit, Plan]:
    """Sources one after the other on few packs, so that sets are handed on half spent."""
    names = numbered("s", random.randint(3, 5))
    entries: list[Entry] = []
    for name in "ab"[: random.randint(1, 2)]:
        power = [cells(hours=random.choice([0.5, 0.75, 1]), hours_stereo=random.choice([0.3, 0.5]))]
        tags = [f"TX{name}{n}" for n in range(random.randint(1, 2))]
        asleep = random.choice([{}, {"standby": 0.5}])
        entries.append(
            transmitter(f"pack-{name}", tags, channels=2, weight_g=60, power=power, **asleep)
        )
    entries.append(stereo_receiver("rx", numbered("RX", 2), weight_g=100))
    shots: list[Entry] = []
    clock = 9 * 60
    for number, name in enumerate(names):
        for part in range(random.randint(1, 2)):
            length = random.choice([10, 20, 30, 40])
            times = span(clock, clock + length)
            shots.append(scene(f"{number}{'ab'[part]}", times, name))
            clock += length + random.choice([0, 10, 20])
        clock += random.choice([-30, 0, 10])
    return kit(*entries), plan(
        *(source(name, channels=random.choice([1, 2])) for name in names),
        *shots,
        between=random.choice(["standby", "on", "off"]),
        lead_min=random.choice([0, 10, 20]),
        handover_min=random.choice([0, 10]),
    )


def usual_day(random: Random) -> tuple[Kit, Plan]:
    """A day of 12 sources and 10 scenes on a kit of 60 units, as most days are."""
    kit_entries: list[Entry] = [
        transmitter(
            "slim",
            numbered("TX", 12),
            connector="TA3",
            mic_power=["bias"],
            weight_g=62,
            power=[cells(hours=6, hours_stereo=4.5)],
            standby=0.15,
        ),
        transmitter(
            "wide",
            numbered("TW", 6),
            connector="TA5",
            mic_power=["bias"],
            weight_g=110,
            power=[cells(count=2, hours=9)],
            tuning_mhz=[[500, 560]],
        ),
        transmitter(
            "plug",
            numbered("TP", 4),
            form="plug-on",
            connector="XLR3",
            weight_g=140,
            mic_power=["P48"],
            power=[cells(count=2, hours=5)],
        ),
        transmitter(
            "hop",
            numbered("TH", 4),
            form="hop",
            channels=2,
            connector="TA5",
            weight_g=120,
            power=[cells(count=2, hours=5)],
        ),
        adapter("lead", fits=["wide"], connector="TA3", weight_g=12, unit=numbered("AD", 4)),
        adapter(
            "dual", fits=["slim"], channels=2, connector="TA5", weight_g=20, unit=numbered("DU", 4)
        ),
        receiver("rack", numbered("RK", 4), modules=4, weight_g=1800),
        receiver("bag-m", numbered("RM", 10), weight_g=250),
        stereo_receiver("bag-s", numbered("RS", 12), weight_g=290, tuning_mhz=[[500, 580]]),
    ]
    cast = [f"actor{n}" for n in range(8)]
    entries: list[Entry] = [
        destination("rec", 16),
        destination("cam-a", 2, receivers=["bag-m", "bag-s"]),
        destination("cam-b", 2, receivers=["bag-m", "bag-s"]),
        *(source(name, connector="TA3", mic_power="bias") for name in cast),
        source("boom", form=["plug-on"], mic_power="P48"),
        source("boom2", form=["plug-on"], mic_power="P48", priority=2),
        source("plant", form=["bodypack", "plug-on"], priority=2),
        source("mix", ["cam-a", "cam-b"], form=["hop", "bodypack"], channels=2, connector="TA5"),
    ]
    clock = 8 * 60
    for number in range(10):
        length = random.choice([30, 45, 60, 75])
        heard = [*random.sample(cast, random.randint(2, 5)), "boom", "mix"]
        heard += [name for name in ("boom2", "plant") if random.random() < 0.3]
        entries.append(scene(str(number + 1), span(clock, clock + length), " ".join(heard)))
        clock += length + random.choice([0, 10, 15, 60])
    return kit(*kit_entries), plan(*entries, reserve=0.2, spare=0.25, lead_min=30)
