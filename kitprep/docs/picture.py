"""The picture for the README: the day screen on the demo's second day, drawn by the program."""

import re
import tempfile
from pathlib import Path

from kitprep.bundled import demo_plan
from kitprep.docs.playing import WHO
from kitprep.docs.screens import CELL, Visit, picture

SIZE = (100, 30)

_FONT_FACE = re.compile(r"\s*@font-face \{.*?\}", re.DOTALL)
_COMMENT = re.compile(r"\s*<!--.*?-->", re.DOTALL)
_OWN_NAME = re.compile(r"terminal-\d+")
_BLANK = "&#160;"
_TEXT = re.compile(
    r'<text class="(?P<name>[^"]*)" x="(?P<x>[\d.]+)" y="(?P<y>[\d.]+)" '
    r'textLength="(?P<length>[\d.]+)"(?P<clip>[^>]*)>'
    rf"(?P<before>(?:{_BLANK})*)(?P<words>.*?)(?P<after>(?:{_BLANK})*)</text>"
)


def day_picture() -> str:
    """The picture as SVG that needs nothing from anywhere."""
    with tempfile.TemporaryDirectory() as folder:
        ledger = f"sqlite:///{Path(folder) / 'ledger.db'}"
        return standing_alone(picture(Visit(demo_plan(2), ledger, WHO, size=SIZE)))


def standing_alone(svg: str) -> str:
    """Without fonts from elsewhere, and drawn alike by programs that drop a text's outer blanks."""
    for pattern in (_FONT_FACE, _COMMENT):
        svg = pattern.sub("", svg)
    svg = _OWN_NAME.sub("screen", svg)
    svg = svg.replace("font-family: Fira Code, monospace", "font-family: ui-monospace, monospace")
    svg = svg.replace("font-family: arial", "font-family: sans-serif")
    lines = _TEXT.sub(_without_outer_blanks, svg).splitlines()
    return "\n".join(line.rstrip() for line in lines if line.strip()) + "\n"


def _without_outer_blanks(text: re.Match[str]) -> str:
    if not text["words"]:
        return ""
    before, after = (len(text[side]) // len(_BLANK) for side in ("before", "after"))
    x = float(text["x"]) + before * CELL
    length = float(text["length"]) - (before + after) * CELL
    return (
        f'<text class="{text["name"]}" x="{x:g}" y="{text["y"]}" textLength="{length:g}"'
        f"{text['clip']}>{text['words']}</text>"
    )
