"""The floor template for the feet: true size on A4 sheets to tape together, or by tape alone.

Three equal lengths make 60 degrees: one along the line of shot from the back heel, and one from each of its
ends to the mark. The same length on the other side of the line gives the front heel. Shoulder breadth as the
length and 60 degrees for the back foot's line are common practice, no source: a starting shape; build, knees
and back decide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal

from journal.sharing.pictures import pdf
from knowledge.mechanics.inputs import within
from knowledge.mechanics.scene import Disc, Item, Line, Note, Point, Scene

Hand = Literal["right", "left"]
PAGE = (210.0, 297.0)
EDGE = 10.0
OVERLAP = 10.0
AROUND = 20.0


@dataclass(frozen=True, slots=True)
class Template:
    """Marks in mm; the line of shot is the y axis, towards the table.

    heel: back heel on the line. ahead: end of the tape along the line. toes: third corner, on the line of the
    back foot. front: front heel. tape: the three lengths of the triangle heel-ahead, heel-toes, ahead-toes.
    """

    heel: Point
    ahead: Point
    toes: Point
    front: Point
    tape: tuple[float, float, float]

    @property
    def angle_deg(self) -> float:
        """Angle at the back heel, by the law of cosines from the three tapes."""
        along, foot, across = self.tape
        return math.degrees(math.acos((along**2 + foot**2 - across**2) / (2 * along * foot)))

    @property
    def spacing(self) -> float:
        """Distance of the heels, mm."""
        return math.dist(self.heel, self.front)


def template(shoulders: float, hand: Hand = "right") -> Template:
    """The template for a shoulder breadth in mm. Raises: ImpossibleInput outside 220 to 560 mm."""
    within("shoulder breadth", shoulders, 220.0, 560.0, "mm")
    side = 1 if hand == "right" else -1
    # Where two circles of one radius about heel and ahead cross: half-way up the line, sqrt(3)/2 to the side.
    out, up = side * shoulders * math.sqrt(3) / 2, shoulders / 2
    heel, ahead, toes, front = (0.0, 0.0), (0.0, shoulders), (out, up), (-out, up)
    tape = (math.dist(heel, ahead), math.dist(heel, toes), math.dist(ahead, toes))
    return Template(heel, ahead, toes, front, tape)


def steps(marks: Template) -> tuple[str, ...]:
    """How to lay it out with tape alone."""
    length = f"{marks.tape[0]:.0f} mm"
    return (
        f"Cut one strip of tape or string to {length}: your shoulder breadth.",
        "Lay the line of shot on the floor and mark your back heel on it (A).",
        "From A along the line towards the table, one length: B.",
        "One length from A and one from B, on the back foot's side: C. Three equal lengths: A-C lies "
        "60 degrees "
        "off the line.",
        "The same on the other side: D, for the front heel, one length from A.",
        "Back foot on A along A-C, front heel on D with the foot about along the line of shot.",
        "A starting shape only: change it if knees, hips or back complain, and take the tape off afterwards.",
    )


def template_scene(marks: Template) -> Scene:
    """The template as one picture, with its marks named."""
    named = (("A", marks.heel), ("B", marks.ahead), ("C", marks.toes), ("D", marks.front))
    items: list[Item] = [
        Line(((0, -AROUND), (0, marks.ahead[1] + AROUND)), "cushion"),
        Line((marks.heel, marks.toes), "object path"),
        Line((marks.ahead, marks.toes), "aim", dashed=True),
        Line((marks.heel, marks.front), "aim", dashed=True),
        Line((marks.ahead, marks.front), "aim", dashed=True),
        *(Disc(*p, 5.0, "mark") for _, p in named),
        *(Note(p[0] + 9, p[1] + 9, name) for name, p in named),
    ]
    reach = abs(marks.toes[0]) + AROUND
    return Scene(
        "Floor template", -reach, -AROUND, reach, marks.ahead[1] + AROUND, tuple(items), steps(marks)
    )


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet: row and column from the lower left, and the template point at its printed corner, mm."""

    row: int
    column: int
    left: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Tiling:
    """Sheets of one size (mm) that carry something of the scene, out of rows times columns."""

    width: float
    height: float
    rows: int
    columns: int
    sheets: tuple[Tile, ...]


def tiling(scene: Scene) -> Tiling:
    """Upright or lying sheets at true size, overlapping by 10 mm, whichever needs fewer."""
    return min((_tiling(scene, *size) for size in (PAGE, PAGE[::-1])), key=lambda t: len(t.sheets))


def _tiling(scene: Scene, width: float, height: float) -> Tiling:
    wide, high = width - 2 * EDGE, height - 2 * EDGE
    columns = max(1, math.ceil((scene.width - OVERLAP) / (wide - OVERLAP)))
    rows = max(1, math.ceil((scene.height - OVERLAP) / (high - OVERLAP)))
    grid = (
        Tile(r, c, scene.left + c * (wide - OVERLAP), scene.bottom + r * (high - OVERLAP))
        for r in range(rows)
        for c in range(columns)
    )
    return Tiling(width, height, rows, columns, tuple(t for t in grid if _carries(scene, t, wide, high)))


def _carries(scene: Scene, tile: Tile, wide: float, high: float) -> bool:
    for item in scene.items:
        if isinstance(item, Line):
            for x, y in _along(item.points):
                if tile.left <= x <= tile.left + wide and tile.bottom <= y <= tile.bottom + high:
                    return True
    return False


def _along(points: tuple[Point, ...]) -> Iterator[Point]:
    for (ax, ay), (bx, by) in pairwise(points):
        parts = max(1, math.ceil(math.dist((ax, ay), (bx, by)) / 5))
        for i in range(parts + 1):
            yield ax + (bx - ax) * i / parts, ay + (by - ay) * i / parts


def write_template(marks: Template, path: Path) -> int:
    """Write the guide page and the true-size sheets; returns the number of pages. Raises: CannotWrite."""
    from reportlab.pdfgen.canvas import Canvas

    scene = template_scene(marks)
    plan = tiling(scene)
    canvas = Canvas(str(path), invariant=1)
    canvas.setTitle(scene.title)
    guide = replace(scene, words=(*scene.words, _joining(plan)))
    sheet = pdf.sheet_for(guide)
    canvas.setPageSize((sheet.width * pdf.POINT, sheet.height * pdf.POINT))
    pdf.draw_scene(canvas, guide, sheet)
    canvas.showPage()
    for tile in plan.sheets:
        canvas.setPageSize((plan.width * pdf.POINT, plan.height * pdf.POINT))
        _sheet(canvas, scene, plan, tile)
        canvas.showPage()
    pdf.save(canvas, path)
    return len(plan.sheets) + 1


def _joining(plan: Tiling) -> str:
    return (
        "Print at 100 % (no fitting to the page), check the 100 mm ruler on each sheet, lay the "
        "sheets out as "
        f"{plan.rows} rows of {plan.columns} with crosses on crosses, and tape them together. Empty "
        "sheets are left out."
    )


def _sheet(canvas: Any, scene: Scene, plan: Tiling, tile: Tile) -> None:
    """One sheet at true size. Lines are drawn whole and clipped, so their ends stand in the file whatever the
    sheet.
    """
    wide, high = plan.width - 2 * EDGE, plan.height - 2 * EDGE
    left, bottom = EDGE - (tile.left - scene.left), EDGE - (tile.bottom - scene.bottom)
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(EDGE * pdf.POINT, EDGE * pdf.POINT, wide * pdf.POINT, high * pdf.POINT)
    canvas.clipPath(window, stroke=0, fill=0)
    pdf.draw_items(canvas, scene, pdf.Sheet(plan.width, plan.height, 1.0, left, bottom))
    canvas.restoreState()
    _crosses(canvas, wide, high)
    pdf.scale_bar(canvas, EDGE + 12, EDGE + 3, 100.0)
    label = (
        f"row {tile.row + 1} of {plan.rows} from the bottom, column {tile.column + 1} of {plan.columns} "
        "from the left; ruler 100 mm"
    )
    pdf.words_at(canvas, EDGE + 12, EDGE + 8, label, 8)


def _crosses(canvas: Any, wide: float, high: float) -> None:
    """Crosses in the middle of the overlaps: they lie on each other when the sheets are joined."""
    canvas.setStrokeColor("#555555")
    canvas.setLineWidth(0.2 * pdf.POINT)
    for x in (EDGE + OVERLAP / 2, EDGE + wide - OVERLAP / 2):
        for y in (EDGE + OVERLAP / 2, EDGE + high - OVERLAP / 2):
            canvas.line((x - 4) * pdf.POINT, y * pdf.POINT, (x + 4) * pdf.POINT, y * pdf.POINT)
            canvas.line(x * pdf.POINT, (y - 4) * pdf.POINT, x * pdf.POINT, (y + 4) * pdf.POINT)
