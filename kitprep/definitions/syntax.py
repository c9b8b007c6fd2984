"""What is wrong with a text that is not TOML, in the words of someone who never heard of TOML."""

import re
import tomllib

from kitprep.definitions.locator import line_column, toml_error_position
from kitprep.definitions.text import shown

_CURLY = "“”„‟‘’‚«»"
_TIME = re.compile(r"=\s*([0-9]{1,2}:[0-9]{2})\b(?!:)")
_DECIMAL_COMMA = re.compile(r"=\s*(-?[0-9]+),([0-9]+)\s*(?:[#,}]|$)")
_DATE = re.compile(r"=\s*([0-9]{1,4}[./-] ?[0-9]{1,2}[./-] ?[0-9]{2,4})\b")
_WORDS = re.compile(r"[^#,\]}\r\n\"']+")

_NEVER_CLOSED = ("Unterminated string", "Expected \"'")
"""tomllib notices these at the end of the text."""

_BY_REASON: tuple[tuple[tuple[str, ...], str], ...] = (
    (
        ("Expected newline",),
        "nothing may follow a value in its line; write text in quotes, and one key a line",
    ),
    (
        ("Cannot overwrite a value", "Duplicate inline table key"),
        "this key or header is in its table already; take one of the two out",
    ),
    (
        ("Cannot declare",),
        "this header is here already; write [[…]] where there may be several, or take it out",
    ),
    (
        ("Cannot mutate", "Cannot redefine"),
        "this adds to what is written whole already; write it in one place",
    ),
    (("Expected ']",), "this header is not closed; write [name], or [[name]]"),
    (("Expected '='",), "this key has no value; write key = value"),
    (
        ("Invalid statement",),
        "neither a key nor a header starts here; write key = value, or [[header]]",
    ),
    (("Invalid initial character",), "a key is missing here; write key = value"),
    (("Unclosed",), "a comma or a closing bracket is missing before this; write it"),
    (_NEVER_CLOSED, "quotes are opened here and never closed; close them"),
    (
        ("Illegal character '\\n'", "Found invalid character '\\n'"),
        "quotes are opened in this line and not closed; close them",
    ),
    (
        ("Illegal character", "Found invalid character"),
        "an invisible control character stands here; delete it",
    ),
    (
        ("Unescaped", "Invalid hex value", "Escaped character"),
        "a backslash stands for something else here; write two where you mean one",
    ),
    (("Invalid date",), "there is no such day or time; write a date as 2027-03-14"),
    (
        ("Invalid value",),
        "a value is missing here; write text in quotes, a number, true or false, or a list",
    ),
)
"""How what tomllib says starts, and what a person needs to hear; the first that fits counts."""

_AFTER_THE_FACT = ("Cannot", "Duplicate")
"""tomllib notices these behind the value; the line's start is where a person looks."""


def not_toml(text: str, error: tomllib.TOMLDecodeError) -> tuple[str, tuple[int, int]]:
    """What is wrong and what to write, and the line and column of it."""
    line, column = toml_error_position(error) or line_column(text, len(text.rstrip()))
    written = text.split("\n")[line - 1]
    reason = str(error).rpartition(" (at ")[0] or str(error)
    if reason.startswith(_AFTER_THE_FACT):
        column = len(written) - len(written.lstrip()) + 1
    if reason.startswith(_NEVER_CLOSED):
        # No other quote follows, or it would have closed these.
        line, column = line_column(text, max(text.rfind('"'), text.rfind("'")))
    message, column = _known_slip(written, column, reason) or (_in_plain_words(reason), column)
    return message, (line, column)


def _in_plain_words(reason: str) -> str:
    return next(
        (words for starts, words in _BY_REASON if reason.startswith(starts)),
        f"this is not TOML, {reason[:1].lower()}{reason[1:]}; put the line right",
    )


def _known_slip(written: str, column: int, reason: str) -> tuple[str, int] | None:
    """The slips that every crew makes once, and the column of each."""
    here = written[column - 1 :]
    if here and here[0] in _CURLY:
        return 'these quotes are curly; write straight ones, "…"', column
    if reason.startswith(("Expected newline", "Expected '='")):
        if day := _DATE.search(written):
            return "a date stands year first, with hyphens; write 2027-03-14", day.start(1) + 1
        if time := _TIME.search(written):
            return f'a time stands in quotes; write "{time[1]:0>5}"', time.start(1) + 1
        if number := _DECIMAL_COMMA.search(written):
            shorter = f"{number[1]}.{number[2]}"
            return f"a number has a point, not a comma; write {shorter}", number.start(1) + 1
    if reason.startswith("Invalid value") and here[:1].isalpha():
        words = _WORDS.match(here)
        word = words[0].strip() if words else ""
        if word.lower() in ("true", "false"):
            return f"{word} is written small; write {word.lower()}", column
        return f"text stands in quotes; write {shown(word)}", column
    return None
