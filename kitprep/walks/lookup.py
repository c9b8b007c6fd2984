"""What a tag is, wherever it is scanned: what the thing does today, where it stands."""

from kitprep.ledger.events import JobState
from kitprep.planning.packing import find_units
from kitprep.planning.results import WorkedDay
from kitprep.walks.cases import is_lid, lid
from kitprep.walks.naming import full_name
from kitprep.walks.pack import PackItem, pack_view
from kitprep.walks.wrap import WrapItem, wrap_view


def about(day: WorkedDay, job: JobState, text: str) -> str:
    """One sentence on a tag of the list or of the kit, or on a case by its lid."""
    word = text.strip()
    if is_lid(word):
        return lid(day, pack_view(day, job), word).says
    item = pack_view(day, job).named(word)
    joined = wrap_view(day, job).named(word)
    if item is not None:
        return f"{full_name(item.line)}: {item.line.why}. {_stands(item, joined)}"
    if joined is not None:
        return f"{full_name(joined.line)}: {joined.line.why}. {_is_out(joined) or 'Out'}"
    units = {tag.casefold(): (model, unit) for tag, (model, unit) in find_units(day.kit).items()}
    if word.casefold() not in units:
        return f"{word} is no tag of this kit"
    model, unit = units[word.casefold()]
    state = {"ok": "in order", "repair": "in repair"}.get(unit.state, "marked missing")
    if unit.ended is not None and unit.ended_by(day.plan.day):
        state = f"out of the kit since {unit.ended.isoformat()}"
    return f"{unit.tag} {model.name or model.model}: not needed today, {state}"


def _stands(item: PackItem, went: WrapItem | None) -> str:
    if went is not None and (said := _is_out(went)):
        return said
    words = {"todo": "not packed yet", "short": "not packed yet", "skipped": "left out"}
    return words.get(item.mark, item.mark).capitalize()


def _is_out(went: WrapItem) -> str:
    """What has become of what went out; empty where it is only out."""
    if went.state.outcome:
        return f"At wrap: {went.mark}"
    return f"With {went.state.holder}" if went.state.holder else ""
