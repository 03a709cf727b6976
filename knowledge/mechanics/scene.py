"""What a picture shows, before anybody draws it: shapes in millimetres, y upwards, one description for every
renderer.

A scene of the table uses the layout frame (x across 0-1778, y along 0-3569 from the baulk cushion). Other
scenes say what their axes are in ``words``, which is also the text for people who cannot see the picture.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Role = Literal[
    "white", "object", "red", "yellow", "green", "brown", "blue", "pink", "black", "mark", "block", "ghost"
]
Ink = Literal["cushion", "marking", "white path", "object path", "aim", "zone", "warning", "body", "cue"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Disc:
    """A ball, mark or blocker: centre and radius in mm; label is drawn beside it."""

    x: float
    y: float
    radius: float
    role: Role
    label: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points in mm."""

    points: tuple[Point, ...]
    ink: Ink
    dashed: bool = False
    arrow: bool = False


@dataclass(frozen=True, slots=True)
class Zone:
    """A closed area in mm: a landing zone or a margin."""

    points: tuple[Point, ...]
    ink: Ink = "zone"


@dataclass(frozen=True, slots=True)
class Note:
    """Words at a place; at says which end of the words stands there."""

    x: float
    y: float
    text: str
    at: Literal["start", "middle", "end"] = "start"


Item = Disc | Line | Zone | Note


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything a renderer needs. left, bottom, right, top: the piece shown, in mm.

    words: what the picture says, one sentence a line. table: the frame is the table's.
    """

    title: str
    left: float
    bottom: float
    right: float
    top: float
    items: tuple[Item, ...] = ()
    words: tuple[str, ...] = field(default=())
    table: bool = False

    @property
    def width(self) -> float:
        """Millimetres across."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Millimetres upwards."""
        return self.top - self.bottom
