"""Our two themes, dark and light. Each role stands out on its ground by 4.5 to 1 or more.

Colour is the third cue only: every state is a glyph and a word first.
"""

from textual.theme import Theme

DARK = Theme(
    name="kitprep-dark",
    dark=True,
    primary="#8ecbff",
    secondary="#9fb4c8",
    accent="#f0c060",
    foreground="#e8e8e6",
    background="#0c1016",
    surface="#141a22",
    panel="#1b232d",
    success="#7fd88f",
    warning="#f0c060",
    error="#ff9a94",
    variables={
        "kp-dim": "#9aa5b1",
        "kp-good": "#7fd88f",
        "kp-warn": "#f0c060",
        "kp-bad": "#ff9a94",
        "kp-head": "#8ecbff",
        "kp-key": "#ffffff",
        "kp-bar": "#86b4de",
        "kp-cursor": "#253850",
    },
)

LIGHT = Theme(
    name="kitprep-light",
    dark=False,
    primary="#0b4a86",
    secondary="#3d5064",
    accent="#7a4b00",
    foreground="#1a1c1e",
    background="#fbfaf7",
    surface="#f1efea",
    panel="#e7e4dd",
    success="#14602b",
    warning="#754800",
    error="#a01818",
    variables={
        "kp-dim": "#505962",
        "kp-good": "#14602b",
        "kp-warn": "#754800",
        "kp-bad": "#a01818",
        "kp-head": "#0b4a86",
        "kp-key": "#000000",
        "kp-bar": "#2f5f92",
        "kp-cursor": "#d5e2f0",
    },
)

THEMES = (DARK, LIGHT)
