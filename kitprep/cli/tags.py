"""``labels``: asset tags and case lids to print."""

from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path

from kitprep.cli import BAD, DONE, answer, say
from kitprep.cli.sheets import put_down
from kitprep.definitions.kit import Kit
from kitprep.definitions.loading import Day, load_any
from kitprep.definitions.problems import did_you_mean, one_of
from kitprep.definitions.text import shown
from kitprep.labels.codes import NoLibrary
from kitprep.labels.html import labels_html
from kitprep.labels.labels import (
    LidLabel,
    TagLabel,
    lids_of_day,
    lids_of_kit,
    tags_of_day,
    tags_of_kit,
)

Tags = tuple[TagLabel, ...]
Lids = tuple[LidLabel, ...]


class _NoLabels(Exception):
    """Nothing to print, and why."""


def run_labels(given: Namespace) -> int:
    """Labels of a whole kit, or of what one day packs."""
    try:
        title, tags, lids = _all(given.file)
        tags = tags if given.what != "lids" else ()
        lids = lids if given.what != "tags" else ()
        if given.only:
            tags, lids = _only(given.only, tags, lids)
        if not tags and not lids:
            raise _NoLabels(f"nothing in {given.file} has a tag or a case; write some first")
        text = labels_html(f"Labels, {title}", tags, lids)
    except (NoLibrary, _NoLabels) as error:
        say(*(f"kitprep: {line}" for line in str(error).splitlines()))
        return BAD
    if given.output is None:
        answer(text)
        return DONE
    return put_down(given.output, text.encode())


def _all(file: Path) -> tuple[str, Tags, Lids]:
    """What the page is called, and all that a kit or a day has labels for."""
    found = load_any(file)
    if isinstance(found, Kit):
        return found.name, tags_of_kit(found), lids_of_kit(found)
    if isinstance(found, Day):
        from kitprep.planning.day import work_out

        worked = work_out(found.kit, found.plan)
        title = f"{found.kit.name}, {found.plan.day.isoformat()}"
        return title, tags_of_day(worked), lids_of_day(worked)
    raise _NoLabels(f"{file} is tables for a kit; write a kit or a day plan")


def _only(words: Sequence[str], tags: Tags, lids: Lids) -> tuple[Tags, Lids]:
    names = [*(tag.tag for tag in tags), *(_case(lid) for lid in lids)]
    folded = {name.casefold() for name in names}
    wanted = {word.casefold() for word in words}
    unknown = [word for word in words if word.casefold() not in folded]
    if unknown:
        lines = (
            f"no label {shown(word)} here; {did_you_mean(word, names, one_of(names))}"
            for word in unknown
        )
        raise _NoLabels("\n".join(lines))
    return (
        tuple(tag for tag in tags if tag.tag.casefold() in wanted),
        tuple(lid for lid in lids if _case(lid).casefold() in wanted),
    )


def _case(lid: LidLabel) -> str:
    return lid.code.removeprefix("case:")
