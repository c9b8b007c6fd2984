"""Labels and lid cards as one page to print and cut."""

from collections.abc import Sequence
from pathlib import Path

from kitprep.labels.codes import code_svg
from kitprep.labels.labels import LidLabel, TagLabel
from kitprep.reports.paper.html import block_html, page, text

_STYLE = Path(__file__).with_name("labels.css")

_LONG = 8
"""Characters of a tag that fit beside its code in large letters."""


def labels_html(title: str, tags: Sequence[TagLabel], lids: Sequence[LidLabel]) -> str:
    """A page with the labels first, then the lid cards on pages of their own.

    Raises:
        NoLibrary: where the library that draws codes is not there.
    """
    parts = []
    if tags:
        parts += ['<main class="labels">', *map(_label, tags), "</main>"]
    if lids:
        parts += ['<div class="lids">', *map(_lid, lids), "</div>"]
    return page(title, "\n".join(parts), "labels to print and cut", _STYLE.read_text("utf-8"))


def _label(label: TagLabel) -> str:
    size = ' class="long"' if len(label.tag) > _LONG else ""
    lines = "".join(f'<span dir="auto">{text(line)}</span>' for line in label.lines)
    return (
        f'<article class="label">{code_svg(label.tag)}'
        f'<div><b{size} dir="auto">{text(label.tag)}</b>{lines}</div></article>'
    )


def _lid(lid: LidLabel) -> str:
    return "\n".join(block_html(lid.card, code_svg(lid.code)))
