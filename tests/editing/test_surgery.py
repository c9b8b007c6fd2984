"""A change to a text changes that and nothing else, whatever the text looks like."""

import copy
import re
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from toml_texts import Draft, Keys, texts

from kitprep.bundled import bundle
from kitprep.editing.surgery import AddEntry, DropEntry, NotEditable, SetKey, edited

DEMO = sorted((bundle() / "kits").rglob("*.toml"))
ENTRY = {"id": "new one", "to": ["a", "b:2"], "ok": True, "n": 3, "range": [[518.0, 572.0]]}
NEW_VALUES = st.one_of(
    st.text(max_size=12),
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False, allow_infinity=False),
    st.dates(),
    st.lists(st.sampled_from(["a", "b", "c", "d:1", "e"]), max_size=5, unique=True),
)

usual = settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def entries_of(data: Any, above: Keys = ()) -> Iterator[Keys]:
    """The ways to all tables in lists."""
    for key, value in data.items():
        if isinstance(value, list) and value and all(isinstance(v, dict) for v in value):
            for number, entry in enumerate(value):
                yield (*above, key, number)
                yield from entries_of(entry, (*above, key, number))


def at(data: Any, keys: Keys) -> Any:
    for key in keys:
        data = data[key]
    return data


def as_text(made: Draft, line_end: str = "\n", mark: str = "", ends: bool = True) -> str:
    text = line_end.join(line for line, _ in made.lines)
    return mark + text + (line_end if ends else "")


def of_others(made: Draft, entry: Keys) -> list[str]:
    """The lines that are not of an entry, blank ones aside."""
    return [
        line
        for line, owner in made.lines
        if line.strip() and (owner is None or owner[: len(entry)] != entry)
    ]


def is_within(lines: list[str], text: str) -> bool:
    """Whether all lines are in the text, in their order and to the letter."""
    coming = iter(text.removeprefix("\ufeff").splitlines())
    return all(any(line == other for other in coming) for line in lines)


ways = st.tuples(st.sampled_from(["\n", "\r\n"]), st.sampled_from(["", "\ufeff"]), st.booleans())


@usual
@given(texts(), ways, st.data())
def test_a_key_is_set_and_nothing_else_changes(
    made: Draft, way: tuple[str, str, bool], data: st.DataObject
) -> None:
    text = as_text(made, *way)
    before = tomllib.loads(text.removeprefix("\ufeff"))
    entry = data.draw(st.sampled_from([(), *entries_of(before)]))
    key = data.draw(st.sampled_from(["id", "n", "to", "title", "brand-new", "a key"]))
    value = data.draw(NEW_VALUES)
    wanted = copy.deepcopy(before)
    at(wanted, entry)[key] = value
    after = edited(text, [SetKey(entry, key, value)])
    assert tomllib.loads(after.removeprefix("\ufeff")) == wanted
    others = of_others(made, owner_of(made, entry) if entry else ("nobody",))
    title = [line for line in others if line.startswith("title")]
    assert is_within([line for line in others if entry or line not in title], after)
    assert after.startswith("\ufeff") == text.startswith("\ufeff")
    if way[0] == "\r\n":
        assert not re.search(r"(?<!\r)\n", after)


@usual
@given(texts(), ways, st.data())
def test_a_key_is_taken_out_and_nothing_else_changes(
    made: Draft, way: tuple[str, str, bool], data: st.DataObject
) -> None:
    text = as_text(made, *way)
    before = tomllib.loads(text.removeprefix("\ufeff"))
    entries = [entry for entry in entries_of(before) if at(before, entry)]
    assume(entries)
    entry = data.draw(st.sampled_from(entries))
    plain = [k for k in at(before, entry) if k != "unit"]
    assume(plain)
    key = data.draw(st.sampled_from(plain))
    wanted = copy.deepcopy(before)
    del at(wanted, entry)[key]
    after = edited(text, [SetKey(entry, key, None)])
    assert tomllib.loads(after.removeprefix("\ufeff")) == wanted
    assert is_within(of_others(made, owner_of(made, entry)), after)


@usual
@given(texts(), ways, st.data())
def test_an_entry_is_added_and_every_line_stays(
    made: Draft, way: tuple[str, str, bool], data: st.DataObject
) -> None:
    text = as_text(made, *way)
    before = tomllib.loads(text.removeprefix("\ufeff"))
    models = [("model", n, "unit") for n in range(len(before.get("model", [])))]
    where = data.draw(st.sampled_from([("source",), ("scene",), *models]))
    wanted = copy.deepcopy(before)
    at(wanted, where[:-1]).setdefault(where[-1], []).append(copy.deepcopy(ENTRY))
    after = edited(text, [AddEntry(where, ENTRY)])
    assert tomllib.loads(after.removeprefix("\ufeff")) == wanted
    written_inline = any(owner == where for _, owner in made.lines)
    others = of_others(made, where if written_inline else ("nobody",))
    assert is_within(others, after)
    assert set(comments(text)) == set(comments(after))


@usual
@given(texts(), ways, st.data())
def test_an_entry_is_dropped_with_its_own_comments_and_no_others(
    made: Draft, way: tuple[str, str, bool], data: st.DataObject
) -> None:
    text = as_text(made, *way)
    before = tomllib.loads(text.removeprefix("\ufeff"))
    entries = list(entries_of(before))
    assume(entries)
    entry = data.draw(st.sampled_from(entries))
    wanted = copy.deepcopy(before)
    del at(wanted, entry[:-1])[entry[-1]]
    written_inline = owner_of(made, entry) != entry
    if not at(wanted, entry[:-1]) and not written_inline:
        del at(wanted, entry[:-2])[entry[-2]]
    after = edited(text, [DropEntry(entry)])
    assert tomllib.loads(after.removeprefix("\ufeff")) == wanted
    if not written_inline:
        others = of_others(made, entry)
        assert [
            line for line in after.removeprefix("\ufeff").splitlines() if line.strip()
        ] == others


def owner_of(made: Draft, entry: Keys) -> Keys:
    """The entry whose lines hold this one: itself, or the list that is written in brackets."""
    return entry if any(owner == entry for _, owner in made.lines) else entry[:-1]


def comments(text: str) -> list[str]:
    return re.findall(r"# c\d+", text)


# The files that people copy


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.name)
def test_every_entry_of_the_demo_can_be_changed_dropped_and_followed(path: Any) -> None:
    text = path.read_bytes().decode()
    before = tomllib.loads(text)
    for entry in entries_of(before):
        wanted = copy.deepcopy(before)
        at(wanted, entry)["notes"] = 'a "note"\nof two lines'
        after = edited(text, [SetKey(entry, "notes", 'a "note"\nof two lines')])
        assert tomllib.loads(after) == wanted
        changed = set(text.splitlines()) ^ set(after.splitlines())
        assert all("notes" in line or "{" in line for line in changed)
        dropped = edited(text, [DropEntry(entry)])
        assert len(dropped) < len(text)
        assert edited(after, [SetKey(entry, "notes", at(before, entry).get("notes"))]) is not None
    for where in {entry[:-1] for entry in entries_of(before)}:
        wanted = copy.deepcopy(before)
        at(wanted, where).append(dict(ENTRY))
        after = edited(text, [AddEntry(where, ENTRY)])
        assert tomllib.loads(after) == wanted


# A few by hand


def test_a_key_that_is_put_back_leaves_the_file_as_it_was() -> None:
    text = '[[source]]\nid = "a" # who\n\n# apart\n'
    there = edited(text, [SetKey(("source", 0), "name", "Ana")])
    assert there == '[[source]]\nid = "a" # who\nname = "Ana"\n\n# apart\n'
    assert edited(there, [SetKey(("source", 0), "name", None)]) == text


def test_who_leaves_a_list_of_lines_takes_the_comment_on_that_line_along() -> None:
    text = 'sources = [\n  "ines", # lav in the collar\n  "marek", # pouch\n]\n'
    text = f"[[scene]]\n{text}"
    after = edited(text, [SetKey(("scene", 0), "sources", ["ines", "oda"])])
    assert after == '[[scene]]\nsources = [\n  "ines", # lav in the collar\n  "oda",\n]\n'


def test_a_name_that_changes_in_a_list_leaves_the_others_where_they_are() -> None:
    text = '[[scene]]\nsources = [ "ines",\n  # two\n  "marek" ]\n'
    after = edited(text, [SetKey(("scene", 0, "sources"), 0, "ana")])
    assert after == '[[scene]]\nsources = [ "ana",\n  # two\n  "marek" ]\n'


def test_a_list_in_another_order_is_written_anew() -> None:
    text = '[[scene]]\nsources = [ "ines", # who\n  "marek" ] # both\n'
    after = edited(text, [SetKey(("scene", 0), "sources", ["marek", "ines"])])
    assert after == '[[scene]]\nsources = ["marek", "ines"] # both\n'


def test_a_heading_that_stands_apart_stays_when_the_entry_below_it_goes() -> None:
    text = "[[a]]\nx = 1\n\n\n# ---- B ----\n\n# own\n[[b]]\nx = 1\n\n[[c]]\n"
    assert edited(text, [DropEntry(("b", 0))]) == "[[a]]\nx = 1\n\n\n# ---- B ----\n\n[[c]]\n"


def test_the_larger_gap_stays_where_an_entry_was() -> None:
    text = "[[a]]\nx = 1\n\n[[a]]\nx = 2\n\n\n# ---- B ----\n\n[[b]]\n"
    assert edited(text, [DropEntry(("a", 1))]) == "[[a]]\nx = 1\n\n\n# ---- B ----\n\n[[b]]\n"


def test_what_looks_like_a_comment_in_a_text_is_none() -> None:
    text = '[[a]]\nx = """\n# one"""\n[[b]]\ny = 1\n[[b]]\n'
    assert edited(text, [DropEntry(("b", 0))]) == '[[a]]\nx = """\n# one"""\n[[b]]\n'


def test_a_new_entry_stands_behind_the_remark_below_the_last() -> None:
    text = "[[a]]\nx = 1\n# seen to\n\n[[b]]\n"
    assert edited(text, [AddEntry(("a",), {"x": 2})]) == (
        "[[a]]\nx = 1\n# seen to\n\n[[a]]\nx = 2\n\n[[b]]\n"
    )


def test_the_line_that_names_a_schema_stays() -> None:
    text = "#:schema ./kit.schema.json\n[[a]]\nx = 1\n[[a]]\nx = 2\n"
    assert edited(text, [DropEntry(("a", 0))]) == "#:schema ./kit.schema.json\n[[a]]\nx = 2\n"


def test_pieces_of_an_entry_that_stand_apart_go_together() -> None:
    text = "[[a]]\n[[b]]\ny = 1\n[[a.c]]\nz = 1\n[[a]]\nx = 2\n"
    assert edited(text, [DropEntry(("a", 0))]) == "[[b]]\ny = 1\n[[a]]\nx = 2\n"


@pytest.mark.parametrize("text", ["[[a]]\n[a.x]\ny = 1\n", "[[a]]\nx.y = 1\n"])
def test_what_cannot_be_followed_is_refused_and_not_half_done(text: str) -> None:
    with pytest.raises(NotEditable, match="change it in the file"):
        edited(text, [SetKey(("a", 0), "x", 3)])
