"""What may still be changed in the files of a day that is under way, and what not, with the reason.

Until the kit goes out the plan may change in any way: the list follows. From then on the list is
what went. A scene may move and a note be written; which units go is changed by a swap alone, for
that is recorded. What the ledger has recorded under a name keeps that name.
"""

from collections.abc import Iterator

from kitprep.ledger.events import JobState
from kitprep.planning.pool import natural
from kitprep.planning.results import WorkedDay

FIXED = ("out", "returned", "closed")
"""The stages in which the list is what went."""


def list_is_fixed(day: WorkedDay, then: WorkedDay, job: JobState) -> str | None:
    """Why a day under way may not become another; None where it may."""
    if job.stage not in FIXED:
        return None
    went, goes = _units(day), _units(then)
    more, less = sorted(goes - went, key=natural), sorted(went - goes, key=natural)
    told = [f"take {', '.join(more)}" if more else "", f"leave {', '.join(less)}" if less else ""]
    if not (more or less):
        return None
    return (
        f"the kit is {job.stage}, so what went is fixed, and this would "
        f"{' and '.join(filter(None, told))}; replace a unit on Line check, or change a later day"
    )


def _units(day: WorkedDay) -> set[str]:
    return {line.key for line in day.packing if line.kind in ("transmitter", "receiver", "adapter")}


def name_is_recorded(job: JobState, kind: str, name: str) -> str | None:
    """Why a scene, source or destination keeps its name; None where it may have another."""
    found = sum(1 for checked in _checks(job) if checked.get(kind) == name)
    if not found:
        return None
    told = f"1 line check of {name} is recorded, and keeps that name"
    if found > 1:
        told = f"{found} line checks of {name} are recorded, and keep that name"
    return f"{told}; change what it is called in words, or change a later day"


def _checks(job: JobState) -> Iterator[dict[str, str]]:
    """What each recorded line check is about. A scene's number may hold colons, the others none."""
    for key, item in job.items.items():
        if key.startswith("check:") and item.answer is not None:
            *scene, source, destination, _ = key.removeprefix("check:").split(":")
            yield {"scene": ":".join(scene), "source": source, "destination": destination}
