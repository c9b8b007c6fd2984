"""Writing a change to its file, and taking it back.

Only where the file still is what was read: what someone saved meanwhile is never written over.
"""

from dataclasses import dataclass
from pathlib import Path

from kitprep.editing.proposal import Proposal
from kitprep.files import NotWritten, replace_known

_MARK = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Written:
    """A change that is in its file: enough to take it back."""

    path: Path
    before: bytes
    after: bytes


def write(proposal: Proposal) -> Written:
    """Puts the proposal's text in its file, whole or not at all.

    Raises:
        NotWritten: where the file is another by now, or the disk refuses; it is then as it was.
    """
    before = proposal.before.encode()
    after = proposal.after.encode()
    if _starts_with_mark(proposal.path):
        before, after = _MARK + before, _MARK + after
    replace_known(proposal.path, before, after)
    return Written(proposal.path, before, after)


def take_back(written: Written) -> None:
    """Puts back what the file said before.

    Raises:
        NotWritten: as :func:`write`.
    """
    replace_known(written.path, written.after, written.before)


def _starts_with_mark(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(len(_MARK)) == _MARK
    except OSError as error:
        raise NotWritten(
            f"{path} cannot be read ({error.strerror}); nothing was written"
        ) from error
