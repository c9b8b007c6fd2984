"""A text that is not TOML is told in plain words, at the place where a person would look."""

import tomllib

import pytest

from kitprep.definitions import syntax

WHOLE = "this adds to what is written whole already; write it in one place"
TWICE = "this key or header is in its table already; take one of the two out"
UNCLOSED = "quotes are opened in this line and not closed; close them"
NEVER = "quotes are opened here and never closed; close them"
CONTROL = "an invisible control character stands here; delete it"
BACKSLASH = "a backslash stands for something else here; write two where you mean one"
MISSING = "a value is missing here; write text in quotes, a number, true or false, or a list"
YEAR_FIRST = "a date stands year first, with hyphens; write 2027-03-14"

CASES = [
    ("name = Ines", 1, 8, 'text stands in quotes; write "Ines"'),
    ("name = Ines # lead", 1, 8, 'text stands in quotes; write "Ines"'),
    ("to = [cam-a, cam-b]", 1, 7, 'text stands in quotes; write "cam-a"'),
    ("records = True", 1, 11, "True is written small; write true"),
    ("records = FALSE", 1, 11, "FALSE is written small; write false"),
    ("start = 7:30", 1, 9, 'a time stands in quotes; write "07:30"'),
    ("end = 25:30 # next morning", 1, 7, 'a time stands in quotes; write "25:30"'),
    ("hours = 6,5", 1, 9, "a number has a point, not a comma; write 6.5"),
    ("p = { hours = 6,5 }", 1, 15, "a number has a point, not a comma; write 6.5"),
    ("p = { hours = 6,5, qty = 2 }", 1, 15, "a number has a point, not a comma; write 6.5"),
    ("day = 14.03.2027", 1, 7, YEAR_FIRST),
    ("day = 3/14/2027 # a Sunday", 1, 7, YEAR_FIRST),
    ("day = 14. 3. 2027", 1, 7, YEAR_FIRST),
    ("name = “Ines”", 1, 8, 'these quotes are curly; write straight ones, "…"'),
    ("name = 'Ines", 1, 8, NEVER),
    ("name = 'Ines\nqty = 1", 1, 8, NEVER),
    ("name = 'Ines\nqty = '1'", 1, 13, UNCLOSED),
    ('name = "Ines\nqty = 1', 1, 13, UNCLOSED),
    ('notes = """Ines\nand so on\n', 1, 11, NEVER),
    ("notes = '''Ines\nand so on\n", 1, 11, NEVER),
    ("qty = 10 pieces", 1, 10, syntax._BY_REASON[0][1]),
    ("qty = ", 1, 6, MISSING),
    ("qty =\nname = 'x'", 1, 6, MISSING),
    ("a = 1\nb = 2\n  a = 3", 3, 3, TWICE),
    ("[case]\nid = 'x'\n[case.id]", 3, 1, TWICE),
    ("p = { a = 1, a = 2 }", 1, 1, TWICE),
    ("[case]\n[case]", 2, 1, syntax._BY_REASON[2][1]),
    ("p = { a = 1 }\n[p.q]", 2, 1, syntax._BY_REASON[2][1]),
    ("p = { a = 1 }\np.b = 2", 2, 1, WHOLE),
    ("[a]\n[a.b.c]\n[a.b]\n[a]", 4, 1, syntax._BY_REASON[2][1]),
    ("[a.b]\n[a]\nb.c = 1", 3, 1, WHOLE),
    ("[case", 1, 6, "this header is not closed; write [name], or [[name]]"),
    ("[[case]\nid = 1", 1, 7, "this header is not closed; write [name], or [[name]]"),
    ("qty 10", 1, 5, "this key has no value; write key = value"),
    ("= 10", 1, 1, syntax._BY_REASON[6][1]),
    ("p = { a = 1, }", 1, 14, "a key is missing here; write key = value"),
    ("to = ['a' 'b']", 1, 11, syntax._BY_REASON[8][1]),
    ("p = { a = 1 b = 2 }", 1, 13, syntax._BY_REASON[8][1]),
    ("name = 'a\x07b'", 1, 10, CONTROL),
    ('name = "a\x07b"', 1, 10, CONTROL),
    ('path = "C:\\kits"', 1, 13, BACKSLASH),
    ('path = "\\udddd"', 1, 15, BACKSLASH),
    ('path = "\\uzz"', 1, 11, BACKSLASH),
    ("day = 2027-02-30", 1, 7, "there is no such day or time; write a date as 2027-03-14"),
]


@pytest.mark.parametrize(("text", "line", "column", "message"), CASES)
def test_a_slip_in_the_syntax_is_told_in_plain_words(
    text: str, line: int, column: int, message: str
) -> None:
    with pytest.raises(tomllib.TOMLDecodeError) as raised:
        tomllib.loads(text)
    assert syntax.not_toml(text, raised.value) == (message, (line, column))


def test_there_are_no_plain_words_that_no_text_calls_forth() -> None:
    told = {message for *_, message in CASES}
    assert [words for _, words in syntax._BY_REASON if words not in told] == []


def test_a_reason_that_a_later_python_may_give_is_passed_on() -> None:
    error = tomllib.TOMLDecodeError("Something new (at line 1, column 3)")
    assert syntax.not_toml("a = 1", error) == (
        "this is not TOML, something new; put the line right",
        (1, 3),
    )
