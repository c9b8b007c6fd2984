"""A kit that takes in one more file."""

from pathlib import Path

from kitprep.definitions.loading import load_kit
from kitprep.definitions.problems import DefinitionError, read_toml
from kitprep.editing.proposal import Proposal
from kitprep.editing.surgery import NotEditable, SetKey, edited
from kitprep.editing.writing import take_back, write
from kitprep.importing.writing import includes_with


def including(kit: Path, file: Path) -> Proposal | None:
    """The kit with a file among those it includes; None where its text cannot be changed so."""
    source, data = read_toml(kit, str(kit))
    try:
        after = edited(source.text, [SetKey((), "include", includes_with(kit, file, data))])
    except NotEditable:
        return None
    return Proposal(kit, source.text, after)


def take_in(proposal: Proposal) -> None:
    """Writes such a change, and takes it back where the kit does not read well with it.

    Raises:
        DefinitionError: with what is wrong then; the kit is as it was.
        NotWritten: where the kit is another by now, or the disk refuses.
    """
    written = write(proposal)
    try:
        load_kit(proposal.path)
    except DefinitionError:
        take_back(written)
        raise
