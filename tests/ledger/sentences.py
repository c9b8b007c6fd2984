"""What the user reads when the ledger cannot be used."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kitprep.ledger.errors import Unusable


def sentence(work: Callable[[], object]) -> str:
    """What the user reads when `work` cannot use the ledger."""
    with pytest.raises(Unusable) as caught:
        work()
    assert caught.value.exit_code == 2
    said = str(caught.value)
    assert "\n" not in said
    assert said.count(". ") == 0
    return said


def reason(work: Callable[[], object], at: object) -> str:
    """The part of that sentence which follows the ledger's place."""
    said = sentence(work)
    start = f"the ledger at {at} "
    assert said.startswith(start), said
    return said.removeprefix(start)
