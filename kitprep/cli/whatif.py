"""``what-if``: a day tried otherwise; nothing is kept."""

from argparse import Namespace
from collections.abc import Iterator

from kitprep.cli import BAD, DONE, OPEN, answer, answer_json, say


def run_what_if(given: Namespace) -> int:
    """What would be served, short, hired, packed and worn otherwise; 1 where the day is short."""
    from kitprep.cli.answers import worked_out
    from kitprep.definitions.loading import load_day
    from kitprep.planning.difference import difference
    from kitprep.planning.whatif import NotPossible, WhatIf, changed, with_word
    from kitprep.reports.whatif import whatif_json, whatif_text

    day = load_day(given.plan)
    what = WhatIf()
    try:
        for word in _words(given):
            what = with_word(what, word, day.kit, day.plan)
        if what.nothing:
            raise NotPossible("nothing is otherwise; give --without, --scene, --channels or --drop")
        before, again = worked_out(day, given.ledger)
        kit, plan = changed(before.kit, day.plan, what)
    except NotPossible as refusal:
        say(f"kitprep: {refusal}")
        return BAD
    found = difference(before, again(kit, plan))
    if given.json:
        answer_json(whatif_json(found))
    else:
        answer(whatif_text(found, day.plan))
    return DONE if found.ready else OPEN


def _words(given: Namespace) -> Iterator[str]:
    """Each change once: said twice it would be taken back."""
    for words in (given.without, given.scene, given.channels, given.drop):
        yield from dict.fromkeys(words)
