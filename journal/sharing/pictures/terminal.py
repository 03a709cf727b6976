"""A scene as terminal text: braille dots for lines, one letter a ball in the cell that holds its centre.

A cell is two dots wide and four high and about twice as high as wide, so dots are nearly square and one scale
serves both ways. A table is laid on its side, baulk at the left, so that it fills 80 columns in 23 rows.
"""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass
from itertools import pairwise

from journal.sharing.pictures.inks import BALLS, LETTERS, LINES
from knowledge.mechanics.scene import Disc, Line, Note, Point, Role, Scene, Zone

_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
DASH = 3
_NAMES: dict[Role, str] = {
    "object": "object ball",
    "block": "blocker",
    "ghost": "white at contact or at rest",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One character and its colour as #rrggbb, None for the terminal's own."""

    char: str
    colour: str | None


@dataclass(frozen=True, slots=True)
class Picture:
    """Rows of cells, all the same width."""

    rows: tuple[tuple[Cell, ...], ...]

    def text(self) -> str:
        """Plain characters, one line a row, no blanks at line ends."""
        return "\n".join("".join(cell.char for cell in row).rstrip() for row in self.rows)


class _Canvas:
    """Braille dots and letters over them; one colour a cell, the last one drawn."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.bits = [0] * (columns * rows)
        self.colours: list[str | None] = [None] * (columns * rows)
        self.letters: dict[int, tuple[str, str | None]] = {}

    def dot(self, x: int, y: int, colour: str | None) -> None:
        if 0 <= x < 2 * self.columns and 0 <= y < 4 * self.rows:
            cell = (y >> 2) * self.columns + (x >> 1)
            self.bits[cell] |= _BITS[y & 3][x & 1]
            self.colours[cell] = colour

    def letter(self, x: int, y: int, char: str, colour: str | None) -> None:
        if 0 <= x < self.columns and 0 <= y < self.rows:
            self.letters[y * self.columns + x] = (char, colour)

    def line(self, a: Point, b: Point, colour: str | None, dashed: bool, gone: int) -> int:
        """Dots from a to b; gone counts dots so that dashes run on over corners."""
        steps = max(1, math.ceil(max(abs(b[0] - a[0]), abs(b[1] - a[1]))))
        dx, dy = (b[0] - a[0]) / steps, (b[1] - a[1]) / steps
        for i in range(steps + 1):
            if not dashed or (gone + i) // DASH % 2 == 0:
                self.dot(math.floor(a[0] + dx * i), math.floor(a[1] + dy * i), colour)
        return gone + steps

    def picture(self) -> Picture:
        cells = [
            Cell(*self.letters[i])
            if i in self.letters
            else Cell(chr(0x2800 + bit) if bit else " ", self.colours[i])
            for i, bit in enumerate(self.bits)
        ]
        return Picture(
            tuple(tuple(cells[r * self.columns : (r + 1) * self.columns]) for r in range(self.rows))
        )


@dataclass(frozen=True, slots=True)
class View:
    """How scene millimetres become dots. sideways: the scene's x runs down and its y runs to the right."""

    left: float
    top: float
    scale: float
    sideways: bool

    def dot(self, point: Point) -> Point:
        """Place in dots, fractions kept."""
        x, y = point
        if self.sideways:
            return (y - self.top) * self.scale, (x - self.left) * self.scale
        return (x - self.left) * self.scale, (self.top - y) * self.scale

    def cell(self, point: Point) -> tuple[int, int]:
        """Column and row of the cell that holds a point."""
        x, y = self.dot(point)
        return math.floor(x / 2), math.floor(y / 4)


def view_of(scene: Scene, columns: int, rows: int | None = None) -> tuple[View, int]:
    """The view that fits the scene into columns (and rows, if given), and the rows it takes."""
    sideways = scene.table or scene.height > 1.4 * scene.width
    across, down = (scene.height, scene.width) if sideways else (scene.width, scene.height)
    scale = 2 * columns / across
    if rows is not None:
        scale = min(scale, 4 * rows / down)
    used = max(1, math.ceil(down * scale / 4 - 1e-9))
    return View(scene.left, scene.bottom if sideways else scene.top, scale, sideways), used


def draw(scene: Scene, columns: int = 80, rows: int | None = None) -> Picture:
    """The scene in that many columns; rows limits the height too."""
    view, used = view_of(scene, columns, rows)
    canvas = _Canvas(columns, used)
    for item in scene.items:
        match item:
            case Zone():
                outline = (*item.points, item.points[0])
                _polyline(canvas, view, outline, LINES[item.ink].colour, False)
            case Line():
                _polyline(canvas, view, item.points, LINES[item.ink].colour, item.dashed)
            case Disc():
                _disc(canvas, view, item)
            case Note():
                _note(canvas, view, item)
    return canvas.picture()


def _polyline(canvas: _Canvas, view: View, points: tuple[Point, ...], colour: str, dashed: bool) -> None:
    dots = [view.dot(p) for p in points]
    gone = 0
    for a, b in pairwise(dots):
        gone = canvas.line(a, b, colour, dashed, gone)


def _disc(canvas: _Canvas, view: View, item: Disc) -> None:
    radius = item.radius * view.scale
    colour = BALLS[item.role] if item.role != "ghost" else LINES["white path"].colour
    x, y = view.dot((item.x, item.y))
    if radius >= 4:
        steps = max(24, math.ceil(7 * radius))
        for i in range(steps):
            turn = 2 * math.pi * i / steps
            canvas.dot(
                math.floor(x + radius * math.cos(turn)), math.floor(y + radius * math.sin(turn)), colour
            )
    column, row = view.cell((item.x, item.y))
    taken = canvas.letters.get(row * canvas.columns + column)
    # A spot or a ghost never hides a ball that lies there.
    if (
        item.role in ("mark", "ghost")
        and taken is not None
        and taken[0] not in (LETTERS["mark"], LETTERS["ghost"])
    ):
        return
    canvas.letter(column, row, LETTERS[item.role], colour)


def _note(canvas: _Canvas, view: View, item: Note) -> None:
    column, row = view.cell((item.x, item.y))
    column -= {"start": 0, "middle": len(item.text) // 2, "end": len(item.text)}[item.at]
    column = max(0, min(column, canvas.columns - len(item.text)))
    for i, char in enumerate(item.text):
        canvas.letter(column + i, min(max(row, 0), canvas.rows - 1), char, None)


def legend(scene: Scene) -> str:
    """The letters used, in words: "W white  R red"."""
    seen = dict.fromkeys(i.role for i in scene.items if isinstance(i, Disc) and i.role != "mark")
    return "  ".join(f"{LETTERS[role]} {_NAMES.get(role, role)}" for role in seen)


def page(scene: Scene, columns: int = 80, rows: int | None = None) -> str:
    """Title, picture, legend and words, as the command line prints them."""
    words = (textwrap.fill(line, columns, subsequent_indent="  ") for line in scene.words)
    parts = [scene.title, draw(scene, columns, rows).text(), textwrap.fill(legend(scene), columns), *words]
    return "\n".join(part for part in parts if part)
