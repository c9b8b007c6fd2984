"""A day plan's text as another day's: a few values change, and not a letter besides."""

from collections.abc import Mapping
from datetime import date

from kitprep.editing.surgery import Change, SetKey, edited
from kitprep.planning.results import WorkedDay


def worn(day: WorkedDay) -> dict[int, str]:
    """What each source wears on a day, whatever was swapped, by its place in the plan."""
    packs = {link.source: link.transmitter for link in day.links}
    return {
        number: packs[source.id]
        for number, source in enumerate(day.plan.sources)
        if source.id in packs
    }


def copied(
    text: str,
    day: date,
    kit: str | None = None,
    wears: Mapping[int, str] | None = None,
    title: str | None = None,
) -> str:
    """The plan with another ``day``, and another path to its kit where it moves to another folder.

    ``text`` is a plan that reads well; what stands around the changed values, comments and line
    ends included, stays as it is. ``wears`` are sources by place, each with the pack to wear again;
    ``title`` is another title.

    Raises:
        NotEditable: where the file is written in a way that this cannot follow.
    """
    changes: list[Change] = [SetKey((), "day", day)]
    if kit is not None:
        changes.append(SetKey((), "kit", kit))
    if title is not None:
        changes.append(SetKey((), "title", title))
    packs = (wears or {}).items()
    return edited(text, [*changes, *(SetKey(("source", n), "wears", tag) for n, tag in packs)])
