"""The locator knows every path that tomllib yields and no other, and each span reads as its value.

Held on a set of odd documents, on what a machine writes, and on what many hands might write.
"""

import string
import tomllib
from collections.abc import Iterator
from datetime import UTC, timedelta, timezone
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.definitions.locator import Path, Span, locate


def places(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every path below `value`, tables and arrays included, with what stands there."""
    children = value.items() if isinstance(value, dict) else enumerate(value)
    for key, child in children:
        yield (*path, key), child
        if isinstance(child, dict | list):
            yield from places(child, (*path, key))


def is_header(span: Span) -> bool:
    return span.key is not None and span.value < span.key


def is_implied_by_dotted_key(span: Span) -> bool:
    return span.key == span.value


def same(left: Any, right: Any) -> bool:
    return repr(left) == repr(right)  # nan is not equal to itself, and 1 == 1.0 == True


def assert_reads_as(text: str, span: Span, path: Path, value: Any) -> None:
    """Let tomllib read the piece of text that `span` marks, alone and from its key on."""
    piece = text[span.value : span.end]
    name = next(part for part in reversed(path) if isinstance(part, str))
    if is_header(span):
        assert piece.startswith("[")
        assert piece.endswith("]")
        brackets = piece[: len(piece) - len(piece.lstrip("["))]
        assert list(tomllib.loads(brackets + text[span.key : span.end])) == [name]
    elif is_implied_by_dotted_key(span):
        assert tomllib.loads(f"{piece} = 0") == {name: 0}
    else:
        assert piece == piece.strip()
        # Within an array a comment that clings to the piece would show.
        assert same(tomllib.loads(f"x = [{piece}, 0]")["x"], [value, 0])
        assert (span.key is None) == isinstance(path[-1], int)
        if span.key is not None:
            assert not text[span.key].isspace()
            assert same(tomllib.loads(text[span.key : span.end]), {name: value})


def assert_under_own_header(located: dict[Path, Span]) -> None:
    """The last header before a key is the header of the table that the key belongs to."""
    headers = sorted({span.value for span in located.values() if is_header(span)})
    for path, span in located.items():
        if span.key is None or is_header(span):
            continue
        owner = path[:-1]
        while owner and not is_header(located[owner]):
            owner = owner[:-1]
        before = [start for start in headers if start < span.key]
        assert before[-1:] == ([located[owner].value] if owner else [])


def assert_located(text: str) -> None:
    expected = dict(places(tomllib.loads(text)))
    located = locate(text)
    assert located.keys() == expected.keys()
    for path, value in expected.items():
        assert_reads_as(text, located[path], path, value)
    assert_under_own_header(located)


ODD = {
    "blanks everywhere": "  \t a \t . \t 'b' \t = \t 1 \t # c\n\t[ \t t \t . u \t ] \t # d\nx = 2",
    "no blanks anywhere": "a=1#b\n[c.d]#e\nf=[1,{g=2}]#h\n[[i]]#j\nk='l'#m",
    "keys that look like something else": """
1979-05-27 = 1
3.14 = 2
true = 3
-inf = 4
- = 5
_ = 6
nan . 07 = 7
""",
    "empty keys": """
'' = 1
[a.""]
'' = 2
[[a.''.b]]
"" = {'' = {'' = 3}, a . '' = 4}
""",
    "quoted keys with the signs of TOML in them": r"""
"a]b" = 1
'#=["' = 2
"\"=\\" = 3
["x.y]#[".'[[z]]']
"{=}" = {"," = "}", '"' = "]", ']}' = '#'}
[["b]]".'=']]
""",
    "keys with escapes": r"""
"\u0061\U0001F600\t\n" = 1
'\u0061' = 2
'ends in a backslash\' = 3
["\"]".b.'\']
c."\\" . d = '\'
""",
    "strings that hold TOML in three double quotes": r'''
a = """
[t]
b = "x" # \""" ]
"""
c = """'''
    + r"""'''"""
    + r'''"""
d = 1
''',
    "strings that hold TOML in three single quotes": r"""
a = '''
[[u]]
b = "x" # \'' ]
"""
    + '"""'
    + r"""'''
c = 1
""",
    "strings that hold TOML on one line": r"""
a = "# ] } , \" ="
b = '# ] } , " = \'
c = ["]", '[', "#", ',', "\\"] # "
d = {e = "}", f = '{', g = "\\"} # '
""",
    "strings that end in double quotes": r'''
a = """"one"""""
b = """"""
c = """\""""
d = """a""b"c\\"""
e = ["", """""", """"""", """""""", """\"""""", "\""]
f = 1
''',
    "strings that end in single quotes": r"""
a = ''''one'''''
b = ''''''
c = '''\'''
d = '''a''b'c\'''
e = ['', '''''', ''''''', '''''''', '\']
f = 1
""",
    "strings over folded lines": r'''
a = """\
    one \

    two"""
b = """
one\\
two\
  three"""
''',
    "dates and times": """
a = 1979-05-27 07:32:00
b = 1979-05-27T07:32:00Z
c = 1979-05-27 # 07:32:00
d = 1979-05-27 07:32:00.5+01:30# x
e = 07:32:00
f = [1979-05-27 07:32:00,1979-05-27 ,
1979-05-27
, 1979-05-27 07:32:00]
g = {h = 1979-05-27 07:32:00-07:00, i = 1979-05-27 , j = 1979-05-27 07:32:00}
k = 1979-05-27t07:32:00z
""",
    "numbers": """
a=[+1,-0,0xdead_beef,0o7,0b1,1e5,-1.5E-3,nan,-inf,+inf,1_000.5]
b=true#b
c=false
""",
    "arrays over several lines": """
a = [ # ]
  # [
  1, # ,

  [ ], [[],[ 2 ,],], # [[
  {b = [{c = []}]}
  , # last
]
d = []
e = [
]
""",
    "arrays that look like headers": """
a = [["b"]]
[["b"]]
c = [
["b"],
[ 1 ]
]
[d]
[["e"]]
""",
    "inline tables": """
a = {}
b = { }
c = {d.e = 1, d.f.g = {h = 2}, "i.j" . k = [{},{l={}}]}
[m]
n={o=1}
""",
    "dotted keys through several tables": """
a.b.c = 1
a.b.d.e = 2
a.f = 3
[t]
a.b = 1
a.c.d = 2
""",
    "children before their parents": """
[a.b.c]
x = 1
[a]
y = 2
[a.d]
[a.b]
z = 3
[[a.e.f]]
[a.e]
w = 4
""",
    "arrays of tables in arrays of tables": """
[[a]]
[[a.b]]
[[a.b.c]]
x = 0
[[a.b.c]]
x = 1
[[a.b]]
[[a.b.c]]
x = 2
[[a]]
[[a.b]]
x = 3
[a.b.d]
[[a.b.d.e]]
x = 4
[[z]]
[[a]]
[a.b.c]
x = 5
""",
    "an array of tables in implied tables": """
[[a.b.c]]
x = 1
[a.b.d]
y = 2
[[a.b.c]]
[a]
z = 3
[a.b]
w = 4
""",
    "elements with nothing in them": "[[a]]\n[[a]]\n[[ a ]]#\n[[a]]",
    "headers with quoted parts and blanks": """
[ "a.b" . 'c]' ] # ]
x = 1
[[ "a.b"."[d" ]] # ]]
y = 2
[[\t"a.b"\t.\t"[d"\t.\te\t]]
""",
    "both line ends": 'a = 1\r\n\n# [x]\r\n[b]\nc = """\r\nd\n"""\r\n#',
    "a lone comment sign at the end": "a = 'x'#",
    "characters that end a line elsewhere": 'a = "\u2028\x85"\n["\u2028"]\nb = 1 # \u2028 c = 1',
    "characters beyond the first plane": 'a = "😀"\n"😀" = "e\u0301"\n["é".\'😀\']\n',
}


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["LF", "CR LF"])
@pytest.mark.parametrize("text", ODD.values(), ids=ODD.keys())
def test_an_odd_document_is_located(text, line_end):
    assert_located(text.replace("\n", line_end) if "\r" not in text else text)


@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ("{a=", "}")])
def test_what_is_not_too_deep_for_tomllib_is_not_too_deep_here(opening, closing):
    text = "x = 0"
    for depth in range(50, 1000, 50):
        deeper = "x = " + opening * depth + "0" + closing * depth
        try:
            tomllib.loads(deeper)
        except RecursionError:
            break
        text = deeper
    assert len(locate(text)) == text.count(opening) + 1 > 100


SIGNS = "\"'\\\n\r\t[]{}#=,. a"
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
zones = st.integers(-23 * 60, 23 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
scalars = st.one_of(
    words,
    st.text(alphabet=SIGNS, max_size=12),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(),
    st.booleans(),
    st.dates(),
    st.times(),
    st.datetimes(timezones=st.none() | st.just(UTC) | zones),
)
names = st.sampled_from(["a", "b", "a.b", "]", "", "#", "="]) | words
documents = st.dictionaries(
    names,
    st.recursive(
        scalars,
        lambda inner: (
            st.lists(inner, max_size=4)
            | st.dictionaries(names, inner, max_size=4)
            | st.lists(st.dictionaries(names, inner, max_size=3), min_size=1, max_size=3)
        ),
        max_leaves=20,
    ),
    max_size=6,
)


@settings(max_examples=300, deadline=None)
@given(documents, st.booleans())
def test_whatever_a_machine_writes_is_located(document, multiline):
    assert_located(tomli_w.dumps(document, multiline_strings=multiline))


BARE = frozenset(string.ascii_letters + string.digits + "-_")
BARE_NAMES = ["tag", "x-1", "2", "unit", "true", "-"]
QUOTED_NAMES = ["per hour", "a.b", "]", "[[q]]", "#", "k = v", '"', "'", "\\", "é", "😀", ""]
BLANKS = ["", " ", "\t", "   "]
LINE_ENDS = ["\n", "\r\n", "\n\n", " # [no] = 'table'\n", ' #"""\r\n', "\n\t# x = 1 ]\n"]
NUMBERS = ["0", "-17", "0x1F", "1_000", "6.5", "1e-3", "inf", "nan", "true", "false"]
DAYS = ["2026-03-01", "07:30:00", "2026-03-01T07:30:00Z"]
SPACED_DAYS = ["2026-03-01 07:30:00", "2026-03-01 07:30:00.25+01:00", "2026-03-01 07:30:00z"]
BASIC = ['""', '"# ] } , ="', '"\\""', '"\\\\"', '"\\u00e9😀"', "\"'''\""]
LITERAL = ["''", "'\\'", "'[\"]'", "'# ] } , ='", '\'"""\'']
FOLDED = [
    '""""""',
    '"""a""b"""',
    '"""""a"""""',
    '"""\n[t]\nk = 1 # ]\n"""',
    '"""\\\r\n } \\""" """',
]
VERBATIM = ["''''''", "''''a'''''", "'''\r\n[[t]]\n\"\"\"\\'''", "'''# }\n, ] ='''"]
WRITTEN_SCALARS = [NUMBERS, DAYS, SPACED_DAYS, BASIC, LITERAL, FOLDED, VERBATIM]


class Hand:
    """Writes one legal document, each time in another style, and never the same key twice."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw

    def pick(self, choices: list[Any]) -> Any:
        return self.draw(st.sampled_from(choices))

    def chance(self) -> bool:
        return self.draw(st.booleans())

    def blank(self) -> str:
        return self.pick(BLANKS)

    def names(self, most: int) -> list[str]:
        choices = st.sampled_from(BARE_NAMES) | st.sampled_from(QUOTED_NAMES)
        return self.draw(st.lists(choices, unique=True, max_size=most))

    def key(self, *parts: str) -> str:
        return f"{self.blank()}.{self.blank()}".join(self.key_part(part) for part in parts)

    def key_part(self, name: str) -> str:
        escaped = name.replace("\\", "\\\\").replace('"', '\\"')
        coded = "".join(f"\\U{ord(character):08x}" for character in name)
        styles = [f'"{escaped}"', f'"{coded}"']
        if "'" not in name:
            styles.append(f"'{name}'")
        if name and BARE.issuperset(name):
            styles.append(name)
        return self.pick(styles)

    def value(self, depth: int) -> str:
        form = self.pick(["scalar", "scalar", "array", "table"]) if depth else "scalar"
        if form == "array":
            return self.array(depth - 1)
        if form == "table":
            pairs = self.pairs(self.names(3), depth - 1)
            return "{" + ",".join(self.blank() + pair + self.blank() for pair in pairs) + "}"
        return self.pick(self.pick(WRITTEN_SCALARS))

    def array(self, depth: int) -> str:
        gaps = LINE_ENDS if self.chance() else BLANKS
        items = [
            self.pick(gaps) + self.value(depth) + self.pick(gaps)
            for _ in range(self.pick([0, 1, 2, 3]))
        ]
        trailing = "," if items and self.chance() else ""
        return "[" + ",".join(items) + trailing + self.pick(gaps) + "]"

    def pairs(self, names: list[str], depth: int) -> list[str]:
        """One `name = value` for each name, or several `name.child = value`, shuffled."""
        keys = []
        for name in names:
            children = self.names(3) if self.chance() else []
            keys.extend([(name, child) for child in children] or [(name,)])
        written = [
            f"{self.key(*key)}{self.blank()}={self.blank()}{self.value(depth)}" for key in keys
        ]
        return self.draw(st.permutations(written))

    def body(self, names: list[str]) -> str:
        pairs = self.pairs(names, depth=2)
        return "".join(self.blank() + pair + self.pick(LINE_ENDS) for pair in pairs)

    def header(self, path: tuple[str, ...], brackets: int) -> str:
        inside = self.blank() + self.key(*path) + self.blank()
        return self.blank() + "[" * brackets + inside + "]" * brackets + self.pick(LINE_ENDS)

    def sections(self, path: tuple[str, ...], names: list[str], depth: int) -> str:
        """For each name a table or an array of tables below `path`, in any order."""
        if depth == 0:
            return ""
        written = []
        for name in names:
            inner = (*path, name)
            if self.chance():
                written.append(self.table(inner, depth - 1))
            else:
                elements = [self.element(inner, depth - 1) for _ in range(self.pick([1, 2]))]
                written.append("".join(elements))
        return "".join(self.draw(st.permutations(written)))

    def table(self, path: tuple[str, ...], depth: int) -> str:
        names = self.names(4)
        own = self.header(path, 1) + self.body(names[:2])
        below = self.sections(path, names[2:], depth)
        # A table may also follow its children, or be implied by them.
        return self.pick([own + below, below + own, below]) if below else own

    def element(self, path: tuple[str, ...], depth: int) -> str:
        names = self.names(4)
        own = self.header(path, 2) + self.body(names[:2])
        return own + self.sections(path, names[2:], depth)


@st.composite
def written_by_hand(draw: st.DrawFn) -> str:
    hand = Hand(draw)
    names = hand.names(5)
    text = hand.body(names[:2]) + hand.sections((), names[2:], depth=3)
    return text.rstrip("\r\n") if hand.chance() else text


@settings(max_examples=300, deadline=None)
@given(written_by_hand())
def test_whatever_a_hand_writes_is_located(text):
    assert_located(text)
