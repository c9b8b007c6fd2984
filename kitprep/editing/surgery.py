"""Changes to a TOML text that leave all else in it as it was, to the letter.

Every change is looked at after it was made: tomllib must then see what was wanted, and nothing
else. Where a file is written in a way that this cannot follow, it says so and changes nothing.
"""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from kitprep.definitions.locator import Path as Keys
from kitprep.editing.layout import Layout
from kitprep.editing.values import pair_text, value_text

_MARK = "\ufeff"


@dataclass(frozen=True, slots=True)
class SetKey:
    """A key of a table gets a value; None takes the key out. Of a list the key is a place in it."""

    table: Keys
    key: str | int
    value: object


@dataclass(frozen=True, slots=True)
class AddEntry:
    """One more entry at the end of a list of tables, such as ("source",)."""

    list: Keys
    entry: Mapping[str, object]


@dataclass(frozen=True, slots=True)
class DropEntry:
    """An entry of a list of tables goes, with its own comments: ("source", 3)."""

    entry: Keys


Change: TypeAlias = SetKey | AddEntry | DropEntry


class NotEditable(Exception):
    """The file is written in a way that cannot be changed here."""


def edited(text: str, changes: Iterable[Change]) -> str:
    """The text with the changes made one after the other; each finds what the one before it left.

    Raises:
        NotEditable: where a change cannot be made without touching something else.
    """
    body = text.removeprefix(_MARK)
    mark = text[: len(text) - len(body)]
    for change in changes:
        body = _checked(body, change)
    return mark + body


def _checked(body: str, change: Change) -> str:
    layout = Layout(body)
    wanted = changed_data(tomllib.loads(body), change)
    if isinstance(change, DropEntry) and not layout.is_inline(change.entry):
        wanted = _without_empty(wanted, change.entry[:-1])
    for way in (_made, _made_whole):
        try:
            after = way(layout, change)
            if _same(tomllib.loads(after), wanted):
                return after
        except (tomllib.TOMLDecodeError, LookupError, ValueError):
            continue
    raise NotEditable("this is written in a way that cannot be changed here; change it in the file")


def changed_data(data: dict[str, Any], change: Change) -> dict[str, Any]:
    """What tomllib should see after a change."""
    match change:
        case SetKey(table, key, value):
            holder = _at(data, table)
            if value is None:
                holder.pop(key, None)
            else:
                holder[key] = _plain(value)
        case AddEntry(where, entry):
            _at(data, where[:-1]).setdefault(where[-1], []).append(_plain(entry))
        case DropEntry(entry):
            del _at(data, entry[:-1])[entry[-1]]
    return data


def _at(data: Any, keys: Keys) -> Any:
    for key in keys:
        data = data[key]
    return data


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_plain(inner) for inner in value]
    return value


def _without_empty(data: dict[str, Any], where: Keys) -> dict[str, Any]:
    """A list that is written by its entries' headers is not there without any."""
    holder = _at(data, where[:-1])
    if not holder[where[-1]]:
        del holder[where[-1]]
    return data


def _same(one: Any, other: Any) -> bool:
    """Equal in value and kind; 1 is neither 1.0 nor true, and nan is nan."""
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(_same(one[k], other[k]) for k in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other or (one != one and other != other))


# Where each change goes in the text


def _made(layout: Layout, change: Change) -> str:
    match change:
        case SetKey(table, key, None):
            return _take_key_out(layout, (*table, key))
        case SetKey(table, key, value):
            if (*table, key) not in layout.spans:
                return _put_key_in(layout, table, pair_text(str(key), value))
            old = _at(tomllib.loads(layout.text), (*table, key))
            if isinstance(old, list) and isinstance(value, Sequence) and not isinstance(value, str):
                return _set_list(layout.text, (*table, key), old, list(value))
            return _set_value(layout, (*table, key), value)
        case AddEntry(where, entry):
            return _add_entry(layout, where, entry)
        case DropEntry(entry):
            if layout.is_inline(entry):
                return _cut_item(layout, entry)
            return _drop_sections(layout, entry)


def _made_whole(layout: Layout, change: Change) -> str:
    """The change made by writing a value anew, where its parts could not be mended."""
    if isinstance(change, SetKey) and change.value is not None:
        return _set_value(layout, (*change.table, change.key), change.value)
    raise LookupError


def _set_value(layout: Layout, keys: Keys, value: object) -> str:
    span = layout.spans[keys]
    if layout.is_header(span):
        raise LookupError("a table of its own is no value")
    return layout.text[: span.value] + value_text(value) + layout.text[span.end :]


def _put_key_in(layout: Layout, table: Keys, pair: str) -> str:
    if layout.is_inline(table):
        return _add_item(layout, table, pair)
    section = layout.sections_of(table)[0] if table else layout.top
    own = [k for k in layout.children(table) if section.header < layout.spans[k].value]
    own = [k for k in own if layout.spans[k].value < section.written]
    near = layout.pair_start(own[-1]) if own else section.header
    indent = layout.indent(near) if near >= 0 else ""
    return _insert_lines(layout, section.written, [indent + pair])


def _take_key_out(layout: Layout, keys: Keys) -> str:
    if keys not in layout.spans:
        return layout.text
    if layout.is_inline(keys[:-1]):
        return _cut_item(layout, keys)
    start = layout.line_start(layout.pair_start(keys))
    return layout.text[:start] + layout.text[layout.line_end(layout.spans[keys].end) :]


def _insert_lines(layout: Layout, at: int, lines: Sequence[str]) -> str:
    before, after = layout.text[:at], layout.text[at:]
    if before and not before.endswith("\n"):
        before += layout.newline
    return before + "".join(line + layout.newline for line in lines) + after


def _add_entry(layout: Layout, where: Keys, entry: Mapping[str, object]) -> str:
    if layout.is_inline(where):
        return _add_item(layout, where, value_text(entry))
    siblings = [k for k in layout.children(where) if layout.sections_of(k)]
    if not siblings and layout.is_inline(where[:-1]):
        return _add_item(layout, where[:-1], pair_text(str(where[-1]), [entry]))
    near = layout.sections_of(siblings[-1] if siblings else where[:-1])
    header = ".".join(str(key) for key in where if isinstance(key, str))
    if siblings:
        own = near[0]
        indent = layout.indent(own.header)
        is_apart = layout.blank_lines(own.start, back=True) < own.start
        apart = is_apart if len(siblings) > 1 or indent else True
    else:
        indent = layout.indent(near[0].header) + "  " if len(where) > 1 else ""
        apart = len(where) == 1
    end = near[-1].written if near else len(layout.text)
    at = _past_comments(layout, end) if near else end
    lines = [f"{indent}[[{header}]]", *(indent + pair_text(k, v) for k, v in entry.items())]
    return _insert_lines(layout, at, ["", *lines] if apart and at else lines)


def _past_comments(layout: Layout, at: int) -> int:
    """Past comments that stand right below an entry, unless they are the next header's own."""
    starts = {section.start for section in layout.sections}
    end = at
    while end not in starts and layout.text[end : layout.line_end(end)].strip().startswith("#"):
        end = layout.line_end(end)
    return at if any(s.start <= end <= s.header and s.start < end for s in layout.sections) else end


def _drop_sections(layout: Layout, entry: Keys) -> str:
    text = layout.text
    blocks = _blocks(layout, entry)
    if not blocks:
        raise LookupError("no such entry")
    for start, end in reversed(blocks):
        above, below = layout.blank_lines(start, back=True), layout.blank_lines(end, back=False)
        if below == len(layout.text):
            start = above  # at the end of the text nothing is left to keep apart
        elif layout.text.count("\n", above, start) >= layout.text.count("\n", end, below):
            end = below
        else:
            start = above  # the larger gap stays: it may set a new part of the file off
        text = text[:start] + text[end:]
    return text


def _blocks(layout: Layout, entry: Keys) -> list[tuple[int, int]]:
    """The lines of an entry; sections that only blank lines keep apart are one block."""
    blocks: list[tuple[int, int]] = []
    for section in layout.sections_of(entry):
        if blocks and layout.blank_lines(blocks[-1][1], back=False) >= section.start:
            blocks[-1] = (blocks[-1][0], section.written)
        else:
            blocks.append((section.start, section.written))
    return blocks


# Lists and tables in brackets


def _set_list(text: str, keys: Keys, old: Sequence[Any], new: Sequence[Any]) -> str:
    """Element by element where what stays keeps its order, so that comments between them stay."""
    stays = [element for element in old if element in new]
    if stays != list(new[: len(stays)]):
        raise LookupError("the order is another")
    for place in reversed(range(len(old))):
        if old[place] not in new:
            text = _cut_item(Layout(text), (*keys, place))
    for element in new[len(stays) :]:
        text = _add_item(Layout(text), keys, value_text(element))
    return text


def _add_item(layout: Layout, holder: Keys, item: str) -> str:
    """One more element of a list, or pair of a table, after the last."""
    text, span, items = layout.text, layout.spans[holder], layout.children(holder)
    if not items:
        inside = item if text[span.value] == "[" else f" {item} "
        return text[: span.value + 1] + inside + text[span.end - 1 :]
    last = layout.spans[items[-1]]
    behind = layout.comma_after(last.end)
    comma = "" if behind is not None else ","
    if "\n" not in text[last.end : span.end]:
        end = behind or last.end
        return f"{text[:end]}{comma} {item}{text[end:]}"
    # A list of lines: a line of its own, with the comma that the others have.
    indent = layout.indent(layout.pair_start(items[-1]))
    line_end = layout.line_end(behind or last.end)
    trailing = "," if behind is not None else ""
    lines = text[: last.end] + comma + text[last.end : line_end]
    return f"{lines}{indent}{item}{trailing}{layout.newline}{text[line_end:]}"


def _cut_item(layout: Layout, keys: Keys) -> str:
    """An element of a list, or a pair of a table, goes with its comma."""
    text, items = layout.text, layout.children(keys[:-1])
    place = items.index(keys)
    start, end = layout.pair_start(keys), layout.spans[keys].end
    behind = layout.comma_after(end)
    line, next_line = layout.line_start(start), layout.line_end(behind or end)
    rest = text[behind or end : next_line].strip()
    if not text[line:start].strip() and (not rest or rest.startswith("#")):
        return text[:line] + text[next_line:]  # lines of its own, with the comment on them
    if place + 1 < len(items):
        following = layout.pair_start(items[place + 1])
        return text[:start] + text[following:]
    if place:
        return text[: layout.spans[items[place - 1]].end] + text[end:]
    return text[:start] + text[behind or end :]
