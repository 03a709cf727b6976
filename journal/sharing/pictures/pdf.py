"""A scene as a PDF page on A4, to one of the usual scales, with the scale written and a bar to check it.

Distances on paper are scene millimetres over the scale; y runs upwards in both. The font is the open one that
comes with reportlab, embedded.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from journal.errors import CannotWrite
from journal.sharing.pictures.inks import BALLS, CLOTH, FILLS, LINES
from knowledge.mechanics.scene import Disc, Line, Note, Point, Scene, Zone

SHORT, LONG = 210.0, 297.0
MARGIN = 15.0
WORDS_HEIGHT = 6.0
SCALES = (
    0.2,
    0.25,
    0.5,
    1.0,
    1.5,
    2.0,
    2.5,
    3.0,
    4.0,
    5.0,
    6.0,
    8.0,
    10.0,
    12.5,
    15.0,
    18.0,
    20.0,
    25.0,
    50.0,
    100.0,
)
FONT = "Vera"
POINT = 72 / 25.4


@dataclass(frozen=True, slots=True)
class Sheet:
    """Paper size in mm, scale (scene mm for one paper mm), and where the scene's lower left corner lies on
    paper.
    """

    width: float
    height: float
    scale: float
    left: float
    bottom: float

    def place(self, scene: Scene, point: Point) -> Point:
        """A scene point in mm on paper, from the lower left corner of the page."""
        return self.left + (point[0] - scene.left) / self.scale, self.bottom + (
            point[1] - scene.bottom
        ) / self.scale


def sheet_for(scene: Scene) -> Sheet:
    """The upright or lying A4 page on which the scene is largest at a usual scale, words below it."""
    lines = sum(len(_wrapped(w)) for w in scene.words)
    below, above = MARGIN + 12 + WORDS_HEIGHT * lines, MARGIN + 12
    best: Sheet | None = None
    for width, height in ((SHORT, LONG), (LONG, SHORT)):
        room_x, room_y = width - 2 * MARGIN, height - below - above
        fitting = [s for s in SCALES if scene.width / s <= room_x and scene.height / s <= room_y]
        scale = min(fitting) if fitting else max(scene.width / room_x, scene.height / room_y)
        if best is None or scale < best.scale:
            left = (width - scene.width / scale) / 2
            best = Sheet(width, height, scale, left, height - above - scene.height / scale)
    assert best is not None
    return best


def write_pdf(scene: Scene, path: Path) -> None:
    """Write the scene as one page. Raises: CannotWrite."""
    from reportlab.pdfgen.canvas import Canvas

    sheet = sheet_for(scene)
    canvas = Canvas(str(path), pagesize=(sheet.width * POINT, sheet.height * POINT), invariant=1)
    canvas.setTitle(scene.title)
    draw_scene(canvas, scene, sheet)
    save(canvas, path)


def save(canvas: Any, path: Path) -> None:
    """Finish a PDF. Raises: CannotWrite."""
    try:
        canvas.save()
    except OSError as problem:
        raise CannotWrite(
            f"{path}: {problem.strerror or problem}", "Choose a folder you may write to."
        ) from problem


def use_font(canvas: Any, size: float) -> None:
    """Set the embedded font; size in points."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if FONT not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(FONT, "Vera.ttf"))
    canvas.setFont(FONT, size)


def draw_scene(canvas: Any, scene: Scene, sheet: Sheet) -> None:
    """Draw the scene, its title, its words and the scale on the current page."""
    draw_ground(canvas, scene, sheet)
    draw_items(canvas, scene, sheet)
    _frame_words(canvas, scene, sheet)


def draw_ground(canvas: Any, scene: Scene, sheet: Sheet) -> None:
    """Draw a table's cloth; other scenes stand on the bare paper."""
    if scene.table:
        x, y = sheet.place(scene, (scene.left, scene.bottom))
        canvas.setFillColor(CLOTH)
        canvas.rect(
            x * POINT, y * POINT, scene.width / sheet.scale * POINT, scene.height / sheet.scale * POINT, 0, 1
        )


def draw_items(canvas: Any, scene: Scene, sheet: Sheet) -> None:
    """Draw only the shapes of a scene."""
    for item in scene.items:
        match item:
            case Disc():
                _disc(canvas, scene, sheet, item)
            case Line():
                _line(canvas, scene, sheet, item)
            case Zone():
                _zone(canvas, scene, sheet, item)
            case Note():
                _note(canvas, scene, sheet, item)


def _path(canvas: Any, scene: Scene, sheet: Sheet, points: tuple[Point, ...]) -> Any:
    path = canvas.beginPath()
    for i, point in enumerate(points):
        x, y = sheet.place(scene, point)
        (path.lineTo if i else path.moveTo)(x * POINT, y * POINT)
    return path


def _line(canvas: Any, scene: Scene, sheet: Sheet, item: Line) -> None:
    look = LINES[item.ink]
    canvas.setStrokeColor(look.colour)
    canvas.setLineWidth(look.width * POINT)
    canvas.setDash([2 * POINT, 1.3 * POINT] if item.dashed else [])
    canvas.drawPath(_path(canvas, scene, sheet, item.points), stroke=1, fill=0)
    canvas.setDash([])
    if item.arrow and len(item.points) > 1:
        _head(canvas, sheet.place(scene, item.points[-2]), sheet.place(scene, item.points[-1]), look.colour)


def _head(canvas: Any, before: Point, end: Point, colour: str) -> None:
    way = complex(end[0] - before[0], end[1] - before[1])
    if abs(way) < 1e-6:
        return
    way /= abs(way)
    tip = complex(*end)
    path = canvas.beginPath()
    for i, p in enumerate((tip, tip - way * 2.4 + 0.8j * way, tip - way * 2.4 - 0.8j * way)):
        (path.lineTo if i else path.moveTo)(p.real * POINT, p.imag * POINT)
    path.close()
    canvas.setFillColor(colour)
    canvas.drawPath(path, stroke=0, fill=1)


def _zone(canvas: Any, scene: Scene, sheet: Sheet, item: Zone) -> None:
    path = _path(canvas, scene, sheet, item.points)
    path.close()
    fill = FILLS.get(item.ink)
    canvas.setStrokeColor(LINES[item.ink].colour)
    canvas.setLineWidth(0.2 * POINT)
    canvas.setFillColor(fill or "#ffffff")
    canvas.setFillAlpha(0.75)
    canvas.drawPath(path, stroke=1, fill=1 if fill else 0)
    canvas.setFillAlpha(1)


def _disc(canvas: Any, scene: Scene, sheet: Sheet, item: Disc) -> None:
    x, y = sheet.place(scene, (item.x, item.y))
    fill = BALLS[item.role]
    canvas.setStrokeColor("#222222")
    canvas.setLineWidth(0.2 * POINT)
    canvas.setDash([0.8 * POINT, 0.5 * POINT] if item.role == "ghost" else [])
    canvas.setFillColor(fill if fill != "none" else "#ffffff")
    canvas.circle(x * POINT, y * POINT, item.radius / sheet.scale * POINT, stroke=1, fill=int(fill != "none"))
    canvas.setDash([])
    if item.label:
        words_at(canvas, x + item.radius / sheet.scale + 1, y - 1, item.label, 7)


def _note(canvas: Any, scene: Scene, sheet: Sheet, item: Note) -> None:
    x, y = sheet.place(scene, (item.x, item.y))
    use_font(canvas, 7)
    canvas.setFillColor("#222222")
    draw = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[
        item.at
    ]
    draw(x * POINT, (y - 1) * POINT, item.text)


def words_at(canvas: Any, x: float, y: float, text: str, size: float) -> None:
    """Words from a place in mm on paper; size in points."""
    use_font(canvas, size)
    canvas.setFillColor("#222222")
    canvas.drawString(x * POINT, y * POINT, text)


def _wrapped(text: str) -> list[str]:
    import textwrap

    return textwrap.wrap(text, 96) or [""]


def _frame_words(canvas: Any, scene: Scene, sheet: Sheet) -> None:
    words_at(canvas, MARGIN, sheet.height - MARGIN - 4, scene.title, 13)
    y = sheet.bottom - 8
    bar = 100.0 if sheet.width > SHORT else 50.0
    scale_bar(canvas, MARGIN, y, bar)
    said = f"1 : {sheet.scale:g}" if sheet.scale >= 1 else f"{1 / sheet.scale:g} : 1"
    words_at(
        canvas, MARGIN + bar + 4, y - 1, f"scale {said}; the bar is {bar:.0f} mm when printed at 100 %", 8
    )
    for line in (part for words in scene.words for part in _wrapped(words)):
        y -= WORDS_HEIGHT
        words_at(canvas, MARGIN, y - 1, line, 9)


def scale_bar(canvas: Any, x: float, y: float, length: float) -> None:
    """A ruler of ``length`` mm with a tick every 10 mm, to check the printer's scale."""
    canvas.setStrokeColor("#222222")
    canvas.setLineWidth(0.3 * POINT)
    canvas.line(x * POINT, y * POINT, (x + length) * POINT, y * POINT)
    for i in range(int(length // 10) + 1):
        tick = 2.5 if i % 5 == 0 else 1.5
        canvas.line((x + 10 * i) * POINT, y * POINT, (x + 10 * i) * POINT, (y + tick) * POINT)
