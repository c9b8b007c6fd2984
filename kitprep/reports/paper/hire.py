"""The hire request: what to ask for, for which scenes, and all else that is short."""

from kitprep.definitions.kit import Kit, Receiver, Transmitter
from kitprep.planning.results import WorkedDay
from kitprep.reports.paper.sheet import Block, Column, Sheet

_HIRE = (
    Column("qty", "How many", "number"),
    Column("model", "Model", "tag"),
    Column("name", "What it is"),
    Column("", "Scenes"),
    Column("", "Confirmed", "write"),
    Column("scenes", ""),
)

_SHORT = (
    Column("kind", "Kind", "short"),
    Column("scene", "Scene", "tag"),
    Column("what", "What is short"),
    Column("", "Answer", "write"),
)

ALL_HELD = "Nothing is short. Everything that the day needs is held."
NOT_ALL_KNOWN = "Nothing is short, as far as is known; kitprep needs lists what is not known."


def hire_sheet(day: WorkedDay) -> Sheet:
    """What serves every link, and then every shortfall as the plan words it."""
    if day.ready:
        notes: tuple[str, ...] = (NOT_ALL_KNOWN if day.unknown else ALL_HELD,)
    else:
        notes = (f"Needed on {day.plan.day.isoformat()}.",)
    blocks = (_hire(day), _short(day))
    return Sheet("hire", "Hire request", notes, tuple(b for b in blocks if b.rows))


def _hire(day: WorkedDay) -> Block:
    rows = tuple(
        (
            hire.qty,
            hire.model,
            _what(day.kit, hire.model),
            ", ".join(hire.scenes),
            None,
            ", ".join(hire.scenes),
        )
        for hire in day.hire
    )
    note = "The fewest units that serve every link which a hire can serve."
    return Block("To hire", (note,), _HIRE, rows)


def _what(kit: Kit, model: str) -> str:
    """What a hire house must know: a like unit of another system or firmware is of no use."""
    for adapter in kit.adapters:
        if adapter.model == model:
            return adapter.name or model
    things: tuple[Transmitter | Receiver, ...] = (*kit.transmitters, *kit.receivers)
    for thing in things:
        if thing.model == model:
            tuning = ", ".join(f"{low:g} to {high:g}" for low, high in thing.tuning_mhz)
            version = kit.firmware.get(thing.image or "")
            firmware = f", firmware {version} of image {thing.image}" if version else ""
            return f"{thing.name}, system {thing.system}, {tuning} MHz{firmware}"
    return model


def _short(day: WorkedDay) -> Block:
    rows = tuple((s.kind, s.scene, s.what, None) for s in day.shortfalls)
    return Block("What is short", (), _SHORT, rows)
