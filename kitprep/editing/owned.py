"""Files of the program's own: made by it, and by nobody changed since.

Two lines at the top say what the file is and seal what follows. A file that an import made is one
too; once it is changed here it carries the seal below, so that the next import leaves it alone.
"""

import hashlib
import re
from collections.abc import Mapping

import tomli_w

from kitprep.importing.writing import is_untouched

_HEAD = (
    "# Written by kitprep, which writes it anew at each change made in its screens.\n"
    "# Change it by hand and it is yours: a change is then shown to you first."
)
_SEAL = re.compile(r"# seal ([0-9a-f]{64})")


def is_owned(text: str) -> bool:
    """Whether the program made the file and nobody has changed it since."""
    return bool(text.strip()) and (is_untouched(text) or _is_sealed(text))


def owned_text(data: Mapping[str, object]) -> str:
    """The data as a file of the program's own."""
    body = tomli_w.dumps(data)
    return f"{_HEAD}\n# seal {_sum(body)}\n\n{body}"


def _is_sealed(text: str) -> bool:
    lines = text.replace("\r\n", "\n").split("\n", 4)
    if len(lines) < 5 or lines[3]:
        return False
    seal = _SEAL.fullmatch(lines[2])
    return seal is not None and seal[1] == _sum(lines[4])


def _sum(body: str) -> str:
    return hashlib.sha256(body.encode()).hexdigest()
