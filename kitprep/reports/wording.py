"""How what is printed counts, names scenes and breaks its lines."""

import textwrap
from collections.abc import Iterable, Iterator, Sequence

COLUMNS = 78
"""What fits a page and a small terminal; only names that are longer run over."""


def scenes_text(numbers: Sequence[str]) -> str:
    """ "scene 12A", "scenes 12A, 14"."""
    return f"{'scene' if len(numbers) == 1 else 'scenes'} {', '.join(numbers)}"


def wrapped(texts: Iterable[str], mark: str = "") -> Iterator[str]:
    """Texts under a heading, each with its mark, in lines that fit."""
    for text in texts:
        yield from textwrap.wrap(
            mark + text,
            COLUMNS,
            initial_indent="  ",
            subsequent_indent="    ",
            break_on_hyphens=False,
        )
