"""How each state is written: a glyph, a word, and a role as the third cue."""

from collections.abc import Mapping

from kitprep.reports.packing import GLYPHS
from kitprep.tui.drawing.lines import Role

Mark = tuple[str, str, Role]

PACK: Mapping[str, Mark] = {
    "todo": (GLYPHS["todo"], "to do", ""),
    "packed": (GLYPHS["packed"], "packed", "good"),
    "part": (GLYPHS["part"], "part", "warn"),
    "skipped": (GLYPHS["skipped"], "left out", "warn"),
    "short": (GLYPHS["short"], "short", "bad"),
}

CHECK: Mapping[str, Mark] = {
    "open": ("[ ]", "open", ""),
    "as planned": ("[x]", "as planned", "good"),
    "differs": ("[!]", "differs", "bad"),
    "unverified": ("[?]", "unverified", "warn"),
    "ask again": ("[~]", "ask again", "warn"),
}

WRAP: Mapping[str, Mark] = {
    "out": ("[ ]", "out", ""),
    "part": ("[~]", "part", "warn"),
    "back": ("[x]", "back", "good"),
    "with": ("[>]", "with", "warn"),
    "not seen": ("[!]", "not seen", "bad"),
    "look at": ("[*]", "look at", "warn"),
    "surplus": ("[!]", "surplus", "bad"),
    "doubtful": ("[?]", "doubtful", "bad"),
}

CARDS: Mark = ("[~]", "cards", "warn")
"""Cards that are back, and still to be copied, verified or formatted."""

STAGES: Mapping[str, str] = {
    "planned": "planned",
    "packing": "packing",
    "packed": "packed",
    "out": "gone out",
    "returned": "all returned",
    "closed": "closed",
}
