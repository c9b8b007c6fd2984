"""The documents, and how each is made."""

import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from kitprep.docs.picture import day_picture
from kitprep.docs.playing import play
from kitprep.docs.reference import reference

FOLDER = Path(__file__).parent
TOUR = FOLDER / "tour.template.md"


def tour() -> str:
    """The guided tour, played in a folder and with a ledger that are then thrown away."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "tour"
        folder.mkdir()
        return play(TOUR.read_text("utf-8"), folder, f"sqlite:///{Path(place) / 'ledger.db'}")


PAGES: Mapping[str, Callable[[], str]] = {
    "reference.md": reference,
    "tour.md": tour,
    "day.svg": day_picture,
}
"""Each file beside this one that is made and never written by hand."""
