"""Files of the program's own: made by it, and by nobody changed since.

Two lines at the top say what the file is and seal what follows. A file that an import made is one
too; once it is changed here it carries the seal below, so that the next import leaves it alone.
"""

from collections.abc import Mapping

import tomli_w

from kitprep.importing.seal import is_sealed, sealed
from kitprep.importing.writing import is_untouched

_HEAD = (
    "# Written by kitprep, which writes it anew at each change made in its screens.\n"
    "# Change it by hand and it is yours: a change is then shown to you first."
)
_WORD = "seal"


def is_owned(text: str) -> bool:
    """Whether the program made the file and nobody has changed it since."""
    return bool(text.strip()) and (is_untouched(text) or is_sealed(text, _WORD, head_lines=2))


def owned_text(data: Mapping[str, object]) -> str:
    """The data as a file of the program's own."""
    return sealed(_HEAD, _WORD, tomli_w.dumps(data))
