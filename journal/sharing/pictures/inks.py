"""Colours of balls and lines, one table for every renderer.

Fills are light enough to print and each kind of line also differs by dash or width, so nothing rests on
colour alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from knowledge.mechanics.scene import Ink, Role


@dataclass(frozen=True, slots=True)
class Look:
    """Colour as #rrggbb, width in millimetres on paper, and the dash in millimetres (empty for a full
    line).
    """

    colour: str
    width: float
    dash: tuple[float, ...] = ()


PAPER = "#ffffff"
CLOTH = "#eaf3ea"

BALLS: dict[Role, str] = {
    "white": "#ffffff",
    "object": "#d9534f",
    "red": "#c8322d",
    "yellow": "#e6c200",
    "green": "#1f7a3d",
    "brown": "#7a4a21",
    "blue": "#2458b8",
    "pink": "#e58fb0",
    "black": "#1c1c1c",
    "mark": "#8a8a8a",
    "block": "#9a9a9a",
    "ghost": "none",
}

LETTERS: dict[Role, str] = {
    "white": "W",
    "object": "O",
    "red": "R",
    "yellow": "Y",
    "green": "G",
    "brown": "N",
    "blue": "B",
    "pink": "P",
    "black": "K",
    "mark": "·",
    "block": "X",
    "ghost": "o",
}

LINES: dict[Ink, Look] = {
    "cushion": Look("#2d5a3d", 0.5),
    "marking": Look("#7d9c86", 0.25),
    "white path": Look("#1a1a1a", 0.45),
    "object path": Look("#b03030", 0.35),
    "aim": Look("#4a5a78", 0.3),
    "zone": Look("#a86a00", 0.3),
    "warning": Look("#b00020", 0.5),
    "body": Look("#5a4a3a", 0.6),
    "cue": Look("#8a5a20", 0.5),
}

FILLS: dict[Ink, str] = {"zone": "#f6dfae", "aim": "#d5dcec", "warning": "#f3c2c8", "cushion": "#3c4a40"}
"""Fill of a closed area by ink; an ink without one is only outlined."""
