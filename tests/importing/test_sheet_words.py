"""A gear list calls things by its own words; each is settled once, and never for somebody."""

import shlex
from pathlib import Path

import pytest

from kitprep.definitions.loading import load_kit
from kitprep.importing.columns import guess
from kitprep.importing.memory import recall_words, remember_words
from kitprep.importing.problems import ImportProblems
from kitprep.importing.table import read_table
from kitprep.importing.words import (
    IGNORE,
    NEW,
    Meanings,
    Names,
    Word,
    as_said,
    likely,
    meant,
    new_cases,
    words_of,
)

MORE = """
[[transmitter]]
model = "long-pack"
name = "Bodypack on two AA"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
power = [{ dc_v = [4.0, 6.0], watts = 1.0 }]

[[receiver]]
model = "rx-m-stereo"
name = "Portable receiver, mono and stereo"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
modes = ["mono", "stereo"]
outputs = [{ connector = "TA5", channels = 2 }]
power = [{ dc_v = [4.0, 6.0], watts = 2.0 }]
"""


@pytest.fixture
def names(kit: Path) -> Names:
    kit.write_text(kit.read_text() + MORE)
    return Names.of(load_kit(kit))


def words(names: Names, sheet: str, meanings: Meanings | None = None) -> list[Word]:
    table = read_table(sheet.encode(), "stock.csv")
    return words_of(table, guess(table, names.models), names, meanings or {})


def test_each_word_that_is_not_the_kits_own_is_met_once(names: Names) -> None:
    sheet = (
        "Tag,Model,Case\nA,Long one,Bag 2\nB,slim-pack,Pouch\nC,LONG ONE,bag 2\nD,rx-m,\n"
        "E,Transmitter pouch,Transmitter pouch\n"
    )
    assert words(names, sheet) == [
        Word("model", "Long one", 2, None),
        Word("model", "Transmitter pouch", 1, None),
        Word("case", "Bag 2", 2, None),
    ]


@pytest.mark.parametrize(
    ("word", "model"),
    [
        ("Bodypack AA", "long-pack"),
        ("bodypacks slim", "slim-pack"),
        ("Pads", IGNORE),
        ("Portable stereo receiver", "rx-m-stereo"),
        ("slimpack", "slim-pack"),
        ("Bodypack", None),  # of two
        ("Receiver", "rx-m"),  # the other says that it is stereo too
        ("Smoke machine", None),
        ("Lav", IGNORE),  # counted: it has no units
    ],
)
def test_a_word_is_guessed_only_where_one_model_has_most_of_it(
    names: Names, word: str, model: str | None
) -> None:
    assert likely(Word("model", word, 1, None), names) == model


@pytest.mark.parametrize(
    ("word", "case"), [("Bag 2", NEW), ("POUCH!", "pouch"), ("Étui №4", NEW), ("???", None)]
)
def test_a_case_of_another_name_is_a_new_one(names: Names, word: str, case: str | None) -> None:
    assert likely(Word("case", word, 1, None), names) == case


def test_words_are_said_as_word_and_meaning(names: Names) -> None:
    said = 'Long one = long-pack,"Pack, old"=Slim bodypack,a=b=ignore'
    assert meant("model", said, names) == {
        "long one": "long-pack",
        "pack, old": "slim-pack",
        "a=b": IGNORE,
    }


@pytest.mark.parametrize("word", ["Long one", "Pack, old", 'the "new" ones', "it's"])
def test_what_a_message_tells_to_say_is_understood(names: Names, word: str) -> None:
    (argument,) = shlex.split(as_said(word, "long-pack"))
    assert meant("model", argument, names) == {word.casefold(): "long-pack"}


def test_all_that_is_wrong_in_what_was_said_is_told(names: Names) -> None:
    with pytest.raises(ImportProblems) as refused:
        meant("model", "Long one,A=lnog-pack,B=lav", names)
    assert refused.value.lines == [
        '--models: "Long one" has no =; write WORD=MODEL, as in Long pack=long-pack',
        '--models: no model "lnog-pack" here; did you mean "long-pack"?',
        '--models: "lav" is counted by qty, as any item; take this unit out',
    ]


def test_a_new_case_joins_those_that_the_file_had(names: Names) -> None:
    (had,) = names.kit.cases
    found = new_cases(
        [Word("case", "Bag 2", 3, NEW), Word("case", "Bin", 1, IGNORE), Word("model", "x", 1, NEW)],
        [had],
    )
    assert [(case.id, case.name) for case in found] == [
        ("pouch", "Transmitter pouch"),
        ("bag-2", "Bag 2"),
    ]


def test_words_are_remembered_for_their_kit(names: Names, tmp_path: Path) -> None:
    place = tmp_path / "words.json"
    assert recall_words(place, names) == {}
    remember_words(place, "small", {"model": {"a": "slim-pack", "b": "sold-model"}})
    remember_words(place, "small", {"model": {"c": IGNORE}, "case": {"bag 2": NEW}})
    remember_words(place, "other", {"model": {"d": "slim-pack"}})
    # What the kit has no longer is forgotten.
    assert recall_words(place, names) == {
        "model": {"a": "slim-pack", "c": IGNORE},
        "case": {"bag 2": NEW},
    }


@pytest.mark.parametrize("kept", ["[]", '{"small": 3}', '{"small": {"model": ["a"], "case": {}}}'])
def test_a_memory_that_makes_no_sense_is_forgotten(names: Names, tmp_path: Path, kept: str) -> None:
    place = tmp_path / "words.json"
    place.write_text(kept)
    assert not any(recall_words(place, names).values())
    assert remember_words(place, "small", {"model": {"a": "slim-pack"}})
    assert recall_words(place, names)["model"] == {"a": "slim-pack"}
