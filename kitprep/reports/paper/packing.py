"""The packing list by case with boxes to tick, and a card for each case's lid."""

from collections.abc import Iterator

from kitprep.planning.results import CaseLoad, PackLine, WorkedDay
from kitprep.reports.paper.sheet import BOX, Block, Column, Sheet, Value
from kitprep.walks.cautions import lifting
from kitprep.walks.naming import UNITS, case_code

_PACKING = (
    BOX,
    Column("", "Tag or count", "tag"),
    Column("name", "What"),
    Column("serial", "Serial", "short"),
    Column("", "Why"),
    Column("", "Weight g", "number"),
    Column("case", ""),
    Column("key", ""),
    Column("qty", ""),
    Column("held", ""),
    Column("owner", ""),
    Column("why", ""),
    Column("weight_g", ""),
)

_LID = (
    Column("", "Tag or count", "tag"),
    Column("name", "What"),
    Column("serial", "Serial", "short"),
    Column("case", ""),
    Column("key", ""),
    Column("qty", ""),
)


def packing_sheet(day: WorkedDay) -> Sheet:
    """Every line by case, in packing order."""
    notes = ["Count and look before packing; tick when it is in the case."]
    if not day.ready:
        notes.append(
            f"Short of {len(day.shortfalls)} "
            f"{'thing' if len(day.shortfalls) == 1 else 'things'}: the hire request says which."
        )
    blocks = tuple(
        Block(
            load.name,
            tuple(note for note in (weight_note(load), lifting(load)) if note),
            _PACKING,
            tuple(_packing_row(line) for line in lines),
        )
        for load, lines in by_case(day)
    )
    return Sheet("packing", "Packing list", tuple(notes), blocks)


def lid_cards(day: WorkedDay) -> Sheet:
    """One card a case: what is in it, and what a scanner calls it."""
    blocks = tuple(
        Block(
            load.name,
            (case_code(load.case), weight_note(load)),
            _LID,
            tuple(
                (count_or_tag(line), line.name, line.serial, line.case, line.key, line.qty)
                for line in lines
            ),
            card=True,
        )
        for load, lines in by_case(day)
        if load.case is not None
    )
    return Sheet("lids", "Case lid cards", (), blocks)


def by_case(day: WorkedDay) -> Iterator[tuple[CaseLoad, list[PackLine]]]:
    """Each case in packing order, with its lines."""
    for load in day.cases:
        yield load, [line for line in day.packing if line.case == load.case]


def weight_note(load: CaseLoad) -> str:
    """ "4.2 of 12 kg", and what is not in that."""
    limit = "" if load.limit_g is None else f" of {load.limit_g / 1000:g}"
    over = load.limit_g is not None and load.weight_g > load.limit_g
    unknown = f", without {', '.join(load.unknown)}" if load.unknown else ""
    return f"{load.weight_g / 1000:.1f}{limit} kg{' (too heavy)' if over else ''}{unknown}"


def count_or_tag(line: PackLine) -> str:
    """How a line is picked out by hand: by its tag, or by its number."""
    return line.key if line.kind in UNITS else f"{line.qty} ×"


def _packing_row(line: PackLine) -> tuple[Value, ...]:
    short = line.qty - line.held
    why = line.why + (f" (only {line.held} held, {short} short)" if short > 0 else "")
    return (
        None,
        count_or_tag(line),
        line.name,
        line.serial,
        why,
        None if line.weight_g is None else round(line.weight_g),
        line.case,
        line.key,
        line.qty,
        line.held,
        line.owner,
        line.why,
        line.weight_g,
    )
