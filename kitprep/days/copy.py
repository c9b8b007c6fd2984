"""A day plan's text as another day's: two values change, and not a letter besides."""

import json
from datetime import date

from kitprep.definitions.locator import Path as Keys
from kitprep.definitions.locator import locate

_MARK = "\ufeff"


def copied(text: str, day: date, kit: str | None = None) -> str:
    """The plan with another ``day``, and another path to its kit where it moves to another folder.

    ``text`` is a plan that reads well; what stands around the two values, comments and line ends
    included, stays as it is.
    """
    body = text.removeprefix(_MARK)
    mark = text[: len(text) - len(body)]
    changes: dict[Keys, str] = {("day",): day.isoformat()}
    if kit is not None:
        # JSON's escapes are TOML's too.
        changes["kit",] = json.dumps(kit, ensure_ascii=False)
    spans = locate(body)
    for keys in sorted(changes, key=lambda keys: -spans[keys].value):
        span = spans[keys]
        body = body[: span.value] + changes[keys] + body[span.end :]
    return mark + body
